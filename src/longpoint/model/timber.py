"""Timber: what the yard sells and what lies in the rack."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, ValidationInfo, model_validator

from longpoint.model.nominal import nominal_in, sides_of
from longpoint.model.quantities import (
    Count,
    Length,
    LengthAboveZero,
    Money,
    Name,
    OneLine,
    Stated,
    Text,
    Whole,
    YesNo,
)

Serves = Literal["bars", "rails"]
Grade = Literal["bars", "rails", "short", "firewood"]


class YardLength(Stated):
    """One length the yard sells.

    Attributes:
        length: The length.
        price: Of one board; left out where the timber has a price per metre.
        how_many: How many can be had; left out for as many as are wanted.
    """

    length: LengthAboveZero
    price: Money | None = None
    how_many: Annotated[Whole, Field(ge=0, le=100_000)] | None = None


def _with_sides(data: Any, info: ValidationInfo) -> Any:
    """What is stated of a timber, with the sides that its nominal name stands for where they are left out."""
    if not isinstance(data, dict) or "thickness" in data or "depth" in data:
        return data
    said = data.get("nominal")
    if said is None and (info.context or {}).get("unit") in ("in", "ft"):
        said = data.get("name")
    found = nominal_in(said) if isinstance(said, str) else None
    if found is None:
        return data
    thin, wide = (f"{float(side):g} mm" for side in sides_of(found))
    return {**data, "nominal": f"{found[0]}x{found[1]}", "thickness": thin, "depth": wide}


def _sides_may_be_left_out(schema: dict[str, Any]) -> None:
    schema["required"] = [key for key in schema["required"] if key not in ("thickness", "depth")]


class YardTimber(Stated):
    """A timber of one section that the yard sells.

    Attributes:
        name: Its name, unique; left out, it is numbered.
        timber: Species or strength class, e.g. ``C16`` or ``Scots pine``.
        nominal: What the section is called in nominal inches, e.g. ``1x2``; thickness and depth may then be left out.
            In a file in inches they may be left out too where ``name`` says it.
        thickness: The section's small or large side as it stands in the frame.
        depth: Its other side.
        serves: What it may become.
        bevelled: Whether the yard delivers it with the bevel made.
        lengths: On sale: plain lengths, or lengths with prices.
        per_metre: Price per metre, where lengths have none of their own; each board's price is rounded to the cent.
            Or give ``per_foot``.
        per_foot: The same per foot.
        quality: What an ordinary board of it is good for, by eye.
    """

    model_config = ConfigDict(json_schema_extra=_sides_may_be_left_out)

    name: Name = ""
    timber: OneLine = "C16"
    nominal: OneLine = ""
    thickness: LengthAboveZero
    depth: LengthAboveZero
    serves: tuple[Serves, ...] = Field(default=("bars", "rails"), min_length=1)
    bevelled: YesNo = False
    lengths: tuple[YardLength | LengthAboveZero, ...] = Field(min_length=1)
    per_metre: Money | None = None
    per_foot: Money | None = None
    quality: Grade = "bars"

    @model_validator(mode="before")
    @classmethod
    def _sides_by_name(cls, data: Any, info: ValidationInfo) -> Any:
        return _with_sides(data, info)

    @model_validator(mode="after")
    def _one_price(self) -> YardTimber:
        if self.per_metre is not None and self.per_foot is not None:
            msg = "a price stands per metre and per foot; give one of the two"
            raise ValueError(msg)
        return self

    @property
    def rate(self) -> Decimal | None:
        """Price per metre; None where none is stated."""
        if self.per_foot is not None:
            return (self.per_foot / Decimal("0.3048")).quantize(Decimal("0.000001"))
        return self.per_metre


class SpoiledSpan(Stated):
    """A stretch of a board that must not be used: knot, split, shake, wane.

    Attributes:
        start: Where it begins, from the left end.
        stop: Where it ends.
        why: What is there.
    """

    start: Length
    stop: LengthAboveZero
    why: Text = "spoiled"


class RackBoard(Stated):
    """A board at hand.

    Attributes:
        name: What is written on it, unique; left out, it is numbered.
        thickness: Its section.
        depth: Its section.
        length: Its own length.
        how_many: How many like it.
        grade: Good for bars, for rails, for short pieces only, or firewood.
        bevelled: Whether it has the bevel already.
        timber: Species or strength class.
        worth: What taking one costs; left out: the shop's share of the yard's lowest price per metre.
        bow: Bend across its thin way over its whole length.
        crook: Bend across its wide way over its whole length.
        twist: Out of plane at one corner of an end when the other end lies flat.
        avoid: Stretches not to be used.
    """

    name: Name = ""
    thickness: LengthAboveZero
    depth: LengthAboveZero
    length: LengthAboveZero
    how_many: Count = 1
    grade: Grade = "bars"
    bevelled: YesNo = False
    timber: OneLine = "C16"
    worth: Money | None = None
    bow: Length | None = None
    crook: Length | None = None
    twist: Length | None = None
    avoid: tuple[SpoiledSpan, ...] = ()


class Arrived(Stated):
    """What the timber that came really measures: three readings along a board.

    Attributes:
        timber: Name of the yard timber or rack board.
        thickness: Readings of its thickness.
        depth: Readings of its depth.
    """

    timber: Name
    thickness: tuple[LengthAboveZero, ...] = Field(min_length=1, max_length=9)
    depth: tuple[LengthAboveZero, ...] = Field(min_length=1, max_length=9)
