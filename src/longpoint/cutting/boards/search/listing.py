"""Complete enumeration: every pattern that a better plan could contain.

In a plan that costs at most Z every pattern's reduced cost is at most Z less the relaxation's value. If those
patterns can be listed, an integer program over the list decides whether such a plan exists; so where something else
than money is gained.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column, Pricer, Takes

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Listed = list[tuple[float, Takes]]

MOST_COLUMNS = 40_000
STEPS = 60_000_000


def list_columns(
    pricer: Pricer,
    *,
    prices: Floats,
    needs: Floats,
    demand: Integers,
    most: int = MOST_COLUMNS,
    steps: int = STEPS,
) -> list[Column] | None:
    """Every pattern worth more than its bin needs.

    A pattern that could take one more part is left out: its fuller brother does all it does.

    Args:
        pricer: The pricer of the problem.
        prices: Price of each item, shape (n_items,).
        needs: What a pattern of each bin must be worth, shape (n_bins,).
        demand: How many of each item, shape (n_items,).
        most: Most patterns.
        steps: Most search steps of one stick.

    Returns:
        The patterns; None where there are too many to list or to search through.
    """
    core: Core = pricer.core
    # Items without a price must be listed too; a whisper of a price keeps them in the search.
    heard = np.maximum(prices, 1e-9 * max(1.0, float(max(bin_.cost for bin_ in core.bins))))
    listed: dict[Column, None] = {}
    for b, bin_ in enumerate(core.bins):
        several = len(bin_.sticks) > 1
        lies = put_together(
            pricer.stick_bounds(b, heard, demand) if several else [0.0],
            lambda s, need, b=b: pricer.list_stick(  # type: ignore[misc]
                b, s, heard, demand, need, most=most - len(listed), steps=steps
            ),
            need=float(needs[b]),
            most=most - len(listed),
        )
        if lies is None:
            return None
        for sticks in lies:
            gives: Counter[int] = Counter()
            for takes in sticks:
                gives.update(dict(takes))
            # More than is wanted is never cut.
            capped = tuple(sorted((i, min(count, int(demand[i]))) for i, count in gives.items()))
            if capped:
                listed[Column(b, capped, sticks)] = None
        if len(listed) >= most:
            return None
    return list(listed)


def put_together(
    bounds: Sequence[float],
    list_stick: Callable[[int, float], Listed | None],
    *,
    need: float,
    most: int,
) -> list[tuple[Takes, ...]] | None:
    """What the sticks of a board may hold together and be worth more than a need.

    Args:
        bounds: What each stick is worth at most; of a single one it does not matter.
        list_stick: (stick, need) -> value and takes of all that is worth more; None where that is too much.
        need: What the board must be worth.
        most: Most ways.

    Returns:
        What lies on each stick, every way; None where there are too many.
    """
    total = reach = sum(bounds)
    partial: list[tuple[float, tuple[Takes, ...]]] = [(0.0, ())]
    for s, bound in enumerate(bounds):
        found = list_stick(s, need - (total - bound))
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
    return [sticks for _, sticks in partial]
