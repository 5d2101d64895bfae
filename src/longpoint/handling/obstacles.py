"""What a work must get past: doors, corners, stairs, landings, spaces with a door. All clear measures. [mm]"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """A rectangular opening in a wall that is thin beside the work; floor on both sides.

    Attributes:
        width: Clear width.
        height: Clear height.
    """

    width: float
    height: float

    @property
    def opening(self) -> tuple[float, float]:
        """Width and height that are clear."""
        return self.width, self.height


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """Two passages that meet at a right angle.

    Attributes:
        before: Width of the passage it comes from.
        after: Width of the passage it goes to.
        height: Of the lower ceiling.
    """

    before: float
    after: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stairs:
    """A straight flight with level floor at its foot and head.

    Attributes:
        width: Between walls or rails.
        headroom: Upright from the line of the nosings to what hangs lowest above it, all along the flight.
        rise: Of one step.
        going: Of one step.
        height: Of the ceiling over the floor at foot and head.
        landing: From the top step to the wall ahead, where the way turns aside; None where it goes straight on.
    """

    width: float
    headroom: float
    rise: float
    going: float
    height: float
    landing: float | None = None

    @property
    def pitch(self) -> float:
        """Of the flight. [rad]"""
        return atan2(self.rise, self.going)

    @property
    def clear(self) -> float:
        """Headroom square to the flight."""
        return self.headroom * cos(self.pitch)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuarterLanding:
    """A square landing between two flights that meet at a right angle, the second going up from it.

    Attributes:
        before: Width of the flight it comes from.
        after: Width of the flight it goes to.
        height: Clear over the landing, and over the steps that reach into the turn.
        rise: Of one step.
        going: Of one step.
    """

    before: float
    after: float
    height: float
    rise: float
    going: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Space:
    """A lift or a load space, entered straight through a door in its front.

    Attributes:
        width: Inside.
        height: Inside.
        depth: Inside, from the closed door to the back.
        door_width: Clear width of its door.
        door_height: Clear height of its door.
    """

    width: float
    height: float
    depth: float
    door_width: float
    door_height: float

    @property
    def opening(self) -> tuple[float, float]:
        """Width and height that stay clear all the way in."""
        return min(self.width, self.door_width), min(self.height, self.door_height)


Obstacle = Door | Corner | Stairs | QuarterLanding | Space
