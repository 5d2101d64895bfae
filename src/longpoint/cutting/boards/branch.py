"""Branching on how many boards of each length are taken.

Whole numbers of boards have a whole price. Once the counts are whole in the relaxation its value is the price
of real boards, and a descent under those counts either reaches it, which proves it least, or the counts are
set aside one vector at a time.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.dive import dive
from longpoint.cutting.boards.hand import total_cost
from longpoint.cutting.boards.pricing import Column
from longpoint.cutting.boards.relaxation import TINY, Relaxation

Integers = npt.NDArray[np.int64]

TURNS = 4  # of a descent that fails

Limits = tuple[Integers, list[int | None]]
Closer = Callable[[Limits, int], tuple[list[Column] | None, bool]]


@dataclass(frozen=True, slots=True)
class Branched:
    """What branching came to.

    Attributes:
        columns: The best plan, None where none better than the given one was found.
        least: No plan costs less, cost units.
        nodes: Nodes looked at.
        dives: Descents made.
    """

    columns: list[Column] | None
    least: int
    nodes: int
    dives: int


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
        relaxation: The pool; its demand and bounds are put back afterwards.
        demand: How many of each item, shape (n_items,).
        root: Least and most boards of each bin at the root.
        root_bound: Value of the root relaxation.
        cost: Cost of the best plan known.
        most_nodes: Node limit.
        most_dives: Limit of descents.
        rounds: Most rounds of pricing at each step of a descent.
        close: Settles one vector of counts for good: best plan below a cost, and whether it is certain.

    Returns:
        The best plan found and what is proven.
    """
    core = relaxation.core
    best: list[Column] | None = None
    heap: list[tuple[int, int, Integers, list[int | None]]] = []
    heapq.heappush(heap, (core.totals.at_least(root_bound), 0, root[0].copy(), list(root[1])))
    pushed = 1
    nodes = dives = 0
    open_bound = math.inf  # least bound of the vectors that could not be settled
    try:
        while heap and nodes < most_nodes:
            bound, _, low, high = heapq.heappop(heap)
            if bound >= min(cost, open_bound):
                heapq.heappush(heap, (bound, pushed, low, high))
                break
            nodes += 1
            relaxation.set_bin_bounds(low, high)
            answer = relaxation.solve(stop_above=float(cost), whole=True)
            here = max(bound, core.totals.at_least(answer.bound))
            if answer.is_hopeless or here >= cost:
                continue
            if answer.unmet > TINY:
                open_bound = min(open_bound, here)
                continue
            counts = _counts(relaxation, answer.x)
            split = _most_fractional(core.bins, counts)
            if split is not None:
                b, value = split
                below_high, above_low = list(high), low.copy()
                below_high[b], above_low[b] = math.floor(value), math.ceil(value)
                for child_low, child_high in ((low, below_high), (above_low, high)):
                    heapq.heappush(heap, (here, pushed, child_low.copy(), list(child_high)))
                    pushed += 1
                continue
            whole = np.rint(counts).astype(np.int64)
            if dives < most_dives:
                dives += 1
                plan, _ = dive(
                    relaxation, demand=demand, low=low, high=high, below=cost, rounds=rounds, turns=TURNS
                )
                if plan is not None and total_cost(core, plan) < cost:
                    best, cost = plan, total_cost(core, plan)
                    if here >= cost:
                        continue
            loose = [b for b in range(len(core.bins)) if high[b] is None or low[b] < (high[b] or 0)]
            if not loose:
                plan, certain = close((low, high), cost) if close is not None else (None, False)
                if plan is not None and total_cost(core, plan) < cost:
                    best, cost = plan, total_cost(core, plan)
                if not certain:
                    open_bound = min(open_bound, here)
                continue
            # Set these counts apart: below them, above them, or exactly them, one bin at a time.
            b = max(loose, key=lambda b: (core.bins[b].cost, -b))
            for child_low_b, child_high_b in (
                (int(low[b]), int(whole[b]) - 1),
                (int(whole[b]), int(whole[b])),
                (int(whole[b]) + 1, high[b]),
            ):
                if child_high_b is not None and child_high_b < child_low_b:
                    continue
                child_low, child_high = low.copy(), list(high)
                child_low[b], child_high[b] = child_low_b, child_high_b
                heapq.heappush(heap, (here, pushed, child_low, child_high))
                pushed += 1
    finally:
        relaxation.set_bin_bounds(root[0], root[1])
    least = min([open_bound, float(cost), *(float(entry[0]) for entry in heap)])
    return Branched(best, int(least), nodes, dives)


def _counts(relaxation: Relaxation, x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    counts = np.zeros(len(relaxation.core.bins))
    for k in np.flatnonzero(x > 1e-9):
        counts[relaxation.columns[int(k)].bin] += x[k]
    return counts


def _most_fractional(bins: tuple[object, ...], counts: npt.NDArray[np.float64]) -> tuple[int, float] | None:
    best, best_distance = -1, 1e-6
    for b in range(len(bins)):
        distance = abs(counts[b] - round(counts[b]))
        if distance > best_distance + 1e-9:
            best, best_distance = b, distance
    return (best, float(counts[best])) if best >= 0 else None
