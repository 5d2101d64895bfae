"""The canvas pushed far enough that it stretches: large movement square to itself, edge held.

A dip lengthens the cloth, and the longer cloth pulls harder; at a few hundredths of the span this already
counts for more than the tension it had. Strain is the in-plane part plus half the square of the slope (small
strain, moderate slope).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole, frozen, gradients
from longpoint.strength.membrane.solve import Cloth, dip


@dataclass(frozen=True, slots=True, eq=False)
class Sunk:
    """A canvas pushed square to itself, with its proof.

    Attributes:
        movement: Movement towards +z of every node, shape (n_nodes,). [mm]
        in_plane: In-plane movement of every node, shape (n_nodes, 2). [mm]
        tension: Tx Ty Txy at every point of the 2 × 2 rule, shape (n_elements, 4, 3). [N/mm]
        imbalance: Largest force out of balance over the whole push. [-]
        rounds: Newton's rounds.
    """

    movement: Floats
    in_plane: Floats
    tension: Floats
    imbalance: float
    rounds: int


def _freedoms(grid: MembraneGrid) -> Whole:
    """X y z freedoms of each element, shape (n_elements, 12)."""
    return np.asarray((3 * grid.elements[:, :, None] + np.arange(3)).reshape(len(grid.elements), 12))


class _Pushed:
    """Forces and stiffness of one canvas in any position."""

    def __init__(self, grid: MembraneGrid, cloth: Cloth) -> None:
        self.slopes, self.area = gradients(grid)  # (e, p, 2, 4), (e, p)
        self.matrix = cloth.matrix
        self.freedoms = _freedoms(grid)
        self.size = 3 * grid.node_count
        kept = np.ones(self.size, dtype=bool)
        kept[(3 * grid.edge[:, None] + np.arange(3)).ravel()] = False
        self.free = np.flatnonzero(kept)
        # where each entry of an element's matrix stands in that of the free freedoms, worked out once for all rounds
        number = np.full(self.size, -1)
        number[self.free] = np.arange(len(self.free))
        rows = number[np.repeat(self.freedoms, 12, axis=1).ravel()]
        columns = number[np.tile(self.freedoms, (1, 12)).ravel()]
        self.kept = (rows >= 0) & (columns >= 0)
        place, self.into = np.unique(
            columns[self.kept] * len(self.free) + rows[self.kept], return_inverse=True
        )
        self.at = place % len(self.free)
        self.starts = np.searchsorted(place // len(self.free), np.arange(len(self.free) + 1))

    def strain_and_rates(self, movement: Floats) -> tuple[Floats, Floats]:
        """Strain (e, p, 3) and its rate by the element's freedoms (e, p, 3, 12)."""
        local = movement[self.freedoms].reshape(len(self.freedoms), 4, 3)
        slope = np.einsum("epxn,enk->epxk", self.slopes, local)  # (e, p, x, component)
        wx, wy = slope[..., 0, 2], slope[..., 1, 2]
        strain = np.stack(
            [
                slope[..., 0, 0] + 0.5 * wx**2,
                slope[..., 1, 1] + 0.5 * wy**2,
                slope[..., 0, 1] + slope[..., 1, 0] + wx * wy,
            ],
            axis=-1,
        )
        dx, dy = self.slopes[..., 0, :], self.slopes[..., 1, :]
        rates = np.zeros((*self.area.shape, 3, 12))
        rates[..., 0, 0::3] = dx
        rates[..., 1, 1::3] = dy
        rates[..., 2, 0::3] = dy
        rates[..., 2, 1::3] = dx
        rates[..., 0, 2::3] = wx[..., None] * dx
        rates[..., 1, 2::3] = wy[..., None] * dy
        rates[..., 2, 2::3] = wx[..., None] * dy + wy[..., None] * dx
        return strain, rates

    def forces(self, rates: Floats, tension: Floats) -> Floats:
        """Holding forces, shape (size,)."""
        weighted = (tension * self.area[..., None])[..., None, :]
        local = (weighted @ rates)[..., 0, :].sum(axis=1)
        return np.asarray(
            np.bincount(self.freedoms.ravel(), local.ravel(), minlength=self.size), dtype=np.float64
        )

    def stiffness(self, rates: Floats, tension: Floats) -> csc_matrix:
        """Tangent of the free freedoms."""
        law = self.matrix * self.area[..., None, None]
        blocks = (np.swapaxes(rates, -1, -2) @ (law @ rates)).sum(axis=1)
        t = tension * self.area[..., None]
        stress = np.stack([t[..., 0], t[..., 2], t[..., 2], t[..., 1]], axis=-1).reshape(
            *self.area.shape, 2, 2
        )
        blocks[:, 2::3, 2::3] += (np.swapaxes(self.slopes, -1, -2) @ (stress @ self.slopes)).sum(axis=1)
        entries = np.bincount(self.into, weights=blocks.ravel()[self.kept], minlength=len(self.at))
        return csc_matrix((entries, self.at, self.starts), shape=(len(self.free), len(self.free)))


@lru_cache(maxsize=4)
def _pushed(grid: MembraneGrid, cloth: Cloth) -> _Pushed:
    """The same for every push on one grid."""
    return _Pushed(grid, cloth)


def sink(
    grid: MembraneGrid,
    cloth: Cloth,
    *,
    prestress: tuple[float, float],
    forces: Floats,
    start: Sunk | None = None,
    tolerance: float = 1e-9,
    limit: int = 60,
) -> Sunk:
    """A canvas with its edge held, pushed square to itself.

    Args:
        grid: The grid.
        cloth: The cloth as it is while pushed.
        prestress: Tx Ty before the push. [N/mm]
        forces: Nodal forces towards +z, shape (n_nodes,). [N]
        start: A rest near by, on the same grid, to start from.
        tolerance: Force out of balance over the whole push.
        limit: Most rounds.

    Returns:
        The canvas pushed.

    Raises:
        OutOfRangeError: If no rest is found.
    """
    pushed = _pushed(grid, cloth)
    free, push = pushed.free, np.zeros(pushed.size)
    push[2::3] = forces
    whole = max(float(np.abs(forces).sum()), 1e-12)
    before = np.array([prestress[0], prestress[1], 0.0])
    movement = np.zeros(pushed.size)
    if start is None:
        span = float(np.ptp(grid.nodes, axis=0).min())
        mean_stiffness = float(np.sqrt(cloth.matrix[0, 0] * cloth.matrix[1, 1]))
        own = 0.3 * mean_stiffness ** (1 / 3) * (whole / span) ** (2 / 3)  # tension that the push alone makes
        movement[2::3] = dip(grid, before + np.array([own, own, 0.0]), forces)
    else:
        movement[2::3], movement[0::3], movement[1::3] = start.movement, *start.in_plane.T
    for rounds in range(1, limit + 1):
        strain, rates = pushed.strain_and_rates(movement)
        tension = strain @ pushed.matrix + before
        imbalance = push - pushed.forces(rates, tension)
        off = float(np.abs(imbalance[free]).max()) / whole
        if off < tolerance:
            return Sunk(
                movement=frozen(movement[2::3]),
                in_plane=frozen(movement.reshape(-1, 3)[:, :2]),
                tension=frozen(tension),
                imbalance=off,
                rounds=rounds,
            )
        factor = splu(
            pushed.stiffness(rates, tension),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        movement[free] += factor.solve(imbalance[free])
        if not np.all(np.isfinite(movement)):
            break
    msg = f"the canvas found no rest in {limit} rounds under {whole:.2f} N"
    raise OutOfRangeError(msg)
