"""The linear relaxation over patterns, on HiGHS, solved by column generation.

minimise   Σ cost(p) x(p)
such that  Σ takes(p, i) x(p) ≥ demand(i)          for every item
           low(b) ≤ Σ x(p of b) ≤ high(b)          for every bin
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.count_cuts import CountCut
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import COARSE, FINE, Column, Pricer
from longpoint.cutting.quiet import quiet_highs, run_linear

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

TINY = 1e-7
MOST_SCALES = 400  # tried for a bound; any of them is true
MOST_CUT_BINS, MOST_CUTS = 12, 300
DUAL, PRIMAL = 1, 4  # how HiGHS numbers its simplex methods


@dataclass(frozen=True, slots=True)
class Relaxed:
    """A solved relaxation.

    Attributes:
        value: Its value, cost units; above `Relaxation.hopeless` where the demand cannot be met.
        bound: What is proven of it: no less can be reached.
        x: How much of each column of the pool, shape (n_columns,).
        prices: Prices of the items that prove the bound: no pattern is worth more than its bin's cost and
            charge, shape (n_items,).
        charges: What a pattern of each bin must earn on top of its cost (may be negative), shape (n_bins,).
        unmet: Demand that no pattern meets.
    """

    @property
    def is_hopeless(self) -> bool:
        """Whether it is proven that the demand cannot be met, not only that no patterns were found for it."""
        return self.unmet > TINY and self.value - self.bound <= 1e-5 * (1 + abs(self.value))

    value: float
    bound: float
    x: Floats
    prices: Floats
    charges: Floats
    unmet: float


class Relaxation:
    """A pool of columns and the HiGHS model over it; it grows and is re-solved from where it stood."""

    def __init__(self, core: Core, pricer: Pricer) -> None:
        """Start with one artificial column per item.

        Args:
            core: The problem.
            pricer: Finds columns.
        """
        self.core = core
        self.pricer = pricer
        self.columns: list[Column] = []
        self.known: set[Column] = set()
        self.cuts: list[CountCut] = []
        model = quiet_highs()
        model.setOptionValue("presolve", "off")
        model.setOptionValue("solver", "simplex")
        self._model: Any = model
        self.infinity = float(model.getInfinity())
        self.n_items, self.n_bins = len(core.items), len(core.bins)
        self.demand = np.array([item.demand for item in core.items], dtype=np.int64)
        self._wanted = self.demand.copy()
        self.low = np.zeros(self.n_bins, dtype=np.int64)
        self.high: list[int | None] = [bin_.limit for bin_ in core.bins]
        none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
        for amount in self.demand:
            model.addRow(float(amount), self.infinity, 0, none, np.zeros(0))
        for limit in self.high:
            model.addRow(0.0, self.infinity if limit is None else float(limit), 0, none, np.zeros(0))
        self.costs = np.array([float(bin_.cost) for bin_ in core.bins])
        dearest = float(np.max(self.costs, initial=1.0))
        self.penalty = 10.0 * (dearest + 1)
        for i in range(self.n_items):
            model.addCol(self.penalty, 0.0, self.infinity, 1, np.array([i], dtype=np.int32), np.ones(1))
        self._first = self.n_items
        self._moved = False
        self._held: list[tuple[int, int, int]] = []  # (column, item, how many)
        nothing = np.zeros(0, dtype=np.int64)
        self._held_arrays: tuple[Integers, Integers, Integers] = (nothing, nothing, nothing)
        self._off: set[int] = set()
        # A board taken and left whole: least numbers of boards can then always be met.
        for b, bin_ in enumerate(core.bins):
            self.add(Column(b, (), tuple(() for _ in bin_.sticks)))

    def add(self, column: Column) -> bool:
        """Add a column where it is new.

        Args:
            column: The column.

        Returns:
            Whether it was new.
        """
        if column in self.known:
            return False
        self.known.add(column)
        self.columns.append(column)
        index = np.array([i for i, _ in column.takes] + [self.n_items + column.bin], dtype=np.int32)
        value = np.array([float(count) for _, count in column.takes] + [1.0])
        cost = float(self.core.bins[column.bin].cost)
        self._model.addCol(cost, 0.0, self.infinity, len(index), index, value)
        self._held.extend((len(self.columns) - 1, i, count) for i, count in column.takes)
        return True

    def keep_proper(self, left: Integers) -> None:
        """Switch off the columns that take more of an item than is left to be cut.

        Args:
            left: How many of each item are left, shape (n_items,).
        """
        if len(self._held) > len(self._held_arrays[0]):
            held = np.array(self._held, dtype=np.int64)
            self._held_arrays = (held[:, 0], held[:, 1], held[:, 2])
        columns, items, counts = self._held_arrays
        found = set(np.unique(columns[counts > left[items]]).tolist()) - self._off
        if found:
            self._set_upper(sorted(found), 0.0)
            self._off |= found

    def _set_upper(self, columns: list[int], most: float) -> None:
        """Bound columns of the pool from above."""
        index = np.array(columns, dtype=np.int32) + np.int32(self._first)
        zeros = np.zeros(len(columns))
        self._model.changeColsBounds(len(columns), index, zeros, zeros + most)
        self._moved = True

    def switch_all_on(self) -> None:
        """Let every column be used again."""
        if self._off:
            self._set_upper(sorted(self._off), self.infinity)
        self._off.clear()

    def set_demand(self, demand: Integers) -> None:
        """Ask for other numbers of the items.

        Args:
            demand: How many of each, shape (n_items,).
        """
        for i in np.flatnonzero(demand != self.demand):
            self._model.changeRowBounds(int(i), float(demand[i]), self.infinity)
            self._moved = True
        self.demand = demand.copy()

    def set_bin_bounds(self, low: Integers, high: list[int | None]) -> None:
        """Bound the number of boards of each bin.

        Args:
            low: Least, shape (n_bins,).
            high: Most; None without limit.
        """
        for b in range(self.n_bins):
            if low[b] != self.low[b] or high[b] != self.high[b]:
                most = high[b]
                self._model.changeRowBounds(
                    self.n_items + b, float(low[b]), self.infinity if most is None else float(most)
                )
                self._moved = True
        self.low, self.high = low.copy(), list(high)

    def _set_penalty(self, penalty: float) -> None:
        self.penalty = penalty
        for i in range(self.n_items):
            self._model.changeColCost(i, penalty)

    def _solve(self) -> tuple[float, Floats, Floats, Floats]:
        # After new columns the last basis is still feasible, after new bounds its prices are: each has its own method.
        self._model.setOptionValue("simplex_strategy", DUAL if self._moved else PRIMAL)
        self._moved = False
        run_linear(self._model)
        solution = self._model.getSolution()
        dual = np.array(solution.row_dual)
        value = float(self._model.getInfo().objective_function_value)
        return value, np.array(solution.col_value), dual[: self.n_items], dual[self.n_items :]

    def bound(self, prices: Floats, best: Floats) -> tuple[float, Floats, Floats]:
        """What prices prove, scaled as proves most, each bin charged what its best pattern is worth too much.

        A bin without limit cannot be charged, so the scale ends where its best pattern is worth its cost. Up to
        there the bound is concave in the scale, with its corners where a bin's best pattern is worth its cost.
        """
        costs, low = self.costs, self.low.astype(np.float64)
        unlimited = np.array([most is None for most in self.high])
        high = np.array([0.0 if most is None else float(most) for most in self.high])
        earned = float(prices @ self.demand)
        worth = best > 0.0
        corners = costs[worth] / best[worth]
        end = float(np.min(corners[unlimited[worth]], initial=np.inf))
        near = corners[np.argsort(np.abs(corners - 1.0), kind="stable")[:MOST_SCALES]]
        scales = np.unique(np.append(near[near <= end], min(1.0, end)))
        over = scales[:, None] * best - costs
        totals = scales * earned - (np.maximum(over, 0.0) @ high) - (np.minimum(over, 0.0) @ low)
        k = int(np.argmax(totals))
        charges = over[k].copy()
        charges[(charges < 0.0) & (low == 0.0) | (charges > 0.0) & unlimited] = 0.0
        return float(totals[k]), scales[k] * prices, charges

    def solve(
        self,
        *,
        stop_above: float | None = None,
        rounds: int = 10_000,
        prove: bool = True,
        within: float = 0.0,
        whole: bool = False,
        enough: float | None = None,
    ) -> Relaxed:
        """Column generation until no pattern is worth more than it needs.

        Args:
            stop_above: Stop early once the proven bound exceeds this.
            rounds: Most rounds of pricing.
            prove: Whether to end on the fine grid, for the best bound.
            within: Stop once the bound comes this near to the value, as a share of it.
            whole: Whether to stop once bound and value round up to the same total of whole boards.
            enough: Stop without pricing once the demand is met for no more than this.

        Returns:
            The relaxation's answer; with `rounds` used up, ``bound`` may be below ``value``.
        """
        best_bound = -np.inf
        smoothing = 0.0 if self.n_items < 30 else 0.6
        centre: Floats | None = None
        centre_charges: Floats | None = None
        level = COARSE
        keeps_cuts = self.n_bins <= MOST_CUT_BINS and bool((self.demand == self._wanted).all())
        proof: tuple[Floats, Floats] = (np.zeros(self.n_items), np.zeros(self.n_bins))
        for _ in range(rounds):
            value, x, prices, bin_duals = self._solve()
            if enough is not None and value <= enough and float(np.sum(x[: self.n_items])) <= TINY:
                break
            prices = np.maximum(prices, 0.0)
            charges = -bin_duals
            added = False
            converged = False
            trials = (
                [smoothing, 0.0]
                if smoothing and centre is not None and not np.array_equal(centre, prices)
                else [0.0]
            )
            for weight in trials:
                if weight and centre is not None and centre_charges is not None:
                    at = weight * centre + (1 - weight) * prices
                    at_charges = weight * centre_charges + (1 - weight) * charges
                else:
                    at, at_charges = prices, charges
                needs = self.costs + at_charges
                found, best = self.pricer.price(at, self.demand, needs, level=level)
                if keeps_cuts:
                    self.cuts.append(CountCut(best.copy(), float(at @ self.demand), at.copy()))
                bound, scaled, charged = self.bound(at, best)
                if bound > best_bound:
                    best_bound = bound
                    proof = (scaled, charged)
                    centre, centre_charges = at, at_charges
                for _excess, column in found:
                    gain = sum(prices[i] * count for i, count in column.takes) - self.costs[column.bin]
                    if (gain - charges[column.bin] > TINY or weight == 0.0) and self.add(column):
                        added = True
                if added:
                    break
                if weight == 0.0:
                    converged = True
            if stop_above is not None and best_bound > stop_above:
                break
            if value - best_bound <= max(TINY, within) * (1 + abs(value)):
                converged = True
            met = float(np.sum(x[: self.n_items])) <= TINY
            if whole and met and self.core.totals.at_least(best_bound) >= self.core.totals.at_least(value):
                break
            if (
                converged
                and level == COARSE
                and prove
                and value - best_bound > max(TINY, within) * (1 + abs(value))
            ):
                level = FINE
                continue
            if converged:
                unmet = float(np.sum(x[: self.n_items]))
                if unmet > TINY and self.penalty < 1e4 * (float(np.max(self.costs, initial=1.0)) + 1):
                    self._set_penalty(self.penalty * 100)
                    centre = None
                    best_bound = -np.inf
                    continue
                break
        unmet = float(np.sum(x[: self.n_items]))
        del self.cuts[:-MOST_CUTS]
        # Boards cost nothing less than nothing: true where no pricing was needed, too.
        return Relaxed(value, min(max(best_bound, 0.0), value), x[self._first :], *proof, unmet)
