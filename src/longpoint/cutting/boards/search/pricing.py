"""Pricing: which pattern of which bin is worth most at given part prices.

One table per chain of nested bins and family set, and from it a bound for every bin of the chain at once. The
table rounds sizes down to a grid, so it bounds; only where it leaves something to be found, an exact search
under that bound finds the pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search import kernels
from longpoint.cutting.boards.search.chains import Asked, Chain, choose_grids, lay_out, nested_chains
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.kernels import NO_FLOAT, NO_WHOLE, NOTHING_KEPT, Items, Remains, Stick

PLAIN_STEPS = 100_000
COARSE, FINE = 0, 1
SEARCH_LIMITS = (50_000, 1_000_000)  # steps of a search on the coarse and on the fine grid
MANY_BINS = 8
MANY_ITEMS, FEW_BINS = 30, 12  # where each longest part gets a pattern of its own
MOST_FIRSTS = 24  # of them for each bin in one turn
FIRST_LIMITS = (2_000, 100_000)  # steps for each longest part on the coarse and on the fine grid
FIRST_STEPS = 1_450_000  # of all longest parts and bins together on the coarse grid
MOST_SEARCHED = 64  # boards of a chain that are searched in one turn, the best first

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Takes = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern: what one board of a bin gives.

    Attributes:
        bin: Index of the bin.
        takes: (item, how many) on the whole board, items rising, none of them 0.
        sticks: The same for each of its sticks.
    """

    bin: int
    takes: Takes
    sticks: tuple[Takes, ...]


