"""Rails and middle pieces: where they meet bars, rails and one another, and where their screws go.

The hole line of every screw into the end of a rail is worked from the back edge of the bar: drop plus half the
rail's depth, so that the screw enters the middle of the rail.
"""

from __future__ import annotations

import math
from fractions import Fraction

from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.corners import COUNTED, DRAWS, Meeting
from longpoint.joinery.joints.joint import Direction, GlueFace, JointKind, Point
from longpoint.joinery.joints.seam import end_screw_room
from longpoint.joinery.screws.clash import Slide
from longpoint.joinery.screws.on_sale import TIP_COVER
from longpoint.joinery.screws.place import LEFT_UNDER_HEAD, Place
from longpoint.model.shop import Drill

MOST_APART = 300
"""Screws along an end rail: at most about this far apart; common practice, no published source. [mm]"""
FROM_END = Fraction(30)
"""First screw of an end rail from its end, 7 d of a 4 mm screw rounded up; common practice. [mm]"""
BESIDE_END_SCREW = 9
"""Timber kept between a screw that is moved in the end of a rail and the rail's edge, two diameters and more of a
4 mm screw; estimate. [mm]"""
WIDE_FOR_BAR = Fraction(3, 2)
"""End rails wider than this, over their bar's thickness, are screwed from outside, through the bar; estimate."""
TWO_SCREWS_FROM = 50
"""Rails this deep take two screws into their ends, so that they cannot turn; estimate. [mm]"""


def inner_meetings(frame: Frame, *, drill: Drill, along: int | None = None) -> tuple[Meeting, ...]:
    """Every meeting of rails and middle pieces.

    Args:
        frame: The frame.
        drill: Its length decides from which side an end rail is screwed, its chuck how near to a corner.
        along: Screws along an end rail; None: as its length asks.

    Returns:
        End rails along their bars first, then rail ends, then crossings.
    """
    found: list[Meeting] = []
    for rail in frame.of_kind(Kind.END_RAIL):
        found.append(_along(frame, rail, drill=drill, wished=along))
    for member in frame.members:
        if member.kind is Kind.BAR:
            continue
        for at_start in (True, False):
            meeting = _end(frame, member, at_start=at_start)
            if meeting is not None:
                found.append(meeting)
    if frame.design.halved:
        for piece in frame.of_kind(Kind.MIDDLE_PIECE):
            found += [_crossing(piece, rail) for rail in frame.of_kind(Kind.CROSS_RAIL)]
    return tuple(found)


def point_on(member: Member, *, along: Fraction, across: Fraction, z: Fraction) -> Point:
    """A point by its coordinate along a member's axis and across it."""
    return (along, across, z) if member.axis == "x" else (across, along, z)


def direction(axis: str, sign: int) -> Direction:
    """A unit vector along x or y."""
    return (sign, 0, 0) if axis == "x" else (0, sign, 0)


def hole_line(member: Member) -> Fraction:
    """The middle of a rail's depth. z. [mm]"""
    return (member.back + member.front) / 2


def screws_along(
    length: Fraction, *, first: Fraction = FROM_END, count: int | None = None
) -> tuple[Fraction, ...]:
    """Where the screws of an end rail lie: near each end, in the middle and between.

    Args:
        length: Of the rail. [mm]
        first: The first screw from its end. [mm]
        count: How many; None: as many as keep to ``MOST_APART``.

    Returns:
        From its reference end, rising; a rail of 1.2 m takes five. [mm]
    """
    first = min(first, length / 4)
    span = length - 2 * first
    if count is not None:
        return tuple(first + span * index / (count - 1) for index in range(count))
    if span < 80:
        return (first, length - first)
    halves = max(math.ceil(span / 2 / (MOST_APART - 20)), 1)
    step = span / (2 * halves)
    return tuple(first + index * step for index in range(2 * halves + 1))


