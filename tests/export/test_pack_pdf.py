"""The pack as PDF: exact pages, embedded fonts, text that can be found, full size that can be measured."""

from __future__ import annotations

import io
import math
import re
import subprocess
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pypdf
import pytest
from PIL import Image

from export.frames import design_of
from longpoint.drawing.paper.extent import box_of_all, box_round
from longpoint.drawing.paper.fit import OVERLAP, drawn_within, fitted
from longpoint.drawing.paper.marks import Layer, Polygon, Text, plain, rectangle
from longpoint.drawing.paper.pages import (
    A4,
    LETTER,
    Beside,
    BigWords,
    Blanks,
    Bullets,
    CautionBox,
    Column,
    Contents,
    Drawing,
    Figures,
    Gap,
    Heading,
    NewSheet,
    Pack,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
    drawings_of,
    paper_named,
)
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.sheets.full_size import Correction, correction_from, full_size_view
from longpoint.drawing.sheets.templates import bar_end_marks, bevel_card_marks, laid_cards, template_page
from longpoint.drawing.words.voice import frame_words, voice_of
from longpoint.errors import FaultsError
from longpoint.export.packs.fitting import laid_out
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.typeset.pack_source import AS_DESIGNED, pack_source
from longpoint.export.typeset.table_widths import column_widths
from longpoint.joinery.bevel import bevel_work

SAY = voice_of("en")
AWKWARD = 'A “quote”, \\ back, #set text(red) $x$ *a* _b_ <c> @d "e" ** // `f`'


def _pack(*pages: Page, title: str = "Winter show") -> Pack:
    return Pack(title, "0f8162c", pages, words=frame_words(SAY))


def _every_block() -> Page:
    view = view_of("v", [rectangle((0, 0), (60, 20))], title="a drawing")
    return Page(
        "all",
        "Start",
        "Every block",
        (
            Heading("Heading"),
            Heading("Smaller", 2),
            Paragraph(AWKWARD),
            Paragraph("and **strong words** here"),
            Bullets(("one", "two")),
            Steps((Step("Glue", "FACE DOWN", view), Step("Turn over", "FACE UP")), first=3),
            CautionBox("Take care", ("Hands off",)),
            Table(
                (Column("what", share=1), Column("n", "end", strong=True), Column("write", blank=20)),
                (("redwood", "12"), ("glue", "1")),
                tick=True,
                sums=("sum", "13"),
                heads=((0, "Timber"), (1, "Glue")),
            ),
            Figures((("works", "9"), ("cost", "412.50"))),
            Blanks((("Thickness", "21", "mm"), ("Depth", "", "mm"))),
            BigWords(("SWING LEFT",)),
            Drawing(view),
            Gap(3),
            Together((Heading("Kept"), Paragraph("together"))),
            Beside(((Paragraph("left"),), (Paragraph("right"),)), shares=(1, 2)),
            NewSheet(),
            Contents(),
        ),
        about=("Slack water 漢",),
        stamp="FACE DOWN",
        lead="one line",
    )


def test_every_kind_of_block_is_printed_and_its_words_can_be_found() -> None:
    reader = pypdf.PdfReader(io.BytesIO(pack_pdf(_pack(_every_block()))))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    for words in (
        *(
            "Every block",
            AWKWARD[:40],
            "and strong words here",
            "FACE DOWN",
            "Hands off",
            "redwood",
            "412.50",
        ),
        *(
            "SWING LEFT",
            "together",
            "revision 0f8162c",
            f"1 of {len(reader.pages)}",
            "Slack water \N{REPLACEMENT CHARACTER}",
        ),
    ):
        assert words in text, words


@pytest.mark.parametrize(
    ("paper", "size"),
    [(A4, (210 / 25.4 * 72, 297 / 25.4 * 72)), (LETTER, (612.0, 792.0))],  # ISO 216; 8 1/2 x 11 in
    ids=["A4", "Letter"],
)
def test_pages_are_exactly_as_large_as_the_paper(paper: Paper, size: tuple[float, float]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pack_pdf(_pack(_every_block()), paper=paper)))
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.01)


def test_every_font_is_embedded_and_is_one_of_ours(tmp_path: Path) -> None:
    pdf = tmp_path / "pack.pdf"
    pdf.write_bytes(pack_pdf(_pack(_every_block())))
    listed = subprocess.run(["pdffonts", str(pdf)], check=True, capture_output=True, text=True).stdout
    rows = [line.split() for line in listed.splitlines()[2:]]
    assert rows
    for row in rows:
        assert "SourceSansPro" in row[0] or "NotoSans" in row[0]
        assert row[-5] == "yes"  # embedded


