"""Species of wood: how stiff, how heavy, how much they move."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import Where, refuse
from longpoint.tables.reading import Source, Tag, pick, plain, rows


@dataclass(frozen=True, slots=True)
class Species:
    """A species of wood, clear, at 12 % moisture.

    Attributes:
        name: Trade name.
        also: Other names for it.
        hardwood: Whether the trade calls it a hardwood (poplar and basswood are, though soft).
        specific_gravity: Oven-dry mass over volume at 12 % moisture. [1]
        modulus: Young's modulus along the grain, from bending; holds some shear. [MPa]
        source: Where the two numbers come from.
    """

    name: str
    also: tuple[str, ...]
    hardwood: bool
    specific_gravity: float
    modulus: float
    source: Source


@dataclass(frozen=True, slots=True)
class AssignedGravity:
    """Specific gravity that NDS assigns for connections: another basis than ``Species.specific_gravity``.

    Attributes:
        name: Group of species.
        species: Species in it, by the names of ``Species``.
        specific_gravity: Oven-dry mass over oven-dry volume. [1]
        source: Where it comes from.
    """

    name: str
    species: tuple[str, ...]
    specific_gravity: float
    source: Source


@dataclass(frozen=True, slots=True)
class ElasticRatios:
    """Stiffness in the other directions over the modulus along the grain.

    Attributes:
        species: Species.
        tangential: E tangential / E along. [1]
        radial: E radial / E along. [1]
        shear_radial: G along-radial / E along. [1]
        shear_tangential: G along-tangential / E along. [1]
        source: Where they come from.
        rolling_shear: G radial-tangential / E along; None where not given. [1]
    """

    species: str
    tangential: float
    radial: float
    shear_radial: float
    shear_tangential: float
    source: Source
    rolling_shear: float | None = None


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """Shrinkage from green to oven-dry.

    Attributes:
        species: Species.
        radial: Across the rings. [%]
        tangential: Along the rings. [%]
        volumetric: By volume. [%]
        source: Where it comes from.
    """

    species: str
    radial: float
    tangential: float
    volumetric: float
    source: Source


@dataclass(frozen=True, slots=True)
class Movement:
    """Change of size for each 1 % of moisture, between 6 and 14 %.

    Attributes:
        species: Species.
        radial: Across the rings (the wide way of a quarter-sawn board). [1]
        tangential: Along the rings (the wide way of a flat-sawn board). [1]
        source: Where it comes from.
    """

    species: str
    radial: float
    tangential: float
    source: Source


@dataclass(frozen=True, slots=True)
class Scatter:
    """How much a property differs from piece to piece.

    Attributes:
        property: Name of the property.
        coefficient: Standard deviation over mean. [%]
        source: Where it comes from.
    """

    property: str
    coefficient: float
    source: Source


@dataclass(frozen=True, slots=True)
class MoistureEffect:
    """How a property rises as wood dries.

    Attributes:
        property: Name of the property.
        per_percent: Rise for each 1 % less moisture. [%]
        source: Where it comes from.
    """

    property: str
    per_percent: float
    source: Source


@cache
def all_species() -> tuple[Species, ...]:
    """Every species in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("wood", "species", Species)


def species(name: str, *, where: Where | None = None) -> Species:
    """A species by its name or another name for it.

    Args:
        name: As a person wrote it.
        where: Place it was written, for the message.

    Returns:
        The species.

    Raises:
        FaultsError: If the tables know none of that name.
    """
    other = {plain(second): row.name for row in all_species() for second in row.also}
    return pick(all_species(), name, what="species of wood", also=other, where=where)


@cache
def elastic_ratios(name: str) -> ElasticRatios | None:
    """Elastic ratios of a species.

    Args:
        name: Name of the species.

    Returns:
        The ratios, or None where the tables hold none.
    """
    wanted = species(name).name
    return next((r for r in rows("wood", "elastic_ratios", ElasticRatios) if r.species == wanted), None)


@cache
def shrinkage(name: str) -> Shrinkage | None:
    """Shrinkage of a species from green to oven-dry.

    Args:
        name: Name of the species.

    Returns:
        The row, or None where the tables hold none.
    """
    wanted = species(name).name
    return next((r for r in rows("wood", "shrinkage", Shrinkage) if r.species == wanted), None)


# Where only green-to-dry shrinkage is published, it is spread evenly over the moisture below fibre saturation.
_FIBRE_SATURATION = 30.0  # [%] Wood Handbook eq. 4-9, where none is known for the species


@cache
def movement_across(name: str) -> Movement:
    """How much a species moves across the grain for each 1 % of moisture.

    Args:
        name: Name of the species.

    Returns:
        The published coefficients; where there are none, an estimate from shrinkage or from the middle of all rows.
    """
    wanted = species(name).name
    every = rows("wood", "movement", Movement)
    for row in every:
        if row.species == wanted:
            return row
    shrunk = shrinkage(wanted)
    if shrunk is not None:
        source = Source(f"straight line through {shrunk.source.text}", Tag.ESTIMATE)
        per_percent = 1.0 / 100.0 / _FIBRE_SATURATION
        return Movement(wanted, shrunk.radial * per_percent, shrunk.tangential * per_percent, source)
    middle = len(every) // 2
    return Movement(
        wanted,
        sorted(row.radial for row in every)[middle],
        sorted(row.tangential for row in every)[middle],
        Source("middle of the species in the table", Tag.ESTIMATE),
    )


@cache
def assigned_gravity(name: str) -> AssignedGravity | None:
    """Specific gravity NDS assigns to a species, or to a group of species, for connections.

    Args:
        name: Name of the species or of the group.

    Returns:
        The row, or None where the tables hold none.
    """
    wanted = plain(name)
    for row in rows("wood", "assigned_gravity", AssignedGravity):
        if wanted in {plain(row.name), *(plain(each) for each in row.species)}:
            return row
    return None


@cache
def scatter(name: str) -> Scatter:
    """How much a property differs from piece to piece.

    Args:
        name: Property, e.g. "modulus".

    Returns:
        The row.

    Raises:
        FaultsError: If the table has no such property.
    """
    every = rows("wood", "scatter", Scatter)
    for row in every:
        if row.property == plain(name):
            return row
    known = ", ".join(row.property for row in every)
    code = "unknown-property"
    raise refuse(code, f"The tables hold no scatter of “{name}”.", f"Known: {known}.")


@cache
def moisture_effect(name: str) -> float:
    """How a property rises for each 1 % less moisture.

    Args:
        name: Property; only "modulus" is in the table.

    Returns:
        Rise for each 1 % less moisture. [%]
    """
    return next(r for r in rows("wood", "moisture_effect", MoistureEffect) if r.property == name).per_percent
