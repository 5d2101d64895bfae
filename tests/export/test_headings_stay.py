"""No heading stands alone at the foot of a sheet: a title or heading and what it is for begin on one sheet."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pypdf
import pytest

from longpoint.drawing.paper.extent import Box
from longpoint.drawing.paper.marks import Text
from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Figures,
    Heading,
    Pack,
    Page,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.paper.view import View
from longpoint.export.typeset.pack_source import LEVELS, Setting, pack_source
from longpoint.export.typeset.pdf import pdf_of

_COLUMNS = (Column("what"), Column("how"))

pytestmark = pytest.mark.slow

FOLLOWING: dict[str, Callable[[str], Block]] = {
    "paragraph": lambda mark: Paragraph(f"{mark} and more words " * 20),
    "table": lambda mark: Table(_COLUMNS, ((mark, "b"), *(("a", "b"),) * 5)),
    "table with a subhead": lambda mark: Table(_COLUMNS, ((mark, "b"), ("a", "b")), heads=((0, "under"),)),
    "steps": lambda mark: Steps((Step(mark), Step("then"))),
    "close steps": lambda mark: Steps((Step(mark), Step("then")), close=True),
    "bullets": lambda mark: Bullets((mark, "then")),
    "caution": lambda mark: CautionBox("care", (mark,)),
    "figures": lambda mark: Figures(((mark, "1"),)),
    "drawing": lambda mark: Drawing(
        View("d", (Text((1.0, 1.0), "x", 3.0),), Box(0.0, 0.0, 60.0, 30.0), 1.0), mark
    ),
    "together": lambda mark: Together((Paragraph(mark), Paragraph("then"))),
    "beside": lambda mark: Beside(((Heading("in", 2), Table(_COLUMNS, ((mark, "b"),))), (Paragraph("c"),))),
    "another heading": lambda mark: Paragraph(mark),
}


@pytest.mark.parametrize("level", range(len(LEVELS)))
def test_a_title_or_heading_begins_on_the_sheet_of_what_it_is_for(level: int) -> None:
    pages: list[Page] = []
    settings: dict[int, Setting] = {}
    for kind, made in FOLLOWING.items():
        for lines in range(30, 47, 2):
            above = Bullets(tuple("line" for _ in range(lines)))
            under = (Heading("second", 2),) if kind == "another heading" else ()
            for joined in (True, False):
                number = len(pages)
                first = made(f"first{number}.")
                if joined:
                    pages.append(Page("above", "s", "t", (above,)))
                    settings |= {number: Setting(level), number + 1: Setting(level, joined=True)}
                    pages.append(
                        Page("next", "s", f"head{number}.", (*under, first), lead="lead", flows=True)
                    )
                else:
                    settings[number] = Setting(level)
                    pages.append(Page("one", "s", "t", (above, Heading(f"head{number}."), *under, first)))
    pdf = pdf_of(pack_source(Pack("t", "r", tuple(pages)), settings=settings))
    headed, torn = 0, []
    for sheet in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        text = sheet.extract_text()
        # names of neighbours stand in the foot, too: a heading stands on a line of its own
        for number in re.findall(r"(?m)^head(\d+)\.\s*$", text):
            headed += 1
            if f"first{number}." not in text:
                torn.append(number)
    assert headed >= len(FOLLOWING) * 18
    assert not torn
