"""Wood glue, glue size and primers: how far they go, how long they take."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import Where
from longpoint.tables.reading import Constant, Source, pick, rows


@dataclass(frozen=True, slots=True)
class WoodGlue:
    """A glue for joints.

    Attributes:
        name: Glue.
        spread_low: Spread on one face, from. [g/m²]
        spread_high: To. [g/m²]
        open_low: Open time, from. [min]
        open_high: To. [min]
        clamp_low: Time in clamps, from. [min]
        clamp_high: To. [min]
        pressure_low: Clamping pressure, from. [MPa]
        pressure_high: To. [MPa]
        cure: Full strength after. [h]
        coldest: Not to be used below. [°C]
        widest_gap: Widest gap in which it keeps its strength. [mm]
        source: Where it comes from.
    """

    name: str
    spread_low: float
    spread_high: float
    open_low: float
    open_high: float
    clamp_low: float
    clamp_high: float
    pressure_low: float
    pressure_high: float
    cure: float
    coldest: float
    widest_gap: float
    source: Source


@dataclass(frozen=True, slots=True)
class Coating:
    """Something brushed on to canvas.

    Attributes:
        name: What it is called.
        kind: "size" or "primer".
        water_borne: Whether it wets raw cloth with water, which shrinks it.
        coats: Coats people usually give.
        coverage_low: One coat covers, from. [m²/L]
        coverage_high: To. [m²/L]
        density: Of the wet liquid. [kg/L]
        dry_low: Dry mass of one coat, from. [g/m²]
        dry_high: To. [g/m²]
        between: Wait between coats. [h]
        after_low: Wait before what follows, from. [h]
        after_high: To. [h]
        source: Where it comes from.
    """

    name: str
    kind: str
    water_borne: bool
    coats: int
    coverage_low: float
    coverage_high: float
    density: float
    dry_low: float
    dry_high: float
    between: float
    after_low: float
    after_high: float
    source: Source


def wood_glue(name: str, *, where: Where | None = None) -> WoodGlue:
    """A glue for joints by its name.

    Args:
        name: E.g. "PVA".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(rows("finishing", "wood_glues", WoodGlue), name, what="wood glue", where=where)


@cache
def all_coatings() -> tuple[Coating, ...]:
    """Every coating in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("finishing", "coatings", Coating)


def coating(name: str, *, where: Where | None = None) -> Coating:
    """A size or primer by its name.

    Args:
        name: E.g. "glue size" or "acrylic primer".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(all_coatings(), name, what="size or primer", where=where)


@cache
def mixing(name: str) -> Constant:
    """A figure for making up glue size or thinning primer.

    Args:
        name: As in the table.

    Returns:
        The row.
    """
    return pick(rows("finishing", "mixing", Constant), name, what="mixing figure")
