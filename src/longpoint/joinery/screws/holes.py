"""Hole marks: every hole of every part, from its reference end and from its back edge."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Literal

from longpoint.frame.joins import plates_of
from longpoint.frame.members import Frame, Kind, Member
from longpoint.frame.parts import Part, marks_of_members
from longpoint.joinery.joints.joint import Bolt, Dowel, Face, Fixing, HoleMark, Joint, Point, along

DEEPER = Fraction(2)
"""A dowel's hole is bored this much deeper than the dowel goes, for glue and air; estimate. [mm]"""
_BUTTED: tuple[Face, Face] = ("other end", "reference end")


def hole_marks(frame: Frame, joints: Iterable[Joint], *, parts: Sequence[Part] = ()) -> tuple[HoleMark, ...]:
    """Every hole of a frame, sorted as one marks them: member by member, from the reference end.

    Args:
        frame: The frame.
        joints: Its joints.
        parts: Its parts, for their marks.

    Returns:
        Hole marks of frame members and of plates over joins; gussets and blocks are bored with their bar. A bar that
        is joined in length is marked as one, once its join has set.
    """
    mark_of = marks_of_members(tuple(parts))
    every = (*frame.members, *plates_of(frame))
    members = {member.name: member for member in every}
    found = [
        mark
        for joint in joints
        for mark in (
            *(each for fixing in joint.fixings for each in _of_fixing(members, fixing, mark_of)),
            *(each for bolt in joint.bolts for each in _of_bolt(members, bolt, mark_of)),
            *(each for dowel in joint.dowels for each in _of_dowel(members, dowel, mark_of)),
        )
    ]
    order = {member.name: index for index, member in enumerate(every)}
    return tuple(sorted(found, key=lambda mark: (order[mark.member], mark.at, mark.from_back, mark.fixing)))


def _of_bolt(members: dict[str, Member], bolt: Bolt, mark_of: dict[str, str]) -> list[HoleMark]:
    return [
        _mark(
            members[name],
            bolt,
            bolt.start,
            part=mark_of.get(name, ""),
            diameter=bolt.hole,
            depth=None,
            countersink=Fraction(0),
            purpose="bolt hole",
        )
        for name in bolt.members
    ]


def _of_dowel(members: dict[str, Member], dowel: Dowel, mark_of: dict[str, str]) -> list[HoleMark]:
    # The second bar is entered at its start, the first one from its other end.
    return [
        replace(
            _mark(
                members[name],
                dowel,
                dowel.centre,
                part=mark_of.get(name, ""),
                diameter=dowel.diameter,
                depth=dowel.length / 2 + DEEPER,
                countersink=Fraction(0),
                purpose="dowel hole",
            ),
            face=face,
        )
        for name, face in zip(dowel.members, _BUTTED, strict=True)
    ]


def _of_fixing(members: dict[str, Member], fixing: Fixing, mark_of: dict[str, str]) -> list[HoleMark]:
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
    fixing: Fixing | Bolt | Dowel,
    point: Point,
    *,
    part: str,
    diameter: Fraction,
    depth: Fraction | None,
    countersink: Fraction,
    purpose: Literal["clearance hole", "pilot hole", "bolt hole", "dowel hole"],
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


def face_entered(member: Member, fixing: Fixing | Bolt | Dowel) -> Face:
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
    if member.kind in (Kind.BAR, Kind.END_RAIL, Kind.PLATE):
        return "outer side" if enters_low == (member.side in ("left", "bottom")) else "inner side"
    return "low side" if enters_low else "high side"
