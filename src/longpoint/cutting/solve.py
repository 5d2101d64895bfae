"""From the core to patterns with a proof: bound, dives, and what closes the gap that is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.core import Core
from longpoint.cutting.dive import dive
from longpoint.cutting.hand import plan_by_hand, total_cost
from longpoint.cutting.pricing import Column, Pricer
from longpoint.cutting.relaxation import TINY, Relaxation
from longpoint.cutting.values import Work

DIVES = 6


@dataclass(frozen=True, slots=True)
class Solved:
    """Patterns with their proof.

    Attributes:
        columns: One per board; None where no plan was found.
        cost: Their cost, cost units.
        bound: Value of the relaxation, cost units.
        least: No plan costs less, cost units.
        proof: How that is known.
        prices: Item prices of the root relaxation, shape (n_items,).
        charges: Bin charges of the root relaxation, shape (n_bins,).
        impossible: Whether the boards at hand are proven too few.
        work: How much was done.
    """

    columns: tuple[Column, ...] | None
    cost: int
    bound: float
    least: int
    proof: str
    prices: npt.NDArray[np.float64]
    charges: npt.NDArray[np.float64]
    impossible: bool
    work: Work


def solve_core(core: Core, *, effort: int = 1) -> Solved:
    """Least cost, with its proof where the work limit allows.

    Args:
        core: The problem.
        effort: Work limit; 1 is the ordinary one.

    Returns:
        The patterns and what is known about them.
    """
    pricer = Pricer(core)
    relaxation = Relaxation(core, pricer)
    best = plan_by_hand(core)
    for column in dict.fromkeys(best or []):
        relaxation.add(column)
    demand = relaxation.demand.copy()
    low = relaxation.low.copy()
    high = list(relaxation.high)
    root = relaxation.solve()
    nodes = dives = 0
    if root.unmet > TINY:
        work = Work(len(relaxation.columns), pricer.pricings, relaxation.solves, dives, nodes)
        return Solved(None, 0, root.bound, 0, "", root.prices, root.charges, True, work)
    least = core.totals.at_least(root.bound)
    ceiling = 4 * (sum(bin_.cost for bin_ in core.bins) + 1) * (int(demand.sum()) + 1)
    cost = total_cost(core, best) if best is not None else ceiling
    avoid: set[Column] = set()
    while cost > least and dives < DIVES * effort:
        dives += 1
        plan, first = dive(relaxation, demand=demand, low=low, high=high, below=cost, avoid=frozenset(avoid))
        avoid.update(first[:1])
        if plan is not None and total_cost(core, plan) < cost:
            best, cost = plan, total_cost(core, plan)
    work = Work(len(relaxation.columns), pricer.pricings, relaxation.solves, dives, nodes)
    proof = "bound" if best is not None and cost <= least else ""
    return Solved(
        tuple(best) if best is not None else None,
        cost, root.bound, least, proof, root.prices, root.charges, False, work,
    )  # fmt: skip
