"""An order of stapling as a person writes it down, and the names of the usual ones."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from longpoint.model.quantities import Name, Number, Stated, shown
from longpoint.units import N_PER_METRE

USUAL_ORDERS = ("middles outward", "pinwheel", "corners first", "round the frame", "side after side")
"""Names of the orders people use; the first is printed where nothing else is wished."""

FILE_ENDING = ".toml"
"""What the name of an order ends in where it lies in a file of its own."""


MOST_STAPLES = 10_000
"""No side holds more. Estimate."""


def _staple_number(value: Any) -> Any:
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not number or not 1 <= value <= MOST_STAPLES or value * 2 != int(value * 2):
        msg = f"{shown(value)} is no staple of a side; count from 1 at its left or lower end, 3.5 lies between 3 and 4"
        raise ValueError(msg)
    return float(value)


StapleNumber = Annotated[float, BeforeValidator(_staple_number)]


def _share(value: Any) -> Any:
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not number or not 0 <= value <= 2:
        msg = f"{shown(value)} is no share of the full pull; state 0 to 2, 1 for the full pull"
        raise ValueError(msg)
    return float(value)


def _pulls(value: Any) -> Any:
    return tuple(_share(one) for one in value) if isinstance(value, (list, tuple)) else _share(value)


Pulls = Annotated[float | tuple[float, ...], BeforeValidator(_pulls)]


class RunWish(Stated):
    """A run: staples on one side before turning to the next.

    Attributes:
        side: The side, the work seen from the front.
        staples: Numbers along it from its left or lower end, in the order they are driven; 1.5 is a holding staple
            between 1 and 2 that comes out again.
        pull: Share of the full pull, one for all or one for each staple; 0 for staples put in without a pull.
        out: Numbers on this side that are taken out first: holding staples, or staples to be pulled once more.
    """

    side: Literal["bottom", "right", "top", "left"]
    staples: tuple[StapleNumber, ...] = Field(min_length=1)
    pull: Pulls = 1.0
    out: tuple[StapleNumber, ...] = ()


class OrderWish(Stated):
    """An order of stapling.

    Attributes:
        name: What it is called: ``[cloth] order`` names it, and so do the comparison and the staple map.
        full_pull: Tension at the lip that the full pull brings, N/m; left out: what leaves the tension wished.
        run: Its runs, in order.
    """

    name: Name = "own order"
    full_pull: Annotated[Number, Field(ge=5, le=5000)] | None = None
    run: tuple[RunWish, ...] = Field(min_length=1)

    @property
    def pull(self) -> float | None:
        """Tension at the lip that the full pull brings, as engines take it; None where it is left out. [N/mm]"""
        return None if self.full_pull is None else self.full_pull / N_PER_METRE
