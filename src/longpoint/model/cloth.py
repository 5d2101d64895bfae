"""Cloth: rolls on sale and at hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

from pydantic import Field, model_validator

from longpoint.model.quantities import (
    AreaMass,
    Length,
    LengthAboveZero,
    Money,
    Name,
    Number,
    Stated,
    Text,
    YesNo,
)
from longpoint.units import N_PER_METRE

ClothState = Literal["raw", "glue-sized", "primed", "oil-primed"]


class Flaw(Stated):
    """A place in the cloth to avoid.

    Attributes:
        start: Where it begins, from the roll's free end.
        stop: Where it ends.
        left: Where it begins across the roll, from the left edge.
        right: Where it ends across the roll; left out: as far as the right edge.
        why: What is there.
    """

    start: Length
    stop: LengthAboveZero
    left: Length = Fraction(0)
    right: LengthAboveZero | None = None
    why: Text = "flaw"


class Roll(Stated):
    """A roll of cloth, or what is left of one.

    Attributes:
        name: Its name, unique; left out, it is numbered.
        width: Across the roll, selvedge to selvedge.
        length: What is left on it; left out for cloth sold by the metre.
        at_hand: Whether it lies in the rack already.
        per_metre: Price per metre of roll; for a roll at hand, what a metre of it is worth. Or give ``per_yard``.
        per_yard: The same per yard.
        mass: Per area, as it is sold.
        state: Raw, glue-sized, primed (with acrylic) or oil-primed.
        fibre: Cotton, linen or polyester.
        water_tension: What raw cloth pulls once size or primer is dry, on a frame that does not give, N/m, as
            ``longpoint strips`` says; left out: the wide estimate for its fibre.
        stiffness: Of the cloth with its coats along the warp, N/m, as ``longpoint strips`` says: what would stretch it
            to twice its length, were it as stiff all the way; left out: the wide estimate for what is brushed on it.
        selvedge: Left off on each edge.
        flaws: Places to avoid.
    """

    name: Name = ""
    width: LengthAboveZero
    length: LengthAboveZero | None = None
    at_hand: YesNo = False
    per_metre: Money | None = None
    per_yard: Money | None = None
    mass: AreaMass = 340.0
    state: ClothState = "raw"
    fibre: Literal["cotton", "linen", "polyester"] = "cotton"
    water_tension: Number | None = Field(default=None, gt=0, le=3000)
    stiffness: Number | None = Field(default=None, gt=0, le=5_000_000)
    selvedge: Length = Fraction(0)
    flaws: tuple[Flaw, ...] = ()

    @model_validator(mode="after")
    def _one_price(self) -> Roll:
        if self.per_metre is not None and self.per_yard is not None:
            msg = "a price stands per metre and per yard; give one of the two"
            raise ValueError(msg)
        return self

    @property
    def shrinks_to(self) -> float | None:
        """What it pulls once size or primer is dry, as engines take it; None where that was not measured. [N/mm]"""
        return None if self.water_tension is None else self.water_tension / N_PER_METRE

    @property
    def rate(self) -> Decimal | None:
        """Price per metre; None where none is stated."""
        if self.per_yard is not None:
            return (self.per_yard / Decimal("0.9144")).quantize(Decimal("0.000001"))
        return self.per_metre
