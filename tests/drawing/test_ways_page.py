"""The sheet of the ways out: who gets out and how, in pictures that no words cover, in every language and unit."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from longpoint.drawing.paper.extent import overlaps
from longpoint.drawing.paper.marks import Polygon, Text
from longpoint.drawing.paper.pages import Page, Paragraph, Table, drawings_of
from longpoint.drawing.sheets.ways_page import MOST_PICTURES, Leaving, ways_page
from longpoint.drawing.words.voice import voice_of
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.units import LengthStyle
from longpoint.works.brief import briefs_of
from longpoint.works.leaving import ways_out

STUDIO = """
[[work]]
name = "Reeds"
width = 1000
height = 700
[[work]]
name = "Marsh"
width = 1000
height = 700
[[work]]
name = "Standing figure"
width = 2050
height = 2040
[[work]]
name = "North wall"
width = 2400
height = 2600
[[work]]
name = "Long reach"
width = 2900
height = 400
[[way]]
name = "Down to the van"
[[way.obstacle]]
kind = "door"
width = 820
height = 2010
[[way.obstacle]]
kind = "corner"
width = 900
width_after = 950
height = 2400
[[way.obstacle]]
kind = "stairs"
width = 950
headroom = 2500
rise = 180
going = 260
height = 2800
[[way.obstacle]]
kind = "quarter landing"
width = 950
width_after = 950
height = 3400
rise = 180
going = 260
[[way.obstacle]]
kind = "load space"
name = "van"
width = 1700
height = 1850
depth = 2700
door_width = 1550
door_height = 1750
sill = 600
"""


def studio() -> Batch:
    return parse_batch(STUDIO)


def page(language: str = "en", style: LengthStyle | None = None) -> Page:
    batch = studio()
    works = [
        Leaving("ABCDE"[brief.index], out)
        for brief in briefs_of(batch)
        for out in ways_out(brief, depth=Fraction(44), thickness=Fraction(21), seam=None)
    ]
    return ways_page(batch.way, works, say=voice_of(language, style or LengthStyle()))


def rows() -> dict[str, tuple[str, ...]]:
    (table,) = (block for block in page().blocks if isinstance(block, Table))
    return {row[1]: row for row in table.rows}


def test_works_that_pass_alike_share_a_row() -> None:
    mark, _, how, out, _ = rows()["Reeds, Marsh"]
    assert (mark, out) == ("A, B", "yes")
    assert how.startswith("door: upright ")
    assert how.count(";") == 4


def test_what_stops_a_work_is_the_last_that_is_said_and_stands_out() -> None:
    _, _, how, out, _ = rows()["North wall"]
    assert out == "no"
    assert how.startswith("**door: leaning ")
    assert how.endswith("**")
    assert "−" in how


def test_a_work_that_must_be_tilted_is_told_by_how_much_and_drawn() -> None:
    how = rows()["Standing figure"][2]
    assert how.startswith("door: leaning ")
    names = [view.name for view in drawings_of(page())]
    assert "way-1-1-C" in names
    assert "way-1-1-D" in names
    assert len(names) <= MOST_PICTURES


def test_turning_is_drawn_position_by_position_with_numbers() -> None:
    (view,) = (view for view in drawings_of(page()) if view.name.startswith("way-1-2-"))
    works = [mark for mark in view.marks if isinstance(mark, Polygon)]
    numbers = [mark.words for mark in view.marks if isinstance(mark, Text) and mark.words.isdigit()]
    assert numbers == ["1", "2", "3"][: len(works)]
    assert len(works) == 3


def test_the_sill_is_said() -> None:
    words = [block.words for block in page().blocks if isinstance(block, Paragraph)]
    assert words == ["van: lift it 600 mm over the sill."]


@pytest.mark.parametrize(("language", "system"), list(product(("en", "de"), ("mm", "cm", "in"))))
def test_no_words_lie_over_others(language: str, system: str) -> None:
    for view in drawings_of(page(language, LengthStyle(system=system))):  # type: ignore[arg-type]
        assert not overlaps(view.marks), view.name
