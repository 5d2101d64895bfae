"""Timber as the strength room sees it: two stiffnesses, a density, and how much it gives in the long run.

A stiffness printed in a handbook usually comes from bending a short beam and so already holds some shear; used
as it stands, together with shear, it would count shear twice. `timber` raises it first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from longpoint.errors import OutOfRangeError

#: A bending stiffness measured at span 14 × depth is this much below the shear-free one. [-]
#: FPL Wood Handbook GTR-282 chapter 5, read as quoted: raise a tabulated modulus by 10 % for that along the grain.
SHEAR_IN_HANDBOOK_VALUE = 1.10

#: Stiffness along the grain over shear stiffness. [-]  EN 338:2016, E0,mean / Gmean = 16.
STIFFNESS_OVER_SHEAR = 16.0

#: Creep of solid timber indoors. [-]  EN 1995-1-1 Table 3.2, service class 1 (read).
CREEP = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Timber:
    """Stiffness and density of one board, or of a kind of timber.

    Attributes:
        modulus: Stiffness along the grain, free of shear. [MPa]
        shear_modulus: Shear stiffness, for torsion and shear. [MPa]
        density: Density as used. [kg/m³]
        creep: k_def: deflection added by long loading, over the first one. [-]
        shear_counts: False leaves out deflection by shear; only for comparing with slender-beam formulas.
    """

    modulus: float
    shear_modulus: float
    density: float
    creep: float = CREEP
    shear_counts: bool = True

    def __post_init__(self) -> None:
        for value, name, unit in (
            (self.modulus, "stiffness along the grain", "MPa"),
            (self.shear_modulus, "shear stiffness", "MPa"),
            (self.density, "density", "kg/m³"),
        ):
            if not 0.0 < value < float("inf"):
                msg = f"the timber's {name} is {value:g} {unit}; give a number above 0"
                raise OutOfRangeError(msg)
        if not 0.0 <= self.creep < float("inf"):
            msg = f"the timber's creep is {self.creep:g}; give 0 or more (0.6 is usual indoors)"
            raise OutOfRangeError(msg)

    def in_the_long_run(self) -> Timber:
        """The same timber after years under load: both stiffnesses divided by 1 + creep."""
        give = 1.0 + self.creep
        return replace(self, modulus=self.modulus / give, shear_modulus=self.shear_modulus / give, creep=0.0)


def timber(
    *,
    modulus: float = 8000.0,
    shear_modulus: float | None = None,
    density: float = 370.0,
    creep: float = CREEP,
    holds_shear: bool = False,
) -> Timber:
    """Timber from printed values; the defaults are softwood of class C16 (EN 338:2016 E0,mean, rho_mean).

    Args:
        modulus: Stiffness along the grain. [MPa]
        shear_modulus: Shear stiffness; one sixteenth of the modulus where not given. [MPa]
        density: Density as used. [kg/m³]
        creep: k_def. [-]
        holds_shear: True where ``modulus`` is a handbook's bending value that holds some shear.

    Returns:
        The timber.
    """
    free = modulus * (SHEAR_IN_HANDBOOK_VALUE if holds_shear else 1.0)
    shear = free / STIFFNESS_OVER_SHEAR if shear_modulus is None else shear_modulus
    return Timber(modulus=free, shear_modulus=shear, density=density, creep=creep)
