"""Frames for a rehearsal: how far the lips give way in the plane, per force on them.

A rehearsal asks of a frame only this: a dense symmetric compliance over the edge points of the canvas, x y of
each, anticlockwise from the lower left corner, on statically determinate supports. The real frame's comes from
the strength part, condensed to its lips; the loop of beams here serves trials and tests.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from longpoint.errors import OutOfRangeError
from longpoint.strength.coupled import three_corner_supports
from longpoint.strength.frame_model import FrameModel, frame_stiffness
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.strength.ties import tie_points
from longpoint.stretching.rehearsal.edge import side_nodes

#: Stiffness of each of the three held corners; being determinate they take nothing under balanced pulls. [N/mm]
SUPPORT = 1e5


def rigid_frame(grid: MembraneGrid) -> Floats:
    """A frame that does not give way.

    Args:
        grid: Grid of the canvas.

    Returns:
        Zeros, shape (2 m, 2 m). [mm/N]
    """
    size = 2 * len(grid.edge)
    return np.zeros((size, size))


def give_from_stiffness(stiffness: Floats, grid: MembraneGrid) -> Floats:
    """Compliance of the lips from a stiffness that lets the whole frame move freely.

    The lower left corner is held, and the lower right one upwards: determinate, so balanced loads bend nothing
    at the supports.

    Args:
        stiffness: In-plane stiffness condensed to the lips, shape (2 m, 2 m). [N/mm]
        grid: Grid of the canvas.

    Returns:
        Compliance, shape (2 m, 2 m). [mm/N]
    """
    size = len(stiffness)
    held = [0, 1, 2 * grid.columns + 1]
    free = np.setdiff1d(np.arange(size), held)
    give = np.zeros((size, size))
    inverse = np.linalg.inv(stiffness[np.ix_(free, free)])
    give[np.ix_(free, free)] = 0.5 * (inverse + inverse.T)
    return give


def give_of_frame(
    model: FrameModel,
    grid: MembraneGrid,
    *,
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left"),
) -> Floats:
    """Compliance of the lips of a real frame: bars bending, turning in and squeezed, joints and rails giving.

    Pulled at the lips, the bare frame held at three corners; the canvas's own hold on it comes in the rehearsal.

    Args:
        model: The frame; the canvas lies at z = 0, its lower left corner at the origin.
        grid: Grid of the canvas.
        bars: Members under the bottom, right, top and left edge.

    Returns:
        Compliance, shape (2 m, 2 m). [mm/N]

    Raises:
        OutOfRangeError: If the frame can move without any force.
    """
    ties = tie_points(model, grid, bars)
    held = three_corner_supports(ties)
    stiffness = csc_matrix(frame_stiffness(model) + SUPPORT * (held.T @ held))
    lips = ties.in_plane.toarray()
    give = lips @ splu(stiffness).solve(lips.T.copy())
    if not np.all(np.isfinite(give)):
        msg = "the frame can move without any force: give every piece at least two joints that hold it"
        raise OutOfRangeError(msg)
    return np.asarray(0.5 * (give + give.T))


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopBar:
    """A bar of the loop, seen in the plane of the canvas.

    Attributes:
        bending: E I against bending in the plane, above 0. [N mm²]
        stretching: E A, above 0. [N]
    """

    bending: float
    stretching: float


def _beam(length: float, bar: LoopBar) -> Floats:
    """Stiffness of a straight beam along its own axis, shape (6, 6): axial, across, turn at both ends."""
    a, b = bar.stretching / length, bar.bending
    k = np.zeros((6, 6))
    k[np.ix_([0, 3], [0, 3])] = a * np.array([[1, -1], [-1, 1]])
    c12, c6, c4, c2 = 12 * b / length**3, 6 * b / length**2, 4 * b / length, 2 * b / length
    k[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = [
        [c12, c6, -c12, c6],
        [c6, c4, -c6, c2],
        [-c12, -c6, c12, -c6],
        [c6, c2, -c6, c4],
    ]
    return k


def beam_loop(
    grid: MembraneGrid,
    *,
    level: LoopBar,
    upright: LoopBar,
    upright_rails: Sequence[float] = (),
    level_rails: Sequence[float] = (),
    rail_stretching: float = 0.0,
    soft_corners: float | None = None,
) -> Floats:
    """Compliance of a closed loop of four bars, with rails that push between opposite bars.

    Straight slender beams, no shear, loads at the bars' axes; rails carry thrust only.

    Args:
        grid: Rectangular grid of the canvas.
        level: Bottom and top bar.
        upright: Left and right bar.
        upright_rails: Rails from the bottom to the top bar, places from the left. [mm]
        level_rails: Rails from the left to the right bar, places from below. [mm]
        rail_stretching: E A of a rail. [N]
        soft_corners: Stiffness of each corner against turning; None for rigid corners. [N mm/rad]

    Returns:
        Compliance, shape (2 m, 2 m). [mm/N]

    Raises:
        OutOfRangeError: If a bar has no stiffness.
    """
    if min(level.bending, level.stretching, upright.bending, upright.stretching) <= 0:
        msg = "bars need a stiffness above 0 against bending and against stretching"
        raise OutOfRangeError(msg)
    count = len(grid.edge)
    size = (
        3 * count + 4
    )  # the last four: turn of the upright bars' ends at the corners, where corners are soft
    stiffness = np.zeros((size, size))
    places = grid.nodes[grid.edge]
    corner_turn = {int(k): 3 * count + n for n, k in enumerate(_corners(grid))}
    for k in range(count):
        j = (k + 1) % count
        run = places[j] - places[k]
        length = float(np.hypot(*run))
        c, s = run / length
        turn = np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])
        both = np.kron(np.eye(2), turn)
        is_upright = abs(s) > 0.5
        local = both.T @ _beam(length, upright if is_upright else level) @ both
        at = [3 * k, 3 * k + 1, 3 * k + 2, 3 * j, 3 * j + 1, 3 * j + 2]
        if is_upright:
            at[2], at[5] = corner_turn.get(k, at[2]), corner_turn.get(j, at[5])
        stiffness[np.ix_(at, at)] += local
    corner = (
        1e9 * max(level.bending, upright.bending) / float(np.ptp(places))
        if soft_corners is None
        else soft_corners
    )
    for k, extra in corner_turn.items():
        pair = [3 * k + 2, extra]
        stiffness[np.ix_(pair, pair)] += corner * np.array([[1, -1], [-1, 1]])
    _add_rails(stiffness, grid, ("bottom", "top"), upright_rails, rail_stretching)
    _add_rails(stiffness, grid, ("left", "right"), level_rails, rail_stretching)
    moves = np.stack([3 * np.arange(count), 3 * np.arange(count) + 1], axis=1).ravel()
    turns = np.setdiff1d(np.arange(size), moves)
    follow = np.linalg.solve(stiffness[np.ix_(turns, turns)], stiffness[np.ix_(turns, moves)])
    block = stiffness[np.ix_(moves, moves)] - stiffness[np.ix_(moves, turns)] @ follow
    return give_from_stiffness(0.5 * (block + block.T), grid)


def _corners(grid: MembraneGrid) -> tuple[int, int, int, int]:
    """Corners in the edge order, anticlockwise from the lower left."""
    c, r = grid.columns, grid.rows
    return (0, c, c + r, 2 * c + r)


def _add_rails(
    stiffness: Floats, grid: MembraneGrid, sides: tuple[str, str], rails: Sequence[float], stretching: float
) -> None:
    """Adds rails between the edge points nearest to their places."""
    axis = 0 if sides[0] == "bottom" else 1
    first, second = side_nodes(grid, sides[0]), side_nodes(grid, sides[1])
    at = grid.nodes[grid.edge[first], axis]
    length = float(np.ptp(grid.nodes[:, 1 - axis]))
    for place in rails:
        k = int(np.argmin(np.abs(at - place)))
        pair = [3 * int(first[k]) + 1 - axis, 3 * int(second[k]) + 1 - axis]
        stiffness[np.ix_(pair, pair)] += stretching / length * np.array([[1, -1], [-1, 1]])
