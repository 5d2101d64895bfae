"""What is left in the canvas, over windows as large as a hand: never the peak of a point.

Point supports on a membrane are singular; the mean over a window of 80 to 100 mm settles as the grid gets finer
with the same staples, the peak of an element does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats, MembraneGrid, frozen
from longpoint.strength.membrane.slack import TAUT, States

#: Wished size of a window. [mm]
WINDOW = 90.0
#: How near a corner counts as at the corner. [mm]
NEAR_CORNER = 150.0


@dataclass(frozen=True, slots=True, eq=False)
class Windows:
    """The face cut into even windows, rows from below.

    Attributes:
        x: Middles of the columns of windows, shape (columns,). [mm]
        y: Middles of the rows, shape (rows,). [mm]
        columns_from: Share of each element column in each window column, shape (columns, grid.columns).
        rows_from: Share of each element row in each window row, shape (rows, grid.rows).
        corner: True where the window lies within 150 mm of a corner, shape (rows, columns).
    """

    x: Floats
    y: Floats
    columns_from: Floats
    rows_from: Floats
    corner: np.ndarray

    def means(self, values: Floats) -> Floats:
        """Means over windows of a value per element.

        Args:
            values: Per element, shape (n_elements, ...).

        Returns:
            Shape (rows, columns, ...).
        """
        table = values.reshape(self.rows_from.shape[1], self.columns_from.shape[1], *values.shape[1:])
        in_columns = np.tensordot(self.columns_from, table, axes=(1, 1))  # window columns, element rows, …
        return np.asarray(np.tensordot(self.rows_from, in_columns, axes=(1, 1)))


def _overlap(lines: Floats, wished: float) -> tuple[Floats, Floats]:
    """Middles of even windows along an axis, and the share of each stretch between lines in each."""
    span = float(lines[-1] - lines[0])
    count = max(1, round(span / wished))
    ends = lines[0] + span * np.arange(count + 1) / count
    low = np.maximum(ends[:-1, None], lines[None, :-1])
    high = np.minimum(ends[1:, None], lines[None, 1:])
    return 0.5 * (ends[:-1] + ends[1:]) - lines[0], np.maximum(high - low, 0.0) * count / span


def windows_of(grid: MembraneGrid, *, wished: float = WINDOW) -> Windows:
    """Cuts a face into windows.

    Args:
        grid: A rectangular grid.
        wished: Size of a window; the next that divides the face is taken. [mm]

    Returns:
        The windows.
    """
    x, columns_from = _overlap(grid.nodes[grid.bottom, 0], wished)
    y, rows_from = _overlap(grid.nodes[grid.left, 1], wished)
    width, height = np.ptp(grid.nodes, axis=0)
    dx, dy = np.minimum(x, width - x), np.minimum(y, height - y)
    near = np.hypot(dx[None, :], dy[:, None]) <= NEAR_CORNER
    return Windows(frozen(x), frozen(y), frozen(columns_from), frozen(rows_from), near)


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """Tension left over the face.

    Attributes:
        x: Middles of window columns, shape (columns,). [mm]
        y: Middles of window rows, shape (rows,). [mm]
        level: Mean Tx of each window, shape (rows, columns). [N/mm]
        upright: Mean Ty of each window, shape (rows, columns). [N/mm]
        rippled: Part of each window that is not taut, shape (rows, columns).
        mean_level: Mean Tx. [N/mm]
        mean_upright: Mean Ty. [N/mm]
        spread: Standard deviation of window means of both directions over their mean. [-]
        lowest: Lowest window mean of either direction. [N/mm]
        highest: Highest. [N/mm]
        corner_lowest: Lowest within 150 mm of the corners. [N/mm]
        corner_highest: Highest there. [N/mm]
        corner_mean: Mean there, both directions. [N/mm]
        bent: How far threads that were straight are bent, the most anywhere. [mm]
        slack_places: Middles of windows of which more than half is not taut, x y each. [mm]
    """

    x: Floats
    y: Floats
    level: Floats
    upright: Floats
    rippled: Floats
    mean_level: float
    mean_upright: float
    spread: float
    lowest: float
    highest: float
    corner_lowest: float
    corner_highest: float
    corner_mean: float
    bent: float
    slack_places: tuple[tuple[float, float], ...]


def bent_threads(grid: MembraneGrid, movement: Floats) -> float:
    """How far threads that were straight are bent: the most that any leaves its own best straight line.

    Args:
        grid: A rectangular grid; its lines stand for threads.
        movement: In-plane movement, shape (2 n_nodes,). [mm]

    Returns:
        Greatest departure. [mm]
    """
    table = movement.reshape(grid.rows + 1, grid.columns + 1, 2)
    most = 0.0
    for across, at in (
        (table[..., 1], grid.nodes[grid.bottom, 0]),
        (table[..., 0].T, grid.nodes[grid.left, 1]),
    ):
        basis = np.stack([np.ones_like(at), at - at.mean()], axis=1)
        fit = np.linalg.lstsq(basis, across.T, rcond=None)[0]
        most = max(most, float(np.abs(across.T - basis @ fit).max()))
    return most


def field_of(
    grid: MembraneGrid, windows: Windows, *, tension: Floats, state: States, areas: Floats, movement: Floats
) -> Field:
    """Tension left over windows.

    Args:
        grid: The grid.
        windows: Its windows.
        tension: At every point, shape (n_points, 3). [N/mm]
        state: State of every point, shape (n_points,).
        areas: Area of every point, shape (n_points,). [mm²]
        movement: In-plane movement, shape (2 n_nodes,). [mm]

    Returns:
        The field.
    """
    weights = areas.reshape(-1, 4)
    size = weights.sum(axis=1)
    per_element = np.einsum("epa,ep->ea", tension.reshape(-1, 4, 3), weights) / size[:, None]
    loose = np.einsum("ep,ep->e", (state.reshape(-1, 4) != TAUT).astype(np.float64), weights) / size
    both = windows.means(per_element[:, :2])
    rippled = windows.means(loose)
    mean = float(both.mean())
    corner = both[windows.corner]
    rows, columns = np.nonzero(rippled > 0.5)
    return Field(
        x=windows.x,
        y=windows.y,
        level=frozen(both[..., 0]),
        upright=frozen(both[..., 1]),
        rippled=frozen(rippled),
        mean_level=float(both[..., 0].mean()),
        mean_upright=float(both[..., 1].mean()),
        spread=float(np.sqrt(np.mean((both - both.mean(axis=(0, 1))) ** 2)) / mean)
        if mean > 0
        else float("inf"),
        lowest=float(both.min()),
        highest=float(both.max()),
        corner_lowest=float(corner.min()),
        corner_highest=float(corner.max()),
        corner_mean=float(corner.mean()),
        bent=bent_threads(grid, movement),
        slack_places=tuple(
            (float(windows.x[c]), float(windows.y[r])) for r, c in zip(rows, columns, strict=True)
        ),
    )
