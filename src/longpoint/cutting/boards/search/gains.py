"""The second step's master: among plans of a bounded cost, the one that gains most.

maximise   Σ gain(p) x(p)
such that  Σ takes(p, i) x(p) ≥ demand(i)          for every item
           Σ x(p of b) ≤ how many(b)               for every bin
           least ≤ Σ cost(p) x(p) ≤ most

Its prices say what a pattern must gain to be of interest: gain + Σ price · takes > money · cost + charge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.quiet import quiet_highs, run_linear

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Priced:
    """A solved relaxation of the second step.

    Attributes:
        value: What it gains.
        prices: Price of each item, at least 0, shape (n_items,).
        charges: Charge of each bin, at least 0, shape (n_bins,).
        money: Gain per cost unit of the cost row; of either sign where the cost is fixed.
    """

    value: float
    prices: Floats
    charges: Floats
    money: float

    def needs(self, core: Core) -> Floats:
        """What a pattern of each bin must be worth to be of interest, shape (n_bins,)."""
        return self.money * np.array([float(bin_.cost) for bin_ in core.bins]) + self.charges


class GainMaster:
    """A pool of patterns with their gains."""

    def __init__(self, core: Core, *, least: int, most: int) -> None:
        """Start with an empty pool.

        Args:
            core: The problem.
            least: Least cost of a plan, cost units.
            most: Most cost of a plan, cost units.
        """
        self.core = core
        self.least, self.most = least, most
        self.columns: list[Column] = []
        self.gains: list[float] = []
        self._known: set[tuple[int, tuple[tuple[tuple[int, int], ...], ...]]] = set()
        self._model = self._empty()

    def _empty(self) -> Any:
        model = quiet_highs()
        infinity = float(model.getInfinity())
        none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
        for item in self.core.items:
            model.addRow(float(item.demand), infinity, 0, none, np.zeros(0))
        for bin_ in self.core.bins:
            most = infinity if bin_.limit is None else float(bin_.limit)
            model.addRow(-infinity, most, 0, none, np.zeros(0))
        model.addRow(float(self.least), float(self.most), 0, none, np.zeros(0))
        return model

    def add(self, column: Column, gain: float) -> bool:
        """Add a pattern where it is new.

        Args:
            column: The pattern.
            gain: What it gains.

        Returns:
            Whether it was new.
        """
        key = (column.bin, column.sticks)
        if key in self._known or not column.takes:
            return False
        self._known.add(key)
        self.columns.append(column)
        self.gains.append(gain)
        self._add_to(self._model, column, gain)
        return True

    def _add_to(self, model: Any, column: Column, gain: float) -> None:
        n_items, n_bins = len(self.core.items), len(self.core.bins)
        index = np.array(
            [i for i, _ in column.takes] + [n_items + column.bin, n_items + n_bins], dtype=np.int32
        )
        cost = float(self.core.bins[column.bin].cost)
        value = np.array([float(count) for _, count in column.takes] + [1.0, cost])
        model.addCol(-gain, 0.0, float(model.getInfinity()), len(index), index, value)

    def relax(self) -> Priced:
        """Solve the relaxation over the pool, which must hold a plan.

        Returns:
            Its value and prices.
        """
        model = self._model
        model.setOptionValue("presolve", "off")
        model.setOptionValue("solver", "simplex")
        run_linear(model)
        n_items, n_bins = len(self.core.items), len(self.core.bins)
        dual = np.array(model.getSolution().row_dual)
        money = -float(dual[n_items + n_bins])
        return Priced(
            -float(model.getInfo().objective_function_value),
            np.maximum(dual[:n_items], 0.0),
            np.maximum(-dual[n_items : n_items + n_bins], 0.0),
            money if self.least else max(0.0, money),
        )

    def close_to(self, priced: Priced, gap: float) -> list[int]:
        """Numbers of the pooled patterns that a plan within a gap of the prices' bound could contain."""
        needs = priced.needs(self.core)
        return [
            k
            for k, (column, gain) in enumerate(zip(self.columns, self.gains, strict=True))
            if gain + sum(priced.prices[i] * count for i, count in column.takes) >= needs[column.bin] - gap
        ]

    def whole(
        self, *, above: float, nodes: int, columns: Sequence[int] | None = None
    ) -> tuple[list[Column] | None, bool]:
        """Whole numbers of pooled patterns that gain more than a floor.

        Args:
            above: Only plans that gain more than this are of interest.
            nodes: Most branch-and-bound nodes.
            columns: Numbers of the patterns to choose from; None for all.

        Returns:
            The patterns, one per board, or None; and whether the answer is final for this pool.
        """
        model = self._empty()
        infinity = float(model.getInfinity())
        chosen = list(range(len(self.columns))) if columns is None else list(columns)
        for k in chosen:
            self._add_to(model, self.columns[k], self.gains[k])
        count = len(chosen)
        index = np.arange(count, dtype=np.int32)
        model.addRow(above, infinity, count, index, np.array([self.gains[k] for k in chosen]))
        model.changeColsIntegrality(count, index, np.full(count, 1, dtype=np.uint8))
        for option, setting in (
            ("mip_max_nodes", nodes), ("mip_rel_gap", 0.0), ("mip_abs_gap", 1e-7),
            ("presolve", "on"), ("mip_feasibility_tolerance", 1e-7),
        ):  # fmt: skip
            model.setOptionValue(option, setting)
        model.run()
        status = model.modelStatusToString(model.getModelStatus())
        if status in ("Infeasible", "Primal infeasible or unbounded"):
            return None, True
        if model.getInfo().primal_solution_status != 2:
            return None, False
        amounts = np.rint(np.array(model.getSolution().col_value)).astype(int)
        plan = [
            self.columns[chosen[int(k)]] for k in np.flatnonzero(amounts > 0) for _ in range(int(amounts[k]))
        ]
        return (plan, status == "Optimal") if self.is_plan(plan) else (None, False)

    def is_plan(self, plan: Sequence[Column]) -> bool:
        """Whether patterns meet demand, limits and cost, counted in whole numbers."""
        core = self.core
        made = np.zeros(len(core.items), dtype=np.int64)
        used = np.zeros(len(core.bins), dtype=np.int64)
        for column in plan:
            used[column.bin] += 1
            for i, count in column.takes:
                made[i] += count
        cost = int(sum(int(amount) * bin_.cost for amount, bin_ in zip(used, core.bins, strict=True)))
        return (
            self.least <= cost <= self.most
            and all(int(made[i]) >= item.demand for i, item in enumerate(core.items))
            and all(bin_.limit is None or int(used[b]) <= bin_.limit for b, bin_ in enumerate(core.bins))
        )


