"""One size on paper is one number: every number that stands on more than one sheet is the same on all of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.marks import Text, plain
from longpoint.drawing.paper.pages import (
    A4,
    LETTER,
    Beside,
    Block,
    Bullets,
    Page,
    Paper,
    Paragraph,
    Steps,
    Table,
    Together,
    drawings_of,
)
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow

BATCH = """
title = "Three"
show = "{system}"
[bars]
depth = 44
bevel = 5
thickness = 21
[[work]]
name = "Slack water"
width = 1307
height = 893
[[work]]
name = "Reeds"
width = 611
height = 1003
how_many = 3
[[work]]
name = "Study"
width = 303
height = 211
[shop.rates]
per_hour = 24
"""


@cache
def plan(system: str) -> Plan:
    return plan_batch(parse_batch(BATCH.format(system=system), file="t.toml"), choose=design_of)


def tables(blocks: tuple[Block, ...]) -> Iterator[Table]:
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Together):
            yield from tables(block.blocks)
        elif isinstance(block, Beside):
            for column in block.columns:
                yield from tables(column)


def words(blocks: tuple[Block, ...]) -> Iterator[str]:
    for block in blocks:
        if isinstance(block, Paragraph):
            yield block.words
        elif isinstance(block, Bullets):
            yield from block.items
        elif isinstance(block, Steps):
            yield from (step.words for step in block.items)
        elif isinstance(block, Table):
            yield from (cell for row in block.rows for cell in row)
        elif isinstance(block, Together):
            yield from words(block.blocks)
        elif isinstance(block, Beside):
            for column in block.columns:
                yield from words(column)


def lettering(page: Page) -> set[str]:
    return {mark.words for view in drawings_of(page) for mark in plain(view.marks) if isinstance(mark, Text)}


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize(("system", "language"), [("mm", "en"), ("in", "en"), ("mm", "de")])
def test_a_number_on_several_sheets_is_one_number(system: str, language: str, paper: Paper) -> None:
    made = plan(system)
    say: Voice = voice_of(language, made.batch.style)
    pack, reasons = pack_of(made, say=say, paper=paper), reasons_of(made, say=say, paper=paper)
    by_key: dict[str, list[Page]] = {}
    for page in (*pack.pages, *reasons.pages):
        by_key.setdefault(page.key, []).append(page)
    sheet_of = {page.name.removeprefix("work-"): page for page in by_key["work"]}
    lays = {text for page in by_key["cloth"] for text in lettering(page)}
    stops = {
        cell
        for page in by_key["saw-stops"]
        for table in tables(page.blocks)
        for row in table.rows
        for cell in row
    }
    first = {row[0]: row for table in tables(by_key["start"][0].blocks) for row in table.rows}
    hung = {row[0]: row for table in tables(by_key["hanging"][0].blocks) for row in table.rows}
    for work in made.works:
        page = sheet_of[work.code]
        told = " ".join(words(page.blocks))
        shown = lettering(page)
        design = work.frame.design
        face = f"{say.length(design.width)} × {say.length(design.height)}"
        # the face: on the first sheet, in the head of the work's sheet, in its view
        assert face in first[work.code]
        assert face in page.lead
        assert {say.length(design.width), say.length(design.height)} <= shown
        # lengths of parts: in the table of the work's sheet and at the stops of the saw
        rows = {
            row[0]: row for table in tables(page.blocks) for row in table.rows if row[0].startswith(work.code)
        }
        for part in work.parts:
            assert say.part(part.long_point) in rows[part.mark]
            assert say.part(part.long_point) in stops, part.mark
        # the cloth: on the work's sheet and on the lay
        piece = work.canvas.piece
        size = f"{say.part(piece.width)} × {say.part(piece.height)}"
        assert size in told
        turned = f"{say.part(piece.height)} × {say.part(piece.width)}"
        assert any(size in text or turned in text for text in lays), size
        # the mass: on the first sheet, on the work's sheet and on the hanging card
        mass = say.mass(work.mass)
        assert mass in first[work.code]
        assert mass in page.lead
        assert mass in hung[work.code]
        # the staples: on the work's sheet and in the runs of the stapling card
        edge = str(sum(staple.use.value == "edge" for staple in work.canvas.staples.staples))
        assert re.search(rf"\b{edge}\b", told)
        runs = next(
            row
            for table in tables(by_key["stapling"][0].blocks)
            for row in table.rows
            if work.code in row[0].split(", ")
        )
        assert runs[2].startswith(f"{edge} + ")
        # screws: as many in the table of the sheet as in the steps and on the joints' page
        screws = [
            row
            for table in tables(page.blocks)
            for row in table.rows
            if table.columns[0].title == say("work-sheet.screw")
        ]
        assert sum(int(row[1]) for row in screws) == sum(count.count for count in work.build.screws)


def test_the_batch_on_paper_is_the_plan() -> None:
    made = plan("mm")
    say = voice_of("en", made.batch.style)
    pack = pack_of(made, say=say, paper=A4)
    (start,) = (page for page in pack.pages if page.key == "start")
    (cost,) = (page for page in pack.pages if page.key == "cost")
    said = repr(start.blocks)
    assert f"'{sum(work.how_many for work in made.works)}'" in said
    assert say.run(sum(use.used for cloth in made.cloths for use in cloth.plan.uses), cloth=True) in said
    (table, *_) = tables(cost.blocks)
    at = [column.title for column in table.columns].index(say("cost.total"))
    each = [float(row[at]) for row in table.rows]
    assert sum(each) == pytest.approx(float(table.sums[at]), abs=0.001)
    assert float(table.sums[at]) == float(made.cost.total)
