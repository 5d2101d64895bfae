"""What is assumed where a batch does not say what is on sale: an ordinary shop of its region.

The region is what ``[shop] region`` says; left open, inches mean America and everything else Europe.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from longpoint.model.batch import Batch
from longpoint.model.cloth import Roll
from longpoint.model.hardware import Screw, Staple
from longpoint.model.timber import YardTimber
from longpoint.tables.shops import (
    INCH,
    Region,
    ShopCloth,
    shop_cloths,
    shop_lengths,
    shop_name,
    shop_screws,
    shop_sections,
)
from longpoint.units import LengthStyle

USUAL_WIDTH: dict[Region, Fraction] = {"europe": Fraction(2100), "america": 84 * INCH}
"""Width of the roll that is assumed where it is wide enough. [mm] Estimate."""

_STAPLE: dict[Region, Staple] = {
    "europe": Staple(),
    "america": Staple(crown=Fraction(3, 8) * INCH, leg=Fraction(3, 8) * INCH),
}
"""The staple that is assumed: common practice, no published source."""

_PLACE = {"europe": "Europe", "america": "America"}


def region_of(batch: Batch) -> Region:
    """The region whose ordinary shops are assumed."""
    if batch.shop.region != "auto":
        return batch.shop.region
    return "america" if batch.unit in ("in", "ft") or batch.show == "in" else "europe"


def region_words(region: Region) -> str:
    """The region as it is said, e.g. ``America``."""
    return _PLACE[region]


def lengths_words(region: Region) -> str:
    """Lengths of boards in an ordinary shop as they are asked for, e.g. ``6, 8, 10, 12 ft``."""
    lengths = shop_lengths(region)
    if region == "america":
        return f"{', '.join(f'{float(length / INCH / 12):g}' for length in lengths)} ft"
    return f"{', '.join(f'{float(length / 1000):g}' for length in lengths)} m"


@cache
def ordinary_timber(region: Region) -> tuple[YardTimber, ...]:
    """Timber of an ordinary yard, without prices."""
    return tuple(
        YardTimber(
            name=shop_name(row, region),
            thickness=row.thin,
            depth=row.wide,
            serves=("rails",) if row.rails_only else ("bars", "rails"),
            lengths=shop_lengths(region),
        )
        for row in shop_sections(region)
    )


def timber_of(region: Region, *, thickness: Fraction, depth: Fraction, style: LengthStyle) -> YardTimber:
    """Timber of a section in the lengths of an ordinary yard; named as that yard names it, where it has the section."""
    sides = {thickness, depth}
    for timber in ordinary_timber(region):
        if {timber.thickness, timber.depth} == sides:
            return timber
    show = style.finer().show
    return YardTimber(
        name=f"softwood {show(thickness, with_unit=False)} × {show(depth)}",
        thickness=thickness,
        depth=depth,
        lengths=shop_lengths(region),
    )


@cache
def ordinary_screws(region: Region) -> tuple[Screw, ...]:
    """Screws of an ordinary shop, without prices."""
    return tuple(
        Screw(gauge=row.gauge, diameter=row.diameter, length=row.length) for row in shop_screws(region)
    )


def ordinary_staples(region: Region) -> tuple[Staple, ...]:
    """Staples of an ordinary shop, without prices."""
    return (_STAPLE[region],)


def ordinary_roll(region: Region, *, across: Fraction = Fraction(0)) -> Roll:
    """A roll of an ordinary shop, without price: the usual one, or the narrowest that is wide enough.

    Args:
        region: The region.
        across: What it must give across. [mm]
    """

    def rank(cloth: ShopCloth) -> tuple[bool, Fraction]:
        short = cloth.width < max(across, USUAL_WIDTH[region])
        return short, -cloth.width if short else cloth.width

    cloth = min(shop_cloths(region), key=rank)
    return Roll.model_validate(
        {
            "name": "canvas by the yard" if region == "america" else "canvas by the metre",
            "width": cloth.width,
            "mass": cloth.mass,
        },
        context={"unit": "mm"},
    )
