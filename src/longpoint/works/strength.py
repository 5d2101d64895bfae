"""A work as the strength engine sees it: its frame, its cloth, its climate, what its joints and its timber may bear."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.joint import Joint
from longpoint.model.shop import Climate
from longpoint.strength.beams.frame_model import Member
from longpoint.strength.beams.timber import Timber
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.work_case import CornerFace, LowEdge, WorkCase
from longpoint.tables import (
    ClothState,
    creep,
    limit,
    load_duration,
    safety,
)
from longpoint.works.brief import Brief
from longpoint.works.cloth import WorkCloth
from longpoint.works.frame_pieces import SCREWS_AT_CORNER, bays_of, pieces_of
from longpoint.works.mass import Mass
from longpoint.works.strength_joins import along_bar, join_faces, seam_face
from longpoint.works.tension import (
    FRAME_TAKES,
    UNKNOWN_FRAME,
    Tensions,
    changes_of,
    hard_tension,
    tensions_of,
    water_of,
)
from longpoint.works.weakened import weakenings_of
from longpoint.works.wood import Wood, class_of, wood_named

HANGERS_DOWN = 0.25
"""How far below the top hangers sit, over the height. [1] Estimate: a quarter to a third is usual."""

SIGHTED = 0.25
"""Bow and twist of a board sighted before it is used, over what is still let through. [1] Estimate."""

MITRE_GLUE = 3.0
"""Stress that a glued mitre may bear while stretching: between end and side grain. [MPa] Estimate."""


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


def makes_of(cloth: WorkCloth, *, bars: str, rails: str) -> Makes:
    """What a work is made of.

    Args:
        cloth: Its cloth.
        bars: Timber of the bars, by name.
        rails: Timber of the rails, by name.
    """
    return Makes(
        bars=wood_named(bars),
        rails=wood_named(rails),
        raw=cloth.membrane(cloth.stretched),
        settled=cloth.membrane(cloth.settled),
        raw_state=cloth.stretched,
        settled_state=cloth.settled,
    )


def weakened(case: WorkCase, frame: Frame, joints: Sequence[Joint]) -> WorkCase:
    """A work with the wood that its joints take out of its members.

    Args:
        case: The work.
        frame: Its frame.
        joints: Its joints.
    """
    return replace(case, weakenings=weakenings_of(frame, joints, case.pieces.members))


def strength_case(
    brief: Brief, frame: Frame, makes: Makes, *, mass: Mass, tensions: Tensions | None = None
) -> WorkCase:
    """One work as the verdicts need it.

    Args:
        brief: The work.
        frame: Its frame.
        makes: What it is made of.
        mass: Of the finished work.
        tensions: Its tensions, where they were rehearsed; None: estimated, what water brings told by the frame itself.
    """
    design = frame.design
    cloth, water = brief.work_cloth, water_of(brief)
    if tensions is None:
        share = 1 - FRAME_TAKES if water is None else UNKNOWN_FRAME
        tensions = tensions_of(brief, share=share)
    left = tensions.left
    k_def = creep(service_class=1).k_def
    bars, rails = engine_timber(makes.bars, k_def), engine_timber(makes.rails, k_def)
    pieces = pieces_of(frame, bars=bars, rails=rails)
    by_name = {member.name: member for member in pieces.members}
    return WorkCase(
        width=float(design.width),
        height=float(design.height),
        pieces=pieces,
        weak=makes.bars.weak_modulus / makes.bars.modulus,
        raw=makes.raw,
        settled=makes.settled,
        tension_left=left.middle,
        hard_tension=hard_tension(left.middle),
        peak=tensions.peak / left.middle,
        year=_year(brief.climate, cloth),
        left=(left.low, left.high),
        most=tensions.most,
        tightens=None
        if water is None or tensions.rehearsed
        else (water.reached.low, water.reached.middle, water.reached.high),
        watered=water is not None,
        raw_band=band_of(cloth, cloth.stretched),
        settled_band=band_of(cloth, cloth.settled),
        bays=bays_of(frame),
        low_edges=_low_edges(frame),
        corner=_corner_face(design, makes.bars),
        bending_strength=_bending_strength(makes.bars),
        natural_twist=math.radians(limit("natural twist").value) / 1000 * SIGHTED,
        natural_bow=SIGHTED * limit("board bow").value / 2000**2,
        mass=mass.likely,
        joins=join_faces(design, by_name, makes.bars),
        seam=seam_face(frame, pieces, makes.rails),
        masses=(mass.low, mass.high),
        hangers=hangers_of(design, by_name),
    )


def hangers_of(
    design: FrameDesign, by_name: dict[str, Member]
) -> tuple[tuple[str, float], tuple[str, float]]:
    """By what a work hangs.

    On its two upright bars, `HANGERS_DOWN` of the height down; where top and bottom carry the strings, on the top bar
    as far in from both ends.
    """
    height, width = float(design.height), float(design.width)
    if set(design.strings) == {"left", "right"}:
        place = height * (1 - HANGERS_DOWN)
        return (
            ("left bar", along_bar(by_name["left bar"], "left", place)),
            ("right bar", along_bar(by_name["right bar"], "right", place)),
        )
    top = by_name["top bar"]
    return (
        ("top bar", along_bar(top, "top", width * HANGERS_DOWN)),
        ("top bar", along_bar(top, "top", width * (1 - HANGERS_DOWN))),
    )


def engine_timber(wood: Wood, k_def: float) -> Timber:
    """A timber of the tables as the engine takes it; its modulus holds no shear (see `wood_named`)."""
    return Timber(modulus=wood.modulus, shear_modulus=wood.shear_modulus, density=wood.density, creep=k_def)


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
    )


def _bending_strength(wood: Wood) -> float:
    """EN 1995-1-1 2.4.1 (read): f_m,k k_mod / γ_M, load of short duration at the peak."""
    row = class_of(wood)
    return row.bending * load_duration("short").k_mod / safety("solid timber").gamma


def _year(climate: Climate, cloth: WorkCloth) -> tuple[float, float]:
    """How far the year's air lowers and raises the tension. [N/mm]"""
    changes = [change for _, change in changes_of(climate, cloth)]
    return min(*changes, 0.0), max(*changes, 0.0)


def band_of(cloth: WorkCloth, row: ClothState) -> tuple[Cloth, Cloth]:
    """The softest and the stiffest that a cloth may be in a state.

    Args:
        cloth: The cloth.
        row: Its state.
    """
    middle = cloth.membrane(row)
    return (
        replace(
            middle, warp_stiffness=row.warp_low, weft_stiffness=row.weft_low, shear_stiffness=row.shear_low
        ),
        replace(
            middle, warp_stiffness=row.warp_high, weft_stiffness=row.weft_high, shear_stiffness=row.shear_high
        ),
    )
