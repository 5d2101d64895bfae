"""An exact search over whole numbers, with a proof that anyone can check in whole numbers.

No x of whole numbers between its bounds that keeps all rows costs a given amount or less: that is shown by a tree
that splits the bounds of one number at a time, and at each leaf by multipliers of the rows. For any y ≥ 0 and D ≥ 0

    D Σ c x  ≥  Σ y e  +  Σ_j  min over x_j of (D c_j − Σ y a_j) x_j,

and where the right side is above D times the amount nothing is left there. Linear programs only say which multipliers
to try: they are rounded to whole numbers, and the inequality is what is believed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.values import Leaf, Split, Tree
from longpoint.cutting.quiet import SolverStopped, quiet_highs, run_linear

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

FEW = 64  # numbers up to which sums are made in integers of any size
HUGE = 2**62
WHOLE = 1e-6


class Program:
    """minimise c x, rows A x ≥ e, whole x between bounds; all in whole numbers."""

    def __init__(self, costs: Integers, rows: Integers, least: Integers, high: Integers) -> None:
        """Keep the numbers and make the linear program.

        Args:
            costs: c, at least 0, shape (n,).
            rows: A, shape (m, n).
            least: e, shape (m,).
            high: Most of each number, shape (n,); the least is 0.
        """
        self.costs, self.rows, self.least, self.high = costs, rows, least, high
        self.kind: Any = object if len(costs) <= FEW else np.int64
        self._costs, self._rows, self._least = (one.astype(self.kind) for one in (costs, rows, least))
        self._scales = 1.0 / np.maximum(np.abs(rows).max(axis=1, initial=1), 1).astype(np.float64)
        reach = int(max(1, costs.max(initial=1))) * int(max(1, high.max(initial=1))) * 8 * max(1, len(costs))
        self.weight = 2**40 if self.kind is object else max(1, min(2**20, HUGE // reach))
        self._model: Any = None

    def refute(self, over: int, *, nodes: int) -> tuple[Tree | None, Integers | None]:
        """Show that nothing costs an amount or less.

        Args:
            over: The amount.
            nodes: Most nodes of the tree.

        Returns:
            The tree, in the order of walking it, a split before its lower and then its upper side; else None and,
            where one was met, numbers that do cost no more.
        """
        model = self._linear(over)
        tree: list[Split | Leaf] = []
        stack = [(np.zeros_like(self.high), self.high.copy())]
        while stack:
            if len(tree) >= nodes:
                return None, None
            low, high = stack.pop()
            n = len(low)
            model.changeColsBounds(n, np.arange(n, dtype=np.int32), low.astype(float), high.astype(float))
            try:
                run_linear(model)
            except SolverStopped:
                return None, None
            solution = model.getSolution()
            multipliers = np.maximum(np.array(solution.row_dual), 0.0) * self._scales
            leaf = self._leaf(multipliers, low, high, over)
            if leaf is not None:
                tree.append(leaf)
                continue
            x = np.clip(np.array(solution.col_value)[:n], low, high)
            whole = np.rint(x).astype(np.int64)
            if self._keeps(whole, over):
                return None, whole
            away = np.abs(x - whole)
            j = int(np.argmax(away))
            if away[j] < WHOLE:  # whole but for rounding, and yet no answer: split where there is room
                j = int(np.argmax(high - low))
                if high[j] == low[j]:
                    return None, None
            at = int(min(max(np.floor(x[j]), low[j]), high[j] - 1))
            tree.append((j, at))
            below, above = high.copy(), low.copy()
            below[j], above[j] = at, at + 1
            stack += [(above, high), (low, below)]
        return tuple(tree), None

    def _keeps(self, x: Integers, over: int) -> bool:
        counts = x.astype(self.kind)
        return bool((self._rows @ counts >= self._least).all() and self._costs @ counts <= over)

    def _leaf(self, multipliers: Floats, low: Integers, high: Integers, over: int) -> Leaf | None:
        """The leaf where whole multipliers prove it."""
        weight = self.weight
        y = np.array([round(one * weight) for one in multipliers.tolist()], dtype=self.kind)
        left = weight * self._costs - y @ self._rows
        ends = np.where(left >= 0, low, high).astype(self.kind)
        if y @ self._least + left @ ends <= weight * over:
            return None
        return (weight, tuple((r, int(one)) for r, one in enumerate(y) if one))

    def _linear(self, over: int) -> Any:
        """The linear program; what no whole numbers keep is kept for a penalty, so that it always has an answer."""
        model = quiet_highs()
        infinity = float(model.getInfinity())
        none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
        for cost, high in zip(self.costs.tolist(), self.high.tolist(), strict=True):
            model.addCol(float(cost), 0.0, float(high), 0, none, np.zeros(0))
        model.addCol(1e4 * (over + 1.0), 0.0, infinity, 0, none, np.zeros(0))
        for row, least, scale in zip(self.rows, self.least.tolist(), self._scales, strict=True):
            index = np.flatnonzero(row).astype(np.int32)
            model.addRow(
                least * scale, infinity, len(index) + 1,
                np.append(index, np.int32(len(row))), np.append(row[index] * scale, 1.0),
            )  # fmt: skip
        model.setOptionValue("presolve", "off")
        model.setOptionValue("solver", "simplex")
        return model
