"""Lifting by hand: the revised NIOSH equation, the HSE filter, and what each of two people carries on a stair.

Lengths in mm, masses in kg, angles in radians; the equation is written for centimetres and is kept so inside.

Neither figure is a limit that protects everyone: both are for healthy adults, flat dry floors and few lifts, and the
equation does not cover carrying, stairs or one hand (NIOSH 94-110, 1.2).
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from math import degrees, tan
from typing import Literal

Coupling = Literal["good", "fair", "poor"]
Duration = Literal["short", "moderate", "long"]

LOAD_CONSTANT = 23.0
"""What may be lifted where nothing is unfavourable. [kg] NIOSH 94-110, 1.3."""

_RATES = (0.2, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15)
"""Lifts a minute."""

_FREQUENCY: dict[Duration, tuple[float, ...]] = {
    "short": (
        1.0,
        0.97,
        0.94,
        0.91,
        0.88,
        0.84,
        0.80,
        0.75,
        0.70,
        0.60,
        0.52,
        0.45,
        0.41,
        0.37,
        0.34,
        0.31,
        0.28,
    ),
    "moderate": (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35, 0.30, 0.26, 0.23, 0.21, 0, 0, 0),
    "long": (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13, 0, 0, 0, 0, 0),
}
"""Frequency multipliers for lifts that begin at 75 cm or higher; up to one hour, two, eight. NIOSH 94-110 Table 5.

The first row was read in two published reprints, the others are from memory."""

_LOW_ENDS: dict[Duration, float] = {"short": 12, "moderate": 10, "long": 8}
"""Lifts a minute above which nothing may be lifted from below 75 cm. NIOSH 94-110 Table 5, from memory."""

_COUPLING: dict[Coupling, tuple[float, float]] = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}
"""Below 75 cm, from 75 cm on. NIOSH 94-110 Table 7."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """A lift with both hands.

    Attributes:
        out: Of the hands before the ankles. [mm]
        height: Of the hands above the floor where it begins. [mm]
        travel: How far they go up or down. [mm]
        twist: How far the body turns aside. [rad]
        per_minute: Lifts a minute.
        duration: Up to one hour, two, eight.
        coupling: How well the hands hold.
    """

    out: float
    height: float
    travel: float
    twist: float = 0.0
    per_minute: float = 0.2
    duration: Duration = "short"
    coupling: Coupling = "good"


@dataclass(frozen=True, slots=True, kw_only=True)
class Multipliers:
    """The six multipliers of the revised equation. [1]

    Attributes:
        horizontal: HM, 25 / H.
        vertical: VM, 1 − 0.003 |V − 75|.
        distance: DM, 0.82 + 4.5 / D.
        asymmetric: AM, 1 − 0.0032 A.
        frequency: FM, by table.
        coupling: CM, by table.
    """

    horizontal: float
    vertical: float
    distance: float
    asymmetric: float
    frequency: float
    coupling: float

    @property
    def limit(self) -> float:
        """The recommended weight limit. [kg]"""
        return (
            LOAD_CONSTANT
            * self.horizontal
            * self.vertical
            * self.distance
            * self.asymmetric
            * self.frequency
            * self.coupling
        )


def multipliers(lift: Lift) -> Multipliers:
    """The multipliers of a lift; 0 where it lies beyond what the equation allows.

    Args:
        lift: The lift.

    References:
        Waters, Putz-Anderson, Garg: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110.
    """
    out, height, travel = max(25.0, lift.out / 10), lift.height / 10, max(25.0, lift.travel / 10)
    twist = abs(degrees(lift.twist))
    low = height < 75
    return Multipliers(
        horizontal=25 / out if out <= 63 else 0.0,
        vertical=1 - 0.003 * abs(height - 75) if 0 <= height <= 175 else 0.0,
        distance=0.82 + 4.5 / travel if travel <= 175 else 0.0,
        asymmetric=1 - 0.0032 * twist if twist <= 135 else 0.0,
        frequency=_frequency(lift.per_minute, lift.duration, low=low),
        coupling=_COUPLING[lift.coupling][0 if low else 1],
    )


def _frequency(per_minute: float, duration: Duration, *, low: bool) -> float:
    if per_minute > _RATES[-1] or (low and per_minute > _LOW_ENDS[duration]):
        return 0.0
    # between two rows the one of more lifts
    return float(_FREQUENCY[duration][bisect_left(_RATES, per_minute)])


_FILTER: dict[str, tuple[tuple[float, float, float], ...]] = {
    # up to what height of the hands [mm]; close, at arm's length [kg]
    "women": ((300, 7, 3), (700, 13, 7), (1050, 16, 10), (1400, 13, 7), (1800, 7, 3)),
    "men": ((300, 10, 5), (700, 20, 10), (1050, 25, 15), (1400, 20, 10), (1800, 10, 5)),
}
"""HSE's filter for lifting and lowering (L23, INDG143): lower leg, knuckle, elbow, shoulder. From memory.

The heights of those zones in millimetres are estimates."""

CLOSE, ARMS = 250.0, 630.0
"""Hands close to the body and at arm's length, before the ankles, between which the filter is read. [mm] Estimate."""

TEAM = {1: 1.0, 2: 2 / 3, 3: 1 / 2}
"""What a team may lift, as a share of what its people could each. HSE L23, from memory."""

MOST_PEOPLE = 3


def filter_mass(
    *, out: float, lowest: float, highest: float, who: Literal["women", "men"] = "women"
) -> float:
    """What one person may lift by HSE's filter, the least of the zones that hands pass; 0 beyond them.

    Args:
        out: Of the hands before the ankles. [mm]
        lowest: Of the hands above the floor. [mm]
        highest: Of the hands above the floor. [mm]
        who: Whose filter.
    """
    share = min(1.0, max(0.0, (out - CLOSE) / (ARMS - CLOSE)))
    below = 0.0
    found = []
    for top, close, arms in _FILTER[who]:
        if lowest < top and highest >= below:
            found.append(close + share * (arms - close))
        below = top
    return min(found) if found and highest <= below else 0.0


def team_mass(each: float, people: int) -> float:
    """What a team may lift by HSE's rule: two people two thirds of the sum of what each could, three a half.

    Args:
        each: What each may lift alone. [kg]
        people: How many, 1 to 3.
    """
    return each * people * TEAM[people]


def lower_share(*, grips_apart: float, centre_above: float, pitch: float) -> float:
    """What the lower of two people carries on a stair, as a share of the mass.

    They hold it at its ends with their hands on one line that slopes with the stair; the mass's centre stands above
    that line and so moves towards the lower one. Moments about the upper hands, with loads upright.

    Args:
        grips_apart: Between the two, along the slope. [mm]
        centre_above: Of the mass's centre over the line of the grips, square to it. [mm]
        pitch: Of the stair. [rad]
    """
    return min(1.0, 0.5 + centre_above * tan(pitch) / grips_apart)