def _host_at(frame: Frame, member: Member, at: Fraction, *, at_start: bool) -> Member | None:
    """The member whose face an end of a member meets."""
    for other in frame.members:
        if other.axis == member.axis or not other.start <= member.centre <= other.stop:
            continue
        if at == (other.high if at_start else other.low):
            return other
    return None


def _end(frame: Frame, member: Member, *, at_start: bool) -> Meeting | None:
    at = member.start if at_start else member.stop
    host = _host_at(frame, member, at, at_start=at_start)
    if host is None:
        return None
    sign = 1 if at_start else -1
    through: tuple[Member, ...] = (host,)
    kind = JointKind.RAIL_END
    if host.kind is Kind.END_RAIL:
        through = (frame.named(f"{host.side} bar"), host)
        kind = JointKind.THROUGH_TWO
    elif host.kind is not Kind.BAR:
        kind = JointKind.TO_RAIL
    passed = sum((each.thickness for each in through), Fraction(0))
    head = at - sign * passed
    depth = member.depth
    line = hole_line(member)
    two = depth >= TWO_SCREWS_FROM
    heights = (line - depth / 4, line + depth / 4) if two else (line,)
    swing = max(depth / (4 if two else 2) - BESIDE_END_SCREW, Fraction(0))
    towards = depth / 4 - 4 if two else swing
    room = _whole_from(frame, member, at_start=at_start) - TIP_COVER
    if _is_doubled(frame, member):
        room = min(room, end_screw_room())
    places = tuple(
        Place(
            start=point_on(member, along=head, across=member.centre, z=z),
            axis=direction(member.axis, sign),
            through=tuple(each.name for each in through),
            into=member.name,
            passed=passed,
            room=room,
            middle_of=min(member.thickness, member.depth),
            grain="end grain",
            duty=DRAWS,
            under_canvas=through[0].kind is Kind.BAR,
            # Two screws may also move towards each other.
            slides=(
                Slide(
                    way=(0, 0, 1),
                    back_by=towards if z > line else swing,
                    on_by=towards if z < line else swing,
                ),
            ),
            # An end rail is screwed along its own bar: where its end screw finds no room it does without.
            optional=kind is JointKind.THROUGH_TWO and member.kind is Kind.END_RAIL,
            rank=0,
            kept_short=_is_doubled(frame, member),
            lets_in=max(through[0].thickness - LEFT_UNDER_HEAD, Fraction(0)),
        )
        for z in heights
    )
    why = (
        "Screws into the end grain of a rail that the canvas presses on: the trade's rule; they draw the joint "
        "together while the glue sets and are not counted."
    )
    note = ""
    if kind is JointKind.THROUGH_TWO:
        note = "together"
    elif kind is JointKind.RAIL_END and member.kind is Kind.END_RAIL:
        note = "last"
    return Meeting(
        kind=kind,
        members=(*(each.name for each in through), member.name),
        at=point_on(member, along=at, across=member.centre, z=line),
        duty=DRAWS,
        why=why,
        places=(places,),
        glue=(GlueFace(length=member.depth, width=member.thickness, end_grain=1),),
        note=note,
    )


def _is_doubled(frame: Frame, member: Member) -> bool:
    """Whether a member is one of the two that are bolted together at a seam."""
    seam = frame.design.seam
    return seam is not None and member.kind is Kind.CROSS_RAIL and seam in (member.low, member.high)


def _whole_from(frame: Frame, member: Member, *, at_start: bool) -> Fraction:
    """How far a member is whole from an end: to its middle, or to its first notch. [mm]"""
    whole = member.length / 2
    if not frame.design.halved:
        return whole
    other = {Kind.MIDDLE_PIECE: Kind.CROSS_RAIL, Kind.CROSS_RAIL: Kind.MIDDLE_PIECE}.get(member.kind)
    for notch in frame.of_kind(other) if other else ():
        whole = min(whole, notch.low - member.start if at_start else member.stop - notch.high)
    return whole