def prove(core: Core, priced: Priced, bounds: Floats, *, most: int, demand: Integers) -> tuple[Priced, float]:
    """Prices made true: charges and money raised until no pattern is worth more than its bin needs.

    Args:
        core: The problem.
        priced: The prices.
        bounds: What a pattern of each bin is worth at most, shape (n_bins,).
        most: Most cost of a plan, cost units.
        demand: How many of each item are wanted, shape (n_items,).

    Returns:
        The prices with what was raised, and what no plan gains more than; infinite where nothing is proven.
    """
    short = np.maximum(bounds - priced.needs(core), 0.0)
    if not np.isfinite(short).all():
        return priced, math.inf
    earned = float(priced.prices @ demand)
    answers: list[tuple[float, Priced]] = []
    for by_charge in (False, True):
        charges = priced.charges.copy()
        raised = 0.0
        for b, bin_ in enumerate(core.bins):
            if bin_.cost == 0 or (by_charge and bin_.limit is not None):
                charges[b] += short[b]
            else:
                raised = max(raised, short[b] / bin_.cost)
        money = priced.money + raised
        total = money * most - earned
        for b, bin_ in enumerate(core.bins):
            total += charges[b] * (int(demand.sum()) if bin_.limit is None else bin_.limit)
        answers.append((total, Priced(total, priced.prices, charges, money)))
    total, shifted = min(answers, key=lambda answer: answer[0])
    return shifted, total
