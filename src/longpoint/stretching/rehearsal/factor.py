"""The taut cloth's stiffness factored once, and answered as quickly as it can be.

A rehearsal asks the same factored sheet thousands of times for one column at a time. The factor is scipy's; the two
sweeps through it are done here, over one triangle that stays in the processor's cache (stiffness is symmetric, so
the other triangle says nothing new), at about half of what scipy's own sweeps take.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats

_LOOSE_SUMS = {"reassoc", "contract"}  # sums may be taken in any order; nothing else is given up


@njit(cache=True, fastmath=_LOOSE_SUMS)  # type: ignore[untyped-decorator, unused-ignore]
def _sweep(
    ends: Any, rows: Any, values: Floats, pivots: Floats, place: Any, load: Floats, answer: Floats
) -> None:  # pragma: no cover - runs compiled
    """Fills ``answer`` (n,) for one load (n,)."""
    count = pivots.shape[0]
    work = np.empty(count)
    for i in range(count):
        work[place[i]] = load[i]
    for j in range(count):
        known = work[j]
        if known != 0.0:
            for p in range(ends[j] + 1, ends[j + 1]):
                work[rows[p]] -= values[p] * known
    for j in range(count - 1, -1, -1):
        left = work[j] / pivots[j]
        for p in range(ends[j] + 1, ends[j + 1]):
            left -= values[p] * work[rows[p]]
        work[j] = left
    for i in range(count):
        answer[i] = work[place[i]]


@njit(cache=True, fastmath=_LOOSE_SUMS)  # type: ignore[untyped-decorator, unused-ignore]
def _sweep_block(
    ends: Any, rows: Any, values: Floats, pivots: Floats, place: Any, load: Floats, answer: Floats
) -> None:  # pragma: no cover - runs compiled
    """Fills ``answer`` (n, k) for several loads (n, k) at once."""
    count, many = load.shape
    work = np.empty((count, many))
    for i in range(count):
        work[place[i]] = load[i]
    for j in range(count):
        for p in range(ends[j] + 1, ends[j + 1]):
            row, value = rows[p], values[p]
            for k in range(many):
                work[row, k] -= value * work[j, k]
    for j in range(count - 1, -1, -1):
        for k in range(many):
            work[j, k] /= pivots[j]
        for p in range(ends[j] + 1, ends[j + 1]):
            row, value = rows[p], values[p]
            for k in range(many):
                work[j, k] -= value * work[row, k]
    for i in range(count):
        answer[i] = work[place[i]]


class QuickFactor:
    """A symmetric positive definite matrix, factored.

    Attributes:
        size: Rows of the matrix.
    """

    def __init__(self, matrix: Any) -> None:
        found = splu(
            csc_matrix(matrix),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        if not np.array_equal(found.perm_r, found.perm_c):
            msg = "the stiffness is not positive definite, so it has no triangle of its own"
            raise OutOfRangeError(msg)
        lower = csc_matrix(found.L)
        lower.sort_indices()
        self.size = lower.shape[0]
        self._parts = (
            lower.indptr.astype(np.int32),
            lower.indices.astype(np.int32),
            np.ascontiguousarray(lower.data),
            np.ascontiguousarray(found.U.diagonal()),
            np.ascontiguousarray(found.perm_c),
        )

    def solve(self, load: Floats) -> Floats:
        """Answers one load or several.

        Args:
            load: Shape (n,) or (n, k).

        Returns:
            The same shape.
        """
        given = np.ascontiguousarray(load, dtype=np.float64)
        answer = np.empty_like(given)
        (_sweep if given.ndim == 1 else _sweep_block)(*self._parts, given, answer)
        return answer
