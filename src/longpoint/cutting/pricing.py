"""Pricing: which pattern of which bin is worth most at given part prices.

One table per chain of nested bins. Bins are nested where one accepts everything another does; with the items
only the better bin accepts put first, every bin of the chain reads the same table from its own first item on.
The table rounds sizes down to a grid, so it bounds; an exact search under that bound finds the pattern.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from math import gcd

import numpy as np
import numpy.typing as npt

from longpoint.cutting import kernels
from longpoint.cutting.core import Core

COARSE_CELLS = 4_096
FINE_CELLS = 60_000
FALLBACK_CELLS = 32_768
PLAIN_STEPS = 100_000
COARSE, FINE = 0, 1
MOST_JOINT = 400
SEARCH_LIMITS = (50_000, 1_000_000)
MANY_BINS = 8

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern: what one board of a bin gives.

    Attributes:
        bin: Index of the bin.
        takes: (item, how many) on the whole board, items rising, none of them 0.
        sticks: The same for each of its sticks.
        worth: What it leaves is worth, in cost units.
    """

    bin: int
    takes: tuple[tuple[int, int], ...]
    sticks: tuple[tuple[tuple[int, int], ...], ...]
    worth: float = 0.0


@dataclass(frozen=True, slots=True)
class _Chain:
    """Nested bins and the order of items they share."""

    order: Integers
    start: dict[int, int]  # bin -> first item in the order
    sizes: Integers
    lengths: Integers
    rounds: Integers
    cells: tuple[Integers, ...]  # for each grid
    members: tuple[Floats, ...]  # for each family set, 1.0 for its items, else 0.0


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
    coarse = max(exact, -(-widest // COARSE_CELLS))
    if widest // exact <= FINE_CELLS:
        return (exact if widest // exact <= 2 * COARSE_CELLS else coarse), exact
    step = gcd(
        *(item.length for item in core.items), *(length for bin_ in core.bins for length, _ in bin_.sticks)
    )
    best, best_error = 0, math.inf
    for parts in range(1, 200):
        grid = max(1, step // parts)
        if widest // grid > FINE_CELLS:
            break
        # A handful of pieces must not slip past one step of length together.
        error = max(6.0 * max(size % grid for size in sizes) / step, 0.15)
        if error < best_error:
            best, best_error = grid, error
    return coarse, best or -(-widest // FALLBACK_CELLS)


class Pricer:
    """Everything about pricing that does not change with the prices."""

    def __init__(self, core: Core, *, with_worth: bool = False) -> None:
        """Lay out chains and grid.

        Args:
            core: The problem.
            with_worth: Whether what a board leaves counts.
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
        sets = {number: frozenset(bin_.allowed) for number, bin_ in enumerate(core.bins)}
        # Bins of different worth cannot share a table whose last row is the worth.
        groups: dict[object, dict[int, frozenset[int]]] = {}
        for number, bin_ in enumerate(core.bins):
            groups.setdefault(bin_.worth if with_worth else None, {})[number] = sets[number]
        self.chains = [
            self._lay_out(chain, sets) for group in groups.values() for chain in nested_chains(group)
        ]
        fewer = max(1, len(core.bins) // MANY_BINS)
        self.search_limits = tuple(max(2_000, limit // fewer) for limit in SEARCH_LIMITS)
        self._search, self._fill = kernels.search, kernels.fill_table_by_rows
        if n * max(len(core.bins), 4) > 200:
            self._compile()
        self._found = np.zeros((1, n), dtype=np.int64)
        # Tables are large: a used one is handed back and filled again instead of asking for new memory.
        self._buffers: dict[tuple[int, int], Floats] = {}
        self._found_values = np.zeros(1)

    def _compile(self) -> None:
        self._search = kernels.compiled(kernels.search)
        self._fill = kernels.compiled(kernels.fill_table)

    def _lay_out(self, chain: list[int], sets: dict[int, frozenset[int]]) -> _Chain:
        items = self.core.items
        order: list[int] = []
        for better, lesser in zip(chain, [*chain[1:], None], strict=True):
            rest = sets[better] - (sets[lesser] if lesser is not None else frozenset())
            order.extend(sorted(rest, key=lambda i: (-items[i].size, i)))
        total = len(order)
        return _Chain(
            np.array(order, dtype=np.int64),
            {number: total - len(sets[number]) for number in chain},
            np.array([items[i].size for i in order], dtype=np.int64),
            np.array([items[i].length for i in order], dtype=np.int64),
            np.array([items[i].round for i in order], dtype=np.int64),
            tuple(np.array([items[i].size // grid for i in order], dtype=np.int64) for grid in self.grids),
            tuple(
                np.array([items[i].family in fs.families for i in order], dtype=np.float64)
                for fs in self.core.family_sets
            ),
        )

    def _table(
        self, chain: _Chain, values: Floats, most: Integers, bin_: int, last_gap: int, level: int
    ) -> Floats:
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

    def price(
        self,
        prices: Floats,
        most: Integers,
        needs: Floats,
        *,
        bins: frozenset[int] | None = None,
        again: int = 1,
        level: int = FINE,
    ) -> tuple[list[tuple[float, Column]], Floats]:
        """Patterns worth more than what their bins need.

        Args:
            prices: Price of one of each item, shape (n_items,).
            most: How many of each item still matter, shape (n_items,).
            needs: What a pattern of each bin must be worth at least to be of interest, shape (n_bins,).
            bins: Only these bins; None for all.
            again: How often to price again without the items just taken, for columns unlike each other.
            level: COARSE finds patterns cheaply, FINE also proves that there are none.

        Returns:
            (excess, column) pairs, and an upper bound on the best value of each bin, shape (n_bins,).
        """
        best_bounds = np.zeros(len(self.core.bins))
        result: list[tuple[float, Column]] = []
        for chain in self.chains:
            members = [b for b in chain.start if bins is None or b in bins]
            if not members:
                continue
            values = prices[chain.order]
            chain_most = most[chain.order]
            for turn in range(again):
                tables = [
                    self._table(chain, values * flags, chain_most, members[0], fs.last_gap, level)
                    for flags, fs in zip(chain.members, self.core.family_sets, strict=True)
                ]
                taken = np.zeros(len(chain.order), dtype=np.int64)
                any_found = False
                for b in members:
                    excess, column, bound, counts = self._best(
                        chain, b, values, chain_most, tables, needs[b], level
                    )
                    if turn == 0:
                        best_bounds[b] = bound
                    if column is not None and counts is not None:
                        result.append((excess, column))
                        if excess > 0 and not any_found:
                            taken = counts
                            any_found = True
                        elif turn > 0:
                            taken = np.maximum(taken, counts)
                for table in tables:
                    self._buffers[(table.shape[0] - 1, table.shape[1])] = table
                if not any_found:
                    break
                chain_most = np.maximum(chain_most - taken, 0)
        return result, best_bounds

    def _best(
        self,
        chain: _Chain,
        b: int,
        values: Floats,
        most: Integers,
        tables: list[Floats],
        need: float,
        level: int,
    ) -> tuple[float, Column | None, float, Integers | None]:
        core = self.core
        bin_ = core.bins[b]
        start = chain.start[b]
        rooms = [length for length, _ in bin_.sticks]
        stick_bounds = [
            max(
                (
                    float(table[start, (length + fs.offset) // self.grids[level]])
                    for table, fs in zip(tables, core.family_sets, strict=True)
                    if length + fs.offset >= 0
                ),
                default=0.0,
            )
            for length in rooms
        ]
        bound = sum(stick_bounds)
        slack = 1e-9 * (1.0 + abs(bound))
        self.pricings += 1
        if bound <= need + slack:
            return 0.0, None, bound, None
        if len(rooms) == 1:
            length, beyond = bin_.sticks[0]
            value, found, exact = self._best_on_stick(
                chain, b, values, most, tables, length, beyond, need, bound, level
            )
            if found is None or value <= need + slack:
                return 0.0, None, min(bound, exact), None
            worth = max(value - float(values @ found), 0.0)
            takes = self._takes(chain, found)
            return value - need, Column(b, takes, (takes,), worth), min(bound, exact), found
        best: tuple[float, Integers, dict[int, Integers], float] | None = None
        for order in (range(len(rooms)), range(len(rooms) - 1, -1, -1)):
            one = self._one_after_another(chain, b, values, most, tables, stick_bounds, list(order), level)
            if best is None or one[0] > best[0]:
                best = one
        assert best is not None
        if best[0] <= need + slack and level == FINE and not self.with_worth:
            joint = self._joint(chain, b, values, most, need)
            if joint is not None:
                if joint[0] <= need + slack:
                    return 0.0, None, min(bound, need + slack), None
                best = joint
        total, counts, sticks, worth = best
        if total <= need + slack or not counts.any():
            return 0.0, None, bound, None
        stick_takes = tuple(self._takes(chain, sticks[s]) if s in sticks else () for s in range(len(rooms)))
        return total - need, Column(b, self._takes(chain, counts), stick_takes, worth), bound, counts

    def _one_after_another(
        self,
        chain: _Chain,
        b: int,
        values: Floats,
        most: Integers,
        tables: list[Floats],
        stick_bounds: list[float],
        order: list[int],
        level: int,
    ) -> tuple[float, Integers, dict[int, Integers], float]:
        """Fill the sticks of a bin in turn, each with the best of what the ones before left over."""
        counts = np.zeros(len(chain.order), dtype=np.int64)
        sticks: dict[int, Integers] = {}
        total = worth = 0.0
        last = len(self.core.bins[b].sticks) - 1
        for s in order:
            length, beyond = self.core.bins[b].sticks[s]
            value, found, _ = self._best_on_stick(
                chain, b, values, most - counts, tables, length, beyond, 0.0, stick_bounds[s], level,
                keeps=s == last,
            )  # fmt: skip
            if found is not None:
                sticks[s] = found
                counts += found
                total += value
                worth += max(value - float(values @ found), 0.0)
        return total, counts, sticks, worth

    def _joint(
        self, chain: _Chain, b: int, values: Floats, most: Integers, need: float
    ) -> tuple[float, Integers, dict[int, Integers], float] | None:
        """The best of a bin of several sticks, by listing what each could hold; None where that is too much.

        The same part cannot be taken from two sticks, which the separate searches do not know.
        """
        prices = np.zeros(len(self.core.items))
        limits = np.zeros(len(self.core.items), dtype=np.int64)
        prices[chain.order], limits[chain.order] = values, most
        bounds = self.stick_bounds(b, prices, limits)
        total, reach = sum(bounds), sum(bounds)
        partial: list[tuple[float, Integers, dict[int, Integers]]] = [
            (0.0, np.zeros(len(chain.order), dtype=np.int64), {})
        ]
        place = {int(item): k for k, item in enumerate(chain.order)}
        for s, bound in enumerate(bounds):
            listed = self.list_stick(
                b, s, prices, limits, need - (total - bound), most=MOST_JOINT, steps=self.search_limits[FINE]
            )
            if listed is None:
                return None
            choices = [np.zeros(len(chain.order), dtype=np.int64)]
            for _, takes in listed:
                row = np.zeros(len(chain.order), dtype=np.int64)
                for i, count in takes:
                    row[place[i]] = count
                choices.append(row)
            reach -= bound
            grown = []
            for _value, counts, sticks in partial:
                for row in choices:
                    added = np.minimum(row, most - counts)
                    together = counts + added
                    worth_it = float(values @ together)
                    if worth_it + reach > need:
                        grown.append((worth_it, together, {**sticks, s: added}))
            if len(grown) > 50 * MOST_JOINT:
                return None
            partial = grown
        if not partial:
            return need, np.zeros(len(chain.order), dtype=np.int64), {}, 0.0
        value, counts, sticks = max(partial, key=lambda entry: entry[0])
        return value, counts, sticks, 0.0

    def _best_on_stick(
        self,
        chain: _Chain,
        b: int,
        values: Floats,
        most: Integers,
        tables: list[Floats],
        length: int,
        beyond: int,
        floor: float,
        bound: float,
        level: int,
        *,
        keeps: bool = True,
    ) -> tuple[float, Integers | None, float]:
        """Best pattern of one stick worth more than the floor, and a bound on the best."""
        core = self.core
        worth = core.bins[b].worth
        counted = self.with_worth and keeps  # only what remains at the right end of a board is kept
        froms = np.array(worth.at_least if counted else (), dtype=np.int64)
        rates = np.array(worth.rates if counted else (), dtype=np.float64)
        slack = 1e-9 * (1.0 + abs(bound))
        best: Integers | None = None
        best_value = floor
        cut_short = False
        # A high threshold first: where the grid hardly errs, the first leaf is the best one.
        thresholds = [bound - (bound - floor) / 64, floor]
        for phase, threshold in enumerate(thresholds):
            for number, fs in enumerate(core.family_sets):
                room = length + fs.offset
                if room < 0:
                    continue
                leaves, steps, reached = self._search(
                    chain.start[b], values * chain.members[number], chain.sizes, chain.lengths, most,
                    chain.rounds, room, self.grids[level], tables[number], fs.last_gap, froms, rates,
                    worth.keeping, core.safe, beyond, max(threshold, best_value), slack, 0, self.search_limits[level],
                    self._found, self._found_values,
                )  # fmt: skip
                self.steps += int(steps)
                if self._search is kernels.search and self.steps > PLAIN_STEPS:
                    self._compile()
                cut_short = cut_short or steps > self.search_limits[level]
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
        chain = next(chain for chain in self.chains if b in chain.start)
        values, limits = prices[chain.order], most_of[chain.order]
        best = [0.0] * len(self.core.bins[b].sticks)
        for flags, fs in zip(chain.members, self.core.family_sets, strict=True):
            table = self._table(chain, values * flags, limits, b, fs.last_gap, FINE)
            for s, (length, _) in enumerate(self.core.bins[b].sticks):
                if length + fs.offset >= 0:
                    room = (length + fs.offset) // self.grids[FINE]
                    best[s] = max(best[s], float(table[chain.start[b], room]))
            self._buffers[(table.shape[0] - 1, table.shape[1])] = table
        return best

    def list_stick(
        self, b: int, stick: int, prices: Floats, most_of: Integers, need: float, *, most: int, steps: int
    ) -> list[tuple[float, tuple[tuple[int, int], ...]]] | None:
        """Every maximal pattern of one stick worth more than a need.

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
        core = self.core
        chain = next(chain for chain in self.chains if b in chain.start)
        values, limits = prices[chain.order], most_of[chain.order]
        length, beyond = core.bins[b].sticks[stick]
        nothing_i, nothing_f = np.zeros(0, dtype=np.int64), np.zeros(0)
        listed: dict[tuple[tuple[int, int], ...], float] = {}
        for flags, fs in zip(chain.members, core.family_sets, strict=True):
            room = length + fs.offset
            if room < 0:
                continue
            table = self._table(chain, values * flags, limits, b, fs.last_gap, FINE)
            found = np.zeros((max(most, 1), len(chain.order)), dtype=np.int64)
            found_values = np.zeros(max(most, 1))
            leaves, made, _ = self._search(
                chain.start[b], values * flags, chain.sizes, chain.lengths, limits, chain.rounds, room,
                self.grids[FINE], table, fs.last_gap, nothing_i, nothing_f, 0.0, core.safe, beyond, need,
                0.0, 1, steps, found, found_values,
            )  # fmt: skip
            self._buffers[(table.shape[0] - 1, table.shape[1])] = table
            if leaves > most or made > steps:
                return None
            for row, value in zip(found[:leaves], found_values[:leaves], strict=True):
                listed[self._takes(chain, row)] = float(value)
        return [(value, takes) for takes, value in listed.items()]

    @staticmethod
    def _takes(chain: _Chain, counts: Integers) -> tuple[tuple[int, int], ...]:
        pairs = [(int(chain.order[i]), int(counts[i])) for i in np.flatnonzero(counts)]
        return tuple(sorted(pairs))
