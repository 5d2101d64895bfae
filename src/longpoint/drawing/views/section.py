"""The section through one side of a frame: bar, bevel, rail, gap to the canvas, lip.

Cut across the bar at full size or smaller, face up as the canvas lies on top: what is cut is hatched, what lies
beyond is toned. The outer side is on the left, the open frame on the right.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeAlias

from longpoint.drawing.paper.dimensions import linear, spread
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import (
    Arc,
    Layer,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
)
from longpoint.drawing.paper.view import View, scale_words, view_of
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, FrameDesign, Kind
from longpoint.frame.profile import bar_corners, lip_flat

_At: TypeAlias = Callable[[float, float], Point]

_CLOTH = 0.45
"""Distance of the canvas line from the wood on paper, so that both lines are seen [mm]."""

SECTION_SCALES = (1.0, 0.5, 0.4, 0.25, 0.2, 0.1)


def bar_profile(design: FrameDesign, *, steps: int = 6) -> tuple[Point, ...]:
    """The cross-section of a bar, real size: (distance from the outer side, z), counter-clockwise.

    Args:
        design: The design.
        steps: Straight pieces that stand for the eased lip.
    """
    thick, deep = float(design.bar_thickness), float(design.bar_depth)
    sharp: tuple[Point, ...] = tuple((float(x), float(z)) for x, z in bar_corners(design))
    radius = min(float(design.lip_radius), thick / 2, deep / 2)
    if radius <= 0:
        return sharp
    corners: list[Point] = list(sharp[:3])
    flat = float(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall))
    slope = bevel_angle(design)
    if radius <= flat or not slope:
        # The lip's circle touches the outer side and the flat; what remains of the flat is seen.
        if flat > radius:
            corners.append((flat, 0.0))
        start, centre = math.pi / 2, (radius, -radius)
    else:
        # A wider one takes the flat away and touches the bevel.
        over = flat * math.tan(slope)  # where bevel and outer side would meet
        centre = (radius, over - radius / math.tan((math.pi / 2 - slope) / 2))
        start = math.pi / 2 - slope
    for step in range(steps + 1):
        angle = start + (math.pi - start) * step / steps
        corners.append((centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)))
    return tuple(corners)


def bevel_angle(design: FrameDesign) -> float:
    """Angle of the bevel to the front, from the flat at the lip to the low edge. [rad]"""
    flat = lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall)
    return math.atan2(float(design.bevel_fall), float(design.bar_thickness - flat))


def section_view(
    frame: Frame, *, say: Voice, room: tuple[float, float], turnover: float | None = None
) -> View:
    """The section through the bar on the side where the long direction starts.

    Args:
        frame: The frame.
        say: How the sheet speaks.
        room: Width and height on paper that the view may take. [mm]
        turnover: Cloth beyond the face, to draw it round the bar; None draws it to the back edge only. [mm]
    """
    design = frame.design
    thick, deep = float(design.bar_thickness), float(design.bar_depth)
    beside = float(design.rail_thickness) if design.start_sides[0] in design.end_rails else 0.0
    reach = thick + beside + max(24.0, 0.4 * deep)
    scale = next(
        (s for s in SECTION_SCALES if reach * s + 62 <= room[0] and deep * s + 42 <= room[1]),
        SECTION_SCALES[-1],
    )

    def at(x: float, z: float) -> Point:
        return (x * scale, z * scale)

    marks: list[Mark] = []
    marks += _member_beyond(frame, at, thick + beside, reach)
    profile = tuple(at(x, z) for x, z in bar_profile(design))
    marks.append(Polygon(profile, Layer.OUTLINE, fill=1.0))
    marks += [*hatch(profile), *_glue_lines(design, at)]
    back, front = -deep + float(design.drop), -float(design.gap)
    if beside:
        rail = tuple(
            at(x, z)
            for x, z in (
                (thick, back),
                (thick + beside, back),
                (thick + beside, front),
                (thick, front),
            )
        )
        marks.append(Polygon(rail, Layer.OUTLINE, fill=1.0))
        marks += hatch(rail, angle=-math.pi / 4)
    marks += _canvas(design, at, reach, turnover, scale)
    marks += _figures(frame, at, reach, beside, say)
    names: list[Wanted] = []
    marks += _inside(at(thick * 0.5, -deep * 0.55), thick * scale, say("section.bar"), names, toward=math.pi)
    if beside:
        middle = at(thick + beside * 0.5, (back + front) / 2)
        marks += _inside(middle, beside * scale, say("section.end-rail"), names, toward=0.0)
    names.append(
        Wanted(at(0.3, -0.4), say("section.lip"), weight="semibold", toward=3 * math.pi / 4, dot=False)
    )
    if design.bevel_fall:
        fall = float(design.bevel_fall)
        words = say(
            "section.bevel",
            fall=say.fine(fall),
            angle=say.number(math.degrees(bevel_angle(design)), places=1),
        )
        names.append(Wanted(at(thick * 0.6, -fall * 0.6), words, toward=math.pi / 2, dot=False))
    names.append(Wanted(at(reach * 0.86, 0.0), say("section.canvas"), toward=math.pi / 2, dot=False))
    marks += place_labels(names, among=marks)
    return view_of("section", marks, scale=scale, title=say("section.caption", scale=scale_words(scale)))


def brief_section_view(
    frame: Frame, *, say: Voice, room: tuple[float, float], turnover: float | None = None
) -> View:
    """The same section for the sheet of a work: as large as it fits, sizes and what they are, nothing else.

    Args:
        frame: The frame.
        say: How the sheet speaks.
        room: Width and height on paper that the view may take. [mm]
        turnover: Cloth beyond the face, to draw it round the bar; None draws it to the back edge only. [mm]
    """
    design = frame.design
    thick, deep = float(design.bar_thickness), float(design.bar_depth)
    beside = float(design.rail_thickness) if design.start_sides[0] in design.end_rails else 0.0
    reach = thick + beside + 0.3 * deep
    drop, gap = float(design.drop), float(design.gap)
    steps = [
        (-deep, -deep + drop, say("section.drop", length=say.fine(drop))),
        (-deep + drop, -gap, say("section.rail", length=say.fine(design.rail_depth))),
        (-gap, 0.0, say("work-sheet.packer", length=say.fine(gap))),
    ]
    steps = [step for step in steps if step[1] - step[0] > 1e-9] if design.has_rails else []
    figure = 3.0
    words = max((width_of(text, height=figure) for _, _, text in steps), default=0.0)
    over = (12.0 + words + 8.0, 18.0)
    scale = min(1.0, (room[0] - over[0]) / reach, (room[1] - over[1]) / deep)

    def at(x: float, z: float) -> Point:
        return (x * scale, z * scale)

    marks: list[Mark] = [*_member_beyond(frame, at, thick + beside, reach)]
    profile = tuple(at(x, z) for x, z in bar_profile(design))
    marks += [Polygon(profile, Layer.OUTLINE, fill=1.0), *hatch(profile), *_glue_lines(design, at)]
    foot = at(0, -deep)[1]
    widths = [(0.0, thick)]
    if beside:
        rail = tuple(
            at(x, z)
            for x, z in (
                (thick, -deep + drop),
                (thick + beside, -deep + drop),
                (thick + beside, -gap),
                (thick, -gap),
            )
        )
        marks += [Polygon(rail, Layer.OUTLINE, fill=1.0), *hatch(rail, angle=-math.pi / 4)]
        widths.append((thick, thick + beside))
    marks += _canvas(design, at, reach, turnover, scale)
    sizes = [say.fine(high - low) for low, high in widths]
    middles = [at((low + high) / 2, 0)[0] for low, high in widths]
    below = spread(middles, [width_of(size, height=figure) + 1.6 for size in sizes])
    for (low, high), size, place in zip(widths, sizes, below, strict=True):
        x0, x1 = at(low, 0)[0], at(high, 0)[0]
        for x in (x0, x1):
            marks.append(Line((x, foot - 1.6), (x, foot - 5.4), Layer.DIMENSION))
        marks.append(Line((x0, foot - 4.0), (x1, foot - 4.0), Layer.DIMENSION))
        marks.append(Text((place, foot - 9.0), size, figure, "middle"))
    marks.append(linear(at(0, -deep), at(0, 0), offset=5.0, words=say.fine(deep), height=figure))
    if steps:
        right = at(reach, 0)[0]
        places = spread([at(0, (low + high) / 2)[1] for low, high, _ in steps], [figure * 1.6] * len(steps))
        for z in dict.fromkeys(z for low, high, _ in steps for z in (low, high)):
            marks.append(Line((right + 1.5, at(0, z)[1]), (right + 5.0, at(0, z)[1]), Layer.DIMENSION))
        for (low, high, text), place in zip(steps, places, strict=True):
            middle = at(0, (low + high) / 2)[1]
            marks.append(Line((right + 4.0, middle), (right + 6.4, place), Layer.DIMENSION))
            marks.append(Text((right + 7.2, place), text, figure, "start", "middle"))
    if design.bevel_fall:
        fall = say(
            "section.bevel",
            fall=say.fine(design.bevel_fall),
            angle=f"{math.degrees(bevel_angle(design)):.0f}",
        )
        marks.append(Text((0.0, 3.4), fall, figure))
    return view_of("section", marks, scale=scale, title=say("work-sheet.section-title"), border=0.4)


def _glue_lines(design: FrameDesign, at: _At) -> list[Mark]:
    """Where the boards of a glued bar meet."""
    flat = float(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall))
    found: list[Mark] = []
    for board in range(1, design.bar_boards):
        x = float(design.bar_thickness) * board / design.bar_boards
        front = -max(x - flat, 0.0) * math.tan(bevel_angle(design))
        found.append(Line(at(x, -float(design.bar_depth)), at(x, front), Layer.OUTLINE))
    return found


def _inside(middle: Point, width: float, words: str, names: list[Wanted], *, toward: float) -> list[Mark]:
    """A word on a cut face: along it if there is room, up it if not; else as a label beside it."""
    long = width_of(words, height=3.0, weight="semibold")
    if long + 2.0 < width:
        return [Text(middle, words, 3.0, "middle", "middle", weight="semibold", backed=True)]
    if width > 6.0:
        return [Text(middle, words, 3.0, "middle", "middle", math.pi / 2, weight="semibold", backed=True)]
    names.append(Wanted(middle, words, height=3.0, weight="semibold", toward=toward, backed=True))
    return []


def _member_beyond(frame: Frame, at: _At, start: float, reach: float) -> list[Mark]:
    """The rail or middle piece that runs away from the bar, and the break where it is cut off."""
    design = frame.design
    if not design.has_rails or not (frame.of_kind(Kind.MIDDLE_PIECE) or frame.of_kind(Kind.CROSS_RAIL)):
        return []
    low, high = -float(design.bar_depth) + float(design.drop), -float(design.gap)
    wave = _break_line(at(reach, low), at(reach, high))
    body = (at(start, low), *wave, at(start, high))
    return [
        Polygon(body, Layer.EDGE, fill=0.94, drawn=False),
        Line(at(start, low), at(reach, low), Layer.EDGE, Pen(0.35)),
        Line(at(start, high), at(reach, high), Layer.EDGE, Pen(0.35)),
        Polyline(wave, Layer.EDGE),
    ]


def _break_line(low: Point, high: Point) -> tuple[Point, ...]:
    """A narrow freehand line where a thing is cut off (ISO 128 kind 01.1.18)."""
    count = 12
    return tuple(
        (
            low[0] + 0.7 * math.sin(2 * math.pi * step / count * 1.5),
            low[1] + (high[1] - low[1]) * step / count,
        )
        for step in range(count + 1)
    )


def _canvas(design: FrameDesign, at: _At, reach: float, turnover: float | None, scale: float) -> list[Mark]:
    """The canvas: flat from the right to the lip, round it, down the side and on to the back."""
    deep, thick = float(design.bar_depth), float(design.bar_thickness)
    radius = max(float(design.lip_radius) * scale, 0.3) + _CLOTH
    top, side = _CLOTH, -_CLOTH
    foot = at(0, -deep)[1] - _CLOTH
    round_lip = Arc((side + radius, top - radius), radius, math.pi / 2, math.pi).points(step=math.radians(15))
    points: list[Point] = [(at(reach + 6, 0)[0], top), *round_lip]
    on_back = 0.0 if turnover is None else max(0.0, min(turnover - deep, thick * 0.95)) * scale
    points.append((side, foot if on_back else at(0, -deep)[1]))
    if on_back:
        points.append((on_back, foot))
    marks: list[Mark] = [Polyline(tuple(points), Layer.CLOTH)]
    if on_back:
        x = min(turnover - deep if turnover else thick, thick) * 0.5 * scale
        marks.append(Line((x, foot - 0.6), (x, foot + min(7.0, 6 * scale + 2)), Layer.STAPLE))
    return marks


def _figures(frame: Frame, at: _At, reach: float, beside: float, say: Voice) -> list[Mark]:
    """Sizes: bar below and on the left, rail and gap on the right."""
    design = frame.design
    thick, deep = float(design.bar_thickness), float(design.bar_depth)
    drop, gap = float(design.drop), float(design.gap)
    marks: list[Mark] = [
        linear(at(0, -deep), at(thick, -deep), offset=-9.0, words=say.fine(thick), height=3.0),
        linear(at(0, -deep), at(0, 0), offset=12.0, words=say.fine(deep), height=3.0),
    ]
    if beside:
        marks.append(
            linear(
                at(thick, -deep + drop),
                at(thick + beside, -deep + drop),
                offset=-(9.0 + drop * (at(1, 0)[0])),
                words=say.fine(beside),
                height=3.0,
            )
        )
    right = at(reach, 0)[0]
    if design.has_rails:
        x = right + 14.0
        for z in (-deep, -deep + drop, -gap, 0.0):
            marks.append(Line((right + 2.0, at(0, z)[1]), (x + 1.6, at(0, z)[1]), Layer.DIMENSION))
        for low, high, key in (
            (-deep, -deep + drop, "section.drop"),
            (-deep + drop, -gap, "section.rail"),
            (-gap, 0.0, "section.gap"),
        ):
            if high - low < 1e-9:
                continue
            marks += _level(x, at(0, low)[1], at(0, high)[1], say(key, length=say.fine(high - low)))
    return marks


def _level(x: float, low: float, high: float, words: str) -> list[Mark]:
    """An upright dimension whose words stand level beside it, so that small ones can be read too."""
    measure = linear((x, low), (x, high), offset=0.0, words="", extended=False)
    lines = tuple(mark for mark in measure.marks if not isinstance(mark, Text))
    text = Text((x + 3.0, (low + high) / 2), words, 3.0, "start", "middle", layer=Layer.DIMENSION)
    return [*lines, text]
