"""A cloth page followed with scissors in the head: every cut on the sheet it names, length by length."""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.drawing.paper.marks import Text
from longpoint.drawing.paper.pages import A4, Bullets, Drawing, Page, Table
from longpoint.drawing.sheets.cloth_pages import cloth_pages
from longpoint.drawing.words.voice import voice_of

ROLL = ClothRoll(
    "half roll",
    2100.0,
    7400.0,
    at_hand=True,
    worth=Decimal(10),
    flaws=(Flaw(1500, 1540, 1900, 1950, "slub"), Flaw(3000, 3060, what="join"), Flaw(7000, 7030)),
)
PROBLEM = ClothProblem(
    (
        ClothPiece("E", 1760, 2560),
        ClothPiece("F", 1160, 1160),
        ClothPiece("G", 460, 560, 2),
        ClothPiece("A", 1360, 1860),
    ),
    (ROLL,),
)


def page(language: str = "en") -> Page:
    (made,) = cloth_pages(plan_cloth(PROBLEM, effort=300), PROBLEM, say=voice_of(language), paper=A4)
    return made


def test_the_cuts_are_grouped_by_the_length_they_part_and_say_through_what_and_where_on_the_roll() -> None:
    (table,) = [block for block in page().blocks if isinstance(block, Table)]
    assert [head for _, head in table.heads] == sorted({head for _, head in table.heads})
    free = []
    for number, row in enumerate(table.rows, start=1):
        cut, through, way, measure, on_roll, frees = row
        assert int(cut) == number
        if through == "the roll":
            assert way == "right across"
        strip = re.fullmatch(r"strip (\d+) to (\d+)", through)
        if strip and way == "along":
            # The tape lies from the strip's left edge; the roll's left selvedge is that much further left.
            assert int(on_roll) - int(measure) == int(strip[1])
            assert int(strip[1]) < int(on_roll) < int(strip[2])
        if through == "the length" and way == "along":
            assert measure == on_roll
        free += frees.split(", ") if frees else []
    assert sorted(free) == ["A", "E", "F", "G 1", "G 2"]
    lengths = [int(row[4]) for row in table.rows if row[1] == "the roll"]
    taken = [int(row[3]) for row in table.rows if row[1] == "the roll"]
    assert [b - a for a, b in zip([0, *lengths], lengths, strict=False)] == taken


@pytest.mark.parametrize(
    ("language", "line"),
    [
        ("en", "slub: 1500 to 1540 from the free end, 1900 to 1950 from the left edge"),
        ("de", "slub: 1500 bis 1540 vom freien Ende, 1900 bis 1950 von der linken Kante"),
    ],
)
def test_flaws_on_what_is_taken_stand_on_the_page_and_in_the_picture_with_their_measures(
    language: str, line: str
) -> None:
    made = page(language)
    (bullets,) = [block for block in made.blocks if isinstance(block, Bullets)]
    assert line in bullets.items
    assert len(bullets.items) == 2, "the one at 7000 lies beyond what is taken"
    words = {
        mark.words for block in made.blocks if isinstance(block, Drawing) for mark in block.view.marks
        if isinstance(mark, Text)
    }  # fmt: skip
    assert {"slub 1500–1540", "join 3000–3060"} <= words
    cuts = len(next(block for block in made.blocks if isinstance(block, Table)).rows)
    assert {str(number) for number in range(1, cuts + 1)} <= words


def test_a_sewn_piece_says_its_seams_its_breadths_and_what_lies_beyond_a_seam() -> None:
    problem = ClothProblem(
        (ClothPiece("W", 2600, 1500, may_seam=True),), (ClothRoll("r", 2100.0, selvedge=10),)
    )
    pages = cloth_pages(plan_cloth(problem, effort=50), problem, say=voice_of("en"), paper=A4)
    (bullets,) = [block for block in pages[0].blocks if isinstance(block, Bullets)]
    # By hand: 2080 usable, 15 of it beyond the seam; 2600 − 2065 + 15.
    assert bullets.items == (
        "W: seams at 2065 from its left edge, where the piece is finished. Breadths from left to right, "
        "2080, 550 wide, each with 15 mm beyond every seam.",
    )


def test_breadths_are_said_as_they_are_cut_and_only_where_one_of_them_lies() -> None:
    # 4 mm for tearing on every edge: 2080 usable, finished 2080 − 4 − 15 = 2061; 2600 − 2061 = 539, cut 539 + 15 + 4.
    problem = ClothProblem(
        (ClothPiece("W", 2600, 1500, may_seam=True), ClothPiece("n", 1600, 611)),
        (
            ClothRoll("r", 2100.0, selvedge=10, price=Decimal(20)),
            ClothRoll("rest", 1700.0, 650.0, at_hand=True, worth=Decimal(1)),
        ),
        allowance=4,
    )
    wide, rest = cloth_pages(plan_cloth(problem, effort=300), problem, say=voice_of("en"), paper=A4)
    (bullets,) = [block for block in wide.blocks if isinstance(block, Bullets)]
    assert "Breadths from left to right, 2080, 558 wide" in bullets.items[0]
    assert not [block for block in rest.blocks if isinstance(block, Bullets)]
