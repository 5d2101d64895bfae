"""The pages of the year and of next time: what stands on them is what was computed, in every language."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.marks import Line, Text
from longpoint.drawing.paper.pages import A4, Bullets, Drawing, Page, Table
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.later_page import later_page
from longpoint.drawing.sheets.year_page import year_page, year_view
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.model.reading import parse_batch
from longpoint.stretching.climate import Air, tension_in
from longpoint.stretching.next_time import next_time
from longpoint.stretching.piece import Fastening
from longpoint.stretching.year import YearChart, year_chart
from longpoint.units import LengthStyle
from longpoint.works.draft import canvas_work

DEMO = Path(__file__).parents[2] / "examples" / "winter-show.toml"
SAY = voice_of("en", LengthStyle())
SAY_DE = voice_of("de", LengthStyle())
MADE = Air("now", 17.0, 0.57)


@cache
def sheet() -> CanvasSheet:
    work = canvas_work(parse_batch(DEMO.read_bytes()), "Study of the slip", choose=design_of)
    canvas, design = work.canvas, work.frame.design
    return CanvasSheet(
        name="Study of the slip",
        code="G",
        face=(float(design.width), float(design.height)),
        piece=canvas.piece,
        fold=canvas.fold,
        folded_level=True,
        first=canvas.first,
        staples=canvas.staples,
        order="middles outward",
        waits=False,
        figures=None,
        only_snug=True,
        leg=canvas.leg,
        pull=canvas.pull,
        tensions=canvas.tensions,
        story=canvas.story,
        bears=None,
        priming=canvas.priming,
        press=canvas.press,
        year=canvas.year,
        afterwards=canvas.afterwards,
    )


def chart(left: float, *, humidity: tuple[float, float] = (0.31, 0.74), keyed: bool = False) -> YearChart:
    return year_chart(
        state="acrylic-primed",
        left=left,
        stretched_in=MADE,
        airs=(Air("driest", 17.0, humidity[0]), Air("dampest", 17.0, humidity[1])),
        species_name="scots pine",
        thickness=27.0,
        flat_sawn=True,
        keyed=keyed,
    )


def table_of(page: Page) -> Table:
    (table,) = (block for block in page.blocks if isinstance(block, Table))
    return table


def bullets_of(page: Page) -> tuple[str, ...]:
    (bullets,) = (block for block in page.blocks if isinstance(block, Bullets))
    return bullets.items


def test_the_table_says_what_each_air_leaves_and_works_with_the_same_year_share_it() -> None:
    twin = replace(sheet(), code="K")
    other = replace(sheet(), code="L", year=chart(0.2))
    rows = table_of(year_page([sheet(), twin, other], say=SAY, paper=A4)).rows
    assert [row[0] for row in rows] == ["G, K", "", "L", ""]
    # L: computed apart by the one function that the chart is made of
    driest = tension_in(
        state="acrylic-primed", left=0.2, stretched_in=MADE, air=Air("driest", 17.0, 0.31)
    ).middle
    assert rows[2][2] == str(round(1000 * driest, -1)).split(".")[0]
    assert rows[2][1].startswith("driest, 31")
    assert rows[3][6].endswith("outside")


def test_advice_for_some_works_only_carries_their_marks() -> None:
    keyed = replace(sheet(), code="K", year=chart(0.2, keyed=True))
    items = bullets_of(year_page([sheet(), keyed], say=SAY, paper=A4))
    assert any(item.startswith("**K** It is slackest") for item in items)
    assert any(item.startswith("**G** These corners are fixed") for item in items)
    assert any(item.startswith("Screw a backing board") for item in items)


@pytest.mark.parametrize("say", [SAY, SAY_DE], ids=["en", "de"])
def test_every_advice_of_a_year_has_words(say: Voice) -> None:
    charts = [chart(left) for left in (0.05, 0.2, 0.5)]
    charts += [chart(0.2, humidity=(0.02, 0.99)), chart(0.2, keyed=True)]
    found = {advice.key for one in charts for advice in one.advice}
    assert found >= {"stretch-more", "stretch-less", "in-window", "backing-board", "keys", "no-keys"}
    for one in charts:
        page = year_page([replace(sheet(), year=one)], say=say, paper=A4)
        assert len(bullets_of(page)) == len(one.advice)
    assert say.has("year.advice-no-window")


def test_the_curve_goes_through_what_is_likely_left_in_the_air_of_the_making() -> None:
    view = year_view(sheet(), say=SAY, width=A4.room[0])
    now = next(mark for mark in view.marks if isinstance(mark, Text) and mark.words == "now")
    curve = [m for m in view.marks if isinstance(m, Line) and m.pen is not None and m.pen.width == 0.5]
    (crossing,) = (m for m in curve if m.start[0] <= now.at[0] < m.end[0])
    limits = {m.words: m.at[1] for m in view.marks if isinstance(m, Text) and m.words in ("200", "300")}
    foot = limits["200"] - 2 * (limits["300"] - limits["200"])  # where 0 lies
    part = (now.at[0] - crossing.start[0]) / (crossing.end[0] - crossing.start[0])
    y = crossing.start[1] + part * (crossing.end[1] - crossing.start[1])
    assert (y - foot) / (limits["300"] - limits["200"]) == pytest.approx(
        10 * sheet().story.left.middle, abs=0.03
    )
    assert view.width <= A4.room[0]


def test_a_drawing_for_each_of_the_first_two_kinds_of_canvas() -> None:
    other = replace(sheet(), code="L", year=replace(sheet().year, state="glue-sized"))
    page = year_page([sheet(), other, sheet()], say=SAY, paper=A4)
    assert sum(isinstance(block, Drawing) for block in page.blocks) == 2


@pytest.mark.parametrize("say", [SAY, SAY_DE], ids=["en", "de"])
def test_everything_that_can_be_done_later_has_words_whatever_the_work(say: Voice) -> None:
    reasons = set()
    for lowest, keyed, load, tail, passes in product(
        (0.05, 0.2), (False, True), (None, 0.3, 1e9), (5.0, 30.0), (False, True, None)
    ):
        later = next_time(
            tension_left=0.2,
            lowest_of_year=lowest,
            keyed=keyed,
            touching_load=load,
            staples=131,
            fastened=Fastening.BACK,
            staple_line=61.0,
            spacing=43.0,
            on_back=tail,
            frame_passes=passes,
            painted=True,
        )
        page = later_page([replace(sheet(), afterwards=later)], say=say)
        rows = table_of(page).rows
        assert [row[1] for row in rows] == [say("later.yes" if one.worth_it else "later.no") for one in later]
        reasons |= {one.why.key for one in later}
    assert len(reasons) == 11


def test_many_figures_are_given_as_a_range_and_few_are_listed() -> None:
    def text(staples: list[int]) -> str:
        works = [
            replace(
                sheet(),
                code=f"X{number}",
                afterwards=tuple(
                    replace(
                        one,
                        steps=tuple(
                            replace(step, facts=(("staples", str(number)),))
                            if step.key == "pull-the-staples"
                            else step
                            for step in one.steps
                        ),
                    )
                    for one in sheet().afterwards
                ),
            )
            for number in staples
        ]
        return str(later_page(works, say=SAY).blocks)

    assert "All of them (97 / 131)" in text([131, 97, 131])
    assert "All of them (97 … 141)" in text([131, 97, 113, 107, 141])
