"""Complete enumeration: every pattern that a cheaper plan could contain.

In a plan that costs at most Z every pattern's reduced cost is at most Z less the relaxation's value. If those
patterns can be listed, an integer program over the list decides whether such a plan exists.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from longpoint.cutting.core import Core
from longpoint.cutting.pricing import FINE, Column, Pricer

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

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
        The patterns; None where there are too many to list, or boards have several sticks.
    """
    core: Core = pricer.core
    if any(len(bin_.sticks) != 1 for bin_ in core.bins):
        return None
    # Items without a price must be listed too; a whisper of a price keeps them in the search.
    whisper = 1e-9 * max(1.0, float(max(bin_.cost for bin_ in core.bins)))
    needs = np.array([float(bin_.cost) for bin_ in core.bins]) + charges - gap - 1e-7 * (1 + abs(gap))
    listed: dict[Column, None] = {}
    for b in range(len(core.bins)):
        found = pricer.list_stick(
            b,
            np.maximum(prices, whisper),
            demand,
            float(needs[b]),
            level=FINE,
            most=most - len(listed),
            steps=steps,
        )
        if found is None:
            return None
        listed.update(dict.fromkeys(found))
        if len(listed) >= most:
            return None
    return list(listed)
