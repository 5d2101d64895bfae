"""The canvas pushed far enough that it stretches: large movement square to itself, edge held.

A dip lengthens the cloth, and the longer cloth pulls harder; at a few hundredths of the span this already
counts for more than the tension it had. Strain is the in-plane part plus half the square of the slope (small
strain, moderate slope).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from scipy.linalg import solve_banded, solveh_banded

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole, frozen, gradients
from longpoint.strength.membrane.solve import Cloth

Mirror = Literal["", "left", "bottom"]


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


class _Pushed:
    """Forces and stiffness of one canvas in any position.

    Points of the 2 × 2 rule and components of strain are one axis of 12; of an element's 12 freedoms those in the
    plane, x y of each corner, are 8 and those square to it 4. What only the plane takes part in is worked out once.
    """

    def __init__(self, grid: MembraneGrid, cloth: Cloth, mirror: Mirror) -> None:
        slopes, area = gradients(grid)  # (e, p, 2, 4), (e, p)
        self.dx, self.dy = slopes[..., 0, :], slopes[..., 1, :]
        self.slopes, self.area = slopes.reshape(-1, 8, 4), area
        self.matrix = cloth.matrix
        self.law = self.matrix * area[..., None, None]
        plane = np.zeros((*area.shape, 3, 4, 2))
        plane[..., 0, :, 0] = plane[..., 2, :, 1] = self.dx
        plane[..., 1, :, 1] = plane[..., 2, :, 0] = self.dy
        self.plane = plane.reshape(-1, 12, 8)
        self.size = 3 * grid.node_count
        corners = 3 * grid.elements[:, :, None]
        self.freedoms = np.concatenate(
            [(corners + np.arange(2)).reshape(-1, 8), corners[..., 0] + 2], axis=1
        )  # (e, 12)
        moves = np.zeros((grid.node_count, 3), dtype=bool)
        moves[grid.inner] = True
        if mirror:
            moves[(grid.left if mirror == "left" else grid.bottom)[1:-1]] = (
                mirror != "left",
                mirror == "left",
                True,
            )
        order = np.arange(grid.node_count)
        if grid.rows < grid.columns:  # numbered along the shorter way, so that the band is narrow
            order = np.argsort(order % (grid.columns + 1), kind="stable")
        self.free = (3 * order[:, None] + np.arange(3))[moves[order]]
        number = np.full(self.size, -1)
        number[self.free] = np.arange(len(self.free))
        mine = number[self.freedoms]
        self.width = 1 + int((mine.max(axis=1) - np.where(mine < 0, self.size, mine).min(axis=1)).max())
        both, square = self._into(mine[:, :8], mine[:, 8:]), self._into(mine[:, 8:])
        self.changing = (
            np.concatenate([both[0], square[0] + 32 * len(mine)]),
            np.concatenate([both[1], square[1]]),
        )
        plane = self.plane.swapaxes(-1, -2) @ (self.law @ plane.reshape(*area.shape, 3, 8)).reshape(-1, 12, 8)
        self.held = self._band(plane.ravel(), *self._into(mine[:, :8]))

    def _into(self, first: Whole, second: Whole | None = None) -> tuple[Whole, Whole]:
        """Which entries of elements' blocks count, flat, and where each stands in the lower band; one of a pair."""
        other = first if second is None else second
        row, column = np.broadcast_arrays(first[:, :, None], other[:, None, :])
        counts = (row >= 0) & (column >= 0) & ((row >= column) | (second is not None))
        low, high = np.minimum(row, column), np.maximum(row, column)
        return np.flatnonzero(counts), ((high - low) * len(self.free) + low)[counts]

    def _band(self, blocks: Floats, taken: Whole, places: Whole) -> Floats:
        """The lower band that blocks of elements add up to."""
        found = np.bincount(places, weights=blocks[taken], minlength=self.width * len(self.free))
        return np.asarray(found.reshape(self.width, len(self.free)), dtype=np.float64)

    def strain_and_rates(self, movement: Floats) -> tuple[Floats, Floats]:
        """Strain (e, p, 3) and its rate by the freedoms square to the plane (e, p, 3, 4)."""
        local = movement[self.freedoms][..., None]
        slope = (self.slopes @ local[:, 8:]).reshape(*self.area.shape, 2)
        wx, wy = slope[..., 0], slope[..., 1]
        strain = (self.plane @ local[:, :8]).reshape(*self.area.shape, 3)
        strain += np.stack([0.5 * wx**2, 0.5 * wy**2, wx * wy], axis=-1)
        wx, wy = wx[..., None], wy[..., None]
        return strain, np.stack([wx * self.dx, wy * self.dy, wx * self.dy + wy * self.dx], axis=-2)

    def forces(self, rates: Floats, tension: Floats) -> Floats:
        """Holding forces, shape (size,)."""
        weighted = (tension * self.area[..., None]).reshape(-1, 1, 12)
        local = np.concatenate([weighted @ self.plane, weighted @ rates.reshape(-1, 12, 4)], axis=-1)
        return np.asarray(
            np.bincount(self.freedoms.ravel(), local.ravel(), minlength=self.size), dtype=np.float64
        )

    def stiffness(self, rates: Floats, tension: Floats) -> Floats:
        """Tangent of the free freedoms: its lower band, diagonals as rows, shape (width, n_free)."""
        stiff = (self.law @ rates).reshape(-1, 12, 4)
        t = tension * self.area[..., None]
        stress = t[..., [0, 2, 2, 1]].reshape(*self.area.shape, 2, 2)
        square = rates.reshape(-1, 12, 4).swapaxes(-1, -2) @ stiff
        square += self.slopes.swapaxes(-1, -2) @ (
            stress @ self.slopes.reshape(*self.area.shape, 2, 4)
        ).reshape(-1, 8, 4)
        across = self.plane.swapaxes(-1, -2) @ stiff
        return self.held + self._band(np.concatenate([across.ravel(), square.ravel()]), *self.changing)


