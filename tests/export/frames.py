"""Frames that the tests of drawings and files share: odd, unequal sizes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from longpoint.frame import Frame, FrameDesign, derive_frame, even_rails


def design_of(
    width: int = 1707,
    height: int = 1193,
    *,
    rails: int = 2,
    middle: bool = True,
    corner: str = "mitre",
    fall: int = 5,
    thickness: int = 21,
    depth: int = 44,
    end_rails: bool = True,
) -> FrameDesign:
    sides = (("left", "right") if width >= height else ("bottom", "top")) if end_rails else ()
    design = FrameDesign(
        width=Fraction(width),
        height=Fraction(height),
        bar_thickness=Fraction(thickness),
        bar_depth=Fraction(depth),
        bevel_fall=Fraction(fall),
        bevel_first=True,
        lip_radius=Fraction(2),
        corner=corner,  # type: ignore[arg-type]
        rail_thickness=Fraction(19),
        rail_depth=Fraction(32),
        drop=Fraction(7),
        end_rails=sides,  # type: ignore[arg-type]
        cross_rails=(),
        middle_pieces=middle,
        halved=False,
        shift=Fraction(30),
        strings=("left", "right"),
    )
    return replace(design, cross_rails=even_rails(rails, design=design))


def frame_of(width: int = 1707, height: int = 1193, **wishes: object) -> Frame:
    return derive_frame(design_of(width, height, **wishes))  # type: ignore[arg-type]
