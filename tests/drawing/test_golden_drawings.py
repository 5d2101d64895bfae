"""Golden drawings: the text of whole drawings, kept in the tree; a change must be looked at and written anew.

`make golden` writes them again; look at the pictures before they are kept.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from export.frames import frame_of
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.sheets.templates import bevel_card_marks
from longpoint.drawing.views.frame import back_view, front_view
from longpoint.drawing.views.rods import rod_view
from longpoint.drawing.views.section import section_view
from longpoint.drawing.words.voice import voice_of
from longpoint.export.shapes.svg import svg_of
from longpoint.frame import parts_of
from longpoint.units import LengthStyle

FOLDER = Path(__file__).parent / "golden"
EN = voice_of("en")
DE_INCH = voice_of("de", LengthStyle("in", 16))
FRAME = frame_of(1707, 1193)
PARTS = parts_of(FRAME, work="Slack water", code="A", how_many=2)

DRAWINGS: dict[str, Callable[[], View]] = {
    "front-mm-en": lambda: front_view(FRAME, say=EN, room=(180, 110)),
    "back-in-de": lambda: back_view(FRAME, PARTS, say=DE_INCH, room=(180, 120)),
    "section-mm-en": lambda: section_view(FRAME, say=EN, room=(180, 100), turnover=80),
    "rod-mm-en": lambda: rod_view(PARTS[0], say=EN, width=180),
    "bevel-card-in-de": lambda: view_of("bevel-card", bevel_card_marks(FRAME.design, say=DE_INCH)),
}


@pytest.mark.parametrize("name", DRAWINGS)
def test_golden_drawings_are_as_they_were_looked_at(name: str) -> None:
    made = svg_of(DRAWINGS[name]())
    path = FOLDER / f"{name}.svg"
    if os.environ.get("LONGPOINT_WRITE_GOLDEN"):
        path.write_text(made, encoding="utf-8")
    assert made == path.read_text(encoding="utf-8")
