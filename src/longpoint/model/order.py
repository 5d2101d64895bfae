"""An order of stapling as a person writes it down."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from longpoint.model.quantities import Count, Name, Stated


class RunWish(Stated):
    """A run: staples on one side before turning to the next.

    Attributes:
        side: The side, the work seen from the front.
        staples: Numbers along it from its left or lower end, in the order they are driven.
        pull: Share of the full pull; 0 for staples put in without a pull.
    """

    side: Literal["bottom", "right", "top", "left"]
    staples: tuple[Count, ...] = Field(min_length=1)
    pull: Annotated[float, Field(ge=0, le=2)] = 1.0


class OrderWish(Stated):
    """An order of stapling.

    Attributes:
        name: What it is called in the comparison.
        run: Its runs, in order.
    """

    name: Name = "own order"
    run: tuple[RunWish, ...] = Field(min_length=1)
