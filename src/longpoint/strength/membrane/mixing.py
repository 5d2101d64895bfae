"""Mixing the last few steps of a calm but slow iteration, so that it goes faster.

Anderson's mixing, restarted whenever it does harm: the plain step alone always comes to rest, so mixing may be bold.
D. G. Anderson, *Iterative procedures for nonlinear integral equations*, Journal of the ACM 12 (1965), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from longpoint.strength.membrane.grid import Floats

#: Steps that are mixed.
MEMORY = 6
#: Regularisation of the small matrix of inner products, as a part of its trace.
HAIR = 1e-10


class Mixing:
    """The last few steps of an iteration, and the best place it came to.

    Attributes:
        norm: Least imbalance met, as a part of the scale.
        best: The movement there.
    """

    def __init__(self, start: Floats, *, scale: float) -> None:
        """Starts without a memory.

        Args:
            start: Movement that the first step leaves, shape (n,). [mm]
            scale: Energy norm that counts as 1. [√(N mm)]
        """
        size = len(start)
        self.norm = math.inf
        self.best = start
        self._step = np.zeros(size)
        self._scale = max(scale, 1e-300)
        self._moved, self._stepped, self._answered = (np.empty((MEMORY, size)) for _ in range(3))
        self._before: tuple[Floats, Floats, Floats] | None = None
        self._held, self._at = 0, 0  # how many changes are held, and where the next one goes

    def measure(self, movement: Floats, step: Floats, imbalance: Floats) -> float:
        """How far a movement is out of balance; the best is remembered.

        Args:
            movement: Where the iteration stands, shape (n,). [mm]
            step: Plain step from there, shape (n,). [mm]
            imbalance: Forces it answers, shape (n,). [N]

        Returns:
            Energy norm, as a part of the scale.
        """
        norm = math.sqrt(max(float(step @ imbalance), 0.0)) / self._scale
        if norm < self.norm:
            self.norm, self.best, self._step = norm, movement, step
        return norm

    def next(self, norm: float, movement: Floats, step: Floats, imbalance: Floats) -> Floats:
        """Where to look next.

        Args:
            norm: From `measure`.
            movement: Where the iteration stands, shape (n,). [mm]
            step: Plain step from there, shape (n,). [mm]
            imbalance: Forces it answers, shape (n,). [N]

        Returns:
            The next movement, shape (n,). [mm]
        """
        if norm > 2 * self.norm:  # mixing did harm: plain step from the best place
            self._held, self._at, self._before = 0, 0, None
            return self.best + self._step
        if self._before is not None:
            np.subtract(movement, self._before[0], out=self._moved[self._at])
            np.subtract(step, self._before[1], out=self._stepped[self._at])
            np.subtract(imbalance, self._before[2], out=self._answered[self._at])
            self._at, self._held = (self._at + 1) % MEMORY, min(self._held + 1, MEMORY)
        self._before = (movement, step, imbalance)
        movement = movement + step
        held = self._held
        if held:
            inner = self._stepped[:held] @ self._answered[:held].T
            inner = 0.5 * (inner + inner.T)
            inner.flat[:: held + 1] += HAIR * np.trace(inner) + 1e-300
            shares = np.linalg.solve(inner, self._answered[:held] @ step)
            movement -= shares @ self._moved[:held]
            movement -= shares @ self._stepped[:held]
        return movement


def accelerated(
    advance: Callable[[Floats], tuple[Floats, Floats]],
    start: Floats,
    *,
    scale: float,
    tolerance: float,
    limit: int,
) -> tuple[Floats, float, int]:
    """Repeats a step that never makes the imbalance larger, mixing the last few so that it goes faster.

    Args:
        advance: From a movement, the plain step to take [mm] and the imbalance it answers [N].
        start: Movement to start from, shape (n,). [mm]
        scale: Energy norm that counts as 1. [√(N mm)]
        tolerance: Imbalance to reach, as a part of ``scale``.
        limit: Most rounds.

    Returns:
        The movement, its imbalance as a part of ``scale``, and the rounds taken.
    """
    mixing, movement = Mixing(start, scale=scale), start
    for rounds in range(1, limit + 1):
        step, imbalance = advance(movement)
        norm = mixing.measure(movement, step, imbalance)
        if norm < tolerance:
            return movement, norm, rounds
        movement = mixing.next(norm, movement, step, imbalance)
    return mixing.best, mixing.norm, limit
