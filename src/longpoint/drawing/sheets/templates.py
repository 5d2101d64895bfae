"""What is printed at full size and laid on the wood or the cloth: bevel card, hole-line gauge, corner fold and cut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon as Shape
from shapely import box

from longpoint.drawing.paper.dimensions import linear, spread
from longpoint.drawing.paper.extent import Box, box_of_all, overlaps
from longpoint.drawing.paper.fit import continued
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import (
    Circle,
    Layer,
    Line,
    Mark,
    Point,
    Polygon,
    Shift,
    Text,
    plain,
    rectangle,
)
from longpoint.drawing.paper.pages import Block, Drawing, NewSheet, Page, Paper, Paragraph
from longpoint.drawing.sheets.full_size import NO_CORRECTION, Correction, full_size_view
from longpoint.drawing.views.section import bevel_angle
from longpoint.drawing.words.voice import Voice
from longpoint.frame import FrameDesign
from longpoint.frame.profile import bar_corners, lip_flat

_RIM = 12.0
"""Width of a card round what is cut out of it [mm]."""


def bevel_card_marks(design: FrameDesign, *, say: Voice) -> list[Mark]:
    """A card that is cut out along its outline and held over the end of a bar.

    Args:
        design: The design.
        say: How the sheet speaks.
    """
    thick, deep, fall = float(design.bar_thickness), float(design.bar_depth), float(design.bevel_fall)
    flat = float(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall))
    leg = min(deep - fall, 30.0)
    card: tuple[Point, ...] = (
        (-_RIM, -leg),
        (0.0, -leg),
        (0.0, 0.0),
        (flat, 0.0),
        (thick, -fall),
        (thick, -leg),
        (thick + _RIM, -leg),
        (thick + _RIM, _RIM + 8.0),
        (-_RIM, _RIM + 8.0),
    )
    marks: list[Mark] = [Polygon(card, Layer.CUT, fill=0.93)]
    marks.append(Text((thick / 2, _RIM - 4.0), say("template.card"), 3.0, "middle", "foot", weight="bold"))
    angle = say.number(math.degrees(bevel_angle(design)), places=1)
    marks.append(Text((thick / 2, _RIM - 9.0), f"{say.fine(fall)} / {angle}°", 3.0, "middle", "foot"))
    return marks


def bar_end_marks(design: FrameDesign, *, say: Voice) -> list[Mark]:
    """The end of a bar with its measures, the lip's outer edge at the origin: a planing template."""
    thick, deep, fall = float(design.bar_thickness), float(design.bar_depth), float(design.bevel_fall)
    flat = float(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall))
    profile = tuple((float(x), float(z)) for x, z in bar_corners(design))
    marks: list[Mark] = [Polygon(profile, Layer.CUT, fill=1.0), *hatch(profile, pitch=2.2)]
    marks.append(linear((0.0, -deep), (thick, -deep), offset=-8.0, words=say.fine(thick), height=3.0))
    marks.append(linear((0.0, -deep), (0.0, 0.0), offset=9.0, words=say.fine(deep), height=3.0))
    left = say.fine(deep - fall)
    marks.append(linear((thick, -deep), (thick, -fall), offset=-9.0, words=left, height=3.0))
    if flat:
        marks.append(linear((0.0, 0.0), (flat, 0.0), offset=12.0, words=say.fine(flat), height=3.0))
    labels = (
        Wanted((0.4, -0.5), say("section.lip"), weight="semibold", toward=2.2, dot=False),
        Wanted((thick, -fall), say("template.low-edge"), toward=0.6, dot=False),
    )
    return [*marks, *place_labels(labels, among=marks)]


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeHole:
    """A hole on a gauge.

    Attributes:
        from_end: From the long point of the bar. [mm]
        from_back: From the back edge. [mm]
        diameter: Of the hole. [mm]
        words: What it is for.
    """

    from_end: float
    from_back: float
    diameter: float
    words: str = ""