@lru_cache(maxsize=4)
def _pushed(grid: MembraneGrid, cloth: Cloth, mirror: Mirror) -> _Pushed:
    """The same for every push on one grid."""
    return _Pushed(grid, cloth, mirror)


def _solved(band: Floats, right: Floats) -> Floats:
    """Solves a symmetric band; on the way to rest it may be indefinite."""
    try:
        return np.asarray(solveh_banded(band, right, lower=True, check_finite=False))
    except np.linalg.LinAlgError:
        wide = len(band) - 1
        rows = np.zeros((2 * wide + 1, band.shape[1]))
        rows[wide:] = band
        for off in range(1, wide + 1):
            rows[wide - off, off:] = band[off, :-off]
        return np.asarray(solve_banded((wide, wide), rows, right, check_finite=False))


def sink(
    grid: MembraneGrid,
    cloth: Cloth,
    *,
    prestress: tuple[float, float],
    forces: Floats,
    start: Sunk | None = None,
    tolerance: float = 1e-9,
    limit: int = 60,
    mirror: Mirror = "",
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
        mirror: Edge along which the grid, canvas and push are half of something even; "": none, all edges are held.

    Returns:
        The canvas pushed.

    Raises:
        OutOfRangeError: If no rest is found.
    """
    pushed = _pushed(grid, cloth, mirror)
    free, push = pushed.free, np.zeros(pushed.size)
    push[2::3] = forces
    whole = max(float(np.abs(forces).sum()), 1e-12)
    before = np.array([prestress[0], prestress[1], 0.0])
    movement = np.zeros(pushed.size)
    if start is None:
        span = float(np.ptp(grid.nodes, axis=0).min())
        mean_stiffness = float(np.sqrt(cloth.matrix[0, 0] * cloth.matrix[1, 1]))
        own = 0.3 * mean_stiffness ** (1 / 3) * (whole / span) ** (2 / 3)  # tension that the push alone makes
        flat = np.zeros((*pushed.area.shape, 3, 4))
        taut = np.broadcast_to(before + np.array([own, own, 0.0]), (*pushed.area.shape, 3))
        movement[free] = _solved(pushed.stiffness(flat, taut), push[free])
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
        movement[free] += _solved(pushed.stiffness(rates, tension), imbalance[free])
        if not np.all(np.isfinite(movement)):
            break
    msg = f"the canvas found no rest in {limit} rounds under {whole:.2f} N"
    raise OutOfRangeError(msg)
