"""An uncertain number as it is shown: from, most likely, to."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """An uncertain number, shown as the middle one and from–to.

    Attributes:
        low: From.
        middle: Most likely.
        high: To.
    """

    low: float
    middle: float
    high: float

    def times(self, factor: float) -> Range:
        """The same range on another scale.

        Args:
            factor: Not below 0. [1]

        Returns:
            Every end multiplied.
        """
        return Range(self.low * factor, self.middle * factor, self.high * factor)
