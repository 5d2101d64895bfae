"""How each work is lifted: how many people, where they hold it, and what the lower one carries on a stair."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2

from longpoint.errors import Caution
from longpoint.frame.design import FrameDesign
from longpoint.handling.lifting import (
    MOST_PEOPLE,
    Lift,
    Multipliers,
    filter_mass,
    lower_share,
    multipliers,
    team_mass,
)
from longpoint.model.shop import Shop
from longpoint.model.ways import Way

SPAN = 900.0
"""Widest that one person holds by both upright bars. [mm] Estimate."""

CARRIED = 300.0
"""How high a work is lifted off the floor to be carried. [mm] Estimate."""

HANDS = 750.0
"""Of the hands above the floor where a work stands, as hands hang; less where the work is lower. [mm] Estimate."""

BODY = 200.0
"""From the ankles to what is held against the body. [mm] NIOSH 94-110, 1.3.1: H = 20 cm + half of what is held."""

AT_THE_END = 400.0
"""Of the hands before the ankles where a work is held by its end. [mm] Estimate."""

LIFTS = 2
"""Lifts of each work when it is carried out: off the wall, off the floor. Estimate; all within an hour."""

TOO_HEAVY = "too-heavy"
"""Code of the caution that a work asks for more people than the shop has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftedWork:
    """How one work is lifted.

    Attributes:
        work: Its name.
        mass: Of one, wrapped [kg]: the finished work and a tenth for wrapping and hangers (estimate).
        people: How many lift it, 1 to 3; 4 where no three may.
        why: What asks for them: "reach" (how far one person's arms go) or "mass".
        grips: Height of the hands above its lower edge. [mm]
        each: What one of them carries. [kg]
        limit: Recommended weight limit for one of them. [kg]
        by: Its multipliers.
        filter: What the team may lift by HSE's filter for women, the stricter one. [kg]
        stairs: What the lower one of two carries on the steepest stair of its ways [kg]; None without a stair.
    """

    work: str
    mass: float
    people: int
    why: str
    grips: float
    each: float
    limit: float
    by: Multipliers
    filter: float
    stairs: float | None

    @property
    def index(self) -> float:
        """The lifting index: what one carries over the recommended limit; above 1 some are hurt by it. [1]"""
        return self.each / self.limit if self.limit else float("inf")


WRAPPING = 1.1
"""A work wrapped and with its hangers, over the bare one. [1] Estimate."""


def lifted_work(
    ways: Sequence[Way], *, work: str, design: FrameDesign, mass: float, pieces: int
) -> LiftedWork:
    """How one work is lifted.

    Args:
        ways: Ways out, as stated, for their stairs.
        work: Its name.
        design: Its design.
        mass: Of one, finished. [kg]
        pieces: How many works there are to lift, copies counted.
    """
    whole = mass * WRAPPING
    width, height = float(design.width), float(design.height)
    hands = min(HANDS, height / 2)
    per_minute = max(0.2, LIFTS * pieces / 60)
    reach = width <= SPAN
    least = 1 if reach else 2
    people = least
    while True:
        team = min(people, MOST_PEOPLE)
        out = BODY + float(design.bar_depth) / 2 if people == 1 else AT_THE_END
        # no handles, and larger than 40 cm: poor by NIOSH 94-110 Table 6
        by = multipliers(Lift(out=out, height=hands, travel=CARRIED, per_minute=per_minute, coupling="poor"))
        allowed = team_mass(filter_mass(out=out, lowest=hands, highest=hands + CARRIED), team)
        if people > MOST_PEOPLE or (whole / team <= by.limit and whole <= allowed):
            break
        people += 1
    return LiftedWork(
        work=work,
        mass=whole,
        people=people,
        why="mass" if people > least else "reach",
        grips=hands,
        each=whole / team,
        limit=by.limit,
        by=by,
        filter=allowed,
        stairs=_on_stairs(ways, work, whole, width, height, hands),
    )


def _on_stairs(
    ways: Sequence[Way], work: str, mass: float, width: float, height: float, hands: float
) -> float | None:
    """What the lower of two carries on the steepest stair that is stated for a work. [kg]"""
    pitches = [
        atan2(float(one.rise), float(one.going))
        for way in ways
        if way.works is None or work in way.works
        for one in way.obstacle
        if one.rise is not None and one.going is not None
    ]
    if not pitches:
        return None
    share = lower_share(grips_apart=width, centre_above=max(0.0, height / 2 - hands), pitch=max(pitches))
    return mass * share


def lifting_cautions(shop: Shop, lifted: Sequence[LiftedWork]) -> tuple[Caution, ...]:
    """Works that ask for more people than are said to be there; nothing where the batch does not say.

    Args:
        shop: The shop, as stated.
        lifted: How its works are lifted.
    """
    if "people" not in shop.model_fields_set:
        return ()
    return tuple(
        Caution(
            TOO_HEAVY,
            about=one.work,
            facts=(("people", str(one.people)), ("have", str(shop.people))),
        )
        for one in lifted
        if one.people > shop.people
    )
