"""Frames in two halves: where they come apart, and each half as a frame of its own.

The halves bolt together through two cross rails that lie face to face, one in each half. Both long bars are sawn
square through where they meet.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from longpoint.errors import Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind, Member, bays_along
from longpoint.units import LengthStyle

BESIDE_SEAM = Fraction(150)
"""Bay left on either side of the two doubled members, so that a bolt's nut is reached; estimate. [mm]"""


def seam_for(design: FrameDesign) -> Fraction | None:
    """Where a frame with rails that are already placed comes apart: in the bay nearest to its middle.

    Args:
        design: The frame in one piece.

    Returns:
        The seam, in the middle where that bay lets it; None where no bay takes two members and a hand beside them.
    """
    middle = design.length / 2
    beside = design.rail_thickness + BESIDE_SEAM
    found: list[Fraction] = []
    for low, high in bays_along(design):
        first, last = low + beside, high - beside
        if first <= middle <= last:
            found.append(middle)  # both halves alike
        elif ceil(first) <= floor(last):
            # A sawn line is marked in whole millimetres.
            found.append(Fraction(ceil(first) if middle < first else floor(last)))
    return min(found, key=lambda at: (abs(at - middle), at), default=None)


def with_seam(design: FrameDesign, seam: Fraction) -> FrameDesign:
    """The design with its two doubled members in their places."""
    half = design.rail_thickness / 2
    lines = tuple(sorted((*design.cross_rails, seam - half, seam + half)))
    return replace(design, cross_rails=lines, seam=seam)


def halves_faults(design: FrameDesign, *, style: LengthStyle, work: str, key: str) -> tuple[Fault, ...]:
    """What stands against making a frame in two halves.

    Args:
        design: The design; without a seam where none was found.
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
    """
    show = style.finer().show
    faults: list[Fault] = []
    along = [side for side in design.flank_sides if side in design.end_rails]
    if along:
        faults.append(
            Fault(
                "end-rail-over-seam",
                f"{work}: the end rails along the {' and '.join(along)} bars would run through the seam of the two "
                "halves.",
                'Use end_rails = "short sides" or "none" with in_halves.',
                Where(f"{key}.inside.end_rails"),
            )
        )
    if design.halved:
        faults.append(
            Fault(
                "halved-over-seam",
                f"{work}: a middle line halved over the cross rails runs through the seam of the two halves.",
                'Use crossing = "butt" with in_halves.',
                Where(f"{key}.inside.crossing"),
            )
        )
    thick = design.rail_thickness
    beside = [
        high - low
        for low, high in bays_along(design)
        if design.seam is not None and (high == design.seam - thick or low == design.seam + thick)
    ]
    if design.seam is None or min(beside, default=Fraction(0)) < BESIDE_SEAM:
        faults.append(
            Fault(
                "no-room-for-seam",
                f"{work}: no bay takes two cross rails of {show(design.rail_thickness)} face to face with "
                f"{show(BESIDE_SEAM)} on either side for the bolts.",
                "Use fewer cross rails or place them elsewhere; a work this small goes through in one piece.",
                Where(f"{key}.inside.cross_rails"),
            )
        )
    return tuple(faults)


def as_built(frame: Frame) -> Frame:
    """The frame with its members as they are made: with a seam, both long bars are two members each.

    Args:
        frame: A frame of whole bars.

    Returns:
        The frame; the same one where it has no seam. The halves of a bar are called ``bottom bar 1`` and
        ``bottom bar 2``, from the start.
    """
    design = frame.design
    if design.seam is None:
        return frame
    members: list[Member] = []
    for member in frame.members:
        if member.kind is Kind.BAR and member.axis == design.long_axis and member.length == design.length:
            members.append(replace(member, name=f"{member.name} 1", stop=design.seam))
            members.append(replace(member, name=f"{member.name} 2", start=design.seam))
        else:
            members.append(member)
    return Frame(design, tuple(members))


def half_of(design: FrameDesign, member: Member) -> int:
    """Which half a member belongs to: 1 or 2; 1 in a frame of one piece."""
    if design.seam is None:
        return 1
    middle = (member.start + member.stop) / 2 if member.axis == design.long_axis else member.centre
    return 1 if middle < design.seam else 2


def half_frames(frame: Frame) -> tuple[Frame, ...]:
    """The frames that are put together on their own: the frame itself, or its two halves.

    Args:
        frame: The frame as it is built.
    """
    design = frame.design
    if design.seam is None:
        return (frame,)
    return tuple(
        Frame(design, tuple(member for member in frame.members if half_of(design, member) == half))
        for half in (1, 2)
    )


def extent_of(frame: Frame) -> tuple[Fraction, Fraction]:
    """Width and height of what lies on the bench: the whole frame or one half. [mm]"""
    boxes = [member.box_xy for member in frame.members]
    return (
        max(box[2] for box in boxes) - min(box[0] for box in boxes),
        max(box[3] for box in boxes) - min(box[1] for box in boxes),
    )
