"""Finished parts: what is cut, with its ends, its lip and the marks on it.

All marks of a part are measured from one reference end, so that no error adds up. A bar's reference end is its
long point at the left or lower corner; a rail's is its left or lower end.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from longpoint.frame.members import Frame, Kind, Member

EndCut = Literal["square", "mitre", "half-lap", "keyed mitre"]
Grade = Literal["bars", "rails", "short"]

SAW_ROUND = {Kind.BAR: 1, Kind.END_RAIL: 2, Kind.CROSS_RAIL: 2, Kind.MIDDLE_PIECE: 3}
"""Bars are cut first, then rails to the inside as measured, then middle pieces to the bays as measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One pencil line across a part.

    Attributes:
        at: From the reference end. [mm]
        covers: How much timber lies beyond the line. [mm]
        what: The member that lies there.
        timber: The side of the line on which it lies, seen with the reference end to the left.
    """

    at: Fraction
    covers: Fraction
    what: str
    timber: Literal["right of the line"] = "right of the line"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One finished part, and how many are equal to it.

    Attributes:
        mark: What is written on it, e.g. ``B3``; unique in the batch.
        work: Name of the work.
        kind: What it is.
        members: The members of the frame it serves for.
        per_work: How many one work takes.
        how_many: How many the batch takes.
        long_point: Length at the outer side; the length, where both ends are square. [mm]
        short_point: Length at the inner side. [mm]
        thickness: Seen from the front. [mm]
        depth: Off the wall. [mm]
        bevel_fall: Of its front face; 0 for rails. [mm]
        ends: How its reference end and its other end are cut.
        marks: Pencil lines from the reference end, rising.
        measured: Whether it is cut to a measure taken on the frame; the planned length then keeps enough timber.
        needs: The least grade it accepts.
        saw_round: The round in which it is cut.
    """

    mark: str
    work: str
    kind: Kind
    members: tuple[str, ...]
    per_work: int
    how_many: int
    long_point: Fraction
    short_point: Fraction
    thickness: Fraction
    depth: Fraction
    bevel_fall: Fraction
    ends: tuple[EndCut, EndCut]
    marks: tuple[Mark, ...]
    measured: bool
    needs: Grade
    saw_round: int

    @property
    def mitred(self) -> bool:
        """Whether its ends are cut at 45°."""
        return "mitre" in self.ends[0]

    @property
    def volume(self) -> Fraction:
        """Of one finished piece, holes not looked at. [mm³]

        A mitred bar is longest at the lip, where it is also deepest; the bevel therefore counts with the
        length at each point across its thickness.
        """
        mean = (self.long_point + self.short_point) / 2
        if not self.bevel_fall:
            return mean * self.thickness * self.depth
        # ∫ depth(s)·length(s) ds over the thickness, s = 0 at the lip: both fall linearly.
        lost = self.long_point - self.short_point
        return self.thickness * (self.depth * mean - self.bevel_fall * (self.long_point / 2 - lost / 3))


def parts_of(frame: Frame, *, work: str, code: str, how_many: int) -> tuple[Part, ...]:
    """The parts of one work, equal ones grouped, in the order of building.

    Args:
        frame: The frame.
        work: Name of the work.
        code: Letters that begin every mark of the work.
        how_many: How many of the work are made.

    Returns:
        Parts; the marks are numbered from 1.
    """
    groups: dict[tuple[object, ...], list[Member]] = {}
    for member in frame.members:
        key = (
            member.kind,
            member.length,
            tuple((mark.at, mark.covers) for mark in _marks(frame, member)),
        )
        groups.setdefault(key, []).append(member)
    order = {kind: index for index, kind in enumerate(Kind)}
    ordered = sorted(groups.values(), key=lambda group: (order[group[0].kind], -group[0].length))
    return tuple(
        _part(frame, group, mark=f"{code}{index + 1}", work=work, how_many=how_many)
        for index, group in enumerate(ordered)
    )


def _part(frame: Frame, group: list[Member], *, mark: str, work: str, how_many: int) -> Part:
    design, member = frame.design, group[0]
    end: EndCut = "square"
    if member.kind is Kind.BAR:
        end = {"half-lap": "half-lap", "keyed mitre": "keyed mitre"}.get(design.corner, "mitre")  # type: ignore[assignment]
    inner = member.length - 2 * design.bar_thickness if "mitre" in end else member.length
    return Part(
        mark=mark,
        work=work,
        kind=member.kind,
        members=tuple(each.name for each in group),
        per_work=len(group),
        how_many=len(group) * how_many,
        long_point=member.length,
        short_point=inner,
        thickness=member.thickness,
        depth=member.depth,
        bevel_fall=design.bevel_fall if member.kind is Kind.BAR else Fraction(0),
        ends=(end, end),
        marks=_marks(frame, member),
        measured=member.kind is not Kind.BAR,
        # End rails set the line and the square, so they are as fussy as bars.
        needs={Kind.BAR: "bars", Kind.END_RAIL: "bars", Kind.CROSS_RAIL: "rails"}.get(member.kind, "short"),  # type: ignore[arg-type]
        saw_round=SAW_ROUND[member.kind],
    )


def _marks(frame: Frame, member: Member) -> tuple[Mark, ...]:
    """Where other members meet this one's inner faces."""
    found = []
    for other in frame.members:
        if other is member or other.axis == member.axis:
            continue
        if other.kind is Kind.BAR:
            continue
        touches = other.start in (member.low, member.high) or other.stop in (member.low, member.high)
        crosses = other.start < member.low and other.stop > member.high
        if not (touches or crosses):
            continue
        if other.high <= member.start or other.low >= member.stop:
            continue
        found.append(Mark(at=other.low - member.start, covers=other.thickness, what=other.name))
    return tuple(sorted(found, key=lambda mark: (mark.at, mark.what)))