def hole_gauge_marks(design: FrameDesign, holes: Sequence[GaugeHole], *, say: Voice) -> list[Mark]:
    """A strip that is folded over the back edge of a bar and pricked through: every hole from end and back edge.

    Args:
        design: The design.
        holes: The holes near one end, on the outer side of the bar.
        say: How the sheet speaks.
    """
    deep = float(design.bar_depth)
    fold = width_of(say("template.fold-here"), height=2.6) + 5.0
    length = max(46.0, fold, max((hole.from_end for hole in holes), default=0.0) + 26.0)
    lap = 12.0
    marks: list[Mark] = [
        rectangle((0.0, -lap), (length, deep), layer=Layer.CUT, fill=1.0),
        Line((0.0, 0.0), (length, 0.0), Layer.FOLD),
        Text((length - 2.0, -lap / 2), say("template.fold-here"), 2.6, "end", "middle"),
        Text((2.0, deep + 2.0), say("template.long-point"), 2.6, "start", "foot", weight="semibold"),
    ]
    levels = sorted({round(hole.from_back, 3) for hole in holes})
    for level, beside in zip(levels, spread(levels, [4.4] * len(levels)), strict=True):
        marks.append(Line((0.0, level), (length, level), Layer.CENTRE))
        marks.append(
            Text((length + 2.0, beside), say.fine(level), 2.8, "start", "middle", layer=Layer.DIMENSION)
        )
    wanted = []
    for hole in holes:
        centre = (hole.from_end, hole.from_back)
        reach = hole.diameter / 2 + 2.0
        marks.append(Circle(centre, hole.diameter / 2, Layer.SCREW))
        marks.append(Line((centre[0], centre[1] - reach), (centre[0], centre[1] + reach), Layer.SCREW))
        words = say(
            "template.hole", at=say.fine(hole.from_end), diameter=say.fine(hole.diameter), what=hole.words
        )
        wanted.append(
            Wanted(centre, words.strip(), height=2.6, toward=0.7, least=reach, dot=False, backed=True)
        )
    marks += place_labels(wanted, among=marks)
    return marks


def corner_cut_marks(
    patches: Sequence[tuple[str, Sequence[Point]]],
    cut: Sequence[Point],
    folds: Sequence[tuple[Point, Point]],
    *,
    turnover: float,
    depth: float,
    room: float,
    say: Voice,
) -> list[Mark]:
    """The cloth of one corner before folding: its edge, folds, and the piece that is cut away.

    The corner of the face is the origin; cloth lies to the right and above up to the turnover, and is shown inwards as
    far as the sheet allows.

    Args:
        patches: Named outlines of the flat cloth. [mm]
        cut: Outline of what is cut away. [mm]
        folds: Lines to fold along. [mm]
        turnover: Cloth beyond the face. [mm]
        depth: Of the bars. [mm]
        room: Size of the square that is shown. [mm]
        say: How the sheet speaks.
    """
    low = turnover - room
    window = box(low, low, turnover, turnover)
    marks: list[Mark] = [
        rectangle((low, low), (turnover, turnover), layer=Layer.BEYOND, fill=1.0),
        rectangle((low, low), (0.0, 0.0), layer=Layer.BEYOND, fill=0.95, drawn=False),
    ]
    for name, outline in patches:
        clipped = Shape(outline).intersection(window)
        for piece in getattr(clipped, "geoms", [clipped]):
            if piece.geom_type == "Polygon" and piece.area > 1.0:
                tone = 0.90 if name in ("tuck", "lap") else None
                corners = tuple((x, y) for x, y in list(piece.exterior.coords)[:-1])
                marks.append(Polygon(corners, Layer.EDGE, fill=tone))
    gone = tuple(cut)
    marks += hatch(gone, pitch=1.8)
    marks.append(Polygon(gone, Layer.CUT))
    for start, end in folds:
        marks.append(Line(start, end, Layer.FOLD))
    marks.append(Line((low, 0.0), (0.0, 0.0), Layer.OUTLINE))
    marks.append(Line((0.0, low), (0.0, 0.0), Layer.OUTLINE))
    marks.append(Line((low, depth), (0.0, depth), Layer.HIDDEN))
    marks.append(Line((depth, low), (depth, 0.0), Layer.HIDDEN))
    middle = (sum(x for x, _ in gone) / len(gone), sum(y for _, y in gone) / len(gone))
    wanted = [
        Wanted(middle, say("template.cut-away"), height=2.8, weight="bold", toward=-0.6, backed=True),
        Wanted(
            (low * 0.5, low * 0.5), say("template.face"), height=3.0, toward=math.pi / 2, least=0.0, dot=False
        ),
        Wanted((0.0, low * 0.8), say("template.lip"), height=2.6, toward=math.pi, dot=False),
    ]
    window_edge = Box(low, low, turnover, turnover)
    marks += place_labels(wanted, among=marks, within=window_edge)
    # the back edge shows twice: named where there is room for the words
    ways = [
        place_labels(
            [Wanted(at, say("template.back-edge"), height=2.6, toward=toward, dot=False, backed=backed)],
            among=marks,
            within=window_edge,
        )
        for backed in (False, True)
        for at, toward in (((low * 0.72, depth), math.pi / 2), ((depth, low * 0.5), math.pi))
    ]
    marks += min(ways, key=lambda way: len(overlaps([*marks, *way])))
    return marks


