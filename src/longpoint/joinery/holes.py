"""Hole marks: every hole of every part, from its reference end and from its back edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Literal

from longpoint.frame.members import Frame, Kind, Member
from longpoint.frame.parts import Part
from longpoint.joinery.joint import Face, Fixing, HoleMark, Joint, Point, along


def hole_marks(frame: Frame, joints: Iterable[Joint], *, parts: Sequence[Part] = ()) -> tuple[HoleMark, ...]:
    """Every hole of a frame, sorted as one marks them: member by member, from the reference end.

    Args:
        frame: The frame.
        joints: Its joints.
        parts: Its parts, for their marks.

    Returns:
        Hole marks of frame members; gussets and blocks are bored with their bar.
    """
    mark_of = {name: part.mark for part in parts for name in part.members}
    found = [
        mark for joint in joints for fixing in joint.fixings for mark in _of_fixing(frame, fixing, mark_of)
    ]
    order = {member.name: index for index, member in enumerate(frame.members)}
    return tuple(sorted(found, key=lambda mark: (order[mark.member], mark.at, mark.from_back, mark.fixing)))


def _of_fixing(frame: Frame, fixing: Fixing, mark_of: dict[str, str]) -> list[HoleMark]:
    members = {member.name: member for member in frame.members}
    marks = []
    gone = Fraction(0)
    for index, name in enumerate(fixing.through):
        member = members.get(name)
        if member is not None:
            marks.append(
                _mark(
                    member,
                    fixing,
                    along(fixing.start, fixing.axis, gone),
                    part=mark_of.get(name, ""),
                    diameter=fixing.clearance_hole,
                    depth=None,
                    countersink=fixing.countersink if index == 0 else Fraction(0),
                    purpose="clearance hole",
                )
            )
        # Only a bar with an end rail behind it is passed together with another.
        gone += member.thickness if member is not None and len(fixing.through) > 1 else fixing.passed
    into = members.get(fixing.into)
    if into is not None:
        marks.append(
            _mark(
                into,
                fixing,
                along(fixing.start, fixing.axis, fixing.passed),
                part=mark_of.get(fixing.into, ""),
                diameter=fixing.pilot_hole,
                depth=fixing.pilot_depth,
                countersink=Fraction(0),
                purpose="pilot hole",
            )
        )
    return marks


def _mark(
    member: Member,
    fixing: Fixing,
    point: Point,
    *,
    part: str,
    diameter: Fraction,
    depth: Fraction | None,
    countersink: Fraction,
    purpose: Literal["clearance hole", "pilot hole"],
) -> HoleMark:
    x, y, z = point
    lengthwise, across = (x, y) if member.axis == "x" else (y, x)
    return HoleMark(
        part=part,
        member=member.name,
        fixing=fixing.name,
        face=face_entered(member, fixing),
        at=lengthwise - member.start,
        from_back=z - member.back,
        across=across - member.low,
        diameter=diameter,
        depth=depth,
        countersink=countersink,
        purpose=purpose,
    )


def face_entered(member: Member, fixing: Fixing) -> Face:
    """The face of a member that a screw enters.

    Bars and end rails have an outer and an inner side; other rails a low side (left or lower as the work hangs) and
    a high side.
    """
    x, y, z = fixing.axis
    if z:
        return "back" if z > 0 else "front"
    lengthwise, across = (x, y) if member.axis == "x" else (y, x)
    if lengthwise:
        return "reference end" if lengthwise > 0 else "other end"
    enters_low = across > 0
    if member.kind in (Kind.BAR, Kind.END_RAIL):
        return "outer side" if enters_low == (member.side in ("left", "bottom")) else "inner side"
    return "low side" if enters_low else "high side"
