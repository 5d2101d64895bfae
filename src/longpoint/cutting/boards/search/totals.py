"""Which totals some boards can cost at all: between two of them no plan can lie."""

from __future__ import annotations

import math
from collections.abc import Iterable

MOST_BITS = 8_000_000


class Totals:
    """The sums that whole numbers of boards can reach, found as far as they are asked for."""

    def __init__(self, costs: Iterable[tuple[int, int | None]]) -> None:
        """Keep the costs.

        Args:
            costs: (cost, how many or None) of each bin, cost units.
        """
        merged: dict[int, int | None] = {}
        for cost, limit in costs:
            before = merged.get(cost, 0)
            merged[cost] = None if limit is None or before is None else before + limit
        self._costs = sorted((cost, limit) for cost, limit in merged.items() if cost > 0)
        self.step = math.gcd(*(cost for cost, _ in self._costs)) or 1
        self._ceiling = 0
        self._reached = 1

    def at_least(self, value: float) -> int:
        """The least total that is not below a value, with a hair of slack for rounding.

        Args:
            value: The value, cost units.

        Returns:
            The total; where finding it would take too long, the next multiple of the common step.
        """
        slack = 1e-6 * max(1.0, abs(value) * 1e-3)
        whole = max(0, math.ceil((value - slack) / self.step))
        if not self._costs:
            return whole * self.step
        reach = whole + self._costs[-1][0] // self.step
        if reach > MOST_BITS:
            return whole * self.step
        if reach > self._ceiling:
            self._find(min(MOST_BITS, 2 * reach))
        above = self._reached >> whole
        if above == 0:
            return whole * self.step
        return (whole + (above & -above).bit_length() - 1) * self.step

    def _find(self, ceiling: int) -> None:
        mask = (1 << (ceiling + 1)) - 1
        reached = 1
        for cost, limit in self._costs:
            shift = cost // self.step
            left = ceiling // shift if limit is None else min(limit, ceiling // shift)
            bundle = 1
            while left > 0:
                take = min(bundle, left)
                reached |= (reached << (take * shift)) & mask
                left -= take
                bundle *= 2
        self._ceiling, self._reached = ceiling, reached
