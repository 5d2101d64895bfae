"""Does a staple hold, and does its leg fit the bar."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.errors import Caution, Fault, FaultsError, OutOfRangeError, Where
from longpoint.tables import StapleKind, Tag, habit, staple_lateral, staple_withdrawal
from longpoint.units import LengthStyle

_MILLIMETRES = LengthStyle()


@dataclass(frozen=True, slots=True)
class StapleHold:
    """How far apart staples may be for their load.

    Attributes:
        dragged: Load along the surface that a staple bears with 0.38 mm of slip. [N]
        pulled_out: Load that draws it out. [N]
        allowed: Load one staple is trusted with: the lesser over the safety. [N]
        load: Load on one staple at the widest spacing for scallops. [N]
        spacing: Widest spacing to use: the lesser of load and scallops. [mm]
        sure: How sure: the formulas were read, the two legs and the safety are estimates.
        cautions: What a person should know.
    """

    dragged: float
    pulled_out: float
    allowed: float
    load: float
    spacing: float
    sure: Tag
    cautions: tuple[Caution, ...]


def staple_hold(
    *, tension: float, specific_gravity: float, kind: StapleKind, leg: float, cloth_under_crown: float
) -> StapleHold:
    """How far apart staples may be so that they hold and the edge shows no scallops.

    The friction of cloth over the edge helps but is not counted on: it goes when the frame is knocked.

    Args:
        tension: Highest tension the edge will see, above 0. [N/mm]
        specific_gravity: Of the bar, oven-dry mass over volume at 12 % moisture. [1]
        kind: The staple.
        leg: Length of its legs. [mm]
        cloth_under_crown: Cloth the legs go through first. [mm]

    Returns:
        Holding and spacing.

    Raises:
        OutOfRangeError: If the tension is not above 0.

    References:
        Wood Handbook eq. 8-1 for a leg in withdrawal and eq. 8-2 with Table 8-4 for its lateral load (read). Two legs,
        twice a nail: from memory. The lateral value wants a penetration of 10 to 14 diameters; softwood bears about
        3.5 times it before it fails.
    """
    if tension <= 0.0:
        msg = f"Tension at the staples must be above 0 N/mm, not {tension:g}."
        raise OutOfRangeError(msg)
    dragged = staple_lateral(specific_gravity=specific_gravity, leg_diameter=kind.round_diameter)
    pulled_out = staple_withdrawal(
        specific_gravity=specific_gravity,
        leg_diameter=kind.round_diameter,
        leg_in_wood=leg - cloth_under_crown,
    )
    allowed = min(dragged, pulled_out) / habit("safety on staple holding").value
    widest, closest = habit("spacing, widest").value, habit("spacing, closest").value
    for_load = allowed / tension
    cautions = []
    if round(for_load) < closest:
        cautions.append(
            Caution("staples-close", facts=(("load", f"{for_load:.0f} mm"), ("usual", f"{closest:g} mm")))
        )
    return StapleHold(
        dragged=dragged,
        pulled_out=pulled_out,
        allowed=allowed,
        load=tension * widest,
        spacing=min(widest, for_load),
        sure=Tag.ESTIMATE,
        cautions=tuple(cautions),
    )


@dataclass(frozen=True, slots=True)
class LegFit:
    """Which legs fit.

    Attributes:
        wood: Wood there is in the direction of the legs. [mm]
        longest: Longest leg that leaves wood behind it. [mm]
        shortest: Shortest leg that reaches deep enough. [mm]
        fitting: Of the legs on sale, those between; shortest first. [mm]
        chosen: The leg to use; None where none on sale fits. [mm]
    """

    wood: float
    longest: float
    shortest: float
    fitting: tuple[float, ...]
    chosen: float | None


_LEAST_IN_WOOD = 6.0  # [mm] below this a leg works loose; estimate
_ENOUGH_IN_WOOD = 9.0  # [mm] more makes pulling the staple tear the bar; estimate


def leg_fit(*, wood: float, layers: int, cloth_thickness: float, legs: Iterable[float]) -> LegFit:
    """Which legs fit a bar without coming through, and hold through the corner's layers too.

    Args:
        wood: Wood in the direction of the legs: the depth stapled on the back, the thickness on the side. [mm]
        layers: Most layers of cloth under a crown, at the corner fold.
        cloth_thickness: Of one layer. [mm]
        legs: Leg lengths on sale. [mm]

    Returns:
        The legs that fit; chosen is the shortest that holds well, or the longest that fits.
    """
    # one layer is under most crowns, so the leg that is long enough for the corner is the one that may come through
    longest = wood - habit("wood left behind a leg").value + cloth_thickness
    shortest = layers * cloth_thickness + _LEAST_IN_WOOD
    fitting = tuple(sorted(leg for leg in legs if shortest <= leg <= longest))
    good = [leg for leg in fitting if leg >= cloth_thickness + _ENOUGH_IN_WOOD]
    chosen = (good[0] if good else fitting[-1]) if fitting else None
    return LegFit(wood, longest, shortest, fitting, chosen)


def check_leg(
    *, leg: float, fit: LegFit, where: Where | None = None, style: LengthStyle = _MILLIMETRES
) -> tuple[Caution, ...]:
    """Whether the legs at hand suit the bar.

    Args:
        leg: Length of the legs at hand. [mm]
        fit: What fits.
        where: Place the staple was stated, for messages.
        style: How lengths are shown in messages.

    Returns:
        Cautions where they are short.

    Raises:
        FaultsError: If they come through, or leave too little wood.
    """
    if leg > fit.longest:
        through = leg - fit.wood
        how = f"come {style.show(through)} through" if through > 0 else "nearly come through"
        such = f", such as {style.show(fit.chosen)}." if fit.chosen else "."
        fault = Fault(
            "staple-too-long",
            f"Staple legs of {style.show(leg)} {how} a bar with {style.show(fit.wood)} of wood behind the cloth.",
            f"Take legs of {style.show(fit.longest, rounding='down')} or less{such}",
            where or Where(),
        )
        raise FaultsError([fault])
    if leg < fit.shortest:
        return (
            Caution(
                "staple-short",
                facts=(
                    ("leg", style.show(leg)),
                    ("least", style.show(_LEAST_IN_WOOD)),
                    ("take", style.show(fit.shortest, rounding="up")),
                ),
            ),
        )
    return ()
