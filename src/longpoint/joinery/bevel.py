"""Making the bevel: two gauge lines, what comes off, how many passes, and the other way for those without a plane.

The front face of a bar falls from the lip to the low inner edge. A narrow flat, the arris, is left beside the lip so
that the plane never cuts the line that canvas lies on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.profile import lip_flat
from longpoint.joinery.glue import SQUEEZED
from longpoint.tables.cautions import safety_caution
from longpoint.tables.finishing import wood_glue
from longpoint.units import LengthStyle

By = Literal["yard", "hand plane", "power plane"]

SHAVING = {"hand plane": 0.15, "power plane": 0.8, "yard": 1.5}
"""What one pass takes off, square to the bevel; estimate. [mm]"""
PASS_MINUTES_PER_METRE = {"hand plane": 0.12, "power plane": 0.25, "yard": 0.0}
"""One pass along one metre; estimate. [min]"""
SHORTEST_PLANED = 300
"""Shortest piece for a power planer: HSE planer guidance (consider another method below 300 mm). [mm]"""
STRIP_WIDE = Fraction(6)
"""Width of a glued-on lip; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BevelWork:
    """How a bevel is made.

    Attributes:
        fall: How far the low inner edge falls below the lip. [mm]
        arris: Flat left beside the lip. [mm]
        gauge_inner: Line on the inner side, from the back edge. [mm]
        gauge_front: Line on the front face, from the outer side. [mm]
        angle: Of the bevel to the front face. [rad]
        slope: Width of the bevelled face. [mm]
        deepest: What comes off at the low edge, square to the bevel. [mm]
        area: Of the wedge that comes off, seen at the end. [mm²]
        volume: Of all of it. [mm³]
        length: Of all bars that are bevelled. [mm]
        passes: Along each bar.
        minutes: For all bars; estimate. [min]
        card: Outline of the 1:1 card that is held against the bar's end: x across the thickness from the outer side,
            y from the lip down, shape (n, 2). [mm]
        lip: The other way: a strip glued on.
        steps: What is done, sentence by sentence.
        cautions: What can go wrong or hurt.
        faults: What makes the bevel impossible.
    """

    fall: Fraction
    arris: Fraction
    gauge_inner: Fraction
    gauge_front: Fraction
    angle: float
    slope: float
    deepest: float
    area: Fraction
    volume: Fraction
    length: Fraction
    passes: int
    minutes: float
    card: tuple[tuple[Fraction, Fraction], ...]
    lip: GluedLip
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GluedLip:
    """A strip glued along the front outer edge instead of a bevel.

    Attributes:
        width: Of the strip, seen from the front. [mm]
        height: Of the strip: the fall. [mm]
        length: For one frame, mitres and waste of a tenth included. [mm]
        bar_depth: What the bars must then measure, so that the whole stays as deep. [mm]
        grams: Glue; estimate. [g]
        said: How it is done.
    """

    width: Fraction
    height: Fraction
    length: Fraction
    bar_depth: Fraction
    grams: float
    said: tuple[str, ...]


def bevel_work(
    design: FrameDesign,
    *,
    by: By,
    how_many: int,
    style: LengthStyle,
    work: str,
    key: str,
    arris: Fraction | None = None,
) -> BevelWork:
    """How the bevel of a work's bars is made.

    Args:
        design: The design; its bevel falls more than nothing.
        by: Who makes it.
        how_many: How many of the work are made.
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
        arris: Flat left beside the lip; that of the frame's profile if not given. [mm]
    """
    fine = style.finer().show
    fall, thickness, depth = design.bevel_fall, design.bar_thickness, design.bar_depth
    faults = []
    usual = lip_flat(thickness=thickness, fall=fall)
    arris = usual if arris is None else arris
    if arris >= thickness / 2:
        faults.append(
            Fault(
                "arris-too-wide",
                f"{work}: an arris of {fine(arris)} leaves no bevel on a bar {fine(thickness)} thick.",
                f"Leave {fine(usual)}, or use thicker bars.",
                Where(f"{key}.bars.bevel"),
            )
        )
        arris = usual
    wide = thickness - arris
    angle = math.atan2(float(fall), float(wide))
    deepest = float(fall) * math.cos(angle)
    length = how_many * 2 * (design.width + design.height)
    area = wide * fall / 2
    passes = math.ceil(deepest / SHAVING[by]) if fall else 0
    minutes = passes * PASS_MINUTES_PER_METRE[by] * float(length) / 1000.0
    return BevelWork(
        fall=fall,
        arris=arris,
        gauge_inner=depth - fall,
        gauge_front=arris,
        angle=angle,
        slope=math.hypot(float(fall), float(wide)),
        deepest=deepest,
        area=area,
        volume=area * length,
        length=length,
        passes=passes,
        minutes=round(minutes, 1),
        card=_card(thickness=thickness, arris=arris, fall=fall),
        lip=_glued_lip(design, how_many=how_many, style=style),
        steps=_steps(design, by=by, arris=arris, passes=passes, angle=angle, style=style),
        cautions=_cautions(design, by=by, work=work, style=style),
        faults=tuple(faults),
    )


