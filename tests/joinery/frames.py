"""Frames, screws and drills for the tests of joinery; sizes are odd and unequal on purpose."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any

from longpoint.frame import Frame, FrameDesign, derive_frame, even_rails, parts_of
from longpoint.joinery import BuildPlan, build_plan_of
from longpoint.model.hardware import Screw
from longpoint.model.shop import Drill
from longpoint.units import LengthStyle

F = Fraction
STYLE = LengthStyle()

FEW_SCREWS = tuple(
    Screw(diameter=F(diameter), length=F(length))
    for diameter, length in (("3.5", 35), ("3.5", 50), ("4", 40), ("4", 60), ("4", 80))
)
"""What a small shop sells."""

MANY_SCREWS = tuple(
    Screw(diameter=F(diameter), length=F(length))
    for diameter in ("3", "3.5", "4", "4.5", "5", "6")
    for length in range(15, 165, 5)
)
"""Every gauge in every length: what fails with these is not the shop's fault."""

DRILL = Drill()
LONG_BIT = Drill(bit_length=F(150))


def design_of(**changes: Any) -> FrameDesign:
    """The practitioner's frame, 1700 × 1200 of 21 × 44, with changes; ``rails`` counts even cross rails."""
    rails = changes.pop("rails", 2)
    stated: dict[str, Any] = {
        "width": F(1700),
        "height": F(1200),
        "bar_thickness": F(21),
        "bar_depth": F(44),
        "bevel_fall": F(5),
        "bevel_first": True,
        "lip_radius": F(2),
        "corner": "mitre",
        "rail_thickness": F(21),
        "rail_depth": F(30),
        "drop": F(7),
        "end_rails": ("left", "right"),
        "cross_rails": (),
        "middle_pieces": True,
        "halved": False,
        "shift": F(40),
        "strings": ("left", "right"),
    }
    design = FrameDesign(**{**stated, **changes})
    if design.cross_rails or not rails:
        return design
    return replace(design, cross_rails=even_rails(rails, design=design))


def frame_of(**changes: Any) -> Frame:
    return derive_frame(design_of(**changes))


@cache
def plan_of(frame: Frame, *, screws: tuple[Screw, ...] = FEW_SCREWS, drill: Drill = DRILL) -> BuildPlan:
    return build_plan_of(
        frame,
        work="River",
        key="work[1]",
        screws=screws,
        drill=drill,
        style=STYLE,
        parts=parts_of(frame, work="River", code="B", how_many=1),
    )