class Pricer:
    """Everything about pricing that does not change with the prices."""

    def __init__(self, core: Core, *, with_worth: bool = False, firsts: bool = True) -> None:
        """Lay out chains and grid.

        Args:
            core: The problem.
            with_worth: Whether what a board leaves counts.
            firsts: Whether each longest part may get a pattern of its own.
        """
        self.core = core
        self.with_worth = with_worth
        self.pricings = 0
        self.steps = 0
        n = len(core.items)
        rooms = [
            length + family_set.offset
            for bin_ in core.bins
            for length, _ in bin_.sticks
            for family_set in core.family_sets
        ]
        self.grids = choose_grids(core, [room for room in rooms if room > 0])
        self.widths = tuple(max(*rooms, 0) // grid + 1 for grid in self.grids)
        # Bins of different worth cannot share a table whose last row is the worth.
        groups: dict[object, dict[int, frozenset[int]]] = {}
        for number, bin_ in enumerate(core.bins):
            groups.setdefault(bin_.worth if with_worth else None, {})[number] = frozenset(bin_.allowed)
        self.chains = [
            lay_out(core, chain, self.grids) for group in groups.values() for chain in nested_chains(group)
        ]
        self._chain_of = {b: chain for chain in self.chains for b in chain.start}
        fewer = max(1, len(core.bins) // MANY_BINS)
        # The coarse grid's patterns come again at other prices, so the more bins the sooner its searches end.
        self.search_limits = tuple(
            max(2_000, limit // share)
            for limit, share in zip(SEARCH_LIMITS, (max(1, len(core.bins)), fewer), strict=True)
        )
        self._search, self._fill = kernels.search, kernels.fill_table_by_rows
        self._firsts: Callable[..., Any] = kernels.search_firsts
        self._many = False
        self._asks_firsts = firsts and not with_worth
        each = FIRST_STEPS // max(n * len(core.bins), 1)
        # Less than a step for every item reaches no leaf at all.
        self._first_limits = (max(200, 4 * n, min(FIRST_LIMITS[0], each)), FIRST_LIMITS[1])
        if n * max(len(core.bins), 4) > 200:
            self._compile()
        self._found = np.zeros((1, n), dtype=np.int64)
        # Tables are large: a used one is handed back and filled again instead of asking for new memory.
        self._buffers: dict[tuple[int, int], Floats] = {}
        self._found_values = np.zeros(1)

    def _compile(self) -> None:
        self._search = kernels.compiled(kernels.search)
        self._fill = kernels.compiled(kernels.fill_table)
        n = len(self.core.items)
        if self._asks_firsts and n >= MANY_ITEMS and len(self.core.bins) <= FEW_BINS:
            self._many = True
            self._firsts = kernels.compiled(kernels.search_firsts)
            self._first_found = np.zeros((n, n), dtype=np.int64)
            self._first_values = np.zeros(n)

    def chain_of(self, b: int) -> Chain:
        """The chain a bin belongs to."""
        return self._chain_of[b]

    def table(
        self, chain: Chain, values: Floats, most: Integers, bin_: int, last_gap: int, level: int
    ) -> Floats:
        """Best value of the items from each one on, for every room of a grid; hand it back after use.

        Args:
            chain: The chain.
            values: Value of one of each item in its order, shape (n,).
            most: How many of each may be taken, shape (n,).
            bin_: Any of its bins, for what offcuts are worth.
            last_gap: The last kerf, which the offcut does not get. [nm]
            level: Which grid.

        Returns:
            The table, shape (n + 1, cells).
        """
        width, grid = self.widths[level], self.grids[level]
        table = self._buffers.pop((len(chain.order), width), None)
        if table is None:
            table = np.zeros((len(chain.order) + 1, width))
        table[-1] = 0.0
        if self.with_worth:
            worth = self.core.bins[bin_].worth
            room = (np.arange(width, dtype=np.int64) + 1) * grid - last_gap
            for at_least, rate in zip(worth.at_least, worth.rates, strict=True):
                line = np.where(room >= at_least, rate * room - worth.keeping, 0.0)
                np.maximum(table[-1], line, out=table[-1])
        self._fill(values, chain.cells[level], most, table)
        return table

    def hand_back(self, table: Floats) -> None:
        """Give a table back to be filled again."""
        self._buffers[(table.shape[0] - 1, table.shape[1])] = table

    def price(
        self,
        prices: Floats,
        most: Integers,
        needs: Floats,
        *,
        level: int = FINE,
    ) -> tuple[list[tuple[float, Column]], Floats]:
        """Patterns worth more than what their bins need.

        Args:
            prices: Price of one of each item, shape (n_items,).
            most: How many of each item still matter, shape (n_items,).
            needs: What a pattern of each bin must be worth at least to be of interest, shape (n_bins,).
            level: COARSE finds patterns cheaply, FINE also proves that there are none.

        Returns:
            (excess, column) pairs, and an upper bound on the best value of each bin, shape (n_bins,). Where many
            boards of one chain leave something to be found, only the best of them are searched.
        """
        best_bounds = np.zeros(len(self.core.bins))
        result: list[tuple[float, Column]] = []
        for chain in self.chains:
            values = prices[chain.order]
            chain_most = most[chain.order]
            tables = [
                self.table(chain, values * flags, chain_most, int(chain.bins[0]), fs.last_gap, level)
                for flags, fs in zip(chain.members, self.core.family_sets, strict=True)
            ]
            asked = Asked(values, chain_most, tables, level)
            stick_bounds = chain.stick_bounds(tables, level)
            bounds = np.add.reduceat(stick_bounds, chain.first_stick)
            self.pricings += len(chain.bins)
            best_bounds[chain.bins] = bounds
            for k in self._worth_searching(bounds - needs[chain.bins], bounds):
                b = int(chain.bins[k])
                first = int(chain.first_stick[k])
                mine = stick_bounds[first : first + len(self.core.bins[b].sticks)]
                if self._many and len(mine) == 1:
                    found, best_bounds[b] = self._best_of_firsts(chain, b, asked, needs[b], float(mine[0]))
                    result.extend(found)
                    continue
                excess, column, best_bounds[b] = self._best(chain, b, asked, mine, needs[b])
                if column is not None:
                    result.append((excess, column))
            for table in tables:
                self.hand_back(table)
        # A board left whole is worth 0, even where less than that would be of interest.
        return result, np.maximum(best_bounds, 0.0)

    @staticmethod
    def _worth_searching(excess: Floats, bounds: Floats) -> list[int]:
        """Places of the bins whose bound exceeds their need, the ones that exceed it most where they are many."""
        places = np.flatnonzero(excess > 1e-9 * (1.0 + np.abs(bounds)))
        if len(places) > MOST_SEARCHED:
            best = np.argsort(-excess[places], kind="stable")[:MOST_SEARCHED]
            places = np.sort(places[best])
        return [int(place) for place in places]

    def _best(
        self, chain: Chain, b: int, asked: Asked, stick_bounds: Floats, need: float
    ) -> tuple[float, Column | None, float]:
        bin_ = self.core.bins[b]
        bound = float(stick_bounds.sum())
        slack = 1e-9 * (1.0 + abs(bound))
        if len(bin_.sticks) > 1:
            return self._best_of_several(chain, b, asked, stick_bounds, need)
        value, found, exact = self.best_on_stick(chain, b, 0, asked, need, bound)
        if found is None or value <= need + slack:
            return 0.0, None, min(bound, exact)
        takes = chain.takes(found)
        return value - need, Column(b, takes, (takes,)), min(bound, exact)

    def _best_of_firsts(
        self, chain: Chain, b: int, asked: Asked, need: float, bound: float
    ) -> tuple[list[tuple[float, Column]], float]:
        """The best pattern of a bin for each longest part, the ones worth most, and a bound on them all."""
        core, level = self.core, asked.level
        slack = 1e-9 * (1.0 + abs(bound))
        # Nothing found yet, whatever is needed: a need may be negative, and 0 would then pass for a find.
        self._first_values[:] = -np.inf
        exact = need
        for number, fs in enumerate(core.family_sets):
            stick = self._stick(chain, b, 0, fs.offset, asked.tables[number], level)
            if stick.room < 0:
                continue
            items = self._items(chain, asked.values * chain.members[number], asked.most)
            steps, reached = self._firsts(
                items, stick, need, slack, self._first_limits[level], self._first_found, self._first_values
            )
            self.steps += int(steps)
            exact = max(exact, float(reached))
        found: list[tuple[float, Column]] = []
        for i in np.argsort(-self._first_values[: len(chain.order)], kind="stable")[:MOST_FIRSTS]:
            if self._first_values[i] <= need + slack:
                break
            takes = chain.takes(self._first_found[i, : len(chain.order)])
            found.append((float(self._first_values[i]) - need, Column(b, takes, (takes,))))
        return found, min(bound, exact + slack)

    def _best_of_several(
        self, chain: Chain, b: int, asked: Asked, stick_bounds: Floats, need: float
    ) -> tuple[float, Column | None, float]:
        bound = float(stick_bounds.sum())
        slack = 1e-9 * (1.0 + abs(bound))
        orders = (range(len(stick_bounds)), range(len(stick_bounds) - 1, -1, -1))
        tries = [self._one_after_another(chain, b, asked, stick_bounds, order) for order in orders]
        value, sticks = max(tries, key=lambda one: one[0])
        counts: Integers = np.sum(sticks, axis=0)
        if value <= need + slack or not counts.any():
            return 0.0, None, bound
        return value - need, Column(b, chain.takes(counts), tuple(chain.takes(one) for one in sticks)), bound

    def _one_after_another(
        self, chain: Chain, b: int, asked: Asked, stick_bounds: Floats, order: Iterable[int]
    ) -> tuple[float, list[Integers]]:
        """The sticks of a bin filled in turn, each with the best of what the ones before left over."""
        last = len(stick_bounds) - 1
        sticks = [np.zeros(len(chain.order), dtype=np.int64) for _ in stick_bounds]
        total = 0.0
        for s in order:
            left = Asked(asked.values, asked.most - np.sum(sticks, axis=0), asked.tables, asked.level)
            value, found, _ = self.best_on_stick(
                chain, b, s, left, 0.0, float(stick_bounds[s]), keeps=s == last
            )
            if found is not None:
                sticks[s] = found
                total += value
        return total, sticks

    def _items(self, chain: Chain, values: Floats, most: Integers) -> Items:
        return Items(values, chain.sizes, chain.lengths, chain.rounds, most, NO_FLOAT, NO_WHOLE)

    def _stick(self, chain: Chain, b: int, stick: int, offset: int, table: Floats, level: int) -> Stick:
        length, beyond = self.core.bins[b].sticks[stick]
        return Stick(chain.start[b], length + offset, self.grids[level], table, self.core.safe, beyond)

    def _remains(self, b: int, last_gap: int) -> Remains:
        """What is left of the last stick of a bin is worth; nothing where that does not count."""
        worth = self.core.bins[b].worth
        if not self.with_worth:
            return NOTHING_KEPT
        froms, rates = np.array(worth.at_least, dtype=np.int64), np.array(worth.rates, dtype=np.float64)
        return Remains(last_gap, froms, rates, worth.keeping)

    def best_on_stick(
        self,
        chain: Chain,
        b: int,
        stick: int,
        asked: Asked,
        floor: float,
        bound: float,
        *,
        keeps: bool = True,
    ) -> tuple[float, Integers | None, float]:
        """Best pattern of one stick worth more than a floor.

        Args:
            chain: The chain.
            b: The bin.
            stick: Which of its sticks.
            asked: Values, amounts and tables.
            floor: Only a pattern worth more is of interest.
            bound: What the tables say the stick is worth at most.
            keeps: Whether what remains of it may be kept: only at the right end of a board.

        Returns:
            Its value (0 where there is none), its counts, and a bound on the best.
        """
        level = asked.level
        limit = self.search_limits[level]
        slack = 1e-9 * (1.0 + abs(bound))
        best: Integers | None = None
        best_value = floor
        cut_short = False
        # A high threshold first: where the grid hardly errs, the first leaf is the best one.
        thresholds = [bound - (bound - floor) / 64, floor]
        for phase, threshold in enumerate(thresholds):
            for number, fs in enumerate(self.core.family_sets):
                on = self._stick(chain, b, stick, fs.offset, asked.tables[number], level)
                if on.room < 0:
                    continue
                leaves, steps, reached = self._search(
                    self._items(chain, asked.values * chain.members[number], asked.most), on,
                    self._remains(b, fs.last_gap) if keeps else NOTHING_KEPT, max(threshold, best_value), slack, 0,
                    limit, self._found, self._found_values,
                )  # fmt: skip
                self.steps += int(steps)
                if self._search is kernels.search and self.steps > PLAIN_STEPS:
                    self._compile()
                cut_short = cut_short or steps > limit
                if leaves:
                    best = self._found[0, : len(chain.order)].copy()
                    best_value = float(reached)
            if best is not None:
                break
            if phase == 0:
                cut_short = False
        exact = bound if cut_short else min(bound, max(best_value, floor) + slack)
        return (best_value if best is not None else 0.0), best, exact

    def stick_bounds(self, b: int, prices: Floats, most_of: Integers) -> list[float]:
        """An upper bound on the best value of each stick of a bin, on the fine grid.

        Args:
            b: The bin.
            prices: Price of each item, shape (n_items,).
            most_of: How many of each item still matter, shape (n_items,).

        Returns:
            A bound for each stick.
        """
        chain = self.chain_of(b)
        values, limits = prices[chain.order], most_of[chain.order]
        best = [0.0] * len(self.core.bins[b].sticks)
        for flags, fs in zip(chain.members, self.core.family_sets, strict=True):
            table = self.table(chain, values * flags, limits, b, fs.last_gap, FINE)
            for s, (length, _) in enumerate(self.core.bins[b].sticks):
                if length + fs.offset >= 0:
                    room = (length + fs.offset) // self.grids[FINE]
                    best[s] = max(best[s], float(table[chain.start[b], room]))
            self.hand_back(table)
        return best

    def list_stick(
        self, b: int, stick: int, prices: Floats, most_of: Integers, need: float, *, most: int, steps: int
    ) -> list[tuple[float, Takes]] | None:
        """Every pattern of one stick worth more than a need, but what a fuller one replaces.

        Args:
            b: The bin.
            stick: Which of its sticks.
            prices: Price of each item, shape (n_items,).
            most_of: How many of each item still matter, shape (n_items,).
            need: Only patterns worth more are listed.
            most: Most patterns.
            steps: Most search steps.

        Returns:
            (value, takes) of each; None where there are more than allowed or the search is too long.
        """
        chain = self.chain_of(b)
        values, limits = prices[chain.order], most_of[chain.order]
        listed: dict[Takes, float] = {}
        for flags, fs in zip(chain.members, self.core.family_sets, strict=True):
            if self.core.bins[b].sticks[stick][0] + fs.offset < 0:
                continue
            table = self.table(chain, values * flags, limits, b, fs.last_gap, FINE)
            found = np.zeros((max(most, 1), len(chain.order)), dtype=np.int64)
            found_values = np.zeros(max(most, 1))
            leaves, made, _ = self._search(
                self._items(chain, values * flags, limits), self._stick(chain, b, stick, fs.offset, table, FINE),
                NOTHING_KEPT, need, 0.0, 1, steps, found, found_values,
            )  # fmt: skip
            self.hand_back(table)
            if leaves > most or made > steps:
                return None
            for row, value in zip(found[:leaves], found_values[:leaves], strict=True):
                listed[chain.takes(row)] = float(value)
        return [(value, takes) for takes, value in listed.items()]
