"""What ordinary shops have, by region: sections, lengths, screws, cloth."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from longpoint.errors import FaultsError
from longpoint.tables.reading import Source, rows
from longpoint.tables.sizes import dressed_size

Region = Literal["america", "europe"]

INCH = Fraction(254, 10)
"""[mm] exact"""


@dataclass(frozen=True, slots=True)
class ShopSection:
    """A section of timber that an ordinary shop has.

    Attributes:
        name: As it is asked for, e.g. ``1x2`` or ``21 × 44``.
        thin: Its thin side as it measures. [mm]
        wide: Its wide side as it measures. [mm]
        rails_only: Whether it is too slight for bars.
        source: Where it comes from.
    """

    name: str
    thin: Fraction
    wide: Fraction
    rails_only: bool
    source: Source


@dataclass(frozen=True, slots=True)
class ShopScrew:
    """A screw that an ordinary shop has.

    Attributes:
        gauge: Its number in the inch system; None for one named by its diameter.
        diameter: Of the shank; None for one named by its number. [mm]
        length: Its length. [mm]
        source: Where it comes from.
    """

    gauge: int | None
    diameter: Fraction | None
    length: Fraction
    source: Source


@dataclass(frozen=True, slots=True)
class ShopCloth:
    """A roll that an ordinary shop cuts from.

    Attributes:
        width: Selvedge to selvedge. [mm]
        mass: Per area, as it is stated there.
        source: Where it comes from.
    """

    width: Fraction
    mass: str
    source: Source


@dataclass(frozen=True, slots=True)
class _AmericanSection:
    thin: int
    wide: int
    rails_only: bool
    source: Source


@dataclass(frozen=True, slots=True)
class _EuropeanSection:
    thin: int
    wide: int
    sawn_thin: int
    sawn_wide: int
    rails_only: bool
    source: Source


@dataclass(frozen=True, slots=True)
class _Feet:
    feet: int
    source: Source


@dataclass(frozen=True, slots=True)
class _Metres:
    metres: float
    source: Source


@dataclass(frozen=True, slots=True)
class _Gauge:
    gauge: int
    lengths: tuple[float, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class _Diameter:
    diameter: float
    lengths: tuple[float, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class _AmericanCloth:
    width: int
    ounces: int
    source: Source


@dataclass(frozen=True, slots=True)
class _EuropeanCloth:
    width: int
    grams: int
    source: Source


def nominal_sides(thin: float, wide: float) -> tuple[Fraction, Fraction] | None:
    """What a section called by two nominal inches measures, dry; None where the tables know no such size. [mm]

    Args:
        thin: Its first number.
        wide: Its second number.

    References:
        PS 20 American Softwood Lumber Standard, `tables.sizes`.
    """
    try:
        found = [dressed_size(nominal=side) for side in (thin, wide)]
    except FaultsError:
        return None
    return (Fraction(str(round(found[0], 4))), Fraction(str(round(found[1], 4))))


@cache
def shop_sections(region: Region) -> tuple[ShopSection, ...]:
    """Sections of an ordinary shop, in the order of the table."""
    if region == "europe":
        return tuple(
            ShopSection(
                f"{row.thin} × {row.wide}", Fraction(row.thin), Fraction(row.wide), row.rails_only, row.source
            )
            for row in rows("shops", "european_sections", _EuropeanSection)
        )
    found = []
    for row in rows("shops", "american_sections", _AmericanSection):
        sides = nominal_sides(row.thin, row.wide)
        if sides is None:
            msg = f"shops.american_sections: {row.thin}x{row.wide} is not in sizes.dressed_sizes"
            raise TypeError(msg)
        found.append(ShopSection(f"{row.thin}x{row.wide}", *sides, row.rails_only, row.source))
    return tuple(found)


def shop_name(section: ShopSection, region: Region) -> str:
    """What timber of a section is called where a batch does not name it, e.g. ``softwood 1x2``."""
    return f"softwood {section.name}" + (" mm" if region == "europe" else "")


@cache
def shop_lengths(region: Region) -> tuple[Fraction, ...]:
    """Lengths of boards in an ordinary shop, the shortest first. [mm]"""
    if region == "america":
        return tuple(12 * INCH * row.feet for row in rows("shops", "american_lengths", _Feet))
    return tuple(1000 * Fraction(str(row.metres)) for row in rows("shops", "european_lengths", _Metres))


@cache
def shop_screws(region: Region) -> tuple[ShopScrew, ...]:
    """Screws of an ordinary shop, thin ones first, short ones first."""
    if region == "america":
        return tuple(
            ShopScrew(row.gauge, None, INCH * Fraction(str(length)), row.source)
            for row in rows("shops", "american_screws", _Gauge)
            for length in row.lengths
        )
    return tuple(
        ShopScrew(None, Fraction(str(row.diameter)), Fraction(str(length)), row.source)
        for row in rows("shops", "european_screws", _Diameter)
        for length in row.lengths
    )


@cache
def shop_cloths(region: Region) -> tuple[ShopCloth, ...]:
    """Rolls of an ordinary shop, the narrowest first."""
    if region == "america":
        return tuple(
            ShopCloth(INCH * row.width, f"{row.ounces} oz/yd2", row.source)
            for row in rows("shops", "american_cloths", _AmericanCloth)
        )
    return tuple(
        ShopCloth(Fraction(row.width), str(row.grams), row.source)
        for row in rows("shops", "european_cloths", _EuropeanCloth)
    )
