"""Mending a plan: a few boards are taken apart again and their parts shared out anew for less money.

A descent decides its last boards with little left to choose from, and that is where it loses. The boards that waste
most at the prices of the relaxation are released together with some others, and a small descent of its own looks for
cheaper boards for their parts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.dive import dive
from longpoint.cutting.boards.hand import total_cost
from longpoint.cutting.boards.offcuts import without_surplus
from longpoint.cutting.boards.pricing import Column
from longpoint.cutting.boards.relaxation import Relaxation

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

RELEASED = 16


def mend(
    relaxation: Relaxation,
    plan: Sequence[Column],
    *,
    prices: Floats,
    least: int,
    low: Integers,
    high: Sequence[int | None],
    rounds: int,
    tries: int,
    released: int = RELEASED,
) -> tuple[list[Column], int]:
    """Release some boards at a time and look for cheaper ones.

    Args:
        relaxation: The pool; its demand and bounds are put back afterwards.
        plan: A pattern per board.
        prices: Price of each item, cost units, shape (n_items,).
        least: No plan costs less, cost units.
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin.
        rounds: Most rounds of pricing at each step of a descent.
        tries: Most descents.
        released: How many boards each of them releases, half of them the most wasteful.

    Returns:
        The plan, no dearer, and how many descents were made.
    """
    core = relaxation.core
    demand = relaxation.demand.copy()
    best = without_surplus(core, list(plan))
    made = shift = 0
    try:
        while made < tries and total_cost(core, best) > least:
            loose = _released(relaxation, best, prices, shift, released // 2)
            if not loose:
                break
            kept = [column for k, column in enumerate(best) if k not in loose]
            cost = total_cost(core, best) - total_cost(core, kept)
            used = Counter(column.bin for column in kept)
            wanted = demand.copy()
            for column in kept:
                for i, count in column.takes:
                    wanted[i] -= count
            made += 1
            found, _ = dive(
                relaxation,
                demand=np.maximum(wanted, 0),
                low=np.maximum(low - np.array([used[b] for b in range(len(core.bins))], dtype=np.int64), 0),
                high=[None if most is None else most - used[b] for b, most in enumerate(high)],
                below=cost,
                target=cost - core.totals.step,
                rounds=rounds,
                turns=2,
            )
            shift += 1
            if found is not None and total_cost(core, found) < cost:
                best, shift = without_surplus(core, [*kept, *found]), 0
    finally:
        relaxation.set_demand(demand)
        relaxation.set_bin_bounds(low, list(high))
    return best, made


def _released(relaxation: Relaxation, plan: list[Column], prices: Floats, shift: int, half: int) -> set[int]:
    """The most wasteful boards, and after the first turn half of them exchanged for the next ones in order."""
    costs = relaxation.costs

    def waste(k: int) -> float:
        column = plan[k]
        return float(costs[column.bin]) - sum(float(prices[i]) * count for i, count in column.takes)

    order = sorted(range(len(plan)), key=lambda k: (-round(waste(k), 6), k))
    begin = half * (1 + shift)
    if begin >= len(order) and shift:
        return set()
    return {*order[:half], *order[begin : begin + half]}
