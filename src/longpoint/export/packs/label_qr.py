"""A label for every finished work: what it is in words, and the same in a square code.

The code is drawn as plain marks, so that it goes through the same door as every drawing; its size keeps each
module at 0.5 mm or more, which a telephone reads from a hand's length (estimate).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import segno

from longpoint.drawing.paper.extent import Box
from longpoint.drawing.paper.lettering import broken, fitted, width_of
from longpoint.drawing.paper.marks import Layer, Line, Mark, Pen, Point, Polygon, Text, rectangle
from longpoint.drawing.paper.pages import Drawing, Page, Paper
from longpoint.drawing.paper.view import View
from longpoint.drawing.words.voice import Voice

QUIET = 4
"""Empty modules round a code (ISO/IEC 18004)."""

_HEIGHT = 44.0
"""Height of a label [mm]."""

_CODE = 34.0
"""Side of its square code, quiet zone included [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLabel:
    """What a label says.

    Attributes:
        title: Name of the work.
        lines: Further lines: face, batch, revision, which of how many.
        code: Text in the square code.
        blanks: Words with a line behind to write on.
    """

    title: str
    lines: tuple[str, ...]
    code: str
    blanks: tuple[str, ...] = ()


def qr_marks(text: str, *, size: float) -> tuple[Mark, ...]:
    """A square code with its lower left corner at the origin, quiet zone included.

    Args:
        text: What the code says; any script.
        size: Side of the square, quiet zone included. [mm]
    """
    code = segno.make_qr(text, error="m")
    rows = [list(row) for row in code.matrix]
    module = size / (len(rows) + 2 * QUIET)
    marks: list[Mark] = []
    for r, row in enumerate(rows):
        top = size - (r + QUIET) * module
        start = None
        for c, dark in enumerate([*row, 0]):
            if dark and start is None:
                start = c
            elif not dark and start is not None:
                left, right = (start + QUIET) * module, (c + QUIET) * module
                # runs reach a hair into the next row, so that no white line shows between them
                marks.append(
                    rectangle(
                        (left, top - module * 1.02), (right, top), layer=Layer.NOTE, fill=0.0, drawn=False
                    )
                )
                start = None
    return tuple(marks)


def label_view(label: WorkLabel, *, width: float, way_up: str) -> View:
    """One label with a thin line to cut along, its upper edge towards the top of the work.

    Args:
        label: What it says.
        width: Of the label. [mm]
        way_up: The words beside the arrow; "" for none, of what has no top.
    """
    size = _CODE
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, _HEIGHT), layer=Layer.CUT, pen=Pen(0.18, grey=0.5)),
    ]
    code = View("code", qr_marks(label.code, size=size), Box(0, 0, size, size))
    marks += code.at((width - size - 1.5, 1.0)).marks
    if way_up:
        marks += _way_up(way_up, (width - size + 3.0, _HEIGHT - 8.2), size - 8.0)
    room = width - size - 7.0
    y = _HEIGHT - 8.0
    for line in broken(label.title, width=room, height=4.2, weight="bold")[:2]:
        marks.append(Text((5.0, y), fitted(line, width=room, height=4.2, weight="bold"), 4.2, weight="bold"))
        y -= 6.4
    y -= 0.4
    for line in label.lines:
        if y < 3.0 + 6.2 * len(label.blanks):
            break
        marks.append(Text((5.0, y), fitted(line, width=room, height=2.7), 2.7))
        y -= 5.0
    for number, words in enumerate(label.blanks):
        y = 3.6 + 6.2 * (len(label.blanks) - 1 - number)
        marks.append(Text((5.0, y), words, 2.7))
        start = 5.0 + width_of(words, height=2.7) + 1.5
        marks.append(Line((start, y - 0.4), (room + 5.0, y - 0.4), Layer.NOTE))
    return View("label", tuple(marks), Box(-0.3, -0.3, width + 0.3, _HEIGHT + 0.3), 1.0)


