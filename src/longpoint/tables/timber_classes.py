"""Strength classes of structural timber and the factors that go with them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import OutOfRangeError, Where
from longpoint.tables.reading import Source, pick, rows


@dataclass(frozen=True, slots=True)
class StrengthClass:
    """A class of EN 338.

    Attributes:
        name: Class, e.g. "C16".
        bending: Characteristic bending strength. [MPa]
        tension: Characteristic tension strength along the grain. [MPa]
        compression: Characteristic compression strength along the grain. [MPa]
        shear: Characteristic shear strength. [MPa]
        compression_across: Characteristic compression strength across the grain. [MPa]
        modulus: Mean modulus along the grain. [MPa]
        weak_modulus: Modulus that only one board in twenty falls below. [MPa]
        modulus_across: Mean modulus across the grain. [MPa]
        shear_modulus: Mean shear modulus. [MPa]
        weak_density: Density that only one board in twenty falls below. [kg/m³]
        density: Mean density. [kg/m³]
        source: Where the row comes from.
    """

    name: str
    bending: float
    tension: float
    compression: float
    shear: float
    compression_across: float
    modulus: float
    weak_modulus: float
    modulus_across: float
    shear_modulus: float
    weak_density: float
    density: float
    source: Source


@dataclass(frozen=True, slots=True)
class LoadDuration:
    """Strength left under a load that lasts.

    Attributes:
        name: How long the load lasts: permanent, long, medium, short.
        k_mod: Share of the short-term strength, solid timber indoors. [1]
        source: Where it comes from.
    """

    name: str
    k_mod: float
    source: Source


@dataclass(frozen=True, slots=True)
class Creep:
    """Growth of deflection under a load that stays.

    Attributes:
        service_class: 1 heated indoors, 2 covered outdoors or unheated.
        k_def: Added share of the first deflection. [1]
        source: Where it comes from.
    """

    service_class: int
    k_def: float
    source: Source


@dataclass(frozen=True, slots=True)
class Safety:
    """Partial factor on strength.

    Attributes:
        name: Of what.
        gamma: Divides the strength. [1]
        source: Where it comes from.
    """

    name: str
    gamma: float
    source: Source


@cache
def all_strength_classes() -> tuple[StrengthClass, ...]:
    """Every class in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("timber_classes", "strength_classes", StrengthClass)


def strength_class(name: str, *, where: Where | None = None) -> StrengthClass:
    """A strength class by its name.

    Args:
        name: As a person wrote it, e.g. "C16".
        where: Place it was written, for the message.

    Returns:
        The class.

    Raises:
        FaultsError: If the tables know none of that name.
    """
    return pick(all_strength_classes(), name, what="strength class", where=where)


def load_duration(name: str, *, where: Where | None = None) -> LoadDuration:
    """How strength falls under a load that lasts.

    Args:
        name: "permanent", "long", "medium" or "short".
        where: Place it was written, for the message.

    Returns:
        The row.
    """
    return pick(
        rows("timber_classes", "load_durations", LoadDuration), name, what="load duration", where=where
    )


def creep(*, service_class: int) -> Creep:
    """How deflection grows under a load that stays.

    Args:
        service_class: 1 or 2.

    Returns:
        The row.

    Raises:
        OutOfRangeError: If the service class is not in the table.
    """
    for row in rows("timber_classes", "creep", Creep):
        if row.service_class == service_class:
            return row
    msg = f"Service class must be 1 (heated indoors) or 2 (unheated), not {service_class}."
    raise OutOfRangeError(msg)


def safety(name: str) -> Safety:
    """Partial factor on the strength of something.

    Args:
        name: "solid timber" or "connections".

    Returns:
        The row.
    """
    return pick(rows("timber_classes", "safety", Safety), name, what="safety factor")
