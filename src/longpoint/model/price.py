"""How works are priced: by what they cost, by area, or by width and height; rounding, tax, discount, sizes to list."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from longpoint.model.quantities import LengthAboveZero, Money, Number, Share, Stated, Text, Whole
from longpoint.units import MILLIMETRES

_INCH = MILLIMETRES["in"]


class Several(Stated):
    """A discount for several.

    Attributes:
        pieces: From so many pieces on, all works of the batch together.
        discount: Share taken off the prices.
    """

    pieces: Annotated[Whole, Field(ge=2, le=1000)]
    discount: Share


class Price(Stated):
    """How works are sold. Where none of the four rates is stated the price follows the cost.

    Attributes:
        per_square_metre: Price of a square metre of face.
        per_square_foot: The same of a square foot.
        per_cm: Price of a centimetre of width + height.
        per_inch: The same of an inch.
        round_to: The price of one work is a multiple of it.
        round: Whether it is rounded to the nearest multiple or up.
        tax: Share of the price that is added as tax.
        several: Discounts; the one for most pieces that the batch reaches holds for all.
        sizes: Faces of your own price table, each a list of width and height; left out: usual ones.
        made_of: What a client is told that works are made of, where that shall be said otherwise than it is planned.
        valid_days: How many days an offer holds.
    """

    per_square_metre: Money | None = None
    per_square_foot: Money | None = None
    per_cm: Money | None = None
    per_inch: Money | None = None
    round_to: Money = Decimal("0.01")
    round: Literal["nearest", "up"] = "nearest"
    tax: Share = 0.0
    several: tuple[Several, ...] = ()
    sizes: tuple[Annotated[tuple[LengthAboveZero, ...], Field(min_length=2, max_length=2)], ...] = ()
    made_of: Text = ""
    valid_days: Annotated[Whole, Field(ge=1, le=3650)] = 30

    @property
    def rates(self) -> dict[str, Decimal]:
        """The rates that are stated; one at most where nothing contradicts itself."""
        stated = {
            "per_square_metre": self.per_square_metre,
            "per_square_foot": self.per_square_foot,
            "per_cm": self.per_cm,
            "per_inch": self.per_inch,
        }
        return {name: rate for name, rate in stated.items() if rate is not None}

    def by_size(self, width: Fraction, height: Fraction) -> Fraction | None:
        """The price of one work by its size, before rounding; None where it follows the cost.

        Args:
            width: Of its face.
            height: Of its face.
        """
        counted = {
            "per_square_metre": width * height / 1_000_000,
            "per_square_foot": width * height / (144 * _INCH * _INCH),
            "per_cm": (width + height) / 10,
            "per_inch": (width + height) / _INCH,
        }
        for name, rate in self.rates.items():
            return Fraction(rate) * counted[name]
        return None


PaintingHours = Annotated[Number, Field(ge=0, le=100_000)]
"""Hours at the easel. [h]"""