def test_equal_packs_give_equal_bytes_and_no_moment_is_in_them() -> None:
    made = pack_pdf(_pack(_every_block()))
    assert made == pack_pdf(_pack(_every_block()))
    info = pypdf.PdfReader(io.BytesIO(made)).metadata
    assert info is not None
    assert info.title == "Winter show"
    assert info.creation_date is None or info.creation_date.year == 2000


def test_words_of_the_user_are_never_read_as_typesetting() -> None:
    source = pack_source(_pack(Page("p", "s", AWKWARD, (Paragraph(AWKWARD),)), title=AWKWARD))
    reader = pypdf.PdfReader(io.BytesIO(pack_pdf(_pack(Page("p", "s", AWKWARD, (Paragraph(AWKWARD),))))))
    assert "#set text(red)" in reader.pages[0].extract_text()
    assert source.count("#set text(red)") == source.count('#set text(red) $x$ *a* _b_ <c> @d \\"e\\"')


def _dark_runs(values: np.ndarray) -> list[tuple[int, int]]:
    """Runs of dark pixels along a line: first and last index of each."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], (values < 128).astype(int), [0]])))
    return [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]


@pytest.mark.slow
@pytest.mark.parametrize(
    "correction", [Correction(), Correction(across=1.004, up=0.997)], ids=["plain", "corrected"]
)
@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
def test_full_size_sheets_measure_right_on_the_print(
    tmp_path: Path, paper: Paper, correction: Correction
) -> None:
    page = template_page(
        "cards",
        [bevel_card_marks(design_of(), say=SAY)],
        about=("Slack water",),
        say=SAY,
        paper=paper,
        correction=correction,
    )
    pdf = tmp_path / "t.pdf"
    pdf.write_bytes(pack_pdf(_pack(page), paper=paper))
    dots = 300
    subprocess.run(
        ["pdftoppm", "-r", str(dots), "-gray", "-singlefile", str(pdf), str(tmp_path / "t")],
        check=True,
        capture_output=True,
    )
    image = np.asarray(Image.open(tmp_path / "t.pgm"))
    mm = 25.4 / dots
    # the longest dark run in a row is the level bar, the longest in a column the upright one
    level = max(
        (run for row in image[image.shape[0] // 3 :] for run in _dark_runs(row)), key=lambda r: r[1] - r[0]
    )
    level = max(
        (run for row in image[int(40 / mm) : int(-30 / mm)] for run in _dark_runs(row)),
        key=lambda r: r[1] - r[0],
    )
    upright = max((run for column in image.T for run in _dark_runs(column)), key=lambda r: r[1] - r[0])
    pen = 0.35  # the line's own width, half of it beyond either end
    assert (level[1] - level[0] + 1) * mm - pen == pytest.approx(180 * correction.across, abs=0.2)
    assert (upright[1] - upright[0] + 1) * mm - pen == pytest.approx(180 * correction.up, abs=0.2)


@pytest.mark.slow
def test_the_bevel_card_measures_as_the_bevel_page_says(tmp_path: Path) -> None:
    # bar 21 x 44, bevel falling 5: a flat of 2, from there to the low edge 39 from the back
    design = design_of()
    assert (design.bar_thickness, design.bar_depth, design.bevel_fall) == (21, 44, 5)
    page = template_page("cards", [bevel_card_marks(design, say=SAY)], about=("x",), say=SAY, paper=A4)
    pdf = tmp_path / "card.pdf"
    pdf.write_bytes(pack_pdf(_pack(page)))
    dots = 300
    subprocess.run(
        ["pdftoppm", "-r", str(dots), "-gray", "-singlefile", str(pdf), str(tmp_path / "card")],
        check=True,
        capture_output=True,
    )
    mm, pen = 25.4 / dots, 0.5
    card = np.abs(np.asarray(Image.open(tmp_path / "card.pgm")).astype(int) - 237) <= 1  # its light tone
    foot = np.flatnonzero(card.sum(axis=1) > 100)[-1]
    legs = np.flatnonzero(card[foot - 20])
    gap = int(np.argmax(np.diff(legs)))
    left, right = legs[gap] * mm + pen / 2, legs[gap + 1] * mm - pen / 2
    assert right - left == pytest.approx(21, abs=0.2)

    def edge(x: float) -> float:
        """How far down the card's opening begins, x from the outer side."""
        column = card[: foot - 20, round((left + x) / mm)]
        return float(np.flatnonzero(column)[-1]) * mm

    work = bevel_work(design, by="hand plane", how_many=1, style=SAY.lengths, work="x", key="work[1]")
    assert work.gauge_front == 2  # the flat, common practice, no published source
    assert edge(1.6) == pytest.approx(edge(0.7), abs=0.1)  # level on the flat
    for x in (5.0, 11.5, 18.0):
        fall = float(work.fall) * (x - float(work.arris)) / (21 - float(work.arris))
        slanted = pen / 2 * (1 / math.cos(work.angle) - 1)  # the pen lies square to the slope
        assert edge(x) - edge(1.0) == pytest.approx(fall - slanted, abs=0.15), x