def laid_cards(
    cards: Sequence[tuple[str, Sequence[Mark]]], *, width: float, height: float = math.inf
) -> list[list[Mark]]:
    """Cards in rows, each with words above it, so that several share a sheet; none is cut through.

    Args:
        cards: Words and drawing of each, in order.
        width: Room on paper. [mm]
        height: Room on paper. [mm]

    Returns:
        What stands on each sheet.
    """
    left = []
    for said, drawn in cards:
        edge = box_of_all(tuple(plain(drawn)))
        left.append((said, drawn, edge, max(edge.width, width_of(said, height=2.8, weight="semibold"))))
    sheets: list[list[Mark]] = [[]]
    x = top = foot = 0.0
    while left:
        fits = next(
            (card for card in left if x + card[3] <= width and top - 4.6 - card[2].height >= -height), None
        )
        if fits is None and x:
            x, top = 0.0, foot - _APART
            continue
        if fits is None and top < 0.0:
            sheets.append([])
            x = top = foot = 0.0
            continue
        said, drawn, edge, wide = fits or left[0]
        left.remove(fits or left[0])
        by = (x - edge.left, top - 4.6 - edge.top)
        sheets[-1].append(Text((x, top - 2.8), said, 2.8, weight="semibold"))
        sheets[-1] += [mark.moved(Shift(by)) for mark in drawn]
        x += wide + _APART
        foot = min(foot, top - 4.6 - edge.height)
    return sheets


_APART = 4.0
"""Between cards on one sheet. [mm]"""


def template_page(
    key: str,
    drawings: Sequence[Sequence[Mark]],
    *,
    about: tuple[str, ...],
    say: Voice,
    paper: Paper,
    correction: Correction = NO_CORRECTION,
) -> Page:
    """A full-size page: what it is, how it is used, the drawing between its check bars.

    Args:
        key: ``cards`` or ``corner-cut``.
        drawings: What stands on each sheet. One that does not fit its sheet is joined from a few; where that cannot be
            either, the page says so: nothing at full size may be printed smaller.
        about: Names of the works.
        say: How the sheet speaks.
        paper: The sheet.
        correction: For the printer at hand.
    """
    width, height = paper.room
    room = (width, height - 46.0)
    example = "6 31/32 in, 7 1/64 in" if say.lengths.system == "in" else "179.5 mm, 180.2 mm"
    drawn = [full_size_view(key, marks, say=say, correction=correction) for marks in drawings]
    sheets = [continued(view, room=room) for view in drawn]
    blocks: list[Block] = [Paragraph(say("template.too-large"))]
    if all(sheets):
        blocks = [Paragraph(say(f"template.{key}-how"))]
        most = max(len(tiles) for tiles in sheets)
        if most > 1:
            blocks.append(Paragraph(say("template.joined", count=most), strong=True))
        for number, view in enumerate(tile for tiles in sheets for tile in tiles):
            blocks += [NewSheet()] if number else []
            blocks.append(Drawing(view))
        blocks.append(Paragraph(say("full-size.how", example=example), "small"))
    return Page(
        key,
        say(f"section-name.{'canvas' if key == 'corner-cut' else 'saw'}"),
        say(f"template.{key}"),
        tuple(blocks),
        about=about,
        full_size=True,
        name=key,
    )
