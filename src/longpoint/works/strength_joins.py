"""Bars joined in length and frames in two halves, as the strength engine sees them.

Members stay whole: a scarf changes no stiffness and is judged where it lies; a half-lap is a place where the bar gives
a little more; at a seam both long bars are cut through, and the two rails beside it are held together by bolts.
"""

from __future__ import annotations

from longpoint.frame.design import BarJoin, FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.seam import BOLT, bolt_places, dowel_diameter
from longpoint.joinery.screws.strength import lateral_value
from longpoint.strength.beams.bar_join import JoinFace, LapShape, lap_springs, scarf_efficiency
from longpoint.strength.beams.bolted_seam import (
    WASHER_BEARS,
    SeamFace,
    bolt_springs,
    butt_holds,
    washer_area,
)
from longpoint.strength.beams.frame_model import Break, Hold, Joint, Member
from longpoint.strength.beams.pieces import FramePieces
from longpoint.tables import load_duration, safety
from longpoint.works.wood import Wood, class_of

ACROSS_BEARS = 0.4
"""Characteristic strength square to the grain, softwoods. [MPa] EN 338:2016 Table 1, f_t,90,k, every C class (read)."""


def along_bar(bar: Member, side: str, place: float) -> float:
    """Distance from a bar's start in the engine of a place counted from the left or lower outer corner. [mm]"""
    axis = 0 if side in ("bottom", "top") else 1
    return abs(place - bar.start[axis])


def join_reach(bar: Member, join: BarJoin) -> tuple[float, float]:
    """Where a join starts and stops along its bar in the engine, its plate left out. [mm]"""
    half = float(join.length) / 2
    centre = along_bar(bar, join.side, float(join.centre))
    return max(centre - half, 0.0), min(centre + half, bar.length)


def join_stations(
    design: FrameDesign, by_name: dict[str, Member]
) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """Places along the bars where what a join carries is read off: its two ends and its middle."""
    found: dict[str, tuple[float, ...]] = {}
    for join in design.joins:
        bar = by_name[f"{join.side} bar"]
        start, stop = join_reach(bar, join)
        found[bar.name] = (*found.get(bar.name, ()), start, (start + stop) / 2, stop)
    return tuple(found.items())


def lap_shape(design: FrameDesign, join: BarJoin) -> LapShape:
    """The shape of a half-lap, the plate with it."""
    depth = float(design.bar_depth) - float(design.bevel_fall) / 2
    plate = float(join.plate[1]) if join.plate else 0.0
    # the plate's back lies where the rails' backs lie
    middle = -float(design.bar_depth) + float(design.drop) + plate / 2
    return LapShape(
        thickness=float(design.bar_thickness),
        depth=depth,
        length=float(join.length),
        plate_thickness=float(design.rail_thickness) if join.plate else 0.0,
        plate_depth=plate,
        plate_front=middle + float(design.bar_depth) - depth / 2,
    )


def lap_breaks(design: FrameDesign, by_name: dict[str, Member]) -> tuple[Break, ...]:
    """A spring in the middle of every half-lap; nothing for a scarf, which is as stiff as the bar."""
    found = []
    for join in design.joins:
        if join.kind == "scarf":
            continue
        bar = by_name[f"{join.side} bar"]
        section = bar.section
        springs = lap_springs(
            lap_shape(design, join),
            modulus=bar.timber.modulus,
            shear_modulus=bar.timber.shear_modulus,
            whole=(section.moment_across, section.moment_front, section.torsion_constant),
        )
        found.append(
            Break(member=bar.name, at=sum(join_reach(bar, join)) / 2, holds=(Hold(stiffness=springs),))
        )
    return tuple(found)


def butt_breaks(design: FrameDesign, by_name: dict[str, Member]) -> tuple[Break, ...]:
    """The two long bars cut through at a seam."""
    if design.seam is None:
        return ()
    found = []
    for side in design.flank_sides:
        bar = by_name[f"{side} bar"]
        depth = float(design.bar_depth)
        holds = butt_holds(
            dowel=float(dowel_diameter(design)),
            density=bar.timber.density,
            lip=depth - bar.section.centroid[1],
            eased=float(design.lip_radius),
        )
        at = along_bar(bar, side, float(design.seam))
        found.append(Break(member=bar.name, at=at, holds=holds))
    return tuple(found)