def _card(
    *, thickness: Fraction, arris: Fraction, fall: Fraction, hand: Fraction = Fraction(40)
) -> tuple[tuple[Fraction, Fraction], ...]:
    """A card whose lower edge is the bevel's outline: lip, arris, slope, low edge; above it room to hold."""
    return (
        (Fraction(0), Fraction(0)),
        (arris, Fraction(0)),
        (thickness, fall),
        (thickness, -hand),
        (Fraction(0), -hand),
    )


def _glued_lip(design: FrameDesign, *, how_many: int, style: LengthStyle) -> GluedLip:
    fine = style.finer().show
    width = min(STRIP_WIDE, design.bar_thickness / 2)
    length = Fraction(11, 10) * how_many * 2 * (design.width + design.height)
    row = wood_glue("PVA")
    spread = (row.spread_low + row.spread_high) / 2 / 1e6
    return GluedLip(
        width=width,
        height=design.bevel_fall,
        length=length,
        bar_depth=design.bar_depth - design.bevel_fall,
        grams=round(float(width * length) * spread * SQUEEZED, 1),
        said=(
            f"Glue a strip {fine(width)} wide and {fine(design.bevel_fall)} high along the outer front edge of bars "
            f"{fine(design.bar_depth - design.bevel_fall)} deep: it keeps the canvas off the bar as the bevel would.",
            "Do it before the bars are cut, flush with the outer side, taped every hand's breadth; cut the mitres "
            "through both.",
            "Round its outer edge as the lip and take its inner edge off, so that nothing marks the canvas.",
        ),
    )


def _steps(
    design: FrameDesign, *, by: By, arris: Fraction, passes: int, angle: float, style: LengthStyle
) -> tuple[str, ...]:
    fine = style.finer().show
    if by == "yard":
        return (
            f"Ask the yard for a bevel that falls {fine(design.bevel_fall)} over {fine(design.bar_thickness - arris)}, "
            f"{math.degrees(angle):.1f}°, with a flat of {fine(arris)} left at the lip.",
            "Hold the card against both ends of every length before you pay.",
        )
    return (
        f"Set one gauge to {fine(design.bar_depth - design.bevel_fall)} and draw it from the back edge along the inner "
        "side: that is the low edge.",
        f"Set another to {fine(arris)} and draw it from the outer side along the front: up to here, no further.",
        f"Plane from the inner edge, with the grain: about {passes} passes along each bar (estimate), the last thin.",
        "Hold the card against the bar at both ends and in the middle: no light under it.",
        f"Stop when both lines are just left. The flat of {fine(arris)} at the lip stays; it is rounded last.",
    )


def _cautions(design: FrameDesign, *, by: By, work: str, style: LengthStyle) -> tuple[Caution, ...]:
    found = []
    if by == "power plane":
        found.append(safety_caution("planer").as_caution(about=work))
    shortest = min(design.width, design.height)
    if by != "yard" and not design.bevel_first and shortest < SHORTEST_PLANED:
        found.append(
            Caution(
                "bevel-short-pieces",
                about=work,
                facts=(("length", style.show(shortest)), ("floor", style.show(Fraction(SHORTEST_PLANED)))),
            )
        )
    if by != "yard" and not design.bevel_first:
        found.append(Caution("bevel-after-cutting", about=work))
    return tuple(found)
