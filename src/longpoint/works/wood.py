"""What the engine knows of a timber by its name: a strength class of EN 338, or a species."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from longpoint.errors import FaultsError
from longpoint.tables import StrengthClass, density_at, elastic_ratios, species, strength_class


@dataclass(frozen=True, slots=True)
class Wood:
    """Stiffness and density of a timber.

    Attributes:
        name: As stated.
        modulus: Likely modulus along the grain. [MPa]
        weak_modulus: Modulus that only one board in twenty falls below. [MPa]
        shear_modulus: Likely shear modulus. [MPa]
        density: Likely density. [kg/m³]
        weak_density: Density that only one board in twenty falls below. [kg/m³]
        specific_gravity: Oven-dry mass over volume at 12 % moisture. [1]
        source: Where the values come from.
    """

    name: str
    modulus: float
    weak_modulus: float
    shear_modulus: float
    density: float
    weak_density: float
    specific_gravity: float
    source: str


@lru_cache(maxsize=64)
def wood_named(name: str) -> Wood:
    """The timber of that name.

    Args:
        name: A strength class such as ``C16``, or a species such as ``ponderosa pine``.

    Returns:
        Its values.

    Raises:
        FaultsError: If it is neither.
    """
    try:
        row = strength_class(name)
    except FaultsError:
        kind = species(name)
        ratio = elastic_ratios(kind.name)
        # 1/16 is usual for timber beams where no ratio is published for the species.
        shear = (ratio.shear_radial + ratio.shear_tangential) / 2 if ratio else 1 / 16
        # A handbook modulus comes from bending and holds some shear already: about a tenth is put back.
        modulus = kind.modulus * 1.1
        return Wood(
            name=kind.name,
            modulus=modulus,
            weak_modulus=modulus * (1 - 1.645 * 0.22),
            shear_modulus=modulus * shear,
            density=density_at(specific_gravity=kind.specific_gravity, moisture=12.0),
            # Specific gravity scatters by a tenth (Niemz 1993, Physik des Holzes, read as quoted).
            weak_density=density_at(specific_gravity=kind.specific_gravity, moisture=12.0)
            * (1 - 1.645 * 0.10),
            specific_gravity=kind.specific_gravity,
            source=str(kind.source),
        )
    return Wood(
        name=row.name,
        modulus=row.modulus,
        weak_modulus=row.weak_modulus,
        shear_modulus=row.shear_modulus,
        density=row.density,
        weak_density=row.weak_density,
        specific_gravity=row.density / 1120,  # density at 12 % moisture is 1000 G (1 + 0.12)
        source=str(row.source),
    )


def class_of(wood: Wood) -> StrengthClass:
    """The strength class a timber is taken for: its own, or C16, the lowest usual one, for a species without."""
    try:
        return strength_class(wood.name)
    except FaultsError:
        return strength_class("C16")
