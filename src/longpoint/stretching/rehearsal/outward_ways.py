"""Ways of going outwards from the middles that an improvement tries, each a small change away from others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal.orders import Order, Place
from longpoint.stretching.rehearsal.orders_usual import EVEN, middles_outward
from longpoint.stretching.rehearsal.tuck import waiting_for_corners

#: Pull at corner staples that go in before the middles, before it is fitted. Estimate.
CORNERS_LIGHT = 0.5
_RUNS = {1: "one by one", 2: "in twos", 3: "in threes"}


_IMPROVED = ", improved"


def improved_name(order: str) -> str:
    """What an order is called once it is improved."""
    return f"{order}{_IMPROVED}"


def before_improving(order: str) -> str:
    """What an order was called before it was improved; "" where it was not."""
    return order.removesuffix(_IMPROVED) if order.endswith(_IMPROVED) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutwardWay:
    """One way of going outwards.

    Attributes:
        run: Staples in a run, 1 to 3.
        holding: Holding staples at each corner: 0, 1, or 2 for one on each side of it.
        short_first: Whether the pair of shorter sides goes first in every turn.
        corners: Whether the last staples beside the corners go in before the middles, lightly; nothing is held then.
    """

    run: int = 2
    holding: int = 0
    short_first: bool = False
    corners: bool = False

    @property
    def name(self) -> str:
        """In words."""
        held = {0: "", 1: ", corners held", 2: ", corners held from both sides"}[self.holding]
        begin = "corners lightly, then middles outward" if self.corners else "middles outward"
        return f"{begin} {_RUNS[self.run]}{held}{', shorter sides first' if self.short_first else ''}"

    def order(
        self, *, width: float, height: float, places: Iterable[Place], clean: CleanSides = CleanSides.UPRIGHT
    ) -> Order:
        """The order, evenly pulled, as it can be driven with folded corners.

        Args:
            width: Of the face. [mm]
            height: Of the face. [mm]
            places: Where staples stay.
            clean: The pair of sides without folds.
        """
        made = middles_outward(
            width=width,
            height=height,
            places=places,
            run=self.run,
            light=EVEN,
            holding=self.holding,
            short_first=self.short_first,
            corners=CORNERS_LIGHT if self.corners else 0.0,
        )
        return replace(waiting_for_corners(made, clean), name=self.name)

    def neighbours(self) -> tuple[OutwardWay, ...]:
        """Ways one change away: when corners are held, how long runs are, which pair of sides leads."""
        changed = [replace(self, run=run) for run in (self.run - 1, self.run + 1) if run in _RUNS]
        changed.append(replace(self, short_first=not self.short_first))
        changed.append(replace(self, corners=not self.corners, holding=0))
        if not self.corners:  # corners that are in need no holding
            changed.insert(0, replace(self, holding=0 if self.holding else 2))
        return tuple(changed)


#: Every way by its name.
NAMED: dict[str, OutwardWay] = {
    way.name: way
    for run in _RUNS
    for holding in (0, 1, 2)
    for short_first in (False, True)
    for corners in (False, True)
    for way in (OutwardWay(run=run, holding=holding, short_first=short_first, corners=corners),)
}

#: Where a search begins.
BEGIN: tuple[OutwardWay, ...] = (OutwardWay(run=1), OutwardWay(holding=2))