def test_the_correction_makes_a_wrong_printer_right() -> None:
    # a printer that makes 180 into 179.1 across and 180.6 up
    correction = correction_from(across=179.1, up=180.6)
    assert 180 * correction.across * (179.1 / 180) == pytest.approx(180)
    assert 180 * correction.up * (180.6 / 180) == pytest.approx(180)
    with pytest.raises(FaultsError) as caught:
        correction_from(across=90, up=0)
    assert len(caught.value.faults) == 2
    assert "Print at 100 %" in str(caught.value)


def test_a_template_larger_than_a_sheet_is_joined_from_several_never_drawn_smaller() -> None:
    big = [rectangle((0, 0), (160, 300)), rectangle((40, 120), (60, 260))]
    page = template_page("cards", [big], about=("x",), say=SAY, paper=A4)
    tiles = drawings_of(page)
    assert len(tiles) == 2
    width, height = A4.room
    for tile in tiles:
        assert tile.full_size
        assert tile.scale == 1.0
        assert tile.width <= width
        assert tile.height <= height - 46
    whole = full_size_view("cards", big, say=SAY).edge
    upper, lower = (tile.edge for tile in tiles)
    assert lower.foot == whole.foot
    assert upper.top == pytest.approx(whole.top)
    assert lower.top - upper.foot == pytest.approx(
        OVERLAP
    )  # what both show, with the line to join them in its middle
    for tile in tiles:
        letters = [mark for mark in tile.marks if isinstance(mark, Text) and mark.words == "A"]
        assert [mark.at[1] for mark in letters] == [pytest.approx((lower.top + upper.foot) / 2)]
    assert "On 2 sheets" in repr(page.blocks)
    assert pack_pdf(_pack(page)).startswith(b"%PDF")


def test_a_template_that_would_take_too_many_sheets_is_left_out_and_the_page_says_so() -> None:
    page = template_page("cards", [[rectangle((0, 0), (900, 900))]], about=("x",), say=SAY, paper=A4)
    assert drawings_of(page) == ()
    assert "larger paper" in repr(page.blocks)


def test_cards_share_a_sheet_in_rows_and_never_overlap() -> None:
    card, end = bevel_card_marks(design_of(), say=SAY), bar_end_marks(design_of(), say=SAY)
    several = [("one", card), ("two", end), ("three", card), ("four", end)]
    (marks,) = laid_cards(several, width=160.0)
    edge = box_of_all(tuple(plain(marks)))
    assert edge.width <= 161
    cut = [mark for mark in marks if isinstance(mark, Polygon) and mark.layer is Layer.CUT]
    assert len(cut) == 4
    boxes = [box_round(mark.points) for mark in cut]
    assert not any(a.meets(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])
    assert {mark.words for mark in marks if isinstance(mark, Text)} >= {"one", "two", "three", "four"}
    page = template_page("cards", [marks], about=("x",), say=SAY, paper=A4)
    assert len(drawings_of(page)) == 1
    sheets = laid_cards(several, width=160.0, height=110.0)  # a row of cards and no second one
    assert len(sheets) == 2
    assert sorted(mark.words for sheet in sheets for mark in sheet if isinstance(mark, Text)) == sorted(
        mark.words for mark in marks if isinstance(mark, Text)
    )
    page = template_page("cards", sheets, about=("x",), say=SAY, paper=A4)
    assert len(drawings_of(page)) == 2
    assert "dashed" not in repr(page.blocks)  # nothing is cut through, so nothing is joined


@pytest.mark.parametrize("size", [(400.0, 20.0), (20.0, 400.0), (400.0, 500.0), (189.0, 20.0), (5000.0, 3.0)])
def test_a_drawing_that_does_not_fit_is_made_smaller_as_a_whole_and_says_its_scale(
    size: tuple[float, float],
) -> None:
    view = view_of("big", [rectangle((0, 0), size)], scale=0.1, title="frame, 1 : 10")
    small = fitted(view, room=A4.room)
    assert small.width <= A4.room[0] + 1e-6
    assert small.height <= A4.room[1] + 1e-6
    sides = sorted((small.width / small.scale, small.height / small.scale))
    assert sides == pytest.approx(sorted((view.width / view.scale, view.height / view.scale)))
    assert float(small.title.removeprefix("frame, 1 : ")) == pytest.approx(1 / small.scale, abs=0.051)
    assert max(small.width / A4.room[0], small.height / A4.room[1]) > 0.94
    pages = Page("p", "s", "t", (Drawing(view), Beside(((Drawing(view),), (Paragraph("x"),)))))
    assert pack_pdf(_pack(pages)).startswith(b"%PDF")


