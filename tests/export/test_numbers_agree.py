"""One size on paper is one number: every number that stands on more than one sheet is the same on all of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from math import hypot

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
currency = "EUR"
[bars]
depth = 44
bevel = 5
thickness = 21
[inside]
thickness = 21
depth = 28
[[work]]
name = "Slack water"
width = 1307
height = 893
inside = {{ cross_rails = 2, middle_pieces = true }}
[[work]]
name = "Reeds"
width = 611
height = 1003
how_many = 3
[[work]]
name = "Study"
width = 303
height = 211
[[yard]]
name = "bars"
thickness = 21
depth = 44
serves = ["bars"]
lengths = [{{ length = 2400, price = 6.21 }}, {{ length = 3600, price = 9.35 }}]
[[yard]]
name = "rails"
thickness = 21
depth = 28
serves = ["rails"]
lengths = [{{ length = 2400, price = 4.37 }}]
[[roll]]
name = "linen"
width = 2100
per_metre = 13.9
[shop.rates]
per_hour = 24
margin = 0.2
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
    drawn_boards = {text for page in by_key["saw-boards"] for text in lettering(page)}
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
        # the diagonal: twice in the checks of the work's sheet or on its check card
        diagonal = say.length(hypot(float(design.width), float(design.height)))
        checked = [
            row
            for each in (page, *(one for one in by_key.get("check", ()) if work.name in one.about))
            for table in tables(each.blocks)
            for row in table.rows
            if row[0] in (say("work-sheet.diagonal-1"), say("work-sheet.diagonal-2"))
        ]
        assert [row[1] for row in checked] == [diagonal] * 2
        # lengths measured on the frame: on the check card of many copies, too
        measured = {say("card.check-part", mark=part.mark): part for part in work.parts if part.measured}
        for each in by_key.get("check", ()):
            if work.name in each.about:
                card = {row[0]: row[1] for table in tables(each.blocks) for row in table.rows}
                assert {mark: card[mark] for mark in measured} == {
                    mark: say.part(part.long_point) for mark, part in measured.items()
                }
        # every part with its length on a board
        for part in work.parts:
            long = say.part(part.long_point)  # a short one has its mark above its length
            assert {f"{part.mark}  {long}", long} & drawn_boards, part.mark
        # the staples: on the work's sheet, in the runs of the stapling card and in the reasons
        edge = str(sum(staple.use.value == "edge" for staple in work.canvas.staples.staples))
        assert re.search(rf"\b{edge}\b", told)
        runs = next(
            row
            for table in tables(by_key["stapling"][0].blocks)
            for row in table.rows
            if work.code in row[0].split(", ")
        )
        assert runs[2].startswith(f"{edge} + ")
        (own_map,) = (one for one in by_key["staples"] if work.name in one.about)
        on_map = " ".join(words(own_map.blocks))
        assert re.search(rf"\b{edge}\b", on_map)
        spacing = [
            say.place(work.canvas.staples.spacing_level),
            say.place(work.canvas.staples.spacing_upright),
        ]
        for each in (told, on_map):
            assert [one for one in spacing if not re.search(rf"(?<![\d/.]){one}(?![\d/.,])", each)] == []
        # screws: as many in the table of the sheet as in the steps and on the joints' page
        screws = [
            row
            for table in tables(page.blocks)
            for row in table.rows
            if table.columns[0].title == say("work-sheet.screw")
        ]
        assert sum(int(row[1]) for row in screws) == sum(count.count for count in work.build.screws)


def money_in(text: str) -> list[str]:
    return re.findall(r"\d+[.,]\d\d\b", text)


@pytest.mark.parametrize(("system", "language"), [("mm", "en"), ("in", "en"), ("mm", "de")])
def test_the_sums_of_a_batch_are_one_number_on_every_sheet(system: str, language: str) -> None:
    made = plan(system)
    say = voice_of(language, made.batch.style)
    pages = {page.key: page for make in (pack_of, reasons_of) for page in make(made, say=say, paper=A4).pages}
    start, cost, hours = repr(pages["start"].blocks), pages["cost"], pages["hours"]
    assert f"'{sum(work.how_many for work in made.works)}'" in start
    # the cloth: in figures on the first sheet, on the buying list, in the head of the lay
    used = sum(use.used for cloth in made.cloths for use in cloth.plan.uses)
    assert say.run(used, cloth=True) in start
    assert say.length(used, unit=True) in pages["cloth"].lead
    # the longest diagonal: of the tape, as it is checked
    longest = max(hypot(float(w.frame.design.width), float(w.frame.design.height)) for w in made.works)
    assert say.length(longest, unit=True) in " ".join(words(pages["tools"].blocks))
    # staples and screws: the need on the buying list is what the works' maps and joints hold
    (buying,) = tables(pages["buying"].blocks)
    need = {row[0]: row[1] for row in buying.rows}
    staples = str(sum(len(work.canvas.staples.staples) * work.how_many for work in made.works))
    assert [count for name, count in need.items() if say("product.staples") in name] == [staples]
    assert [say("cost.does-staple", unit=""), staples] in [
        [*row[:2]] for table in tables(hours.blocks) for row in table.rows
    ]
    # money: what is bought, on the first sheet, summed on the buying list, in the account, in the reasons
    bought = say.money(sum((use.bought for use in made.cost.materials), Decimal(0)))
    assert f"{bought} EUR" in start
    assert bought in buying.sums
    assert bought in money_in(" ".join(words(cost.blocks)))
    assert any(bought in table.sums for table in tables(hours.blocks))
    listed = [row[-1] for row in buying.rows if money_in(row[-1])]
    advised = listed[-2:]  # a board of each timber to spare is no part of the sum
    assert sum(amount(each) for each in listed) - sum(map(amount, advised)) == amount(bought)
    # rows add up to the batch, column by column
    (table, *_) = tables(cost.blocks)
    titles = [column.title for column in table.columns]
    for key in ("cost.mat", "cost.labour", "cost.total", "cost.gross"):
        at = titles.index(say(key))
        assert sum(amount(row[at]) for row in table.rows) == amount(table.sums[at]), key
    at = titles.index(say("cost.total"))
    assert amount(table.sums[at]) == made.cost.total
    # a work's hours and its cost: in the account and in the reasons
    (_, made_of, *_) = tables(hours.blocks)
    for row, told in zip(table.rows, made_of.rows, strict=True):
        assert row[0] == told[0]
        assert row[titles.index(say("cost.hours"))] == told[3]


def amount(text: str) -> Decimal:
    return Decimal(text.replace("\u202f", "").replace(",", "."))
