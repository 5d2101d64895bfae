"""Frames and parts as closed outlines at real size, for those who have a machine cut them.

Millimetres of the thing, no paper: the outline is one closed line, pencil lines and holes lie on layers of their
own, and nothing is lettered that a machine could mistake for wood.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from longpoint.drawing.paper.dimensions import linear
from longpoint.drawing.paper.marks import Layer, Line, Mark, Point, Polygon, Text
from longpoint.drawing.views.section import bar_profile
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, FrameDesign, Part, outline_xy

_LETTERS = 12.0
"""Height of lettering beside real-size outlines [mm]."""


def frame_outlines(frame: Frame) -> tuple[Mark, ...]:
    """Every member of a frame from the front, each as one closed outline, with the outer sizes as dimensions."""
    design = frame.design
    marks: list[Mark] = [
        Polygon(tuple((float(x), float(y)) for x, y in outline_xy(member, design)), Layer.OUTLINE)
        for member in frame.members
    ]
    width, height = float(design.width), float(design.height)
    away = 0.06 * max(width, height)
    marks.append(linear((0.0, 0.0), (width, 0.0), offset=-away, words=f"{width:g}", height=_LETTERS))
    marks.append(linear((0.0, 0.0), (0.0, height), offset=away, words=f"{height:g}", height=_LETTERS))
    return tuple(marks)


def part_outline(part: Part) -> tuple[Point, ...]:
    """A part seen on its front face, reference end to the left, outer side below: counter-clockwise corners."""
    length, thick = float(part.long_point), float(part.thickness)
    first, last = float(part.cut_back(0)), float(part.cut_back(1))
    return ((0.0, 0.0), (length, 0.0), (length - last, thick), (first, thick))


def part_marks(part: Part, design: FrameDesign, *, say: Voice) -> tuple[Mark, ...]:
    """A part for the machine: front outline, pencil lines, and beside it the section it is cut from.

    Args:
        part: The part.
        design: The design, for the section.
        say: How lengths are written.
    """
    length, thick = float(part.long_point), float(part.thickness)
    marks: list[Mark] = [Polygon(part_outline(part), Layer.OUTLINE)]
    for mark in part.marks:
        for at in (float(mark.at), float(mark.at + mark.covers)):
            marks.append(Line((at, 0.0), (at, thick), Layer.PENCIL))
    marks.append(
        linear((0.0, 0.0), (length, 0.0), offset=-3 * thick, words=say.part(part.long_point), height=_LETTERS)
    )
    if part.short_point != part.long_point:
        first, last = float(part.cut_back(0)), float(part.cut_back(1))
        marks.append(
            linear(
                (first, thick),
                (length - last, thick),
                offset=3 * thick,
                words=say.part(part.short_point),
                height=_LETTERS,
            )
        )
    beside = length + 4 * thick
    marks.append(Polygon(tuple(_moved(section_outline(part, design), beside)), Layer.OUTLINE))
    marks.append(Text((0.0, 6 * thick), f"{part.mark} × {part.how_many}", _LETTERS))
    return tuple(marks)


def section_outline(part: Part, design: FrameDesign) -> tuple[Point, ...]:
    """The section of a part as one closed outline: outer side at x = 0, back edge at y = 0."""
    deep = float(part.depth)
    if part.bevel_fall:
        return tuple((x, y + deep) for x, y in bar_profile(design, steps=12))
    thick = float(part.thickness)
    return ((0.0, 0.0), (thick, 0.0), (thick, deep), (0.0, deep))


def area_of(outline: Iterable[Point]) -> float:
    """Area inside a closed outline, counter-clockwise positive, in mm²."""
    points = list(outline)
    return math.fsum(
        (x0 * y1 - x1 * y0) / 2 for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True)
    )


def _moved(points: Iterable[Point], by: float) -> Iterable[Point]:
    return ((x + by, y) for x, y in points)