def test_a_drawing_is_drawn_again_until_its_lettering_keeps_to_the_sheet_too() -> None:
    def draw(*, room: tuple[float, float]) -> View:
        beyond = 37.0  # what stands beside it does not shrink
        return view_of("x", [rectangle((0, 0), (room[0] + beyond, room[1] / 2))], border=0.0)

    view = drawn_within((188.0, 240.0), draw)
    assert 150 < view.width <= 188.05


def test_unknown_paper_is_refused_with_what_there_is() -> None:
    assert paper_named(" letter ") is LETTER
    with pytest.raises(FaultsError, match="Choose A4 or Letter"):
        paper_named("foolscap")


def test_columns_fill_the_room_and_no_word_is_wider_than_its_column() -> None:
    columns = (Column("mark"), Column("what it is", share=1), Column("no.", "end"), Column("write", blank=22))
    short = Table(columns, (("A1", "bar", "2"),))
    long = Table(columns, (("A1", "a very long description that goes on " * 4, "2"), ("B", "x", "12345")))
    for table in (short, long):
        widths = column_widths(table, 180, 11.5)
        assert sum(widths) == pytest.approx(180)
        assert widths[3] >= 22
    assert column_widths(long, 180, 11.5)[0] == pytest.approx(column_widths(short, 180, 11.5)[0], rel=0.05)


def test_no_lettering_of_the_pages_is_set_smaller_than_two_and_a_half_millimetres() -> None:
    # capitals of the typeface are 0.66 of the type size: 10.74 pt gives 2.5 mm
    style = (files("longpoint.export") / "sheet.typ").read_text(encoding="utf-8")
    sizes = [float(size) for size in re.findall(r"size: ([0-9.]+)pt", style)]
    sizes += [float(size) for size in re.findall(r"(?:small|body|large): ([0-9.]+)pt", style)]
    assert len(sizes) > 15
    assert min(sizes) * 25.4 / 72 * 0.66 >= 2.5


def test_a_long_list_of_pages_stands_in_full_columns() -> None:
    pages = [Page("start", "Start", "Start", (Contents(),))]
    pages += [Page(f"k{k}", f"Section {k // 17}", f"Page {k}", (Paragraph("x"),)) for k in range(95)]
    source = pack_source(_pack(*pages))
    assert source.count("#contents(3, ") == 1
    assert source.count("contents-line(<sheet-") == 96


def test_short_pages_share_a_sheet_and_every_sheet_names_its_neighbours_in_the_work() -> None:
    short = [Page(f"k{n}", "Saw", f"Page {n}", (Paragraph("x"),), name=f"n{n}") for n in range(3)]
    alone = Page(
        "w", "Frames", "Alone", (Paragraph("y"),), name="w", alone=True, before=("n1",), after=("z",)
    )
    last = Page("z", "Wall", "Last", (Paragraph("z"),), name="z")
    pack = _pack(*short, alone, last)
    found = laid_out(pack).settings
    assert [found.get(n, AS_DESIGNED).joined for n in range(5)] == [False, True, True, False, False]
    reader = pypdf.PdfReader(io.BytesIO(pack_pdf(pack)))
    texts = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert len(texts) == 3
    assert "Before: 1 Page 1" in texts[1]
    assert "Next: 3 Last" in texts[1]
    assert "Next: 2 Alone" in texts[0]
    assert "Before: 2 Alone" in texts[2]


def test_a_page_that_flows_begins_on_the_sheet_before_it() -> None:
    rows = Table((Column("what", share=1),), tuple((f"row {n}",) for n in range(24)))
    first = Page("a", "Saw", "A", (rows,), name="a")
    second = Page("b", "Saw", "B", (rows,), name="b", flows=True)
    third = Page("c", "Saw", "C", (rows,), name="c", flows=True)
    apart = [replace(page, flows=False, alone=True) for page in (first, second, third)]
    count = [
        len(pypdf.PdfReader(io.BytesIO(pack_pdf(_pack(*p)))).pages) for p in ((first, second, third), apart)
    ]
    assert count[0] < count[1] == 3
