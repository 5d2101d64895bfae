"""Where staples and jaws meet the edge of the cloth: places as shares of the edge nodes.

A staple has a crown and a pull has jaws: neither is a point, and a load on a point of a membrane would sink in
without end. Both are spread evenly over their width along the edge. Edge freedoms are x y of each edge node,
nodes anticlockwise from the lower left corner.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

import numpy as np

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole

Side = Literal["bottom", "right", "top", "left"]
SIDES: tuple[Side, ...] = ("bottom", "right", "top", "left")
#: Outward direction of each side, x y.
OUTWARD: dict[str, tuple[float, float]] = {
    "bottom": (0.0, -1.0),
    "right": (1.0, 0.0),
    "top": (0.0, 1.0),
    "left": (-1.0, 0.0),
}
#: The side across.
OPPOSITE: dict[str, Side] = {"bottom": "top", "top": "bottom", "left": "right", "right": "left"}


@lru_cache(maxsize=64)
def side_nodes(grid: MembraneGrid, side: str) -> Whole:
    """Places in the edge order of a side's nodes, from its left or lower end.

    Args:
        grid: The grid.
        side: Which.

    Returns:
        Indices into ``grid.edge``, shape (n,).
    """
    nodes: Whole = {"bottom": grid.bottom, "right": grid.right, "top": grid.top, "left": grid.left}[side]
    order = np.empty(grid.node_count, dtype=np.intp)
    order[grid.edge] = np.arange(len(grid.edge))
    return np.asarray(order[nodes])


@lru_cache(maxsize=64)
def _places(grid: MembraneGrid, side: str) -> Floats:
    """Places of a side's nodes along it, from 0, shape (n,). [mm]"""
    axis = 0 if side in ("bottom", "top") else 1
    at: Floats = np.asarray(grid.nodes[grid.edge[side_nodes(grid, side)], axis])
    return np.asarray(at - at[0])


def shares(grid: MembraneGrid, *, side: str, along: float, width: float) -> tuple[Whole, Floats]:
    """Shares of the edge nodes in an even load over a stretch of a side.

    Args:
        grid: A rectangular grid.
        side: Which side.
        along: Middle of the stretch from the side's left or lower end. [mm]
        width: Its width, above 0; what would reach beyond a corner is left out. [mm]

    Returns:
        Indices into ``grid.edge``, shape (k,); shares that sum to 1, shape (k,).

    Raises:
        OutOfRangeError: If the stretch lies outside the side.
    """
    nodes, at = side_nodes(grid, side), _places(grid, side)
    low, high = max(along - width / 2, 0.0), min(along + width / 2, float(at[-1]))
    if not high > low:
        msg = f"a staple or pull at {along:.1f} mm lies outside the {side} side of {at[-1]:.1f} mm"
        raise OutOfRangeError(msg)
    begin, end = np.maximum(at[:-1], low), np.minimum(at[1:], high)
    size = np.maximum(end - begin, 0.0)
    # exact for an even load: shape functions are straight
    right = np.where(size > 0, (0.5 * (begin + end) - at[:-1]) / np.diff(at), 0.0)
    values = np.zeros(len(at))
    values[:-1] += (1 - right) * size
    values[1:] += right * size
    kept = np.flatnonzero(values)
    return nodes[kept], np.asarray(values[kept] / (high - low))


def rows_of(grid: MembraneGrid, *, side: str, along: float, width: float) -> Floats:
    """Mean movement of a stretch of edge, outward and along the side.

    Args:
        grid: A rectangular grid.
        side: Which side.
        along: Middle of the stretch. [mm]
        width: Its width. [mm]

    Returns:
        Two rows over the edge freedoms, shape (2, 2 m): outward, then towards larger x or y.
    """
    nodes, values = shares(grid, side=side, along=along, width=width)
    rows = np.zeros((2, 4 * (grid.columns + grid.rows)))
    normal = 1 if side in ("bottom", "top") else 0
    rows[0, 2 * nodes + normal] = values * OUTWARD[side][normal]
    rows[1, 2 * nodes + (1 - normal)] = values
    return rows
