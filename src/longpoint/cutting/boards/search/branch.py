"""Branching on how many boards of each length are taken.

Whole numbers of boards have a whole price. The cheapest numbers that pass every cut the prices have left (see
`count_cuts`) are looked up; the relaxation under exactly these numbers either leaves a cut that they do not pass, or
has an answer, and then a descent under these numbers fills them, which proves their cost least. Numbers that no
descent can fill are set apart, the rest of the box around them being split.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.proof.count_cuts import Nodes, cheapest_counts, slackest_counts
from longpoint.cutting.boards.search.dive import dive
from longpoint.cutting.boards.search.hand import total_cost
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.boards.search.relaxation import TINY, Relaxation

Integers = npt.NDArray[np.int64]

DESCENTS = 3  # under the same numbers of boards: each leaves patterns for the next
NEAR = (
    2e-6  # a gap of this share is not worth closing: prices of very many digits hardly ever meet their bound
)
TURNS = 8  # of a descent that fails

Limits = tuple[Integers, list[int | None]]


@dataclass(frozen=True, slots=True)
class Settled:
    """Numbers of boards settled by listing.

    Attributes:
        columns: The best plan below the ceiling; None where none was found.
        certain: Whether there is no better one.
        listed: Patterns listed.
    """

    columns: list[Column] | None
    certain: bool
    listed: int


Closer = Callable[[Limits, int], Settled]


@dataclass(frozen=True, slots=True)
class Branched:
    """What branching came to.

    Attributes:
        columns: The best plan, None where none better than the given one was found.
        least: No plan costs less, cost units.
        nodes: Numbers of boards looked at.
        dives: Descents made.
        listed: Patterns listed.
    """

    columns: list[Column] | None
    least: int
    nodes: int
    dives: int
    listed: int = 0


def branch_on_counts(
    relaxation: Relaxation,
    *,
    demand: Integers,
    root: Limits,
    root_bound: float,
    cost: int,
    most_nodes: int,
    most_dives: int,
    rounds: int,
    close: Closer | None = None,
) -> Branched:
    """Best-first branching on board counts.

    Args:
        relaxation: The pool with the cuts met; its demand and bounds are put back afterwards.
        demand: How many of each item, shape (n_items,).
        root: Least and most boards of each bin at the root.
        root_bound: Value of the root relaxation.
        cost: Cost of the best plan known.
        most_nodes: Limit of numbers of boards looked at.
        most_dives: Limit of descents.
        rounds: Most rounds of pricing at each step of a descent.
        close: Settles one vector of counts for good below a cost.

    Returns:
        The best plan found and what is proven.
    """
    core = relaxation.core
    best: list[Column] | None = None
    heap: list[tuple[int, int, Integers, list[int | None]]] = []
    heapq.heappush(heap, (core.totals.at_least(root_bound), 0, root[0].copy(), list(root[1])))
    pushed = 1
    nodes = dives = listed = 0
    programs = Nodes()
    open_bound = math.inf  # least cost of numbers of boards that could not be settled
    try:
        while heap and nodes < most_nodes and programs.left > 0:
            bound, number, low, high = heapq.heappop(heap)
            if bound >= cost - math.floor(NEAR * cost) or (bound >= open_bound and dives >= most_dives):
                heapq.heappush(heap, (bound, number, low, high))
                break
            nodes += 1
            here = cheapest_counts(core, relaxation.cuts, low, high, from_cost=bound, nodes=programs)
            if here is None or here >= cost:
                continue
            if here > bound:
                heapq.heappush(heap, (here, number, low, high))
                continue
            counts = slackest_counts(core, relaxation.cuts, low, high, cost=here, nodes=programs)
            if counts is None:
                open_bound = min(open_bound, here)
                continue
            exactly: list[int | None] = [int(count) for count in counts]
            relaxation.set_bin_bounds(counts, exactly)
            answer = relaxation.solve(stop_above=here + 0.5 * core.totals.step, enough=here + 1e-6)
            if answer.bound > here + 1e-4 * core.totals.step and _is_cut_off(relaxation, counts):
                heapq.heappush(heap, (here, number, low, high))
                continue
            certain = False
            if answer.unmet <= TINY:
                avoid: set[Column] = set()
                for _ in range(DESCENTS):
                    if dives >= most_dives or cost <= here:
                        break
                    dives += 1
                    plan, first = dive(
                        relaxation, demand=demand, low=counts, high=exactly, below=min(cost, here + core.totals.step),
                        target=here, rounds=rounds, turns=TURNS, avoid=frozenset(avoid),
                    )  # fmt: skip
                    avoid.update(first[:1])
                    if plan is not None and total_cost(core, plan) < cost:
                        best, cost = plan, total_cost(core, plan)
                if cost <= here:
                    heapq.heappush(heap, (here, number, low, high))
                    continue
                if close is not None:
                    settled = close((counts, exactly), cost)
                    certain, listed = settled.certain, listed + settled.listed
                    if settled.columns is not None and total_cost(core, settled.columns) < cost:
                        best, cost = settled.columns, total_cost(core, settled.columns)
            if not certain:
                open_bound = min(open_bound, here)
            for child_low, child_high in _around(counts, low, high):
                heapq.heappush(heap, (here, pushed, child_low, child_high))
                pushed += 1
    finally:
        relaxation.set_bin_bounds(root[0], root[1])
    least = min([open_bound, float(cost), *(float(entry[0]) for entry in heap)])
    return Branched(best, int(least), nodes, dives, listed)


def _is_cut_off(relaxation: Relaxation, counts: Integers) -> bool:
    """Whether some cut is not passed by these numbers: looking further cannot come back to them."""
    return any(float(cut.worths @ counts) < cut.earned * (1.0 - 1e-8) for cut in relaxation.cuts)


def _around(
    counts: Integers, low: Integers, high: list[int | None]
) -> list[tuple[Integers, list[int | None]]]:
    """The box without one point, as boxes that do not overlap."""
    boxes: list[tuple[Integers, list[int | None]]] = []
    low, high = low.copy(), list(high)
    for b, count in enumerate(int(count) for count in counts):
        most = high[b]
        if count > low[b]:
            below = list(high)
            below[b] = count - 1
            boxes.append((low.copy(), below))
        if most is None or count < most:
            above = low.copy()
            above[b] = count + 1
            boxes.append((above, list(high)))
        low[b] = count
        high[b] = count
    return boxes
