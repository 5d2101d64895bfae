"""How hard screws, nails and staples are to pull out of side grain, and staples to drag along it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.errors import OutOfRangeError
from longpoint.tables.reading import Source, pick, rows

_NEWTONS = {"N/mm2": 1.0, "lbf/in2": 4.4482216152605 / 25.4**2}  # to N/mm²; pound-force and inch are exact


@dataclass(frozen=True, slots=True)
class WithdrawalFormula:
    """Force = constant × G^gravity_power × D^diameter_power × L.

    Attributes:
        name: Which fastener, ultimate or allowable.
        constant: In its own unit.
        unit: "N/mm2" or "lbf/in2".
        gravity_power: Power of specific gravity G.
        diameter_power: Power of diameter D.
        source: Where it comes from.
    """

    name: str
    constant: float
    unit: str
    gravity_power: float
    diameter_power: float
    source: Source

    def force(self, *, specific_gravity: float, diameter: float, penetration: float) -> float:
        """Force that pulls the fastener out.

        Args:
            specific_gravity: On the basis the formula was made for. [1]
            diameter: Of shank or leg. [mm]
            penetration: Length in the receiving wood. [mm]

        Returns:
            Force. [N]

        Raises:
            OutOfRangeError: If a number is not above 0.
        """
        for name, value in (("Specific gravity", specific_gravity), ("Diameter", diameter)):
            if value <= 0.0:
                msg = f"{name} must be above 0, not {value:g}."
                raise OutOfRangeError(msg)
        constant = self.constant * _NEWTONS[self.unit]
        # a leg that does not reach the wood holds nothing
        reach = max(penetration, 0.0)
        held: float = specific_gravity**self.gravity_power * diameter**self.diameter_power
        return constant * held * reach


@cache
def _formula(name: str) -> WithdrawalFormula:
    return pick(rows("fasteners", "withdrawal", WithdrawalFormula), name, what="withdrawal formula")


@dataclass(frozen=True, slots=True)
class LateralCoefficient:
    """Load of a leg pushed sideways = coefficient × D^1.5, at a slip of 0.38 mm.

    Attributes:
        gravity_to: For specific gravities up to. [1]
        coefficient: K. [N/mm^1.5]
        source: Where it comes from.
    """

    gravity_to: float
    coefficient: float
    source: Source


def screw_withdrawal(*, specific_gravity: float, diameter: float, thread_in_wood: float) -> float:
    """Force at which a wood screw pulls out of side grain, mean of tests.

    Holds with the lead hole drilled right; end grain is another matter.

    Args:
        specific_gravity: Oven-dry mass over volume at 12 % moisture (``Species.specific_gravity``). [1]
        diameter: Shank diameter. [mm]
        thread_in_wood: Threaded length in the receiving piece. [mm]

    Returns:
        Ultimate force. [N]

    References:
        Wood Handbook eq. 8-10: p = 108.25 G² D L.
    """
    return _formula("wood screw, ultimate").force(
        specific_gravity=specific_gravity, diameter=diameter, penetration=thread_in_wood
    )


def screw_withdrawal_allowed(*, assigned_gravity: float, diameter: float, thread_in_wood: float) -> float:
    """Force a wood screw in side grain may carry in withdrawal, about a fifth of the ultimate.

    Args:
        assigned_gravity: Specific gravity NDS assigns (``AssignedGravity``), not the Handbook's. [1]
        diameter: Shank diameter. [mm]
        thread_in_wood: Threaded length in the receiving piece. [mm]

    Returns:
        Allowed force. [N]

    References:
        NDS 12.2-2: W = 2850 G² D lbf per inch of thread.
    """
    return _formula("wood screw, allowable").force(
        specific_gravity=assigned_gravity, diameter=diameter, penetration=thread_in_wood
    )


def staple_withdrawal(*, specific_gravity: float, leg_diameter: float, leg_in_wood: float) -> float:
    """Force at which a staple pulls out of side grain: two nail legs.

    Plain legs lose much of it as wood moistens and dries; coated ones keep it.

    Args:
        specific_gravity: Oven-dry mass over volume at 12 % moisture. [1]
        leg_diameter: Diameter of a round leg as strong. [mm]
        leg_in_wood: Length of one leg in the wood. [mm]

    Returns:
        Ultimate force of both legs. [N]

    References:
        Wood Handbook eq. 8-1: p = 54.12 G^2.5 D L for each leg.
    """
    return 2.0 * _formula("nail or staple leg, ultimate").force(
        specific_gravity=specific_gravity, diameter=leg_diameter, penetration=leg_in_wood
    )


def staple_lateral(*, specific_gravity: float, leg_diameter: float) -> float:
    """Load along the surface at which a staple has slipped 0.38 mm; it breaks loose at a few times that.

    Args:
        specific_gravity: Oven-dry mass over volume at 12 % moisture, up to 1. [1]
        leg_diameter: Diameter of a round leg as strong. [mm]

    Returns:
        Load on both legs. [N]

    Raises:
        OutOfRangeError: If the specific gravity is not above 0 and up to 1.

    References:
        Wood Handbook eq. 8-2 (lateral) and Table 8-4, p = K D^1.5 for each leg.
    """
    if 0.0 < specific_gravity <= 1.0:
        for row in rows("fasteners", "lateral", LateralCoefficient):
            if specific_gravity <= row.gravity_to:
                one_leg: float = row.coefficient * leg_diameter**1.5
                return 2.0 * one_leg
    msg = f"Specific gravity must lie above 0 and up to 1, not {specific_gravity:g}."
    raise OutOfRangeError(msg)
