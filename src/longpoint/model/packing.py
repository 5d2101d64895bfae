"""How works are packed: in what, how many together, how far everything keeps from their faces."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from longpoint.model.quantities import (
    Auto,
    Length,
    LengthAboveZero,
    Money,
    Name,
    Number,
    OneLine,
    Stated,
    Whole,
)

PackKind = Literal["sleeve", "travel frame", "box", "crate"]


class Packing(Stated):
    """Works that are packed alike.

    Attributes:
        name: Its name.
        works: Names of works or sets that are packed so; left out: all works.
        kind: ``sleeve``: a cover of cardboard, slid on. ``travel frame``: a frame of timber round the edges, a sheet on
            either side. ``box``: sheets on timber all round. ``crate``: a box that stands on skids, braced across.
        together: Most works in one; they lie face to face, back to back.
        clearance: Between a face and whatever it looks at.
        back: Between a back and whatever it looks at.
        corner: Soft corners, round the edges of the works; ``auto``: 20 mm in a sleeve, else 50 mm.
        sheet: Thickness of the sheets of a travel frame, box or crate.
        sheet_price: Price of a square metre of sheet.
        timber: Name of the yard timber it is made of; ``auto``: the cheapest that serves rails.
        divisor: What carriers divide the volume by: cm³ a kilogram, or in³ a pound where lengths are shown in inches;
            ``auto``: 5000, in inches 139.
    """

    name: Name
    works: Annotated[tuple[Name, ...], Field(min_length=1)] | None = None
    kind: PackKind = "travel frame"
    together: Annotated[Whole, Field(ge=1, le=12)] = 1
    clearance: Length = Fraction(25)
    back: Length = Fraction(10)
    corner: Length | Auto = "auto"
    sheet: LengthAboveZero = Fraction(6)
    sheet_price: Money | None = None
    timber: OneLine = "auto"
    divisor: Annotated[Number, Field(gt=0, le=100_000)] | Auto = "auto"
