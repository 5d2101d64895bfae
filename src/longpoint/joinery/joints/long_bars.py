"""Bars made of more than one board, joined in length or glued face to face: what is glued, where screws stand.

Both are part of the design. They are made before anything else, with the bar flat on the bench, so every screw is
reached.
"""

from __future__ import annotations

import math
from fractions import Fraction

from longpoint.frame.design import BarJoin
from longpoint.frame.joins import PLATE_BEYOND, plates_of
from longpoint.frame.members import Frame, Kind, Member
from longpoint.frame.parts import GLUED_LONGER
from longpoint.joinery.joints.corners import DRAWS, Meeting
from longpoint.joinery.joints.inner import direction, point_on
from longpoint.joinery.joints.joint import GlueFace, JointKind
from longpoint.joinery.screws.clash import Slide
from longpoint.joinery.screws.on_sale import TIP_COVER
from longpoint.joinery.screws.place import Place

IN_LENGTH = frozenset((JointKind.SCARF, JointKind.SPLICED_LAP))
"""Joints within one bar: they are made on the bench before the frame is begun."""
ON_THE_BENCH = IN_LENGTH | {JointKind.GLUED_UP}
"""All joints within one bar."""
BESIDE_SHOULDER = Fraction(20)
"""From a lap's shoulders and a plate's ends to the next screw; estimate. [mm]"""
PLATE_SCREWS_APART = 60
"""Screws along a plate stand at most this far apart; estimate. [mm]"""


def join_meetings(frame: Frame) -> tuple[Meeting, ...]:
    """Every place where a bar is joined in length, in the order of the design.

    Args:
        frame: The frame as it is built.
    """
    plates = {(plate.side, (plate.start + plate.stop) / 2): plate for plate in plates_of(frame)}
    return tuple(
        _meeting(frame, bar_of(frame, join), join, plates.get((join.side, join.centre)))
        for join in frame.design.joins
    )


def glued_up_meetings(frame: Frame) -> tuple[Meeting, ...]:
    """Every face between the boards of a glued bar; none where bars are one board.

    Args:
        frame: The frame as it is built.
    """
    design = frame.design
    faces = design.bar_boards - 1
    if not faces:
        return ()
    return tuple(
        Meeting(
            kind=JointKind.GLUED_UP,
            members=(bar.name,),
            at=point_on(
                bar, along=(bar.start + bar.stop) / 2, across=bar.centre, z=(bar.back + bar.front) / 2
            ),
            duty=DRAWS,
            why="Side grain on side grain over the whole face: the glue bears more than the wood, and clamps press it.",
            places=(),
            glue=(GlueFace(length=bar.length + GLUED_LONGER, width=design.bar_depth, end_grain=0),) * faces,
        )
        for bar in frame.of_kind(Kind.BAR)
    )


def bar_of(frame: Frame, join: BarJoin) -> Member:
    """The bar, as it is built, that a join lies in."""
    return next(
        bar for bar in frame.of_kind(Kind.BAR) if bar.side == join.side and bar.start < join.centre < bar.stop
    )


def _meeting(frame: Frame, bar: Member, join: BarJoin, plate: Member | None) -> Meeting:
    design = frame.design
    depth = design.bar_depth - design.bevel_fall / 2
    at = point_on(bar, along=join.centre, across=bar.centre, z=(bar.back + bar.front) / 2)
    if plate is None:
        slope = Fraction(round(math.hypot(float(join.length), float(bar.thickness)) * 100), 100)
        return Meeting(
            kind=JointKind.SCARF,
            members=(bar.name,),
            at=at,
            duty=DRAWS,
            why="Glue alone carries a scarf: no screw stands in it, where the thin ends would split.",
            places=(),
            glue=(GlueFace(length=slope, width=depth, end_grain=0),),
            note="scarf",
        )
    inner = plate.high if bar.side in ("left", "bottom") else plate.low
    sign = -1 if bar.side in ("left", "bottom") else 1
    other_axis = "y" if bar.axis == "x" else "x"
    z = (plate.back + plate.front) / 2
    places = tuple(
        Place(
            start=point_on(bar, along=along, across=inner, z=z),
            axis=direction(other_axis, sign),
            through=(plate.name,),
            into=bar.name,
            passed=plate.thickness,
            room=bar.thickness - TIP_COVER,
            middle_of=min(plate.thickness, bar.thickness),
            grain="side grain",
            duty=DRAWS,
            under_canvas=False,
            slides=(Slide(way=direction(bar.axis, 1), back_by=Fraction(6), on_by=Fraction(6)),),
            rank=3,
        )
        for along in plate_screws(join)
    )
    return Meeting(
        kind=JointKind.SPLICED_LAP,
        members=(bar.name,),
        at=at,
        duty=DRAWS,
        why="Lap and plate are glued side grain on side grain; the screws press them together while the glue sets.",
        places=(places,),
        glue=(
            GlueFace(length=join.length, width=depth, end_grain=0),
            GlueFace(length=plate.length, width=plate.depth, end_grain=0),
        ),
        note="lap",
    )


def plate_screws(join: BarJoin) -> tuple[Fraction, ...]:
    """Where the screws of a plate stand along the bar: beside the lap at both ends, and in the lap. [mm]

    None stands at a shoulder of the lap, where it would split the thin end.
    """
    if join.plate is None:
        return ()
    low, high = join.centre - join.length / 2, join.centre + join.length / 2
    first, last = low + BESIDE_SHOULDER, high - BESIDE_SHOULDER
    gaps = max(math.ceil((last - first) / PLATE_SCREWS_APART), 1)
    within = [first + (last - first) * index / gaps for index in range(gaps + 1)]
    beyond = (PLATE_BEYOND - BESIDE_SHOULDER, BESIDE_SHOULDER)
    return (
        *(low - distance for distance in beyond),
        *within,
        *(high + distance for distance in reversed(beyond)),
    )