def seam_rails(frame: Frame) -> tuple[str, str] | None:
    """Names of the two rails that lie face to face at a seam, from the start; None without one."""
    pair = frame.design.seam_rails
    if pair is None:
        return None
    lines = [frame.design.cross_rails[index] for index in pair]
    first, second = (
        next(m.name for m in frame.members if m.kind is Kind.CROSS_RAIL and m.centre == line)
        for line in lines
    )
    return first, second


def bolt_joints(
    frame: Frame, by_name: dict[str, Member], *, density: float, modulus_across: float
) -> tuple[Joint, ...]:
    """The bolts of a seam, each holding the one rail to the other."""
    rails = seam_rails(frame)
    design = frame.design
    if rails is None or design.seam is None:
        return ()
    first, second = by_name[rails[0]], by_name[rails[1]]
    springs = bolt_springs(
        bolt=float(BOLT),
        thickness=float(design.rail_thickness),
        depth=float(design.rail_depth),
        modulus_across=modulus_across,
        density=density,
    )
    found = []
    for place in map(float, bolt_places(design)):
        axis = 1 if design.long_axis == "x" else 0
        at = place - first.start[axis]
        seam = float(design.seam)
        level = first.start[2]
        point = (seam, place, level) if axis == 1 else (place, seam, level)
        found.append(
            Joint(
                first=first.name,
                first_at=at,
                second=second.name,
                second_at=at,
                stiffness=springs,
                point=point,
            )
        )
    return tuple(found)


def join_faces(design: FrameDesign, by_name: dict[str, Member], wood: Wood) -> tuple[JoinFace, ...]:
    """What every join bears while the canvas is stretched.

    Args:
        design: The design.
        by_name: The bars.
        wood: Their timber.
    """
    row, found = class_of(wood), []
    share = load_duration("short").k_mod / safety("solid timber").gamma
    for join in design.joins:
        bar = by_name[f"{join.side} bar"]
        start, stop = join_reach(bar, join)
        scarf = join.kind == "scarf"
        found.append(
            JoinFace(
                bar=bar.name,
                start=start,
                stop=stop,
                lap=None if scarf else lap_shape(design, join),
                efficiency=scarf_efficiency(float(join.length / design.bar_thickness)) if scarf else 1.0,
                bending_bears=row.bending * share,
                shear_bears=row.shear * share,
                peel_bears=ACROSS_BEARS * share,
            )
        )
    return tuple(found)


def seam_face(frame: Frame, pieces: FramePieces, wood: Wood) -> SeamFace | None:
    """What the seam bears while the canvas is stretched; None for a frame in one piece.

    Args:
        frame: The frame.
        pieces: The same as the engine sees it.
        wood: Timber of the rails.
    """
    rails, design = seam_rails(frame), frame.design
    if rails is None:
        return None
    row = class_of(wood)
    share = load_duration("short").k_mod / safety("solid timber").gamma
    thickness = float(design.rail_thickness)
    flanks = {f"{side} bar" for side in design.flank_sides}
    by_name = {member.name: member for member in pieces.members}
    outline = by_name[min(flanks)].section
    lies = by_name[rails[1]].across[0 if design.long_axis == "x" else 1]
    shear = lateral_value(diameter=float(BOLT), held=thickness, received=thickness, density=row.weak_density)
    return SeamFace(
        rails=rails,
        butts=tuple(i for i, cut in enumerate(pieces.breaks) if cut.member in flanks and len(cut.holds) > 1),
        parts=-lies,
        corners=tuple(
            (across - outline.centroid[0], front - outline.centroid[1])
            for across, front in lip_first(outline.outline)
        ),
        lever=float(design.rail_depth) / 2,
        behind=float(design.bar_depth - design.drop - design.rail_depth / 2),
        pull_bears=WASHER_BEARS * row.compression_across * share * washer_area(float(BOLT)),
        shear_bears=shear.characteristic * share,
    )


def lip_first(outline: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Corners of a bar's section, the lip (outer edge, in front) first."""
    return sorted(outline, key=lambda corner: (corner[0], -corner[1]))
