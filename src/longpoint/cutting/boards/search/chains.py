"""Bins whose accepted parts are nested, laid out so that one table prices them all.

Bins are nested where one accepts everything another does. With the items that only the better bin accepts put
first, every bin of such a chain reads the same table from its own first item on.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core

COARSE_CELLS = 10_000
MANY_BINS_CELLS = 4_096  # where one table serves many boards and each search must be short
MANY_BINS = 12
FINE_CELLS = 60_000
FALLBACK_CELLS = 32_768
GOOD_ENOUGH = 0.3  # of a step of length, lost by a handful of pieces: a finer grid proves hardly more

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Chain:
    """Nested bins, the order of items they share, and where each of their sticks reads a table.

    Attributes:
        order: The items, those of the best bin alone first, shape (n,).
        start: First place in the order that a bin may take from, for each bin.
        sizes: Item sizes in this order, shape (n,). [nm]
        lengths: Planned lengths in this order, shape (n,). [nm]
        rounds: Saw rounds in this order, shape (n,).
        cells: Sizes in whole cells, rounded down, for each grid, shape (n,).
        members: For each family set 1.0 for its items, else 0.0, shape (n,).
        bins: Its bins, shape (k,).
        first_stick: Where the sticks of each bin begin among all sticks of the chain, shape (k,).
        stick_start: First place in the order for each stick, shape (m,).
        stick_cells: For each grid the cell of each stick's room, -1 where there is none, shape (family sets, m).
    """

    order: Integers
    start: dict[int, int]
    sizes: Integers
    lengths: Integers
    rounds: Integers
    cells: tuple[Integers, ...]
    members: tuple[Floats, ...]
    bins: Integers
    first_stick: Integers
    stick_start: Integers
    stick_cells: tuple[Integers, ...]

    def stick_bounds(self, tables: Sequence[Floats], level: int) -> Floats:
        """What each stick is worth at most, from the tables of all family sets, shape (m,)."""
        best = np.zeros(len(self.stick_start))
        for table, cells in zip(tables, self.stick_cells[level], strict=True):
            read = table[self.stick_start, np.maximum(cells, 0)]
            np.maximum(best, np.where(cells >= 0, read, 0.0), out=best)
        return best

    def takes(self, counts: Integers) -> tuple[tuple[int, int], ...]:
        """(item, how many), items rising, from counts in the order of the chain."""
        taken = np.flatnonzero(counts)
        return tuple(sorted(zip(self.order[taken].tolist(), counts[taken].tolist(), strict=True)))


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of the patterns of one chain.

    Attributes:
        values: Value of one of each item in the order of the chain, shape (n,).
        most: How many of each still matter, shape (n,).
        tables: A table for each family set.
        level: The grid the tables are on.
    """

    values: Floats
    most: Integers
    tables: list[Floats]
    level: int


def nested_chains(sets: dict[int, frozenset[int]]) -> list[list[int]]:
    """Sort bins into chains of nested accepted sets, largest first.

    Args:
        sets: What each bin accepts.

    Returns:
        The chains; every bin is in one.
    """
    chains: list[list[int]] = []
    for number in sorted(sets, key=lambda number: (-len(sets[number]), number)):
        for chain in chains:
            if sets[number] <= sets[chain[-1]]:
                chain.append(number)
                break
        else:
            chains.append([number])
    return chains


def lay_out(core: Core, bins: list[int], grids: tuple[int, ...]) -> Chain:
    """Lay out one chain.

    Args:
        core: The problem.
        bins: Its bins, each nested in the one before.
        grids: Cell sizes. [nm]

    Returns:
        The chain.
    """
    items = core.items
    sets = {b: frozenset(core.bins[b].allowed) for b in bins}
    order: list[int] = []
    for better, lesser in zip(bins, [*bins[1:], None], strict=True):
        rest = sets[better] - (sets[lesser] if lesser is not None else frozenset())
        order.extend(sorted(rest, key=lambda i: (-items[i].size, i)))
    start = {b: len(order) - len(sets[b]) for b in bins}
    sticks = [(b, length) for b in bins for length, _ in core.bins[b].sticks]
    counts = [len(core.bins[b].sticks) for b in bins]
    rooms = np.array(
        [[length + fs.offset for _, length in sticks] for fs in core.family_sets], dtype=np.int64
    )
    return Chain(
        np.array(order, dtype=np.int64),
        start,
        np.array([items[i].size for i in order], dtype=np.int64),
        np.array([items[i].length for i in order], dtype=np.int64),
        np.array([items[i].round for i in order], dtype=np.int64),
        tuple(np.array([items[i].size // grid for i in order], dtype=np.int64) for grid in grids),
        tuple(
            np.array([items[i].family in fs.families for i in order], dtype=np.float64)
            for fs in core.family_sets
        ),
        np.array(bins, dtype=np.int64),
        np.cumsum([0, *counts[:-1]], dtype=np.int64),
        np.array([start[b] for b, _ in sticks], dtype=np.int64),
        tuple(np.where(rooms >= 0, rooms // grid, -1) for grid in grids),
    )


def choose_grids(core: Core, rooms: list[int]) -> tuple[int, int]:
    """A coarse grid for finding patterns and a fine one for proving that there are none.

    Lengths are whole multiples of some step, but a mitre's kerf is not. The fine grid divides the step so that
    the gaps come out at or just above a whole number of cells; rounding sizes down then errs little.

    Args:
        core: The problem.
        rooms: Every room above 0. [nm]

    Returns:
        Size of a coarse and of a fine cell. [nm]
    """
    sizes = [item.size for item in core.items]
    widest = max(rooms, default=1)
    exact = gcd(*sizes, *rooms) or 1
    cells = COARSE_CELLS if len(core.bins) <= MANY_BINS else MANY_BINS_CELLS
    coarse = max(exact, -(-widest // cells))
    if widest // exact <= FINE_CELLS:
        return (exact if widest // exact <= COARSE_CELLS else coarse), exact
    step = gcd(
        *(item.length for item in core.items), *(length for bin_ in core.bins for length, _ in bin_.sticks)
    )
    fine = _divided(sizes, widest, step, FINE_CELLS)
    quick = _divided(sizes, widest, step, cells) if cells == COARSE_CELLS else 0
    return quick or coarse, fine or -(-widest // FALLBACK_CELLS)


def _divided(sizes: list[int], widest: int, step: int, cells: int) -> int:
    """The division of a step that loses least by rounding sizes down, within some cells; 0 where there is none."""
    best, best_error = 0, math.inf
    for parts in range(1, 200):
        grid = max(1, step // parts)
        if widest // grid > cells:
            break
        # A handful of pieces must not slip past one step of length together.
        error = max(6.0 * max(size % grid for size in sizes) / step, 0.15)
        if error < best_error:
            best, best_error = grid, error
        if best_error <= GOOD_ENOUGH:
            break
    return best
