"""The grid a canvas is cut into for computing: four-sided elements in columns and rows, seen from the front.

Axes: x to the right, y up, origin at the lower left corner, everything in the canvas plane. Nodes are numbered
row by row from the lower left; elements too. The edge is walked anticlockwise from the lower left corner:
bottom, right, top, left.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longpoint.errors import OutOfRangeError

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

GAUSS = 1.0 / np.sqrt(3.0)
#: Points of the 2 × 2 rule in the element's own coordinates, shape (4, 2); all weights are 1.
GAUSS_POINTS: Floats = np.array([[-GAUSS, -GAUSS], [GAUSS, -GAUSS], [GAUSS, GAUSS], [-GAUSS, GAUSS]])
_CORNERS: Floats = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])


def frozen(values: ArrayLike) -> Floats:
    """A read-only copy as floats.

    Returns:
        The copy, any shape.
    """
    copy = np.array(values, dtype=np.float64)
    copy.setflags(write=False)
    return copy


@dataclass(frozen=True, slots=True, eq=False)
class MembraneGrid:
    """Nodes and four-sided elements in columns and rows; elements may be graded or skewed.

    Attributes:
        nodes: Places of the nodes, shape (n_nodes, 2), x y. [mm]
        elements: Node numbers of each element, anticlockwise, shape (n_elements, 4).
        columns: Number of elements along x.
        rows: Number of elements along y.
    """

    nodes: Floats
    elements: Whole
    columns: int
    rows: int

    @property
    def node_count(self) -> int:
        """Number of nodes."""
        return len(self.nodes)

    @property
    def bottom(self) -> Whole:
        """Nodes of the bottom edge from left to right, shape (columns + 1,)."""
        return np.arange(self.columns + 1, dtype=np.intp)

    @property
    def top(self) -> Whole:
        """Nodes of the top edge from left to right, shape (columns + 1,)."""
        return self.bottom + self.rows * (self.columns + 1)

    @property
    def left(self) -> Whole:
        """Nodes of the left edge from bottom to top, shape (rows + 1,)."""
        return np.arange(self.rows + 1, dtype=np.intp) * (self.columns + 1)

    @property
    def right(self) -> Whole:
        """Nodes of the right edge from bottom to top, shape (rows + 1,)."""
        return self.left + self.columns

    @property
    def edge(self) -> Whole:
        """Nodes round the edge, each once: bottom, right, top, left, shape (2 columns + 2 rows,)."""
        return np.concatenate(
            [self.bottom[:-1], self.right[:-1], self.top[::-1][:-1], self.left[::-1][:-1]]
        ).astype(np.intp)

    @property
    def inner(self) -> Whole:
        """Nodes that do not lie on the edge, shape (n_nodes − n_edge,)."""
        return np.setdiff1d(np.arange(self.node_count, dtype=np.intp), self.edge)

    @property
    def centres(self) -> Floats:
        """Middle of each element, shape (n_elements, 2). [mm]"""
        return np.asarray(self.nodes[self.elements].mean(axis=1))


def graded_grid(*, x_lines: ArrayLike, y_lines: ArrayLike) -> MembraneGrid:
    """A rectangular grid with lines where the caller puts them.

    Args:
        x_lines: Places of the upright lines, rising, at least two, shape (columns + 1,). [mm]
        y_lines: Heights of the level lines, rising, at least two, shape (rows + 1,). [mm]

    Returns:
        The grid.

    Raises:
        OutOfRangeError: If lines do not rise, or there are fewer than two.
    """
    x, y = np.asarray(x_lines, dtype=np.float64), np.asarray(y_lines, dtype=np.float64)
    for name, lines in (("x_lines", x), ("y_lines", y)):
        if lines.ndim != 1 or len(lines) < 2 or not np.all(np.diff(lines) > 0):
            msg = f"{name} must hold at least two places that rise"
            raise OutOfRangeError(msg)
    columns, rows = len(x) - 1, len(y) - 1
    nodes = np.stack([np.tile(x, rows + 1), np.repeat(y, columns + 1)], axis=1)
    first = (np.arange(rows)[:, None] * (columns + 1) + np.arange(columns)[None, :]).ravel()
    elements = np.stack([first, first + 1, first + columns + 2, first + columns + 1], axis=1).astype(np.intp)
    elements.setflags(write=False)
    return MembraneGrid(frozen(nodes), elements, columns, rows)


def rectangle_grid(*, width: float, height: float, columns: int, rows: int) -> MembraneGrid:
    """An even rectangular grid.

    Args:
        width: Size along x, above 0. [mm]
        height: Size along y, above 0. [mm]
        columns: Elements along x, at least 1.
        rows: Elements along y, at least 1.

    Returns:
        The grid, its lower left node at the origin.

    Raises:
        OutOfRangeError: If a size or a count is too small.
    """
    if not (width > 0 and height > 0 and columns >= 1 and rows >= 1):
        msg = "width and height must be above 0, columns and rows at least 1"
        raise OutOfRangeError(msg)
    return graded_grid(x_lines=np.linspace(0, width, columns + 1), y_lines=np.linspace(0, height, rows + 1))


def shapes_at(points: Floats) -> Floats:
    """Shape functions of the four-node element.

    Args:
        points: Places in the element's own coordinates, −1 to 1, shape (n, 2).

    Returns:
        Values, shape (n, 4).
    """
    return np.asarray(
        0.25 * (1 + points[:, :1] * _CORNERS[None, :, 0]) * (1 + points[:, 1:] * _CORNERS[None, :, 1])
    )


def shape_slopes_at(points: Floats) -> Floats:
    """Slopes of the shape functions along the element's own coordinates.

    Args:
        points: Places in the element's own coordinates, −1 to 1, shape (n, 2).

    Returns:
        Slopes, shape (n, 2, 4): own axis, node.
    """
    along = 0.25 * _CORNERS[None, :, 0] * (1 + points[:, 1:] * _CORNERS[None, :, 1])
    across = 0.25 * _CORNERS[None, :, 1] * (1 + points[:, :1] * _CORNERS[None, :, 0])
    return np.stack([along, across], axis=1)


def gradients(grid: MembraneGrid, points: Floats = GAUSS_POINTS) -> tuple[Floats, Floats]:
    """Slopes of the shape functions along x and y, and the area each point stands for.

    Args:
        grid: The grid.
        points: Places in the elements' own coordinates, shape (n_points, 2); the 2 × 2 rule by default.

    Returns:
        Slopes, shape (n_elements, n_points, 2, 4) [1/mm]; areas, shape (n_elements, n_points) [mm²] (for the
        2 × 2 rule they sum to the element's area).

    Raises:
        OutOfRangeError: If an element is inside out or has no area at a point.
    """
    return _usual_gradients(grid) if points is GAUSS_POINTS else _gradients(grid, points)


@lru_cache(maxsize=16)
def _usual_gradients(grid: MembraneGrid) -> tuple[Floats, Floats]:
    """At the 2 × 2 rule: whatever is asked of a grid begins with these."""
    slopes, area = _gradients(grid, GAUSS_POINTS)
    slopes.setflags(write=False)
    area.setflags(write=False)
    return slopes, area


def _gradients(grid: MembraneGrid, points: Floats) -> tuple[Floats, Floats]:
    own = shape_slopes_at(points)  # (n_points, 2, 4)
    corners = grid.nodes[grid.elements]  # (n_elements, 4, 2)
    jacobian = np.einsum("pan,enx->epax", own, corners)  # (n_elements, n_points, 2, 2)
    area = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    if np.any(area <= 0):
        worst = int(np.argmin(area.min(axis=1)))
        msg = f"element {worst} is inside out; move its corners so that they run anticlockwise"
        raise OutOfRangeError(msg)
    inverse = np.empty_like(jacobian)
    inverse[..., 0, 0], inverse[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
    inverse[..., 0, 1], inverse[..., 1, 0] = -jacobian[..., 0, 1], -jacobian[..., 1, 0]
    inverse /= area[..., None, None]
    return np.einsum("epxa,pan->epxn", inverse, own), area


def locate(grid: MembraneGrid, places: Floats) -> tuple[Whole, Floats]:
    """Which element each place lies in, and where in it.

    Args:
        grid: The grid.
        places: Places, shape (n, 2). [mm]

    Returns:
        Element numbers, shape (n,); places in the elements' own coordinates, shape (n, 2).

    Raises:
        OutOfRangeError: If a place lies outside the grid.
    """
    slack = 1e-9 * float(np.ptp(grid.nodes, axis=0).max())
    lines = _lines_of(grid)
    if lines is None:
        found, inside = _locate_skew(grid, places, slack)
    else:
        found, inside = _locate_square(grid, lines, places, slack)
    if np.any(found < 0):
        at = places[int(np.argmin(found))]
        msg = f"the place x = {at[0]:.1f}, y = {at[1]:.1f} mm lies outside the canvas"
        raise OutOfRangeError(msg)
    return found, inside


def _lines_of(grid: MembraneGrid) -> tuple[Floats, Floats] | None:
    """Places of the upright and the level lines; None where the grid is not square to the axes."""
    nodes = grid.nodes.reshape(grid.rows + 1, grid.columns + 1, 2)
    x, y = nodes[0, :, 0], nodes[:, 0, 1]
    square = bool(np.all(nodes[..., 0] == x) and np.all(nodes[..., 1] == y[:, None]))
    return (x, y) if square else None


def _locate_square(
    grid: MembraneGrid, lines: tuple[Floats, Floats], places: Floats, slack: float
) -> tuple[Whole, Floats]:
    """By halving along the lines; where places touch two elements the lower number wins."""
    cells, own = [], []
    outside = np.zeros(len(places), dtype=bool)
    for axis, at in enumerate(lines):
        value = places[:, axis]
        outside |= (value < at[0] - slack) | (value > at[-1] + slack)
        cell = np.clip(np.searchsorted(at, value - slack, side="left") - 1, 0, len(at) - 2)
        cells.append(cell)
        own.append((2 * value - at[cell] - at[cell + 1]) / (at[cell + 1] - at[cell]))
    found = cells[1] * grid.columns + cells[0]
    return np.where(outside, -1, found), np.stack(own, axis=1)


def _locate_skew(grid: MembraneGrid, places: Floats, slack: float) -> tuple[Whole, Floats]:
    """By trying every element whose box holds the place, with Newton's steps in it."""
    corners = grid.nodes[grid.elements]
    low, high = corners.min(axis=1) - slack, corners.max(axis=1) + slack
    found = np.full(len(places), -1, dtype=np.intp)
    inside = np.zeros((len(places), 2))
    boxed = np.all(
        (places[:, None] >= low[None]) & (places[:, None] <= high[None]), axis=2
    )  # (n, n_elements)
    which, element = np.nonzero(boxed)
    own = np.zeros((len(which), 2))
    for _ in range(12):  # Newton; exact at once on parallelograms
        gap = places[which] - np.einsum("nk,nkx->nx", shapes_at(own), corners[element])
        jacobian = np.einsum("nak,nkx->nxa", shape_slopes_at(own), corners[element])
        own = np.clip(own + np.linalg.solve(jacobian, gap[..., None])[..., 0], -3.0, 3.0)
    good = np.all(np.abs(own) <= 1 + 1e-7, axis=1)
    found[which[good][::-1]] = element[good][::-1]  # where places touch two elements the lower number wins
    inside[which[good][::-1]] = own[good][::-1]
    return found, inside
