"""What prices say of the numbers of boards: cuts, and the cheapest whole numbers that pass them all.

At any prices of the parts, every plan satisfies

    Σ how many(b) · v(b) ≥ Σ price(i) · wanted(i),

where v(b) is the most that a pattern of b is worth: the boards must be able to hold what is wanted. So every pricing
done for the relaxation leaves a row behind, and the cheapest whole numbers that satisfy all rows bound the cost of
whole boards, with a handful of variables and without a linear program for every way of rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.quiet import quiet_highs

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

HAIR = 1e-9
"""Share by which every row is loosened: what bounds v(b) is a floating number."""
SCALE = 1e4  # of the slack in the second program, so that a program's tolerances are far below it
MOST_NODES, ALL_NODES = 20_000, 60_000


@dataclass(frozen=True, slots=True)
class CountCut:
    """One row.

    Attributes:
        worths: What a pattern of each bin is worth at most, shape (n_bins,).
        earned: What all that is wanted is worth.
        prices: Price of one of each item behind it, shape (n_items,).
    """

    worths: Floats
    earned: float
    prices: Floats


class Nodes:
    """How many branch-and-bound nodes are left for all programs in numbers of boards together."""

    def __init__(self, left: int = ALL_NODES) -> None:
        """Start with all of them."""
        self.left = left

    def run(self, model: Any) -> None:
        """Run a program and take its nodes off."""
        model.setOptionValue("mip_max_nodes", max(1, min(MOST_NODES, self.left)))
        model.run()
        self.left -= max(1, int(model.getInfo().mip_node_count))


def cheapest_counts(
    core: Core,
    cuts: Sequence[CountCut],
    low: Integers,
    high: Sequence[int | None],
    *,
    from_cost: int,
    nodes: Nodes,
) -> int | None:
    """The least that whole numbers of boards cost that pass all cuts.

    Args:
        core: The problem.
        cuts: The cuts.
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin; None without limit.
        from_cost: It is known to be at least this, cost units.
        nodes: What is left of the work limit.

    Returns:
        The cost, cost units; `from_cost` where the program does not settle it; None where no numbers pass.
    """
    model, costs = _model(core, low, high)
    n_bins = len(core.bins)
    index = np.arange(n_bins, dtype=np.int32)
    infinity = float(model.getInfinity())
    for b in range(n_bins):
        model.changeColCost(b, float(costs[b]))
    model.addRow(float(from_cost), infinity, n_bins, index, costs)
    for cut in cuts:
        model.addRow(cut.earned * (1.0 - HAIR), infinity, n_bins, index, cut.worths)
    model.setOptionValue("mip_abs_gap", 0.5 * core.totals.step)
    nodes.run(model)
    status = model.modelStatusToString(model.getModelStatus())
    if status == "Infeasible":
        return None
    if status != "Optimal":
        return from_cost
    return core.totals.at_least(float(model.getInfo().mip_dual_bound))


def slackest_counts(
    core: Core,
    cuts: Sequence[CountCut],
    low: Integers,
    high: Sequence[int | None],
    *,
    cost: int,
    nodes: Nodes,
) -> Integers | None:
    """Of the numbers of boards that cost no more, the ones that pass the cuts with most to spare.

    Args:
        core: The problem.
        cuts: The cuts.
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin; None without limit.
        cost: Most cost, cost units.
        nodes: What is left of the work limit.

    Returns:
        How many of each bin, shape (n_bins,); None where none were found.
    """
    model, costs = _model(core, low, high)
    n_bins = len(core.bins)
    infinity = float(model.getInfinity())
    none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
    model.addCol(-1.0, 0.0, SCALE, 0, none, np.zeros(0))
    model.addRow(-infinity, float(cost), n_bins, np.arange(n_bins, dtype=np.int32), costs)
    index = np.arange(n_bins + 1, dtype=np.int32)
    for cut in cuts:
        scaled = cut.worths * (SCALE / cut.earned) if cut.earned > 0.0 else cut.worths
        floor = SCALE * (1.0 - HAIR) if cut.earned > 0.0 else 0.0
        model.addRow(floor, infinity, n_bins + 1, index, np.append(scaled, -1.0))
    nodes.run(model)
    if model.getInfo().primal_solution_status != 2:
        return None
    counts = np.rint(np.array(model.getSolution().col_value)[:n_bins]).astype(np.int64)
    return counts if int(counts @ np.array([bin_.cost for bin_ in core.bins])) <= cost else None


def _model(core: Core, low: Integers, high: Sequence[int | None]) -> tuple[Any, Floats]:
    model = quiet_highs()
    infinity = float(model.getInfinity())
    none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
    count = len(core.bins)
    for b, most in enumerate(high):
        model.addCol(0.0, float(low[b]), infinity if most is None else float(most), 0, none, np.zeros(0))
    model.changeColsIntegrality(count, np.arange(count, dtype=np.int32), np.full(count, 1, dtype=np.uint8))
    for option, setting in (
        ("mip_rel_gap", 0.0), ("mip_abs_gap", 1e-6),
        ("mip_feasibility_tolerance", 1e-9), ("primal_feasibility_tolerance", 1e-9),
    ):  # fmt: skip
        model.setOptionValue(option, setting)
    return model, np.array([float(bin_.cost) for bin_ in core.bins])
