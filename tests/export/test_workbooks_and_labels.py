"""Workbooks and labels, read back by independent readers."""

from __future__ import annotations

import csv
import io
import subprocess
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
import zxingcpp
from PIL import Image

from longpoint.drawing.paper.extent import box_round, overlaps
from longpoint.drawing.paper.marks import Layer, Polygon, Text
from longpoint.drawing.paper.pages import A4, Pack, Page, drawings_of
from longpoint.drawing.words.voice import frame_words, voice_of
from longpoint.export.packs.label_qr import RestLabel, WorkLabel, label_pages, label_view, rest_view
from longpoint.export.tables import csv_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.workbook import SheetOf, xlsx_of


def test_numbers_come_back_as_numbers_and_formulas_as_words() -> None:
    head = ("mark", "long point [mm]", "note")
    rows = [("A1", 1707, "=1+1"), ("B2", 566.7, "-"), ("007", 3, "+49 12"), ("C", Decimal("-2.50"), "1e5")]
    book = openpyxl.load_workbook(
        io.BytesIO(xlsx_of([SheetOf("parts: a/b", head, rows), SheetOf("parts: a/b", head, [])]))
    )
    assert book.sheetnames == ["parts- a-b", "parts- a-b 2"]
    cells = [[cell.value for cell in row] for row in book.worksheets[0].iter_rows()]
    assert cells == [
        list(head),
        ["A1", 1707, "=1+1"],
        ["B2", 566.7, "-"],
        ["007", 3, "+49 12"],
        ["C", -2.5, "1e5"],
    ]
    assert book.worksheets[0]["C2"].data_type == "s"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1+2", "@SUM(A1)", "\n=1", "\t-1", " =1", "\r@x"])
def test_text_that_begins_like_a_formula_is_kept_text_in_csv(text: str) -> None:
    made = csv_of(SheetOf("t", ("a", "b"), [(text, -2.5)])).decode("utf-8-sig")
    (_, row) = csv.reader(io.StringIO(made, newline=""))
    assert row == [f"'{text}", "-2.5"]


def test_equal_tables_give_equal_bytes() -> None:
    table = [SheetOf("a", ("x",), [("1",)])]
    assert xlsx_of(table) == xlsx_of(table)


@pytest.mark.slow
def test_the_code_on_a_label_is_read_by_another_reader(tmp_path: Path) -> None:
    words = "Slack water · 1707 × 1193 mm · plan 0f8162c · 2/3 · größer 漢"
    label = WorkLabel(title="Slack water", lines=("Face 1707 × 1193 mm", "2 of 3"), code=words)
    say = voice_of("en")
    pages = label_pages((label,), say=say, paper=A4)
    pdf = tmp_path / "labels.pdf"
    pdf.write_bytes(pack_pdf(Pack("Show", "0f8162c", pages, words=frame_words(say))))
    subprocess.run(
        ["pdftoppm", "-r", "200", "-png", str(pdf), str(tmp_path / "p")], check=True, capture_output=True
    )
    image = Image.open(next(tmp_path.glob("p*.png")))
    assert [result.text for result in zxingcpp.read_barcodes(image)] == [words]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    "title", ["Study", "The long way round the harbour wall before the storm came up", "漢" * 30]
)
def test_nothing_on_a_label_runs_off_or_over(title: str, language: str) -> None:
    say = voice_of(language)
    blanks = tuple(say(f"label.{what}") for what in ("artist", "medium", "made"))
    label = WorkLabel(
        title=title, lines=("1707 × 1193 mm · 2 of 3", "Spring show"), code=title, blanks=blanks
    )
    view = label_view(label, width=85, way_up=say("label.way-up"))
    assert overlaps(view.marks, within=view.edge) == ()
    words = {mark.words for mark in view.marks if isinstance(mark, Text)}
    assert {*blanks, say("label.way-up")} <= words
    rest = RestLabel(title=title, lines=("1860 × 740 mm, along × across", say("label.warp-along")))
    assert overlaps(rest_view(rest, width=58).marks, within=rest_view(rest, width=58).edge) == ()


def test_labels_stand_two_in_a_row_and_left_over_cloth_in_a_free_place_then_three_in_a_row() -> None:
    labels = tuple(WorkLabel(title=f"w{i}", lines=(), code=f"w{i}") for i in range(5))
    rests = tuple(RestLabel(title=f"r{i}", lines=()) for i in range(4))
    (page,) = label_pages(labels, rests, say=voice_of("de"), paper=A4)
    assert isinstance(page, Page)
    rows = []
    for view in drawings_of(page):
        assert view.width <= A4.room[0]
        cut = [box_round(m.points) for m in view.marks if isinstance(m, Polygon) and m.layer is Layer.CUT]
        rows.append(sorted(round(box.left) for box in cut))
        assert not any(a.meets(b) for n, a in enumerate(cut) for b in cut[n + 1 :])
    assert rows == [[0, 92], [0, 92], [0, 92, 92], [0, 61]]
