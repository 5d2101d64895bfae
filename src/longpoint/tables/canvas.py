"""Cloth: how stiff in which state, how heavy, how strong, and what tensions people name."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import sqrt

from longpoint.errors import OutOfRangeError, Where
from longpoint.tables.reading import Constant, Source, pick, rows

OUNCE_PER_SQUARE_YARD = 33.906  # [g/m²] 28.3495 g over 0.836127 m²


@dataclass(frozen=True, slots=True)
class ClothState:
    """Canvas as it is: raw, sized or primed. Every number is an order of magnitude, hence the ranges.

    Attributes:
        name: State.
        warp_low: Stiffness along warp, from. [N/mm]
        warp_high: To. [N/mm]
        weft_low: Stiffness along weft, from. [N/mm]
        weft_high: To. [N/mm]
        poisson_low: Poisson ratio, from. [1]
        poisson_high: To. [1]
        shear_low: Shear stiffness, from. [N/mm]
        shear_high: To. [N/mm]
        strain_limit: Strain not to be passed in this state. [1]
        source: Where they come from.
    """

    name: str
    warp_low: float
    warp_high: float
    weft_low: float
    weft_high: float
    poisson_low: float
    poisson_high: float
    shear_low: float
    shear_high: float
    strain_limit: float
    source: Source

    @property
    def warp(self) -> float:
        """Middle stiffness along warp: what lies as far from the low end as from the high one, by factor. [N/mm]"""
        return sqrt(self.warp_low * self.warp_high)

    @property
    def weft(self) -> float:
        """Middle stiffness along weft. [N/mm]"""
        return sqrt(self.weft_low * self.weft_high)

    @property
    def shear(self) -> float:
        """Middle shear stiffness. [N/mm]"""
        return sqrt(self.shear_low * self.shear_high)

    @property
    def poisson(self) -> float:
        """Middle Poisson ratio, for the mean of both directions. [1]"""
        return 0.5 * (self.poisson_low + self.poisson_high)

    @property
    def poisson_warp(self) -> float:
        """Thinning along weft for a pull along warp, so that reciprocity holds. [1]"""
        return self.poisson * sqrt(self.warp / self.weft)

    @property
    def poisson_weft(self) -> float:
        """Thinning along warp for a pull along weft, so that reciprocity holds. [1]"""
        return self.poisson * sqrt(self.weft / self.warp)


@dataclass(frozen=True, slots=True)
class ClothWeight:
    """A named weight of cloth.

    Attributes:
        name: As sold.
        mass: Mass per area. [g/m²]
        source: Where it comes from.
    """

    name: str
    mass: float
    source: Source


@dataclass(frozen=True, slots=True)
class Fibre:
    """What the cloth is woven from.

    Attributes:
        name: Fibre.
        breaking: Breaking tension of new cloth, an upper bound. [N/mm]
        at_mass: Mass of the cloth that bore it. [g/m²]
        shrink_low: Free shrinkage of raw cloth when wetted, from. [%]
        shrink_high: To. [%]
        source: Where it comes from.
    """

    name: str
    breaking: float
    at_mass: float
    shrink_low: float
    shrink_high: float
    source: Source


@dataclass(frozen=True, slots=True)
class NamedTension:
    """A tension, or a range of it, that someone names.

    Attributes:
        name: Name used here.
        low: From. [N/mm]
        high: To. [N/mm]
        about: What it is.
        source: Who says so.
    """

    name: str
    low: float
    high: float
    about: str
    source: Source


@dataclass(frozen=True, slots=True)
class NamedStrain:
    """A strain at which something happens.

    Attributes:
        name: Of what.
        strain: The strain. [1]
        source: Who says so.
    """

    name: str
    strain: float
    source: Source


@cache
def all_cloth_states() -> tuple[ClothState, ...]:
    """Every state in the table.

    Returns:
        The rows, softest first.
    """
    return rows("canvas", "states", ClothState)


def cloth_state(name: str, *, where: Where | None = None) -> ClothState:
    """A state of cloth by its name.

    Args:
        name: As a person wrote it; "raw" alone is raw and stretched, "primed" alone acrylic-primed.
        where: Place it was written, for the message.

    Returns:
        The state.

    Raises:
        FaultsError: If the tables know none of that name.
    """
    other = {
        "raw": "raw, stretched",
        "sized": "glue-sized",
        "primed": "acrylic-primed",
        "oil primed": "oil- or gesso-primed",
        "gesso primed": "oil- or gesso-primed",
    }
    return pick(all_cloth_states(), name, what="state of cloth", also=other, where=where)


def cloth_weight(name: str, *, where: Where | None = None) -> ClothWeight:
    """A named weight of cloth.

    Args:
        name: As sold, e.g. "12 oz" or "medium".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(rows("canvas", "weights", ClothWeight), name, what="cloth weight", where=where)