def _way_up(words: str, foot: Point, room: float) -> list[Mark]:
    """An arrow to the top of the work and what it means."""
    x, y = foot
    head = (x, y + 6.0), (x - 1.4, y + 3.2), (x + 1.4, y + 3.2)
    return [
        Line(foot, (x, y + 3.4), Layer.OUTLINE, Pen(0.9)),
        Polygon(head, Layer.NOTE, fill=0.0, drawn=False),
        Text((foot[0] + 3.0, foot[1] + 1.8), fitted(words, width=room - 3.0, height=2.7), 2.7, weight="bold"),
    ]


_APART = 3.0
"""Between labels. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RestLabel:
    """What the label of left-over cloth says.

    Attributes:
        title: Which piece, e.g. ``Left over 1``.
        lines: What it is, its size, along which side the warp runs.
    """

    title: str
    lines: tuple[str, ...]


def label_pages(
    labels: Sequence[WorkLabel],
    rests: Sequence[RestLabel] = (),
    *,
    say: Voice,
    paper: Paper,
    title: str = "",
    section: str = "",
) -> tuple[Page, ...]:
    """Labels two in a row, those of left-over cloth three in a row below them; the first of those fill a free place.

    Args:
        labels: Of finished works.
        rests: Of left-over cloth.
        say: How the sheet speaks.
        paper: The sheet.
        title: Of the page, where the labels are of things in the rack, which have no top; "" for works.
        section: The part of the work it belongs to, then.
    """
    width = (paper.room[0] - 2.0 - _APART) / 2
    up = "" if title else say("label.way-up")
    views = [label_view(label, width=width, way_up=up) for label in labels]
    narrow = (paper.room[0] - 2.0 - 2 * _APART) / 3
    left = [rest_view(rest, width=narrow) for rest in rests]
    if len(views) % 2 and left:
        views.append(_stacked(left[:_STACK]))
        left = left[_STACK:]
    blocks = [*_rows(views, width, count=2), *_rows(left, narrow, count=3)]
    return (
        Page(
            "labels",
            section or say("section-name.wall"),
            title or say("label.title"),
            tuple(blocks),
            flows=True,
        ),
    )


def _rows(views: Sequence[View], width: float, *, count: int) -> list[Drawing]:
    rows = []
    for first in range(0, len(views), count):
        marks: list[Mark] = []
        for column, view in enumerate(views[first : first + count]):
            marks += view.at((column * (width + _APART), 0.0)).marks
        room = count * width + (count - 1) * _APART
        edge = Box(-0.6, views[first].edge.foot - 0.3, room + 0.6, views[first].edge.top + 0.3)
        rows.append(Drawing(View("labels", tuple(marks), edge, 1.0), close=True))
    return rows


_REST_HEIGHT = 19.0
"""Height of a label for left-over cloth. [mm]"""


_STACK = int((_HEIGHT + _APART) // (_REST_HEIGHT + _APART))
"""Labels of left-over cloth in the place of one of a work."""


def _stacked(views: Sequence[View]) -> View:
    """Labels of left-over cloth one below the other, in the place of one of a work."""
    marks: list[Mark] = []
    for number, view in enumerate(views):
        marks += view.at((0.0, _HEIGHT - _REST_HEIGHT - number * (_REST_HEIGHT + _APART))).marks
    return View("rests", tuple(marks), Box(-0.3, -0.3, views[0].edge.right, _HEIGHT + 0.3), 1.0)


def rest_view(rest: RestLabel, *, width: float) -> View:
    """A label to pin on left-over cloth."""
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, _REST_HEIGHT), layer=Layer.CUT, pen=Pen(0.18, grey=0.5)),
        Text(
            (3.0, _REST_HEIGHT - 5.6),
            fitted(rest.title, width=width - 6.0, height=3.0, weight="bold"),
            3.0,
            weight="bold",
        ),
    ]
    for number, line in enumerate(rest.lines):
        y = _REST_HEIGHT - 10.6 - 4.6 * number
        marks.append(Text((3.0, y), fitted(line, width=width - 6.0, height=2.6), 2.6))
    return View("rest", tuple(marks), Box(-0.3, -0.3, width + 0.3, _REST_HEIGHT + 0.3), 1.0)
