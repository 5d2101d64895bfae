"""Every pattern that a plan leaving more than the best known could contain, for small problems.

Unlike the list for least cost, patterns that could take one more part are listed too: what they leave counts.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import column_of, offcut_of, worth_of_offcut, worth_of_offcuts
from longpoint.cutting.boards.search.core import Core, FamilySet
from longpoint.cutting.boards.search.hand import stick_fits
from longpoint.cutting.boards.search.kernels import fill_table_by_rows
from longpoint.cutting.boards.search.pricing import Column

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Takes = tuple[tuple[int, int], ...]

MOST_LISTED = 12_000
STEPS = 250_000
CELLS = 20_000
MOST_LENGTHS = 200
"""Of one stick: with more, no integer program over the patterns would end soon, and none is asked for."""


class _TooMany(Exception):
    """There are too many patterns to list."""


class _Lister:
    """Counts steps and patterns over all bins."""

    def __init__(self, core: Core, prices: Floats, steps: int, most: int) -> None:
        self.core, self.prices = core, prices
        self.steps, self.most = steps, most

    def stick(self, b: int, s: int, need: float, *, keeps: bool) -> list[tuple[float, Takes]]:
        """(value, takes) of every pattern of one stick worth more than a need, the empty one left out."""
        core = self.core
        bin_ = core.bins[b]
        found: dict[Takes, float] = {}
        for fs in core.family_sets:
            room = bin_.sticks[s][0] + fs.offset
            items = [i for i in bin_.allowed if core.items[i].family in fs.families]
            if room < 0 or not items:
                continue
            if len(items) > MOST_LENGTHS:
                raise _TooMany
            for takes in self._search(b, s, fs, items, room, need, keeps=keeps):
                found[takes] = 0.0
        listed: list[tuple[float, Takes]] = []
        for takes in found:
            value = self._value(b, s, takes, keeps=keeps)
            if value is not None and value > need:
                listed.append((value, takes))
        return listed

    def _value(self, b: int, s: int, takes: Takes, *, keeps: bool) -> float | None:
        bin_ = self.core.bins[b]
        offcut = offcut_of(self.core, bin_.sticks[s], takes)
        if offcut is None:
            return None
        value = sum(float(self.prices[i]) * count for i, count in takes)
        return value + worth_of_offcut(bin_.worth, offcut) if keeps else value

    def _search(
        self, b: int, s: int, fs: FamilySet, items: list[int], room: int, need: float, *, keeps: bool
    ) -> list[Takes]:
        core = self.core
        bin_ = core.bins[b]
        sizes = [core.items[i].size for i in items]
        values = [float(self.prices[i]) for i in items]
        most = [core.items[i].demand for i in items]
        grid = max(1, -(-room // CELLS))
        table = np.zeros((len(items) + 1, room // grid + 1))
        if keeps:
            upper = (np.arange(table.shape[1], dtype=np.int64) + 1) * grid - fs.last_gap
            table[-1] = worth_of_offcuts(bin_.worth, upper)
        fill_table_by_rows(
            np.array(values), np.array([size // grid for size in sizes], dtype=np.int64),
            np.array(most, dtype=np.int64), table,
        )  # fmt: skip
        found: list[Takes] = []
        chosen: list[tuple[int, int]] = []

        def go(k: int, left: int, value: float) -> None:
            self.steps -= 1
            if self.steps < 0:
                raise _TooMany
            if value + table[k, left // grid] <= need:
                return
            if k == len(items):
                if chosen and not self._has_fuller(b, s, fs, chosen, items, left, keeps=keeps):
                    found.append(tuple(sorted(chosen)))
                    self.most -= 1
                    if self.most < 0:
                        raise _TooMany
                return
            for count in range(min(most[k], left // sizes[k]), -1, -1):
                if count:
                    chosen.append((items[k], count))
                go(k + 1, left - count * sizes[k], value + count * values[k])
                if count:
                    chosen.pop()

        go(0, room, 0.0)
        return found

    def _has_fuller(
        self,
        b: int,
        s: int,
        fs: FamilySet,
        chosen: list[tuple[int, int]],
        items: list[int],
        left: int,
        *,
        keeps: bool,
    ) -> bool:
        """Whether the stick could take one more part and loses nothing by it: what it leaves is worth nothing."""
        core = self.core
        bin_ = core.bins[b]
        if keeps and worth_of_offcut(bin_.worth, left - fs.last_gap + 1) > 0.0:
            return False
        taken = dict(chosen)
        return any(
            core.items[i].size <= left
            and taken.get(i, 0) < core.items[i].demand
            and stick_fits(core, bin_.sticks[s], {**taken, i: taken.get(i, 0) + 1})
            for i in items
        )


def list_all(
    core: Core,
    *,
    prices: Floats,
    needs: Floats,
    gap: float,
    bins: frozenset[int] | None = None,
    most: int = MOST_LISTED,
    steps: int = STEPS,
) -> list[Column] | None:
    """Every pattern whose worth comes within a gap of what its bin needs.

    Args:
        core: The problem.
        prices: Price of each item, shape (n_items,).
        needs: What a pattern of each bin is worth at most, shape (n_bins,).
        gap: How far below that a pattern may lie.
        bins: Only these bins; None for all.
        most: Most patterns.
        steps: Most search steps.

    Returns:
        The patterns; None where there are too many to list or to search through.
    """
    lister = _Lister(core, prices, steps, most)
    columns: list[Column] = []
    try:
        for b, bin_ in enumerate(core.bins):
            if bins is not None and b not in bins:
                continue
            need = float(needs[b]) - gap - 1e-9 * (1.0 + abs(float(needs[b])))
            last = len(bin_.sticks) - 1
            if last == 0:
                columns += (column_of(b, [takes]) for _, takes in lister.stick(b, 0, need, keeps=True))
                continue
            columns += _several_sticks(core, lister, b, need)
            if len(columns) > most:
                return None
    except _TooMany:
        return None
    return columns


def _several_sticks(core: Core, lister: _Lister, b: int, need: float) -> list[Column]:
    """Patterns of a board of several sticks: those of its sticks put together."""
    sticks = core.bins[b].sticks
    last = len(sticks) - 1
    whole = worth_of_offcut(core.bins[b].worth, sticks[-1][0])
    lists: list[list[tuple[float, Takes]]] = []
    for s in range(len(sticks)):
        # What the other sticks can add is not bounded here: small problems only.
        found = lister.stick(b, s, -1.0, keeps=s == last)
        lists.append([*found, (whole if s == last else 0.0, ())])
    partial: list[tuple[float, tuple[Takes, ...]]] = [(0.0, ())]
    reach = sum(max(value for value, _ in entries) for entries in lists)
    for entries in lists:
        reach -= max(value for value, _ in entries)
        partial = [
            (value + more, (*before, takes))
            for value, before in partial
            for more, takes in entries
            if value + more + reach > need
        ]
        lister.most -= len(partial)
        if lister.most < 0:
            raise _TooMany
    columns: list[Column] = []
    for _, lies in partial:
        column = column_of(b, list(lies))
        if column.takes:
            columns.append(column)
    return columns