def cloth_mass_from_ounces(*, ounces: float) -> float:
    """Mass per area from ounces per square yard.

    Args:
        ounces: Ounces per square yard; ask the seller, some mean per running yard. [oz/yd²]

    Returns:
        Mass per area. [g/m²]
    """
    return ounces * OUNCE_PER_SQUARE_YARD


def duck_mass(*, number: int) -> float:
    """Mass per area of numbered cotton duck.

    Args:
        number: 1 to 12.

    Returns:
        Mass per area. [g/m²]

    Raises:
        OutOfRangeError: If the number is not from 1 to 12.

    References:
        Textile reference: a piece of 36 × 22 in weighs 19 − number ounces.
    """
    if not 1 <= number <= 12:
        msg = f"Numbered duck runs from 1 to 12, not {number}."
        raise OutOfRangeError(msg)
    return cloth_mass_from_ounces(ounces=(19 - number) * 36 / 22)


def fibre(name: str, *, where: Where | None = None) -> Fibre:
    """A fibre by its name.

    Args:
        name: "linen" or "cotton".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    other = {"flax": "linen", "cotton duck": "cotton", "duck": "cotton"}
    return pick(rows("canvas", "fibres", Fibre), name, what="fibre", also=other, where=where)


@cache
def all_tensions() -> tuple[NamedTension, ...]:
    """Every named tension.

    Returns:
        The rows in the order of the table.
    """
    return rows("canvas", "tensions", NamedTension)


def named_tension(name: str) -> NamedTension:
    """A tension that someone names.

    Args:
        name: As in the table, e.g. "service".

    Returns:
        The row.
    """
    return pick(all_tensions(), name, what="tension")


def named_strain(name: str) -> NamedStrain:
    """A strain at which something happens.

    Args:
        name: As in the table, e.g. "gesso, yield".

    Returns:
        The row.
    """
    return pick(rows("canvas", "strains", NamedStrain), name, what="strain")


@cache
def canvas_constant(name: str) -> Constant:
    """A single figure about canvas.

    Args:
        name: As in the table, e.g. "friction on pine".

    Returns:
        The row.
    """
    return pick(rows("canvas", "constants", Constant), name, what="canvas figure")


def cloth_thickness(*, mass: float, primed: bool) -> float:
    """How thick cloth lies, for folds. An estimate.

    Args:
        mass: Of the raw cloth. [g/m²]
        primed: Whether a ground lies on it.

    Returns:
        Thickness of one layer. [mm]
    """
    ground = canvas_constant("thickness of ground").value if primed else 0.0
    return mass / canvas_constant("bulk density of cloth").value + ground


def breaking_tension(fibre_name: str, *, mass: float) -> float:
    """Tension at which new cloth breaks, evenly pulled: an upper bound, an estimate.

    Args:
        fibre_name: "linen" or "cotton".
        mass: Of the cloth. [g/m²]

    Returns:
        Breaking tension. [N/mm]

    Raises:
        OutOfRangeError: If the mass is not above 0.
    """
    if mass <= 0.0:
        msg = f"Cloth must weigh more than 0 g/m², not {mass:g}."
        raise OutOfRangeError(msg)
    row = fibre(fibre_name)
    # strength goes with the yarn in it; heavier cloth than the one tested is not trusted with more
    return row.breaking * min(mass / row.at_mass, 1.0)
