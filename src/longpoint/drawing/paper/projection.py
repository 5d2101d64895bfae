"""Frames on paper: from the millimetres of a frame to the millimetres of a sheet, from the front or the back.

Seen from the back, as the frame lies face down in front of you with its top away from you, left and right change
places: only points are mirrored, never lettering.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from longpoint.drawing.paper.marks import Layer, Plain, Point, Polygon
from longpoint.frame import Frame, Kind, Member, outline_xy

Seen = Literal["front", "back"]

WOOD: dict[Kind, float] = {
    Kind.BAR: 0.86,
    Kind.END_RAIL: 0.93,
    Kind.CROSS_RAIL: 0.93,
    Kind.MIDDLE_PIECE: 0.97,
    Kind.PLATE: 0.9,
}
"""Tone of each kind of member: bars darkest, so that the frame stands out from what is inside it."""


@dataclass(frozen=True, slots=True)
class Projection:
    """From frame to paper.

    Attributes:
        scale: mm of paper per mm of the frame.
        seen: From the front or the back.
        width: Of the face, needed to mirror. [mm]
    """

    scale: float
    seen: Seen
    width: float

    def point(self, x: Fraction | float, y: Fraction | float) -> Point:
        """A point of the frame on paper, the frame's lower left corner (as seen) at the origin."""
        across = float(x) if self.seen == "front" else self.width - float(x)
        return (across * self.scale, float(y) * self.scale)

    @property
    def rightward(self) -> float:
        """+1 if x grows to the right on paper, −1 if to the left."""
        return 1.0 if self.seen == "front" else -1.0


def projection_of(frame: Frame, *, scale: float, seen: Seen) -> Projection:
    """The projection of a frame."""
    return Projection(scale, seen, float(frame.design.width))


def member_polygon(member: Member, frame: Frame, projection: Projection) -> Polygon:
    """A member's outline on paper, filled with its tone."""
    corners = tuple(projection.point(x, y) for x, y in outline_xy(member, frame.design))
    return Polygon(corners, Layer.OUTLINE, fill=WOOD[member.kind])


def frame_marks(frame: Frame, projection: Projection) -> tuple[Plain, ...]:
    """All members, those further from the eye first."""
    members: Sequence[Member] = sorted(
        frame.members,
        key=lambda member: member.front if projection.seen == "front" else -member.back,
    )
    return tuple(member_polygon(member, frame, projection) for member in members)


def middle_of(member: Member, projection: Projection, *, share: float = 0.5) -> Point:
    """A point on a member's centre line, ``share`` of the way along it."""
    along = float(member.start) + share * float(member.length)
    if member.axis == "x":
        return projection.point(along, member.centre)
    return projection.point(member.centre, along)
