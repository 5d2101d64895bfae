"""Cloth: rolls on sale and at hand."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from longpoint.model.quantities import AreaMass, Length, LengthAboveZero, Money, Name, Stated

ClothState = Literal["raw", "glue-sized", "primed"]


class Flaw(Stated):
    """A place in the cloth to avoid, as a stretch of the roll's length."""

    start: Length
    stop: LengthAboveZero
    why: str = "flaw"


class Roll(Stated):
    """A roll of cloth, or what is left of one.

    Attributes:
        name: Its name, unique.
        width: Across the roll, selvedge to selvedge.
        length: What is left on it; left out for cloth sold by the metre.
        at_hand: Whether it lies in the rack already.
        per_metre: Price per metre of roll; for a roll at hand, what a metre of it is worth.
        mass: Per area.
        state: Raw, glue-sized or primed.
        fibre: Cotton, linen or polyester.
        selvedge: Left off on each edge.
        flaws: Stretches to avoid.
    """

    name: Name
    width: LengthAboveZero
    length: LengthAboveZero | None = None
    at_hand: bool = False
    per_metre: Money | None = None
    mass: AreaMass = 340.0
    state: ClothState = "raw"
    fibre: Literal["cotton", "linen", "polyester"] = "cotton"
    selvedge: Length = Fraction(0)
    flaws: tuple[Flaw, ...] = ()
