"""Ways out of the studio: doors, corners, stairs, landings, lifts and load spaces, as they are met."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field

from longpoint.model.quantities import Length, LengthAboveZero, Name, OneLine, Stated

ObstacleKind = Literal["door", "corner", "stairs", "quarter landing", "lift", "load space"]

_SPACE = ("width", "height", "depth")
NEEDED: dict[ObstacleKind, tuple[str, ...]] = {
    "door": ("width", "height"),
    "corner": ("width", "width_after", "height"),
    "stairs": ("width", "headroom", "rise", "going"),
    "quarter landing": ("width", "width_after", "height", "rise", "going"),
    "lift": _SPACE,
    "load space": _SPACE,
}
"""What must be said of each kind."""

_DOOR_OF_SPACE = ("door_width", "door_height", "sill")
TAKEN: dict[ObstacleKind, tuple[str, ...]] = {
    "door": ("leaf", "sill"),
    "corner": (),
    "stairs": ("height", "landing"),
    "quarter landing": (),
    "lift": _DOOR_OF_SPACE,
    "load space": _DOOR_OF_SPACE,
}
"""What may be said beside."""


class StatedObstacle(Stated):
    """What a work must get past; every measure clear, between what sticks out most.

    Attributes:
        kind: What it is. A ``door`` is any opening in a wall; a ``corner`` two passages at a right angle (also a door
            in the side of a passage, its width as ``width_after``); ``stairs`` one straight flight.
        name: What it is called on the sheets; left out: its kind.
        width: Of the opening; of the passage or flight the work comes from; of the space inside.
        height: Of the opening; of the lowest ceiling; over a quarter landing and the steps that reach into the turn;
            over the floor at foot and head of stairs (left out: as the headroom); of the space inside.
        width_after: Of the passage or flight it goes on to.
        headroom: Of stairs: upright from the line of the nosings to what hangs lowest above it.
        rise: Of one step.
        going: Of one step, nosing to nosing.
        landing: Of stairs: from the top step to the wall ahead, where the way turns aside; left out: straight on.
        depth: Of a space, from its closed door to the back.
        door_width: Of the door of a space; left out: as wide as the space.
        door_height: Of the door of a space; left out: as high as the space.
        leaf: What the opening gains where the leaf of its door is lifted off.
        sill: How high the work is lifted to get in.
    """

    kind: ObstacleKind
    name: OneLine | None = None
    width: LengthAboveZero | None = None
    height: LengthAboveZero | None = None
    width_after: LengthAboveZero | None = None
    headroom: LengthAboveZero | None = None
    rise: LengthAboveZero | None = None
    going: LengthAboveZero | None = None
    landing: LengthAboveZero | None = None
    depth: LengthAboveZero | None = None
    door_width: LengthAboveZero | None = None
    door_height: LengthAboveZero | None = None
    leaf: Length = Fraction(0)
    sill: Length = Fraction(0)


class Way(Stated):
    """A way out, obstacle after obstacle. Several that a work may take are each stated as a way.

    Attributes:
        name: Its name; left out, it is numbered.
        works: Names of the works that take it; left out: all.
        wrap: Thickness of what a work is wrapped in, on every side. Estimate: bubble wrap and a blanket.
        obstacle: What is met, in order.
    """

    name: Name = ""
    works: Annotated[tuple[Name, ...], Field(min_length=1)] | None = None
    wrap: Length = Fraction(10)
    obstacle: tuple[StatedObstacle, ...] = Field(min_length=1)
