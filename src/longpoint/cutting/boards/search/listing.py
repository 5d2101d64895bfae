"""Complete enumeration: every pattern that a cheaper plan could contain.

In a plan that costs at most Z every pattern's reduced cost is at most Z less the relaxation's value. If those
patterns can be listed, an integer program over the list decides whether such a plan exists.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column, Pricer

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Takes = tuple[tuple[int, int], ...]

MOST_COLUMNS = 40_000
STEPS = 60_000_000


def list_columns(
    pricer: Pricer,
    *,
    prices: Floats,
    charges: Floats,
    demand: Integers,
    gap: float,
    most: int = MOST_COLUMNS,
    steps: int = STEPS,
) -> list[Column] | None:
    """Every maximal pattern whose reduced cost is at most a gap.

    A pattern that could take one more part is left out: its fuller brother does all it does.

    Args:
        pricer: The pricer of the problem.
        prices: Price of each item, shape (n_items,).
        charges: Charge of each bin, shape (n_bins,).
        demand: How many of each item, shape (n_items,).
        gap: Largest reduced cost of interest, cost units.
        most: Most patterns.
        steps: Most search steps.

    Returns:
        The patterns; None where there are too many to list or to search through.
    """
    core: Core = pricer.core
    # Items without a price must be listed too; a whisper of a price keeps them in the search.
    whisper = 1e-9 * max(1.0, float(max(bin_.cost for bin_ in core.bins)))
    heard = np.maximum(prices, whisper)
    needs = np.array([float(bin_.cost) for bin_ in core.bins]) + charges - gap - 1e-7 * (1 + abs(gap))
    listed: dict[Column, None] = {}
    for b in range(len(core.bins)):
        found = _list_bin(pricer, b, heard, demand, float(needs[b]), most - len(listed), steps)
        if found is None:
            return None
        listed.update(dict.fromkeys(found))
        if len(listed) >= most:
            return None
    return list(listed)


def _list_bin(
    pricer: Pricer, b: int, prices: Floats, demand: Integers, need: float, most: int, steps: int
) -> list[Column] | None:
    """Patterns of one bin: those of its sticks, put together."""
    bounds = pricer.stick_bounds(b, prices, demand) if len(pricer.core.bins[b].sticks) > 1 else [0.0]
    total = sum(bounds)
    partial: list[tuple[float, tuple[Takes, ...]]] = [(0.0, ())]
    reach = total
    for s, bound in enumerate(bounds):
        found = pricer.list_stick(b, s, prices, demand, need - (total - bound), most=most, steps=steps)
        if found is None:
            return None
        # A stick may stay whole where the others are worth enough.
        choices = [*found, (0.0, ())]
        reach -= bound
        partial = [
            (value + more, (*sticks, takes))
            for value, sticks in partial
            for more, takes in choices
            if value + more + reach > need
        ]
        if len(partial) > most:
            return None
    columns: list[Column] = []
    for _, sticks in partial:
        whole: Counter[int] = Counter()
        for takes in sticks:
            whole.update(dict(takes))
        # More than is wanted is never cut.
        capped = tuple(sorted((i, min(count, int(demand[i]))) for i, count in whole.items()))
        if capped:
            columns.append(Column(b, capped, sticks))
    return columns
