"""From the core to patterns with a proof: bound, dives, and what closes the gap that is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.branch import Limits, branch_on_counts
from longpoint.cutting.boards.core import Core
from longpoint.cutting.boards.count_proof import CountRows, prove_counts
from longpoint.cutting.boards.dive import dive
from longpoint.cutting.boards.hand import plan_by_hand, total_cost
from longpoint.cutting.boards.listed_proof import ListedTree, prove_by_listing
from longpoint.cutting.boards.listing import list_columns
from longpoint.cutting.boards.master import integer_master
from longpoint.cutting.boards.mend import mend
from longpoint.cutting.boards.pricing import Column, Pricer
from longpoint.cutting.boards.relaxation import TINY, Relaxation, Relaxed
from longpoint.cutting.boards.values import Spent
from longpoint.cutting.quiet import SolverStopped

ROOT_DIVES = 3
MORE_DIVES = 8
MENDS, HEAVY_MENDS = 12, 3  # descents that release some boards of the plan
NODES = 1_500
BRANCH_DIVES = 40
MASTER_NODES = 4_000
MASTER_WORK = (
    600_000  # nodes × patterns of the integer program: a node over thousands takes a tenth of a second
)
MOST_BRANCHED_BINS = 12
ORDINARY_LOAD = 2_000.0
LEAST_SHARE_TO_LIST = 0.05
HEAVY_SHARE = 0.01  # of the ordinary limits: below it steps are settled many at a time
HEAVY_WITHIN = 0.0015  # a heavy problem stops pricing once its bound is this near
HEAVY_STRIDE = 0.12
ROUNDS, BRANCH_ROUNDS, HEAVY_ROUNDS = 40, 20, 2  # of pricing at each step of a dive


@dataclass(frozen=True, slots=True)
class Solved:
    """Patterns with their proof.

    Attributes:
        columns: One per board; None where no plan was found.
        cost: Their cost, cost units.
        bound: Value of the relaxation, cost units.
        least: No plan costs less, cost units.
        proof: How that is known: by the certificate, or by what `counted` or `listed` holds.
        prices: Item prices of the root relaxation, shape (n_items,).
        charges: Bin charges of the root relaxation, shape (n_bins,).
        impossible: Whether the boards at hand are proven too few.
        spent: How much was done.
        pool: Patterns met on the way.
        counted: The proof by numbers of boards; None where there is none.
        listed: The proof by listed patterns; None where there is none.
    """

    columns: tuple[Column, ...] | None
    cost: int
    bound: float
    least: int
    proof: str
    prices: npt.NDArray[np.float64]
    charges: npt.NDArray[np.float64]
    impossible: bool
    spent: Spent
    pool: tuple[Column, ...] = ()
    counted: CountRows | None = None
    listed: ListedTree | None = None


def _share_of_work(core: Core) -> float:
    """How much of the ordinary limits a large problem gets: each of its steps costs more, and it needs fewer."""
    parts = sum(item.demand for item in core.items)
    load = len(core.items) * len(core.bins) * (1.0 + parts / 500.0)
    return min(1.0, (ORDINARY_LOAD / load) ** 2)


def solve_core(core: Core, *, effort: int = 1) -> Solved:
    """Least cost, with its proof where the work limit allows.

    Args:
        core: The problem.
        effort: Work limit; 1 is the ordinary one.

    Returns:
        The patterns and what is known about them.
    """
    try:
        return _solve(core, effort)
    except SolverStopped:  # no method of linear programs gave an answer: the hand's plan, and nothing claimed
        plan = plan_by_hand(core)
        none_p, none_c = np.zeros(len(core.items)), np.zeros(len(core.bins))
        cost = 0 if plan is None else total_cost(core, plan)
        return Solved(None if plan is None else tuple(plan), cost, 0.0, 0, "", none_p, none_c, False, Spent())


def _solve(core: Core, effort: int) -> Solved:
    """The whole search."""
    pricer = Pricer(core)
    relaxation = Relaxation(core, pricer)
    best = plan_by_hand(core)
    for column in dict.fromkeys(best or []):
        relaxation.add(column)
    demand = relaxation.demand.copy()
    low = relaxation.low.copy()
    high = list(relaxation.high)
    share = effort * _share_of_work(core)
    heavy = share <= HEAVY_SHARE
    many = len(core.bins) > MOST_BRANCHED_BINS
    root = relaxation.solve(within=(HEAVY_WITHIN if many else HEAVY_WITHIN / 2) if heavy else 0.0, whole=True)
    nodes = dives = 0
    if root.unmet > TINY and best is None:
        spent = Spent(len(relaxation.columns), pricer.pricings)
        return Solved(None, 0, root.bound, 0, "", root.prices, root.charges, root.is_hopeless, spent)
    least = core.totals.at_least(root.bound)
    ceiling = 4 * (sum(bin_.cost for bin_ in core.bins) + 1) * (int(demand.sum()) + 1)
    cost = total_cost(core, best) if best is not None else ceiling
    avoid: set[Column] = set()
    proof = "bound"
    enumerated = 0
    counted: CountRows | None = None
    listed: ListedTree | None = None

    def descend(times: int) -> None:
        nonlocal best, cost, dives
        for _ in range(times):
            if cost <= least:
                return
            dives += 1
            plan, first = dive(
                relaxation, demand=demand, low=low, high=high, below=cost, target=least,
                avoid=frozenset(avoid),
                rounds=rounds, stride=HEAVY_STRIDE if heavy else 0.0,
            )  # fmt: skip
            avoid.update(first[:1])
            if plan is not None and total_cost(core, plan) < cost:
                best, cost = plan, total_cost(core, plan)

    def close(limits: Limits, ceiling: int) -> tuple[list[Column] | None, bool]:
        return settle(limits, ceiling)[:2]

    def settle(limits: Limits, ceiling: int) -> tuple[list[Column] | None, bool, Relaxed]:
        """The best plan below a ceiling within some counts, by listing every pattern it could contain."""
        nonlocal enumerated
        relaxation.set_bin_bounds(*limits)
        answer = relaxation.solve()
        gap = ceiling - core.totals.step - answer.bound
        patterns = list_columns(
            pricer, prices=answer.prices, charges=answer.charges, demand=demand, gap=max(gap, 0.0)
        )
        relaxation.set_bin_bounds(low, high)
        if patterns is None:
            return None, False, answer
        enumerated += len(patterns)
        mastered = integer_master(
            core,
            patterns,
            demand=demand,
            low=limits[0],
            high=limits[1],
            below=ceiling,
            nodes=effort * min(MASTER_NODES, max(1, MASTER_WORK // max(1, len(patterns)))),
        )
        return mastered.columns, mastered.complete, answer

    branches = 1 < len(core.bins) <= MOST_BRANCHED_BINS
    rounds = HEAVY_ROUNDS if heavy else BRANCH_ROUNDS if branches else ROUNDS
    if heavy or not branches:
        descend(1 if branches else max(1, int(ROOT_DIVES * share)))
    most_dives = int(BRANCH_DIVES * share)
    if cost > least and branches and most_dives:
        branched = branch_on_counts(
            relaxation,
            demand=demand,
            root=(low, high),
            root_bound=root.bound,
            cost=cost,
            most_nodes=int(NODES * share),
            most_dives=most_dives,
            rounds=rounds,
            close=close,
        )
        nodes, dives = branched.nodes, dives + branched.dives
        if branched.columns is not None:
            best, cost = branched.columns, total_cost(core, branched.columns)
        if branched.least > least:
            counted = prove_counts(core, relaxation.cuts, branched.least - core.totals.step, floor=least)
            if counted is not None:
                least, proof = max(least, core.totals.at_least(counted.over + 1)), "branching"
        descend(1)
    if cost > least and share > LEAST_SHARE_TO_LIST:
        plan, certain, answer = settle((low, high), cost)
        if answer.bound > root.bound:
            root = answer
        if plan is not None and total_cost(core, plan) < cost:
            best, cost = plan, total_cost(core, plan)
        if certain:
            listed = prove_by_listing(core, answer.prices, answer.charges, cost)
            if listed is not None:
                least, proof = cost, "enumeration" if listed.tree else "bound"
    if best is not None and cost > least and not many:
        mended, made = mend(
            relaxation, best, prices=root.prices, least=least, low=low, high=high, rounds=BRANCH_ROUNDS,
            tries=(HEAVY_MENDS if heavy else MENDS) * effort,
        )  # fmt: skip
        dives += made
        if total_cost(core, mended) < cost:
            best, cost = mended, total_cost(core, mended)
    descend(int(MORE_DIVES * share))
    spent = Spent(len(relaxation.columns), pricer.pricings, dives, nodes, enumerated)
    return Solved(
        tuple(best) if best is not None else None,
        cost, root.bound, least, proof if best is not None and cost <= least else "",
        root.prices, root.charges, False, spent,
        tuple(column for column in relaxation.columns if column.takes),
        counted, listed,
    )  # fmt: skip
