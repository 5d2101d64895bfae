"""A label for every finished work: what it is in words, and the same in a square code.

The code is drawn as plain marks, so that it goes through the same door as every drawing; its size keeps each
module at 0.5 mm or more, which a telephone reads from a hand's length (estimate).
"""

from __future__ import annotations

from dataclasses import dataclass

import segno

from longpoint.drawing.extent import Box
from longpoint.drawing.lettering import broken, fitted
from longpoint.drawing.marks import Layer, Mark, Pen, Text, rectangle
from longpoint.drawing.pages import Drawing, Page, Paper
from longpoint.drawing.views import View, view_of
from longpoint.drawing.voice import Voice

QUIET = 4
"""Empty modules round a code (ISO/IEC 18004)."""

_HEIGHT = 42.0
"""Height of a label [mm]."""

_CODE = 38.0
"""Side of its square code, quiet zone included [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkLabel:
    """What a label says.

    Attributes:
        title: Name of the work.
        lines: Further lines: face, batch, revision, which of how many.
        code: Text in the square code.
    """

    title: str
    lines: tuple[str, ...]
    code: str


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


def label_view(label: WorkLabel, *, width: float) -> View:
    """One label with a thin line to cut along."""
    size = _CODE
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, _HEIGHT), layer=Layer.CUT, pen=Pen(0.18, grey=0.5)),
    ]
    code = View("code", qr_marks(label.code, size=size), Box(0, 0, size, size))
    marks += code.at((width - size - 1.5, (_HEIGHT - size) / 2)).marks
    room = width - size - 7.0
    y = _HEIGHT - 8.0
    for line in broken(label.title, width=room, height=4.2, weight="bold")[:2]:
        marks.append(Text((5.0, y), fitted(line, width=room, height=4.2, weight="bold"), 4.2, weight="bold"))
        y -= 6.4
    y -= 0.4
    for line in label.lines:
        for bit in broken(line, width=room, height=2.7)[:2]:
            if y < 3.0:
                break
            marks.append(Text((5.0, y), fitted(bit, width=room, height=2.7), 2.7))
            y -= 4.7
    return View("label", tuple(marks), Box(-0.3, -0.3, width + 0.3, _HEIGHT + 0.3), 1.0)


_APART = 3.0
"""Between labels. [mm]"""


def label_pages(labels: tuple[WorkLabel, ...], *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """Labels two in a row, as many sheets as they need."""
    width = (paper.room[0] - 2.0 - _APART) / 2
    rows = int((paper.room[1] - 26.0) // (_HEIGHT + _APART))
    pages = []
    for first in range(0, len(labels), 2 * rows):
        marks: list[Mark] = []
        for number, label in enumerate(labels[first : first + 2 * rows]):
            row, column = divmod(number, 2)
            corner = (column * (width + _APART), -(row + 1) * (_HEIGHT + _APART))
            marks += label_view(label, width=width).at(corner).marks
        pages.append(
            Page(
                "labels",
                say("section-name.wall"),
                say("label.title"),
                (Drawing(view_of("labels", marks)),),
                lead=say("label.lead"),
                listed=first == 0,
            )
        )
    return tuple(pages)
