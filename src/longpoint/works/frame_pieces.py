"""A frame as the strength engine sees it: members on their axes, joints where faces meet, seams, breaks.

Derived from the finished frame and nothing else: whatever abuts in the frame is joined in the model, so every
layout that can be drawn can be computed.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np

from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.frame.members import Member as FrameMember
from longpoint.frame.profile import lip_flat
from longpoint.strength.beams.frame_model import Joint, Member, Place, Seam
from longpoint.strength.beams.joint_stiffness import (
    JointStiffness,
    SeamStiffness,
    glued_joint,
    glued_seam,
    screwed_joint,
)
from longpoint.strength.beams.pieces import BAR_PIECES, FramePieces
from longpoint.strength.beams.section import Section, bevelled_section, rectangle_section
from longpoint.strength.beams.timber import Timber
from longpoint.strength.work_case import Bay
from longpoint.works.strength_joins import bolt_joints, butt_breaks, join_stations, lap_breaks

INSIDE = (Kind.END_RAIL, Kind.CROSS_RAIL, Kind.MIDDLE_PIECE)
"""Members that stand inside the bars and carry."""

ACROSS = 30.0
"""Stiffness along the grain over that across it: softwoods of EN 338 (read: C16 8000 and 270 MPa). [1]"""

SCREWS_AT_RAIL_END = 2
"""Screws one above the other that hold the end of a rail. Common practice, no published source."""

SCREWS_AT_CORNER = 2
"""Screws through a mitre. Common practice, no published source."""

SCREW = 4.5
"""Shank of those screws where nothing is known of them. [mm] Estimate."""

GLUE_SHARE: dict[str, float] = {
    "mitre": 0.5,
    "keyed mitre": 0.0,
    "mitre with gusset": 0.85,
    "mitre with glue block": 1.0,
    "half-lap": 1.0,
}
"""Where a corner lies between screws alone (0) and a glued block (1), on a logarithmic scale. Estimate."""


def pieces_of(frame: Frame, *, bars: Timber, rails: Timber) -> FramePieces:
    """Members, joints and seams of a frame, each joint where two faces meet.

    Args:
        frame: The frame.
        bars: Timber of the bars.
        rails: Timber of everything inside.
    """
    design = frame.design
    bar = bar_section(design)
    rail = rectangle_section(thickness=float(design.rail_thickness), depth=float(design.rail_depth))
    members = [*_bar_members(design, bar, bars)]
    for member in frame.members:
        if member.kind in INSIDE:
            members.append(_rail_member(member, rail, rails))
    by_name = {member.name: member for member in members}
    corner, rail_end = corner_joint(design, bar, bars), rail_joint(rail, rails)
    joints = [
        Joint(
            first=f"{_ROUND[i]} bar",
            first_at=by_name[f"{_ROUND[i]} bar"].length,
            second=f"{_ROUND[(i + 1) % 4]} bar",
            second_at=0.0,
            stiffness=corner,
        )
        for i in range(4)
    ]
    joints += _rail_joints(frame, by_name, rail_end)
    joints += bolt_joints(frame, by_name, density=rails.density, modulus_across=rails.modulus / ACROSS)
    seam = rail_seam(design, rails)
    seams = tuple(
        Seam(
            first=f"{member.side} bar",
            second=member.name,
            stiffness=seam,
            face_across=-float(member.thickness) / 2,
        )
        for member in frame.of_kind(Kind.END_RAIL)
    )
    return FramePieces(
        members=tuple(members),
        joints=tuple(joints),
        seams=seams,
        bars=("bottom bar", "right bar", "top bar", "left bar"),
        breaks=(*lap_breaks(design, by_name), *butt_breaks(design, by_name)),
        stations=join_stations(design, by_name),
    )


def bar_section(design: FrameDesign) -> Section:
    """Section of the bars, with the flat beside the lip that every drawing shows."""
    flat = lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall)
    return bevelled_section(
        thickness=float(design.bar_thickness),
        depth=float(design.bar_depth),
        bevel=float(design.bevel_fall),
        flat=float(flat),
    )


_ROUND = ("bottom", "right", "top", "left")
_INWARD: dict[str, Place] = {
    "bottom": (0.0, 1.0, 0.0),
    "right": (-1.0, 0.0, 0.0),
    "top": (0.0, -1.0, 0.0),
    "left": (1.0, 0.0, 0.0),
}


def _bar_members(design: FrameDesign, section: Section, wood: Timber) -> list[Member]:
    width, height = float(design.width), float(design.height)
    inset, level = section.centroid[0], section.centroid[1] - float(design.bar_depth)
    spots: list[Place] = [
        (inset, inset, level),
        (width - inset, inset, level),
        (width - inset, height - inset, level),
        (inset, height - inset, level),
    ]
    members = []
    for i, side in enumerate(_ROUND):
        start, end = spots[i], spots[(i + 1) % 4]
        share = float(np.linalg.norm(np.subtract(end, start))) / (width + height) * 2
        members.append(
            Member(
                name=f"{side} bar",
                start=start,
                end=end,
                section=section,
                across=_INWARD[side],
                timber=wood,
                pieces=max(6, 2 * round(BAR_PIECES * share / 2)),
            )
        )
    return members


def _rail_member(member: FrameMember, section: Section, wood: Timber) -> Member:
    centre, level = float(member.centre), float(member.back + member.front) / 2
    start, stop = float(member.start), float(member.stop)
    ends: tuple[Place, Place] = (
        ((start, centre, level), (stop, centre, level))
        if member.axis == "x"
        else ((centre, start, level), (centre, stop, level))
    )
    across: Place = (0.0, 1.0, 0.0) if member.axis == "x" else (-1.0, 0.0, 0.0)
    if member.side is not None:  # an end rail looks inward, as its bar does; it then runs as its bar runs
        across = _INWARD[member.side]
        if member.side in ("top", "left"):
            ends = (ends[1], ends[0])
    return Member(
        name=member.name, start=ends[0], end=ends[1], section=section, across=across, timber=wood, pieces=4
    )


def _rail_joints(frame: Frame, by_name: dict[str, Member], stiffness: JointStiffness) -> list[Joint]:
    joints = []
    for member in frame.members:
        if member.kind not in INSIDE:
            continue
        for end, sign in ((member.start, -1), (member.stop, 1)):
            met = _met(frame, member, end, sign)
            if met is not None:
                joints.append(_joint(by_name[met.name], by_name[member.name], member, end, stiffness))
    if frame.design.halved:
        for middle in frame.of_kind(Kind.MIDDLE_PIECE):
            for rail in frame.of_kind(Kind.CROSS_RAIL):
                joints.append(
                    _joint(by_name[rail.name], by_name[middle.name], middle, rail.centre, stiffness)
                )
    return joints


def _met(frame: Frame, member: FrameMember, end: Fraction, sign: int) -> FrameMember | None:
    """What the end of a rail touches: the member across whose near face lies there."""
    for other in reversed(frame.members):  # rails before bars: an end rail covers its bar
        if other.axis == member.axis or other is member:
            continue
        face = other.high if sign < 0 else other.low
        if face == end and other.start <= member.centre <= other.stop:
            return other
    return None


def _joint(
    first: Member, second: Member, member: FrameMember, along: Fraction, stiffness: JointStiffness
) -> Joint:
    axis = 0 if member.axis == "x" else 1
    point = np.array(second.start)
    point[axis] = float(along)
    direction = np.subtract(first.end, first.start) / first.length
    first_at = float(np.clip((point - np.array(first.start)) @ direction, 0.0, first.length))
    return Joint(
        first=first.name,
        first_at=first_at,
        second=second.name,
        second_at=abs(float(along) - second.start[axis]),
        stiffness=stiffness,
    )


def corner_joint(design: FrameDesign, section: Section, wood: Timber) -> JointStiffness:
    """The springs of a corner, between screws alone and a glued block (`GLUE_SHARE`)."""
    glued = glued_joint(
        modulus=wood.modulus,
        moment_in_plane=section.moment_across,
        moment_front=section.moment_front,
        give=float(design.bar_depth),
    )
    screwed = screwed_joint(
        density=wood.density,
        diameter=SCREW,
        count=SCREWS_AT_CORNER,
        spread_in_plane=float(design.bar_thickness) / 2,
        spread_front=float(design.bar_depth) / 3,
    )
    return between(screwed, glued, GLUE_SHARE[design.corner])


def between(soft: JointStiffness, stiff: JointStiffness, share: float) -> JointStiffness:
    """A joint between two others on a logarithmic scale; it slides as little as the stiffer one.

    Args:
        soft: At share 0.
        stiff: At share 1.
        share: 0 to 1.
    """

    def mean(low: float, high: float) -> float:
        return float(low ** (1 - share) * high**share)

    return JointStiffness(
        in_plane=mean(soft.in_plane, stiff.in_plane),
        out_of_plane=mean(soft.out_of_plane, stiff.out_of_plane),
        torsion=mean(soft.torsion, stiff.torsion),
        slip=stiff.slip,
    )


def rail_joint(section: Section, wood: Timber) -> JointStiffness:
    """The springs at the end of a rail: two screws one above the other, the ends touching."""
    thickness = 2 * section.centroid[0] if section.centroid[0] > 0 else _extent(section, 0)
    return screwed_joint(
        density=wood.density,
        diameter=SCREW,
        count=SCREWS_AT_RAIL_END,
        spread_in_plane=thickness / 2,
        spread_front=_extent(section, 1) / 3,
    )


def _extent(section: Section, axis: int) -> float:
    values = [corner[axis] for corner in section.outline]
    return max(values) - min(values)


def rail_seam(design: FrameDesign, wood: Timber) -> SeamStiffness:
    """The seam of a glued and screwed end rail: a layer of timber a tenth of the rail thick (estimate)."""
    return glued_seam(
        shear_modulus=wood.shear_modulus,
        height=float(design.rail_depth),
        thickness=float(design.rail_thickness) / 10,
    )


def bays_of(frame: Frame) -> tuple[Bay, ...]:
    """The bays of the four bars, between the corners and everything that stands against a bar or its end rail."""
    design = frame.design
    found = []
    for side in _ROUND:
        axis = "x" if side in ("bottom", "top") else "y"
        length = float(design.width if axis == "x" else design.height)
        holders = {f"{side} bar", f"{side} end rail"}
        places = sorted(
            float(member.centre)
            for member in frame.members
            if member.kind in (Kind.CROSS_RAIL, Kind.MIDDLE_PIECE)
            and member.axis != axis
            and any(
                (met := _met(frame, member, end, sign)) is not None and met.name in holders
                for end, sign in ((member.start, -1), (member.stop, 1))
            )
        )
        if design.seam is not None and axis == design.long_axis:
            # the two rails of a seam hold the bar as one
            half = 0.75 * float(design.rail_thickness)
            seam = float(design.seam)
            places = sorted([*(at for at in places if abs(at - seam) > half), seam])
        edges = [0.0, *places, length]
        for number in range(len(edges) - 1):
            start, stop = edges[number], edges[number + 1]
            if side in ("top", "left"):
                start, stop = length - stop, length - start
            found.append(Bay(bar=f"{side} bar", number=number + 1, of=len(edges) - 1, start=start, stop=stop))
    return tuple(found)
