"""Values of a joint: which parts meet, what holds them, and where every hole lies.

Positions in space use the frame's axes: x to the right, y up, z out of the wall, the canvas at z = 0. Positions on
a part count from its reference end and from its back edge, so that a rod or a rule laid on the wood finds them.
All lengths are exact millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Literal

Point = tuple[Fraction, Fraction, Fraction]
Direction = tuple[int, int, int]
Duty = Literal["counted on for strength", "draws together while the glue sets"]
Grain = Literal["side grain", "end grain"]
Face = Literal[
    "outer side", "inner side", "low side", "high side", "reference end", "other end", "back", "front"
]


class JointKind(StrEnum):
    """What kind of meeting a joint is."""

    MITRE = "mitre"
    GUSSET = "mitre with gusset"
    GLUE_BLOCK = "mitre with glue block"
    HALF_LAP = "half-lap"
    KEYED = "keyed mitre"
    ALONG = "end rail along a bar"
    RAIL_END = "rail end into a bar"
    THROUGH_TWO = "through bar and end rail together"
    TO_RAIL = "middle piece to a rail"
    CROSSING = "halved crossing"
    SCARF = "scarf along a bar"
    SPLICED_LAP = "half-lap with plate along a bar"
    GLUED_UP = "boards of a bar face to face"
    SEAM = "bolted seam"
    BUTT = "dowelled butt"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewSize:
    """A size of screw that is on sale.

    Attributes:
        name: Its name on the buying list.
        diameter: Of the shank. [mm]
        length: Under the head to the tip; of a countersunk screw, overall. [mm]
        assumed: Whether it is only assumed to be on sale: taken where no other fits.
    """

    name: str
    diameter: Fraction
    length: Fraction
    assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixing:
    """One screw in its place.

    Attributes:
        name: Unique in the frame, e.g. ``J5b``.
        joint: Name of its joint.
        screw: Its size.
        duty: Whether it is counted on or only draws the joint together.
        start: Where its axis meets the face it is driven from.
        axis: Unit vector in the direction it is driven.
        sunk: How far the head lies below that face. [mm]
        through: Members it passes, in order.
        into: The member its thread holds in.
        passed: Timber it passes before the receiving member. [mm]
        thread: How far it reaches into the receiving member. [mm]
        grain: How its axis lies to the grain of the receiving member.
        clearance_hole: Diameter of the hole in what it passes. [mm]
        pilot_hole: Diameter of the hole in what receives it. [mm]
        pilot_depth: Depth of that hole in the receiving member. [mm]
        countersink: Diameter of the countersink. [mm]
        under_canvas: Whether the head lies where canvas will lie: sink, fill, ease.
        moved: How far it was moved from where the rule puts it, so that no screw meets another. [mm]
        off_depth: How much of that is off its hole line, towards the canvas. [mm]
        bored: How deep a wide hole is bored first, as wide as its countersink, that lets the head in; 0: none. [mm]
    """

    name: str
    joint: str
    screw: ScrewSize
    duty: Duty
    start: Point
    axis: Direction
    sunk: Fraction
    through: tuple[str, ...]
    into: str
    passed: Fraction
    thread: Fraction
    grain: Grain
    clearance_hole: Fraction
    pilot_hole: Fraction
    pilot_depth: Fraction
    countersink: Fraction
    under_canvas: bool
    moved: Fraction = Fraction(0)
    off_depth: Fraction = Fraction(0)
    bored: Fraction = Fraction(0)

    @property
    def depth(self) -> Fraction:
        """From the face it is driven from to its tip. [mm]"""
        return self.sunk + self.screw.length

    @property
    def tip(self) -> Point:
        """Where its tip ends."""
        return along(self.start, self.axis, self.depth)

    @property
    def members(self) -> tuple[str, ...]:
        """All members it touches, head first."""
        return (*self.through, self.into)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolt:
    """One bolt in its place, with a washer at either end and a nut.

    Attributes:
        name: Unique in the frame, e.g. ``J31a``.
        diameter: Of its thread. [mm]
        length: Under the head. [mm]
        start: Where its axis meets the face under its head.
        axis: Unit vector towards its nut.
        passed: Timber it passes. [mm]
        hole: Diameter of its hole. [mm]
        members: The members it passes, head first.
    """

    name: str
    diameter: Fraction
    length: Fraction
    start: Point
    axis: Direction
    passed: Fraction
    hole: Fraction
    members: tuple[str, str]

    @property
    def size(self) -> str:
        """Thread and length."""
        return f"M{float(self.diameter):g} × {float(self.length):g} mm"

    @property
    def end(self) -> Point:
        """Where its axis leaves the timber."""
        return along(self.start, self.axis, self.passed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Dowel:
    """One dowel across two butted ends: glued in the first, dry in the second.

    Attributes:
        name: Unique in the frame.
        diameter: Of dowel and hole. [mm]
        length: Of the dowel, half of it in each bar. [mm]
        centre: Its middle, where the ends meet.
        axis: Unit vector along it.
        members: The two bars.
    """

    name: str
    diameter: Fraction
    length: Fraction
    centre: Point
    axis: Direction
    members: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueFace:
    """One face that is glued.

    Attributes:
        length: Along the bead. [mm]
        width: Across it. [mm]
        end_grain: How many of the two faces show end grain; those are sized with glue first.
    """

    length: Fraction
    width: Fraction
    end_grain: int

    @property
    def area(self) -> Fraction:
        """Of the face. [mm²]"""
        return self.length * self.width


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCheck:
    """One number of a joint against its rule.

    Attributes:
        what: What is measured, e.g. ``end distance``.
        value: What it is.
        limit: What it must at least be (or at most, for a use of strength).
        unit: mm, N or 1.
        at_most: Whether the limit is a greatest value.
        rule: The rule, by name and place, or "common practice", or "estimate".
    """

    what: str
    value: float
    limit: float
    unit: str
    at_most: bool
    rule: str

    @property
    def holds(self) -> bool:
        """Whether the rule is kept; a thousandth of the limit is forgiven."""
        slack = 1e-3 * abs(self.limit)
        return self.value <= self.limit + slack if self.at_most else self.value >= self.limit - slack


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraPiece:
    """A small piece that only a joint asks for: gusset, glue block, key, plate.

    Attributes:
        name: What it is.
        length: Its longest side. [mm]
        width: Its other side. [mm]
        thickness: Its thickness. [mm]
        how_many: Per frame.
        shape: rectangle, or triangle with its right angle between length and width.
    """

    name: str
    length: Fraction
    width: Fraction
    thickness: Fraction
    how_many: int
    shape: Literal["rectangle", "triangle", "wedge"] = "rectangle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """One meeting of parts.

    Attributes:
        name: ``J1``, ``J2``, …; unique in the frame.
        kind: What it is.
        members: The members that meet, the receiving one last.
        at: The middle of the meeting faces.
        duty: What its screws are for.
        why: Which rule that follows from, one sentence.
        fixings: Its screws.
        glue: The faces that are glued.
        checks: Its numbers against their rules.
        note: Key of what a person should know at this joint, or "".
        extra: Small pieces it asks for.
        bolts: Its bolts.
        dowels: Its dowels.
    """

    name: str
    kind: JointKind
    members: tuple[str, ...]
    at: Point
    duty: Duty
    why: str
    fixings: tuple[Fixing, ...]
    glue: tuple[GlueFace, ...]
    checks: tuple[RuleCheck, ...] = ()
    note: str = ""
    extra: tuple[ExtraPiece, ...] = ()
    bolts: tuple[Bolt, ...] = ()
    dowels: tuple[Dowel, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleMark:
    """One hole as it is marked on one part.

    Attributes:
        part: Mark of the part, e.g. ``B3``; empty where no parts were given.
        member: The member.
        fixing: The screw it is for.
        face: The face the hole is bored from.
        at: From the reference end, measured along the part; at an end, 0 or the length. [mm]
        from_back: From the back edge of the part. [mm]
        across: From the low side (left or lower as it hangs), for holes in ends and in the back. [mm]
        diameter: Of the hole. [mm]
        depth: Of the hole; None: right through. [mm]
        countersink: Diameter of the countersink; 0: none. [mm]
        purpose: Clearance hole or pilot hole of a screw; bolt hole, dowel hole.
    """

    part: str
    member: str
    fixing: str
    face: Face
    at: Fraction
    from_back: Fraction
    across: Fraction
    diameter: Fraction
    depth: Fraction | None
    countersink: Fraction
    purpose: Literal["clearance hole", "pilot hole", "bolt hole", "dowel hole"]


def along(point: Point, axis: Direction, distance: Fraction) -> Point:
    """The point a distance further along an axis."""
    return (
        point[0] + axis[0] * distance,
        point[1] + axis[1] * distance,
        point[2] + axis[2] * distance,
    )
