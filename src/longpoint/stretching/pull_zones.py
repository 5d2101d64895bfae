"""How hard an order pulls, as a hand is told: in the middle of a side, between, and towards the corners."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from longpoint.stretching.rehearsal.field import NEAR_CORNER
from longpoint.stretching.rehearsal.hand_words import in_words
from longpoint.stretching.staple_map import MappedStaple, StapleMap, StapleUse

MIDDLE = 0.3
"""Farther than this part of its side from either corner a staple counts as in the middle, as when pulls are fitted."""


@dataclass(frozen=True, slots=True)
class SidePull:
    """How a pair of opposite sides is pulled, as shares of the full pull that a hand can tell apart.

    Attributes:
        sides: "level" for bottom and top, "upright" for left and right.
        middle: In the middle.
        between: Between middle and corners.
        corner: Towards the corners.
    """

    sides: str
    middle: float
    between: float
    corner: float


def side_pulls(mapped: StapleMap) -> tuple[SidePull, SidePull]:
    """How both pairs of sides are pulled.

    Args:
        mapped: A staple map.

    Returns:
        Bottom and top, then left and right; a zone without a pulled staple takes the share next to it.
    """
    return _pair(mapped, "level", ("bottom", "top")), _pair(mapped, "upright", ("left", "right"))


def _pair(mapped: StapleMap, name: str, sides: tuple[str, str]) -> SidePull:
    length = mapped.face_width if name == "level" else mapped.face_height
    zones: dict[str, list[float]] = {"middle": [], "between": [], "corner": []}
    for staple in mapped.staples:
        if staple.side in sides and staple.use is StapleUse.EDGE and staple.pull > 0:
            zones[_zone(staple, length)].append(in_words(staple.pull)[0])
    told = {zone: Counter(found).most_common(1)[0][0] for zone, found in zones.items() if found}
    between = told.get("between", told.get("middle", told.get("corner", 1.0)))
    return SidePull(name, told.get("middle", between), between, told.get("corner", between))


def _zone(staple: MappedStaple, length: float) -> str:
    near = min(staple.along, length - staple.along)
    if near < min(NEAR_CORNER, 0.25 * length):
        return "corner"
    return "middle" if near > MIDDLE * length else "between"
