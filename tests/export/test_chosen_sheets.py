"""Sheets of one work, of one kind, for one person; and how many come out."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.pages import A4, Pack, Page, Paragraph
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.packs.chosen import KINDS, check_wanted, chosen, handout
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.typeset.pdf import sheets_in
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch

EXAMPLES = Path(__file__).parents[2] / "examples"


def _pack() -> Pack:
    pages = [
        Page("start", "Start", "Show", (Paragraph("x"),)),
        Page("days", "Start", "Days", (Paragraph("x"),)),
        Page("saw-stops", "Saw", "Stops", (Paragraph("x"),)),
        Page("build-card", "Build", "Build", (Paragraph("x"),)),
        Page("work", "Frames", "A · Reeds", (Paragraph("x"),), about=("Reeds", "Twin"), alone=True),
        Page("work", "Frames", "B · Weir", (Paragraph("x"),), about=("Weir",), alone=True),
        Page("corner", "Canvas", "Corner", (Paragraph("x"),), about=("Reeds", "Twin", "Weir")),
        Page("canvas-after", "Canvas", "After", (Paragraph("x"),)),
    ]
    return Pack("Show", "r", tuple(pages))


def _titles(pack: Pack) -> list[str]:
    return [page.title for page in pack.pages]


def test_kinds_works_and_both_choose_their_sheets() -> None:
    pack = _pack()
    assert chosen(pack, ()) is pack
    assert _titles(chosen(pack, ["saw"])) == ["Stops"]
    assert _titles(chosen(pack, ["Twin"])) == ["A · Reeds"]
    assert _titles(chosen(pack, ["work"])) == ["A · Reeds", "B · Weir"]
    assert _titles(chosen(pack, ["build", "work", "Weir"])) == ["Build", "B · Weir"]


def test_a_handout_carries_the_name_and_what_one_person_needs() -> None:
    made = handout(_pack(), "Mara", ["Reeds"])
    assert made.title == "Mara · Show"
    assert _titles(made) == ["Days", "Build", "A · Reeds", "Corner", "After"]
    assert _titles(handout(_pack(), "Mara")) == [
        *("Days", "Build", "A · Reeds", "B · Weir", "Corner", "After")
    ]


def test_words_that_are_neither_are_refused_together() -> None:
    with pytest.raises(FaultsError) as caught:
        check_wanted(["saw", "Reed", "glaze"], ["Reeds"])
    assert [fault.code for fault in caught.value.faults] == ["unknown-sheet"] * 2
    assert all(kind in str(caught.value) for kind in KINDS)


def test_the_sheets_that_come_out_are_counted() -> None:
    pdf = pack_pdf(_pack())
    assert sheets_in(pdf) == len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 4


@pytest.mark.slow
def test_every_sheet_of_a_pack_belongs_to_a_kind() -> None:
    text = (EXAMPLES / "way-out.toml").read_text(encoding="utf-8")
    pack = pack_of(plan_batch(parse_batch(text), choose=design_of), say=voice_of(), paper=A4)
    assert {page.key for page in pack.pages} <= {key for keys in KINDS.values() for key in keys}
