"""The proof by complete listing, in whole numbers: patterns that a cheaper plan could contain, and a tree over them.

At whole prices y and charges d, with S units to the cost unit, a pattern of a board b is worth at most S c(b) + d(b).
A plan of `over` cost units or less has S · over + Σ d(b) how many(b) − Σ y(i) wanted(i) units of room in all for its
patterns to be worth less than that. So a pattern that falls short by more is in none, and only patterns that could not
take one more part are needed: a fuller one does all that it does, and is worth no less.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.certificate import certify
from longpoint.cutting.boards.proof.exact import Program
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.kernels import fill_table_by_rows
from longpoint.cutting.boards.values import Tree

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

MOST_LISTED = 6_000
MOST_LENGTHS = 300  # one level of the search each
STEPS = 600_000
CELLS = 20_000
NODES = 2_000
MOST_WORK = 3_000_000  # nodes × patterns


class _TooMany(Exception):
    """There are too many patterns to list, or to look through."""


@dataclass(frozen=True, slots=True)
class ListedTree:
    """Prices, the tree over the patterns that they leave, and what they show.

    Attributes:
        whole: Whole price of each item.
        due: Whole charge of each bin.
        scale: Whole units per cost unit.
        over: Every plan costs more, cost units.
        tree: The tree; empty where the prices show it alone.
    """

    whole: tuple[int, ...]
    due: tuple[int, ...]
    scale: int
    over: int
    tree: Tree


def prove_by_listing(core: Core, prices: Floats, charges: Floats, cost: int) -> ListedTree | None:
    """Show that no plan costs less than the best one known, from a list of all patterns that one could contain.

    Args:
        core: The problem.
        prices: Price of each item at the relaxation, shape (n_items,).
        charges: Charge of each bin there, shape (n_bins,).
        cost: What the best plan costs, cost units.

    Returns:
        The proof; None where the work limit does not show it.
    """
    whole, due, scale, bound = certify(core, prices, charges, aim=cost)
    over = cost - core.totals.step
    room = math.floor(scale * (over - bound))
    if room < 0:
        return ListedTree(tuple(whole), tuple(due), scale, over, ())
    if any(len(bin_.bare) != 1 for bin_ in core.bins):
        return None
    try:
        listed = _listed(
            core, whole, [scale * b.cost + d - room for b, d in zip(core.bins, due, strict=True)]
        )
    except _TooMany:
        return None
    nodes = min(NODES, MOST_WORK // max(1, len(listed)))
    tree, _ = _program(core, listed, over).refute(over, nodes=nodes)
    return None if tree is None else ListedTree(tuple(whole), tuple(due), scale, over, tree)


def _program(core: Core, listed: list[tuple[int, tuple[int, ...]]], over: int) -> Program:
    """Rows: every item as often as wanted, then the boards of limited number."""
    limited = [b for b, bin_ in enumerate(core.bins) if bin_.limit is not None]
    rows = np.zeros((len(core.items) + len(limited), len(listed)), dtype=np.int64)
    high = np.zeros(len(listed), dtype=np.int64)
    for k, (b, counts) in enumerate(listed):
        rows[: len(core.items), k] = counts
        if core.bins[b].limit is not None:
            rows[len(core.items) + limited.index(b), k] = -1
        high[k] = max(
            -(-item.demand // count) for item, count in zip(core.items, counts, strict=True) if count
        )
    least = [item.demand for item in core.items] + [-(core.bins[b].limit or 0) for b in limited]
    costs = np.array([core.bins[b].cost for b, _ in listed], dtype=np.int64)
    return Program(costs, rows, np.array(least, dtype=np.int64), high)


def _listed(core: Core, whole: list[int], needs: list[int]) -> list[tuple[int, tuple[int, ...]]]:
    """(bin, how many of each item) of every full pattern worth at least what its bin needs, in rising order."""
    sets = [(frozenset(fs.families), fs.bare) for fs in core.family_sets]
    steps = [STEPS]
    found: set[tuple[int, tuple[int, ...]]] = set()
    for b, bin_ in enumerate(core.bins):
        for families, extra in sets:
            if any(families < more and extra <= roomier for more, roomier in sets):
                continue
            items = [i for i in bin_.allowed if core.items[i].family in families]
            for counts in _full(core, items, whole, bin_.bare[0] + extra, needs[b], steps):
                found.add((b, counts))
                if len(found) > MOST_LISTED:
                    raise _TooMany
    return sorted(found)


def _full(
    core: Core, items: list[int], whole: list[int], room: int, need: int, steps: list[int]
) -> Iterator[tuple[int, ...]]:
    """Patterns of some items that could not take one more, worth at least a need."""
    if room < 0 or not items:
        return
    if len(items) > MOST_LENGTHS:
        raise _TooMany
    items = sorted(items, key=lambda i: -core.items[i].size)
    sizes = [core.items[i].size for i in items]
    most = [core.items[i].demand for i in items]
    grid = max(1, -(-room // CELLS))
    # Whole values below 2^53: the table's floating numbers are exact.
    table = np.zeros((len(items) + 1, room // grid + 1))
    fill_table_by_rows(
        np.array([float(whole[i]) for i in items]), np.array([size // grid for size in sizes], dtype=np.int64),
        np.array(most, dtype=np.int64), table,
    )  # fmt: skip
    counts = [0] * len(items)

    def go(k: int, left: int, value: int) -> Iterator[tuple[int, ...]]:
        steps[0] -= 1
        if steps[0] < 0:
            raise _TooMany
        if value + table[k, left // grid] < need:
            return
        if k == len(items):
            if not any(sizes[n] <= left and counts[n] < most[n] for n in range(len(items))) and any(counts):
                whole_counts = [0] * len(core.items)
                for n, i in enumerate(items):
                    whole_counts[i] = counts[n]
                yield tuple(whole_counts)
            return
        if sizes[k] > left or most[k] == 0:
            yield from go(k + 1, left, value)
            return
        for count in range(min(most[k], left // sizes[k]), -1, -1):
            counts[k] = count
            yield from go(k + 1, left - count * sizes[k], value + count * whole[items[k]])
        counts[k] = 0

    yield from go(0, room, 0)