def _along(frame: Frame, rail: Member, *, drill: Drill, wished: int | None) -> Meeting:
    bar = frame.named(f"{rail.side} bar")
    low_side = rail.side in ("left", "bottom")
    design = frame.design
    ends = design.clear_along() if rail.axis != design.long_axis else design.clear_across()
    clear = ends[1] - ends[0]
    # From the inside no head lies under canvas; a small frame leaves the drill no room there.
    # A screw passes the thinner part and holds in the thicker: through a rail lying flat it would hold in little.
    wide = rail.thickness > WIDE_FOR_BAR * bar.thickness
    roomy = clear >= drill.length + 2 * (bar.thickness + rail.thickness)
    from_inside = roomy and not wide
    first, second = (rail, bar) if from_inside else (bar, rail)
    sign = -1 if low_side == from_inside else 1
    across_axis = "y" if rail.axis == "x" else "x"
    head = first.high if sign < 0 else first.low
    line = hole_line(rail)
    spots = screws_along(
        rail.length,
        first=max(FROM_END, drill.chuck_radius + 2) if from_inside else FROM_END,
        count=wished,
    )
    step = spots[1] - spots[0]
    places = []
    for index, spot in enumerate(spots):
        at_start, at_stop = index == 0, index == len(spots) - 1
        slack = step * Fraction(9, 20)
        places.append(
            Place(
                start=point_on(rail, along=rail.start + spot, across=head, z=line),
                axis=direction(across_axis, sign),
                through=(first.name,),
                into=second.name,
                passed=first.thickness,
                room=second.thickness - TIP_COVER,
                middle_of=min(rail.thickness, bar.thickness),
                grain="side grain",
                duty=COUNTED,
                under_canvas=not from_inside,
                slides=(
                    Slide(
                        way=direction(rail.axis, 1),
                        back_by=Fraction(0) if at_start else slack,
                        on_by=Fraction(0) if at_stop else slack,
                    ),
                ),
                rank=4,
            )
        )
    return Meeting(
        kind=JointKind.ALONG,
        members=(first.name, second.name),
        at=point_on(
            rail, along=(rail.start + rail.stop) / 2, across=bar.high if low_side else bar.low, z=line
        ),
        duty=COUNTED,
        why="Bar and end rail lie side grain on side grain: screws are counted on where the rule is kept, "
        "and the glue makes the two one.",
        places=(tuple(places),),
        glue=(GlueFace(length=rail.length, width=rail.depth, end_grain=0),),
        note=_DRIVEN[from_inside, roomy],
    )


_DRIVEN = {
    (True, True): "from-inside",
    (False, True): "into-wide-rail",
    (False, False): "no-room-inside",
}


def _crossing(piece: Member, rail: Member) -> Meeting:
    half = piece.depth / 2
    start = point_on(piece, along=rail.centre, across=piece.centre, z=piece.back)
    swing = max(min(piece.thickness, rail.thickness) / 6, Fraction(0))
    place = Place(
        start=start,
        axis=(0, 0, 1),
        through=(piece.name,),
        into=rail.name,
        passed=half,
        room=half - TIP_COVER,
        middle_of=min(piece.thickness, rail.thickness),
        grain="side grain",
        duty=DRAWS,
        under_canvas=False,
        optional=True,
        slides=(Slide(way=direction(piece.axis, 1), back_by=swing, on_by=swing),),
        rank=2,
    )
    return Meeting(
        kind=JointKind.CROSSING,
        members=(piece.name, rail.name),
        at=point_on(piece, along=rail.centre, across=piece.centre, z=piece.back + half),
        duty=DRAWS,
        why="Halved into each other the pieces hold by their shoulders; the screw keeps them down while the glue sets.",
        places=((place,),),
        glue=(GlueFace(length=piece.thickness, width=rail.thickness, end_grain=0),),
        note="notched",
    )
