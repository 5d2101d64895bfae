"""From the core to patterns with a proof: bound, dives, and what closes the gap that is left."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.count_proof import CountRows, prove_counts
from longpoint.cutting.boards.proof.listed_proof import ListedTree, prove_by_listing
from longpoint.cutting.boards.search.branch import Limits, Settled, branch_on_counts
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.dive import dive
from longpoint.cutting.boards.search.hand import plan_by_hand, total_cost
from longpoint.cutting.boards.search.listing import list_columns
from longpoint.cutting.boards.search.long_list import begin, is_long
from longpoint.cutting.boards.search.master import integer_master
from longpoint.cutting.boards.search.pricing import Column, Pricer
from longpoint.cutting.boards.search.relaxation import TINY, Relaxation, Relaxed
from longpoint.cutting.boards.values import Spent
from longpoint.cutting.quiet import SolverStopped

ROOT_DIVES = 3
MORE_DIVES = 8
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
        return (_solve_long(core, effort) if is_long(core) else None) or _solve(core, effort)
    except SolverStopped:  # no method of linear programs gave an answer: the hand's plan, and nothing claimed
        plan = plan_by_hand(core)
        none_p, none_c = np.zeros(len(core.items)), np.zeros(len(core.bins))
        cost = 0 if plan is None else total_cost(core, plan)
        return Solved(None if plan is None else tuple(plan), cost, 0.0, 0, "", none_p, none_c, False, Spent())


def _solve_long(core: Core, effort: int) -> Solved | None:
    """A long list begun by prices of like lengths, the rest of it searched; None where that gives no plan."""
    begun = begin(core)
    if begun is None:
        return None
    columns: tuple[Column, ...] = ()
    spent = Spent(*begun.spent)
    if begun.rest.items:
        rest = _solve(begun.rest, effort)
        if rest.columns is None:
            return None
        columns = rest.columns
        spent = replace(
            rest.spent,
            columns=spent.columns + rest.spent.columns,
            pricings=spent.pricings + rest.spent.pricings,
        )
    plan = (*begun.columns, *begun.whole(columns))
    cost, root = total_cost(core, list(plan)), begun.root
    least = min(cost, core.totals.at_least(root.bound))
    proof = "bound" if cost <= least else ""
    return Solved(plan, cost, root.bound, least, proof, root.prices, root.charges, False, spent)


@dataclass(frozen=True, slots=True)
class _Task:
    """What is solved, and how much may be spent on it.

    Attributes:
        core: The problem.
        relaxation: The pool and the linear program over it.
        demand: How many of each item, shape (n_items,).
        limits: Least and most boards of each bin.
        effort: Work limit.
        share: How much of the ordinary limits the problem gets.
    """

    core: Core
    relaxation: Relaxation
    demand: npt.NDArray[np.int64]
    limits: Limits
    effort: int
    share: float

    @property
    def is_heavy(self) -> bool:
        return self.share <= HEAVY_SHARE

    @property
    def branches(self) -> bool:
        return 1 < len(self.core.bins) <= MOST_BRANCHED_BINS

    @property
    def rounds(self) -> int:
        return HEAVY_ROUNDS if self.is_heavy else BRANCH_ROUNDS if self.branches else ROUNDS


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known so far: the best plan, its cost, the bound with what shows it, and what was done."""

    best: list[Column] | None
    cost: int
    least: int
    root: Relaxed
    proof: str = "bound"
    counted: CountRows | None = None
    listed: ListedTree | None = None
    avoid: frozenset[Column] = frozenset()
    dives: int = 0
    nodes: int = 0
    enumerated: int = 0

    def with_plan(self, core: Core, plan: list[Column] | None) -> _Known:
        """The same with a plan where that costs less."""
        if plan is None or total_cost(core, plan) >= self.cost:
            return self
        return replace(self, best=plan, cost=total_cost(core, plan))


