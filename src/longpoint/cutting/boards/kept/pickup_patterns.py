"""Patterns of few lengths: what a board gives is worth its prices, less one for every length that is cut from it.

A table over a grid, sizes rounded down, bounds what any room can be worth; a depth-first search under it finds the
best pattern with exact lengths, or lists every pattern worth more than some need.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import column_of, offcut_of
from longpoint.cutting.boards.search.core import Core, FamilySet
from longpoint.cutting.boards.search.kernels import NOTHING_KEPT, Items, Stick, compiled, search
from longpoint.cutting.boards.search.listing import Listed, put_together
from longpoint.cutting.boards.search.pricing import Column, Takes

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Key = tuple[int, int]

CELLS = 4_096
STEPS = 200_000
PLAIN_STEPS = 100_000  # before the compiler is started: that costs more than it saves on small problems
HAIR = 1e-7


def keys_of(core: Core, takes: Sequence[tuple[int, int]]) -> set[Key]:
    """The stop settings that some parts need: their rounds and lengths."""
    return {(core.items[i].round, core.items[i].length) for i, _ in takes}


def pickups_of(core: Core, column: Column) -> int:
    """How often a board is picked up: once for every length that it gives in a round."""
    return len(keys_of(core, column.takes))


@dataclass(frozen=True, slots=True)
class _Row:
    """The items that some bins take of one family set, those of one length side by side.

    Attributes:
        family_set: What may lie together.
        items: Their indices, shape (n,).
        sizes: Exact sizes, shape (n,). [nm]
        lengths: Planned lengths, shape (n,). [nm]
        rounds: Saw round of each, shape (n,).
        keys: Number of the length of each, shape (n,).
        grid: Size of a cell. [nm]
    """

    family_set: FamilySet
    items: Integers
    sizes: Integers
    lengths: Integers
    rounds: Integers
    keys: Integers
    grid: int


class PickupPricer:
    """Finds what one board of each bin can be worth, one off for every length."""

    def __init__(self, core: Core) -> None:
        """Lay out the items of every kind of board.

        Args:
            core: The problem.
        """
        self.core = core
        self._rows: dict[tuple[int, ...], list[_Row]] = {}
        self._search = search
        self._steps = self._to_go = 0
        most = max(0, *(fs.offset for fs in core.family_sets))
        families = frozenset(item.family for item in core.items)
        # Each stick of a board may hold another family: together they are bounded as if all might lie side by side.
        self._anything = FamilySet(families, most, 0, most)
        self._together: dict[tuple[int, ...], _Row] = {}
        widest: dict[tuple[int, ...], int] = {}
        for bin_ in core.bins:
            room = sum(length + most for length, _ in bin_.sticks)
            widest[bin_.allowed] = max(widest.get(bin_.allowed, 0), room)
        for allowed, room in widest.items():
            self._rows[allowed] = [self._row(allowed, fs, room) for fs in core.family_sets]
            self._together[allowed] = self._row(allowed, self._anything, room)

    def _row(self, allowed: Sequence[int], fs: FamilySet, room: int) -> _Row:
        items = [i for i in allowed if self.core.items[i].family in fs.families]
        of = self.core.items
        items.sort(key=lambda i: (-of[i].length, of[i].round, -of[i].size, i))
        known: dict[Key, int] = {}
        keys = [known.setdefault((of[i].round, of[i].length), len(known)) for i in items]
        return _Row(
            fs,
            np.array(items, dtype=np.int64),
            np.array([of[i].size for i in items], dtype=np.int64),
            np.array([of[i].length for i in items], dtype=np.int64),
            np.array([of[i].round for i in items], dtype=np.int64),
            np.array(keys, dtype=np.int64),
            max(1, -(-room // CELLS)),
        )

    def price(self, prices: Floats, needs: Floats) -> tuple[list[Column], Floats]:
        """Patterns worth more than their bins need, and what a pattern of each bin is worth at most.

        Args:
            prices: Price of each item, shape (n_items,).
            needs: What a pattern of each bin must be worth to be of interest, shape (n_bins,).

        Returns:
            The best pattern found of each bin that leaves something to be found; bounds, shape (n_bins,).
        """
        core = self.core
        bounds = np.zeros(len(core.bins))
        found: list[Column] = []
        tables: dict[tuple[tuple[int, ...], int], Floats] = {}
        for b, bin_ in enumerate(core.bins):
            if len(bin_.sticks) > 1:
                row = self._together[bin_.allowed]
                if (bin_.allowed, -1) not in tables:
                    tables[bin_.allowed, -1] = self._table(row, prices, ())
                room = sum(length + row.family_set.offset for length, _ in bin_.sticks)
                bounds[b] = float(tables[bin_.allowed, -1][0, room // row.grid])
                column = self._one_after_another(b, prices)
                worth = sum(float(prices[i]) * count for i, count in column.takes) - pickups_of(core, column)
                if column.takes and worth > needs[b] + HAIR:
                    found.append(column)
                continue
            best: Takes = ()
            best_worth = float(needs[b])
            for number, row in enumerate(self._rows[bin_.allowed]):
                room = bin_.sticks[0][0] + row.family_set.offset
                if room < 0 or len(row.items) == 0:
                    continue
                if (bin_.allowed, number) not in tables:
                    tables[bin_.allowed, number] = self._table(row, prices, ())
                table = tables[bin_.allowed, number]
                at_most = float(table[0, room // row.grid])
                if at_most > best_worth + HAIR:
                    takes, worth, sure = self._best(b, 0, row, prices, table, best_worth)
                    if takes:
                        best, best_worth = takes, worth
                    at_most = max(best_worth, 0.0) + HAIR if sure else at_most
                bounds[b] = max(bounds[b], at_most)
            if best:
                found.append(column_of(b, [best]))
        return found, bounds

    def _one_after_another(self, b: int, prices: Floats) -> Column:
        """A pattern of a board of several sticks, the longest stick first; a length once cut is free on the others."""
        core = self.core
        bin_ = core.bins[b]
        left = [item.demand for item in core.items]
        lies: list[Takes] = [() for _ in bin_.sticks]
        opened: tuple[int, ...] = ()
        for s in sorted(range(len(lies)), key=lambda s: -bin_.sticks[s][0]):
            best: Takes = ()
            best_worth = 0.0
            for row in self._rows[bin_.allowed]:
                if len(row.items) == 0 or bin_.sticks[s][0] + row.family_set.offset < 0:
                    continue
                most = np.array([left[int(i)] for i in row.items], dtype=np.int64)
                table = self._table(row, prices, opened, most)
                takes, worth, _ = self._best(b, s, row, prices, table, best_worth, opened, most)
                if takes:
                    best, best_worth = takes, worth
            lies[s] = best
            for i, count in best:
                left[i] -= count
            opened = (*opened, *(i for i, _ in best))
        return column_of(b, lies)

    def _charges(self, row: _Row, opened: Sequence[int]) -> Floats:
        """What the length of each item costs: one, or nothing where it is cut from the board already."""
        charges = np.ones(len(row.items))
        free = keys_of(self.core, [(i, 1) for i in opened])
        for k, i in enumerate(row.items):
            if (self.core.items[int(i)].round, self.core.items[int(i)].length) in free:
                charges[k] = 0.0
        return charges

    def _most(self, row: _Row) -> Integers:
        return np.array([self.core.items[int(i)].demand for i in row.items], dtype=np.int64)

    def _table(
        self, row: _Row, prices: Floats, opened: Sequence[int], most: Integers | None = None
    ) -> Floats:
        """Most that items from each one on are worth in every room, sizes rounded down; shape (n + 1, cells)."""
        table = np.zeros((len(row.items) + 1, CELLS + 2))
        charges = self._charges(row, opened)
        # Items of one length stand side by side; only the first is charged, so that the table still bounds.
        charges[1:][row.keys[1:] == row.keys[:-1]] = 0.0
        amounts = self._most(row) if most is None else most
        width = table.shape[1]
        for k in range(len(row.items) - 1, -1, -1):
            below, here = table[k + 1], table[k]
            here[:] = below
            value, step = float(prices[row.items[k]]), int(row.sizes[k] // row.grid)
            if value <= 0.0:
                continue
            for taken in range(1, int(amounts[k]) + 1):
                if taken * step >= width:
                    break
                gain = taken * value - charges[k]
                np.maximum(
                    here[taken * step :], below[: width - taken * step] + gain, out=here[taken * step :]
                )
        return table

    def _run(
        self,
        b: int,
        s: int,
        row: _Row,
        prices: Floats,
        charges: Floats,
        table: Floats,
        most: Integers,
        floor: float,
        found: Integers,
        *,
        keep_all: bool,
        limit: int,
    ) -> tuple[int, int, float]:
        """The search on one stick, compiled once it is worth it."""
        length, beyond = self.core.bins[b].sticks[s]
        items = Items(prices[row.items], row.sizes, row.lengths, row.rounds, most, charges, row.keys)
        stick = Stick(0, length + row.family_set.offset, row.grid, table, self.core.safe, beyond)
        leaves, steps, worth = self._search(
            items, stick, NOTHING_KEPT, floor, 1e-9, int(keep_all), limit, found, np.zeros(len(found))
        )
        self._steps += int(steps)
        if self._search is search and self._steps > PLAIN_STEPS:
            self._search = compiled(search)
        return int(leaves), int(steps), float(worth)

    def _best(
        self,
        b: int,
        s: int,
        row: _Row,
        prices: Floats,
        table: Floats,
        floor: float,
        opened: Sequence[int] = (),
        most: Integers | None = None,
    ) -> tuple[Takes, float, bool]:
        """The best pattern of one stick worth more than a floor, its worth, and whether none is better."""
        found = np.zeros((1, len(row.items)), dtype=np.int64)
        leaves, steps, worth = self._run(
            b, s, row, prices, self._charges(row, opened), table, self._most(row) if most is None else most,
            floor, found, keep_all=False, limit=STEPS,
        )  # fmt: skip
        if not leaves:
            return (), floor, steps <= STEPS
        takes = tuple(sorted((int(i), int(c)) for i, c in zip(row.items, found[0], strict=True) if c))
        return takes, worth, steps <= STEPS

    def list_all(self, prices: Floats, needs: Floats, *, most: int, steps: int) -> list[Column] | None:
        """Every pattern worth more than its bin needs that no fuller one of the same lengths replaces.

        Args:
            prices: Price of each item, at least 0, shape (n_items,).
            needs: What a pattern of each bin must be worth, shape (n_bins,).
            most: Most patterns.
            steps: Most search steps, all bins together.

        Returns:
            The patterns; None where there are too many.
        """
        # Items without a price must be listed, too.
        heard = np.maximum(prices, 1e-9)
        listed: dict[Column, None] = {}
        self._to_go = steps
        for b, bin_ in enumerate(self.core.bins):
            need, room_for = float(needs[b]), most - len(listed)
            free = (
                len(bin_.sticks) > 1
            )  # a length cut from two sticks is paid for once: by none of them, at first

            def stick(s: int, at_least: float, b: int = b, most: int = room_for) -> Listed | None:
                return self._list_stick(b, s, heard, at_least, most=most)

            bounds = [self._stick_bound(b, s, heard) for s in range(len(bin_.sticks))] if free else [0.0]
            lies = put_together(bounds, stick, need=need, most=20 * room_for)
            if lies is None:
                return None
            for sticks in lies:
                column = column_of(b, list(sticks))
                worth = sum(float(heard[i]) * count for i, count in column.takes)
                if column.takes and worth - pickups_of(self.core, column) > need:
                    listed[column] = None
            if len(listed) >= most:
                return None
        return list(listed)

    def _stick_bound(self, b: int, s: int, prices: Floats) -> float:
        """What a stick is worth at most where no length costs anything."""
        best = 0.0
        for row in self._rows[self.core.bins[b].allowed]:
            room = self.core.bins[b].sticks[s][0] + row.family_set.offset
            if room >= 0 and len(row.items):
                table = self._table(row, prices, [int(i) for i in row.items])
                best = max(best, float(table[0, room // row.grid]))
        return best

    def _list_stick(self, b: int, s: int, prices: Floats, need: float, *, most: int) -> Listed | None:
        """What may lie on one stick and is worth more than a need, with its value."""
        listed: dict[Takes, float] = {}
        stick, free = self.core.bins[b].sticks[s], len(self.core.bins[b].sticks) > 1
        for row in self._rows[self.core.bins[b].allowed]:
            if len(row.items) == 0 or stick[0] + row.family_set.offset < 0:
                continue
            opened = [int(i) for i in row.items] if free else ()
            found = np.zeros((max(1, most), len(row.items)), dtype=np.int64)
            leaves, made, _ = self._run(
                b, s, row, prices, self._charges(row, opened), self._table(row, prices, opened), self._most(row),
                need, found, keep_all=True, limit=self._to_go,
            )  # fmt: skip
            self._to_go -= made
            if self._to_go <= 0 or leaves > len(found):
                return None
            for counts in found[:leaves]:
                takes = tuple(sorted((int(i), int(c)) for i, c in zip(row.items, counts, strict=True) if c))
                if takes and offcut_of(self.core, stick, takes) is not None:
                    worth = sum(float(prices[i]) * count for i, count in takes)
                    listed[takes] = worth - (0 if free else len(keys_of(self.core, takes)))
        return [(worth, takes) for takes, worth in listed.items()]
