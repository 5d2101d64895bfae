"""Screws, glue, staples, primer, hangers: what is on sale, in what packs."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, model_validator

from longpoint.model.quantities import (
    Auto,
    Count,
    Length,
    LengthAboveZero,
    Money,
    Name,
    Number,
    Stated,
    Text,
    Whole,
)


class Screw(Stated):
    """One screw on sale.

    Attributes:
        name: Its name; left out, it is made of gauge and length.
        diameter: Of the shank; or give ``gauge``.
        gauge: Number of the inch system (ANSI/ASME B18.6.1).
        length: Under the head to the tip.
        box: How many in a box.
        price: Of a box.
        at_hand: How many lie in the rack.
    """

    name: Text = ""
    diameter: LengthAboveZero | None = None
    gauge: Annotated[Whole, Field(ge=0, le=24)] | None = None
    length: LengthAboveZero
    box: Count = 100
    price: Money | None = None
    at_hand: Whole = Field(default=0, ge=0, le=1_000_000)

    @model_validator(mode="after")
    def _one_measure(self) -> Screw:
        if (self.diameter is None) == (self.gauge is None):
            msg = "a screw is named by its diameter or by its gauge, not by both or neither; give one of the two"
            raise ValueError(msg)
        return self


class Staple(Stated):
    """One staple on sale.

    Attributes:
        name: Its name.
        crown: Width of its back.
        leg: Length of its legs.
        box: How many in a box.
        price: Of a box.
        at_hand: How many lie in the rack.
    """

    name: Text = "staples"
    crown: LengthAboveZero = Fraction(10)
    leg: LengthAboveZero = Fraction(10)
    box: Count = 5000
    price: Money | None = None
    at_hand: Whole = Field(default=0, ge=0, le=1_000_000)


class Glue(Stated):
    """Glue on sale.

    Attributes:
        name: Its name.
        bottle: Contents of a bottle. [g]
        price: Of a bottle.
        at_hand: What is left. [g]
        open_minutes: Time from spreading to closing the joint.
        set_minutes: Time under pressure.
    """

    name: Text = "PVA wood glue"
    bottle: Number = Field(default=500, gt=0, le=1e6)
    price: Money | None = None
    at_hand: Number = Field(default=0, ge=0, le=1e6)
    open_minutes: Number = Field(default=8, gt=0, le=1440)
    set_minutes: Number = Field(default=60, gt=0, le=10_080)


class Size(Stated):
    """Size on sale, brushed on raw cloth before the primer.

    Attributes:
        name: Its name; left out: as its kind.
        kind: What it is, for drying times and cautions.
        tin: Contents of a tin, or what one mixes. [l]
        covers: Area one litre covers, one coat. [m²/l]
        coats: How many coats.
        price: Of a tin.
        at_hand: What is left. [l]
    """

    name: Text = ""
    kind: Literal["glue size", "acrylic size"] = "glue size"
    tin: Number = Field(default=1.0, gt=0, le=1000)
    covers: Number = Field(default=5.5, gt=0, le=100)
    coats: Whole = Field(default=1, ge=0, le=12)
    price: Money | None = None
    at_hand: Number = Field(default=0, ge=0, le=1e6)

    @property
    def label(self) -> str:
        """What it is called."""
        return self.name or self.kind


class Primer(Stated):
    """Primer on sale, brushed on raw or glue-sized cloth.

    Attributes:
        name: Its name; left out: as its kind.
        kind: What it is, for drying times and cautions.
        tin: Contents of a tin. [l]
        covers: Area one litre covers, one coat. [m²/l]
        coats: How many coats; 0 for none.
        price: Of a tin.
        at_hand: What is left. [l]
    """

    name: Text = ""
    kind: Literal["acrylic primer", "oil primer", "lead white primer"] = "acrylic primer"
    tin: Number = Field(default=1.0, gt=0, le=1000)
    covers: Number = Field(default=6.0, gt=0, le=100)
    coats: Whole = Field(default=3, ge=0, le=12)
    price: Money | None = None
    at_hand: Number = Field(default=0, ge=0, le=1e6)

    @property
    def label(self) -> str:
        """What it is called."""
        return self.name or self.kind


class Hanger(Stated):
    """Hanging plates, rings or hooks on sale.

    Attributes:
        name: Its name.
        per_work: How many one work takes.
        stands_off: How far one holds the back off the wall. Estimate.
        by: Whether a wire leads from one to the other, each hangs on a hook of its own, or one half of a split batten
            hooks over the other on the wall; ``auto``: a wire where it is steep enough and the work is light, else two
            hooks.
        below_top: Of the hangers' middles below the top edge; left out: as the hanger's place is chosen.
        wire: Length of the wire from hanger to hanger; left out: as it is steep enough and stays hidden.
        screws: How many screws hold one.
        holds: What one bears by its label. [kg]
        box: How many in a box.
        price: Of a box.
        at_hand: How many lie in the rack.
    """

    name: Name = "D-ring plate"
    per_work: Whole = Field(default=2, ge=0, le=12)
    stands_off: Length = Fraction(5)
    by: Literal["wire", "two hooks", "split batten"] | Auto = "auto"
    below_top: LengthAboveZero | None = None
    wire: LengthAboveZero | None = None
    screws: Annotated[Whole, Field(ge=1, le=6)] = 2
    holds: Annotated[Number, Field(gt=0, le=10_000)] | None = None
    box: Count = 10
    price: Money | None = None
    at_hand: Whole = Field(default=0, ge=0, le=1_000_000)