def _solve(core: Core, effort: int) -> Solved:
    """The whole search."""
    pricer = Pricer(core)
    relaxation = Relaxation(core, pricer)
    best = plan_by_hand(core)
    for column in dict.fromkeys(best or []):
        relaxation.add(column)
    limits = (relaxation.low.copy(), list(relaxation.high))
    share = effort * _share_of_work(core)
    task = _Task(core, relaxation, relaxation.demand.copy(), limits, effort, share)
    within = HEAVY_WITHIN if len(core.bins) > MOST_BRANCHED_BINS else HEAVY_WITHIN / 2
    root = relaxation.solve(within=within if task.is_heavy else 0.0, whole=True)
    if root.unmet > TINY and best is None:
        spent = Spent(len(relaxation.columns), pricer.pricings)
        return Solved(None, 0, root.bound, 0, "", root.prices, root.charges, root.is_hopeless, spent)
    ceiling = 4 * (sum(bin_.cost for bin_ in core.bins) + 1) * (int(task.demand.sum()) + 1)
    cost = total_cost(core, best) if best is not None else ceiling
    known = _Known(best, cost, core.totals.at_least(root.bound), root)
    if task.is_heavy or not task.branches:
        known = _descended(task, known, 1 if task.branches else max(1, int(ROOT_DIVES * share)))
    if known.cost > known.least and task.branches and int(BRANCH_DIVES * share):
        known = _descended(task, _branched(task, known), 1)
    if known.cost > known.least and share > LEAST_SHARE_TO_LIST:
        known = _listed(task, known)
    known = _descended(task, known, int(MORE_DIVES * share))
    proven = known.best is not None and known.cost <= known.least
    return Solved(
        tuple(known.best) if known.best is not None else None,
        known.cost, known.root.bound, known.least, known.proof if proven else "",
        known.root.prices, known.root.charges, False,
        Spent(len(relaxation.columns), pricer.pricings, known.dives, known.nodes, known.enumerated),
        tuple(column for column in relaxation.columns if column.takes),
        known.counted, known.listed,
    )  # fmt: skip


def _descended(task: _Task, known: _Known, times: int) -> _Known:
    """What is known after so many descents; none where the bound is met."""
    for _ in range(times):
        if known.cost <= known.least:
            break
        plan, first = dive(
            task.relaxation, demand=task.demand, low=task.limits[0], high=task.limits[1], below=known.cost,
            target=known.least, avoid=known.avoid, rounds=task.rounds,
            stride=HEAVY_STRIDE if task.is_heavy else 0.0,
        )  # fmt: skip
        known = replace(known, dives=known.dives + 1, avoid=known.avoid | {*first[:1]})
        known = known.with_plan(task.core, plan)
    return known


def _branched(task: _Task, known: _Known) -> _Known:
    """What is known after branching on the numbers of boards."""
    core = task.core
    branched = branch_on_counts(
        task.relaxation, demand=task.demand, root=task.limits, root_bound=known.root.bound, cost=known.cost,
        most_nodes=int(NODES * task.share), most_dives=int(BRANCH_DIVES * task.share), rounds=task.rounds,
        close=lambda limits, ceiling: _settled(task, limits, ceiling)[0],
    )  # fmt: skip
    known = replace(
        known, nodes=branched.nodes, dives=known.dives + branched.dives, enumerated=branched.listed
    ).with_plan(core, branched.columns)
    if branched.least <= known.least:
        return known
    counted = prove_counts(core, task.relaxation.cuts, branched.least - core.totals.step, floor=known.least)
    if counted is None:
        return known
    least = max(known.least, core.totals.at_least(counted.over + 1))
    return replace(known, counted=counted, least=least, proof="branching")


def _listed(task: _Task, known: _Known) -> _Known:
    """What is known after every pattern of a cheaper plan was listed, where they are not too many."""
    core = task.core
    settled, answer = _settled(task, task.limits, known.cost)
    root = answer if answer.bound > known.root.bound else known.root
    known = replace(known, root=root, enumerated=known.enumerated + settled.listed)
    known = known.with_plan(core, settled.columns)
    if not settled.certain:
        return known
    tree = prove_by_listing(core, answer.prices, answer.charges, known.cost)
    if tree is None:
        return known
    return replace(known, listed=tree, least=known.cost, proof="enumeration" if tree.tree else "bound")


def _settled(task: _Task, limits: Limits, ceiling: int) -> tuple[Settled, Relaxed]:
    """The best plan below a ceiling within some counts, by listing every pattern it could contain."""
    core, relaxation = task.core, task.relaxation
    relaxation.set_bin_bounds(*limits)
    answer = relaxation.solve()
    gap = max(ceiling - core.totals.step - answer.bound, 0.0)
    patterns = list_columns(
        relaxation.pricer, prices=answer.prices, demand=task.demand,
        needs=relaxation.costs + answer.charges - gap - 1e-7 * (1 + gap),
    )  # fmt: skip
    relaxation.set_bin_bounds(*task.limits)
    if patterns is None:
        return Settled(None, certain=False, listed=0), answer
    mastered = integer_master(
        core, patterns, demand=task.demand, low=limits[0], high=limits[1], below=ceiling,
        nodes=task.effort * min(MASTER_NODES, max(1, MASTER_WORK // max(1, len(patterns)))),
    )  # fmt: skip
    return Settled(mastered.columns, certain=mastered.complete, listed=len(patterns)), answer
