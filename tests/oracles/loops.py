"""Frames for the rehearsal that are not solved: rigid, and a loop of plain beams."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.stretching.rehearsal.edge import side_nodes
from longpoint.stretching.rehearsal.frame import _corners, give_from_stiffness
from longpoint.stretching.rehearsal.orders import Order


def rigid_frame(grid: MembraneGrid) -> Floats:
    """A frame that does not give way.

    Args:
        grid: Grid of the canvas.

    Returns:
        Zeros, shape (2 m, 2 m). [mm/N]
    """
    size = 2 * len(grid.edge)
    return np.zeros((size, size))


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


def with_shares(order: Order, shares: dict[str, float]) -> Order:
    """The same order with other pulls.

    Args:
        order: An order.
        shares: Share of the full pull by place; places left out keep theirs.

    Returns:
        A new order.
    """
    runs = tuple(
        replace(
            run,
            shares=tuple(shares.get(name, old) for name, old in zip(run.puts_in, run.shares, strict=True)),
        )
        for run in order.runs
    )
    return replace(order, runs=runs)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopBar:
    """A bar of the loop, seen in the plane of the canvas.

    Attributes:
        bending: E I against bending in the plane, above 0. [N mm²]
        stretching: E A, above 0. [N]
    """

    bending: float
    stretching: float
