"""A frame as the strength engine sees it: members on their axes, joints where faces meet, seams, cloth, climate.

Derived from the finished frame and nothing else: whatever abuts in the frame is joined in the model, so every
layout that can be drawn can be computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from longpoint.errors import FaultsError
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.frame.members import Member as FrameMember
from longpoint.jobs.wood import Wood, wood_named
from longpoint.model.batch import Batch
from longpoint.model.works import Work
from longpoint.strength.frame_model import Joint, Member, Place, Seam
from longpoint.strength.joint_stiffness import (
    JointStiffness,
    SeamStiffness,
    glued_joint,
    glued_seam,
    screwed_joint,
)
from longpoint.strength.membrane import Cloth
from longpoint.strength.section import Section, bevelled_section, rectangle_section
from longpoint.strength.support_case import BAR_PIECES, FramePieces
from longpoint.strength.timber import Timber
from longpoint.strength.verdict_cases import (
    Bay,
    CornerFace,
    LowEdge,
    WorkCase,
)
from longpoint.stretching.climate import Air, tension_in
from longpoint.tables import (
    ClothState,
    cloth_state,
    creep,
    limit,
    load_duration,
    named_tension,
    safety,
    strength_class,
)

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

DRY_COAT = 0.1
"""Mass of a dry coat of acrylic primer. [kg/m²] Estimate."""

SIGHTED = 0.25
"""Bow and twist of a board sighted before it is used, over what is still let through. [1] Estimate."""

MITRE_GLUE = 3.0
"""Stress that a glued mitre may bear while stretching: between end and side grain. [MPa] Estimate."""

SERVICE_STATE = {"raw": "acrylic-primed", "glue-sized": "acrylic-primed", "primed": "acrylic-primed"}
"""State of a cloth once painted, by the state it is sold in."""

STRETCHED_STATE = {"raw": "raw, stretched", "glue-sized": "glue-sized", "primed": "acrylic-primed"}
"""State of a cloth while it is stretched, by the state it is sold in."""


@dataclass(frozen=True, slots=True)
class Makes:
    """What a work is made of, as the engine needs it.

    Attributes:
        bars: Timber of the bars.
        rails: Timber of the rails.
        raw: Cloth while stretched.
        settled: Cloth in service.
        raw_state: Its row in the tables.
        settled_state: Its row in the tables.
    """

    bars: Wood
    rails: Wood
    raw: Cloth
    settled: Cloth
    raw_state: ClothState
    settled_state: ClothState


def makes_of(batch: Batch, work: Work, *, bars: str, rails: str) -> Makes:
    """What a work is made of.

    Args:
        batch: The batch.
        work: The work.
        bars: Timber of the bars, by name.
        rails: Timber of the rails, by name.
    """
    wish = batch.cloth_of(work)
    named = [roll for roll in batch.roll if wish.roll in ("auto", roll.name)]
    mass = max((roll.mass for roll in named), default=340.0)
    sold = named[0].state if named else "raw"
    if wish.warp == "long side":
        warp = "x" if work.width > work.height else "y"
    else:
        warp = "y" if wish.warp == "up" else "x"
    raw = cloth_state(STRETCHED_STATE[sold])
    coats = batch.primer.coats
    settled = cloth_state(SERVICE_STATE[sold]) if coats or sold != "raw" else raw
    return Makes(
        bars=wood_named(bars),
        rails=wood_named(rails),
        raw=_cloth(raw, warp, mass / 1000),
        settled=_cloth(settled, warp, mass / 1000 + DRY_COAT * coats),
        raw_state=raw,
        settled_state=settled,
    )


def _cloth(state: ClothState, warp: str, mass: float) -> Cloth:
    return Cloth(
        warp_stiffness=state.warp,
        weft_stiffness=state.weft,
        poisson_warp=state.poisson_warp,
        shear_stiffness=state.shear,
        warp_along="x" if warp == "x" else "y",
        areal_mass=mass * 1e-6,
    )


def strength_case(batch: Batch, work: Work, frame: Frame, makes: Makes, *, mass: float) -> WorkCase:
    """One work as the verdicts need it.

    Args:
        batch: The batch.
        work: The work.
        frame: Its frame.
        makes: What it is made of.
        mass: Of the finished work. [kg]
    """
    design = frame.design
    left = batch.cloth_of(work).tension_left / 1000
    k_def = creep(service_class=1).k_def
    bars, rails = engine_timber(makes.bars, k_def), engine_timber(makes.rails, k_def)
    hard = max(named_tension("check").high, left * 1.25)
    return WorkCase(
        width=float(design.width),
        height=float(design.height),
        pieces=pieces_of(frame, bars=bars, rails=rails),
        weak=makes.bars.weak_modulus / makes.bars.modulus,
        raw=makes.raw,
        settled=makes.settled,
        tension_left=left,
        hard_tension=hard,
        peak=limit("peak over tension left").value,
        year=_year(batch, makes, left),
        bays=bays_of(frame),
        low_edges=_low_edges(frame),
        corner=_corner_face(design, makes.bars),
        bending_strength=_bending_strength(makes.bars),
        natural_twist=math.radians(limit("natural twist").value) / 1000 * SIGHTED,
        natural_bow=SIGHTED * limit("board bow").value / 2000**2,
        mass=mass,
    )


def engine_timber(wood: Wood, k_def: float) -> Timber:
    """A timber of the tables as the engine takes it; its modulus holds no shear (see `wood_named`)."""
    return Timber(modulus=wood.modulus, shear_modulus=wood.shear_modulus, density=wood.density, creep=k_def)


def pieces_of(frame: Frame, *, bars: Timber, rails: Timber) -> FramePieces:
    """Members, joints and seams of a frame, each joint where two faces meet.

    Args:
        frame: The frame.
        bars: Timber of the bars.
        rails: Timber of everything inside.
    """
    design = frame.design
    bar = bevelled_section(
        thickness=float(design.bar_thickness), depth=float(design.bar_depth), bevel=float(design.bevel_fall)
    )
    rail = rectangle_section(thickness=float(design.rail_thickness), depth=float(design.rail_depth))
    members = [*_bar_members(design, bar, bars)]
    for member in frame.members:
        if member.kind is not Kind.BAR:
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
        if member.kind is Kind.BAR:
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
        edges = [0.0, *places, length]
        for number in range(len(edges) - 1):
            start, stop = edges[number], edges[number + 1]
            if side in ("top", "left"):
                start, stop = length - stop, length - start
            found.append(Bay(bar=f"{side} bar", number=number + 1, of=len(edges) - 1, start=start, stop=stop))
    return tuple(found)


def _low_edges(frame: Frame) -> tuple[LowEdge, ...]:
    design = frame.design
    edges = [
        LowEdge(what="bar", inset=float(design.bar_thickness), clearance=float(design.bevel_fall)),
    ]
    for member in frame.members:
        if member.kind in (Kind.CROSS_RAIL, Kind.MIDDLE_PIECE):
            span = design.width if member.axis == "y" else design.height
            across = float(min(member.centre, span - member.centre))
            # along the rail canvas is furthest from its edges at the middle of the rail
            along = float(design.height if member.axis == "y" else design.width) / 2
            edges.append(LowEdge(what="rail", inset=min(across, along), clearance=float(design.gap)))
    return tuple(edges)


def _corner_face(design: FrameDesign, wood: Wood) -> CornerFace:
    """What holds a corner: the glued face, in timber terms across and along the grain mixed."""
    width = float(design.bar_thickness) * (math.sqrt(2) if "mitre" in design.corner else 1.0)
    strength = MITRE_GLUE
    if design.corner in ("mitre with gusset", "mitre with glue block"):
        # gusset or block: the lever grows by the block's own thickness, taken as a bar's
        width += float(design.bar_thickness)
    if design.corner == "half-lap":
        width = max(width, 2 * float(design.bar_thickness))
    return CornerFace(
        width=width,
        depth=float(design.bar_depth),
        strength=strength,
        screws=SCREWS_AT_CORNER,
        screw_strength=0.0,
    )


def _bending_strength(wood: Wood) -> float:
    """EN 1995-1-1 2.4.1, from memory: f_m,k k_mod / γ_M, load of short duration at the peak."""
    try:
        row = strength_class(wood.name)
    except FaultsError:
        row = strength_class("C16")  # a species without a class: the lowest usual one
    return row.bending * load_duration("short").k_mod / safety("solid timber").gamma


def _year(batch: Batch, makes: Makes, left: float) -> tuple[float, float]:
    """Lowest and highest tension of the year over the tension left; the shop's air is where it is left."""
    stated = batch.climate
    here = Air("now", stated.temperature, stated.humidity_now / 100)
    found = [
        tension_in(state=makes.settled_state.name, left=left, stretched_in=here, air=air).middle / left
        for air in (
            Air("dry", stated.temperature, stated.humidity_low / 100),
            here,
            Air("damp", stated.temperature, stated.humidity_high / 100),
        )
    ]
    return (min(found), max(found))
