"""Bars and rails of one timber in one list: fewer boards, and the page says how a board is parted."""

from __future__ import annotations

from fractions import Fraction

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.cutting import check_board_plan, plan_boards
from longpoint.jobs.plan import plan_batch
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.needs.boards import SectionCut, board_plans

STUDENTS = """
[bars]
thickness = 19
depth = 38
{bars}
[inside]
cross_rails = 1
thickness = 38
depth = 19
drop = 7
[[yard]]
name = "19 x 38"
thickness = 19
depth = 38
lengths = [2440]
{yard}
[[work]]
name = "Student"
width = 700
height = 500
how_many = 6
"""


def cut_of(text: str, *, apart: bool = False) -> tuple[Batch, tuple[SectionCut, ...]]:
    batch = parse_batch(text)
    plan = plan_batch(batch, choose=design_of)
    works = [(work.designed, work.parts) for work in plan.works]
    return batch, board_plans(batch, works, solve=plan_boards, apart=apart)


def boards(sections: tuple[SectionCut, ...]) -> int:
    return sum(len(section.plan.boards) for section in sections)


@pytest.mark.slow
def test_one_list_of_all_parts_takes_fewer_boards() -> None:
    text = STUDENTS.format(bars="", yard="")
    _, together = cut_of(text)
    _, apart = cut_of(text, apart=True)
    assert [section.use for section in together] == ["bars and rails"]
    assert sorted(section.use for section in apart) == ["bars", "rails"]
    assert boards(together) < boards(apart)
    for section in (*together, *apart):
        assert not check_board_plan(section.problem, section.plan)
        assert section.plan.proven
    parts = sum((Fraction(part.length * part.how_many) for part in together[0].problem.parts), Fraction(0))
    assert sum(part.how_many for part in together[0].problem.parts) == 6 * 5
    assert parts < sum(board.length for board in together[0].plan.boards)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("bars", "yard"),
    [
        ('bevel_by = "yard"', ""),
        ("", "bevelled = true"),
        # timber for rails only beside timber for both: rails may not take what serves bars only, nor the reverse
        ("", '[[yard]]\nname = "r"\nthickness = 19\ndepth = 38\nserves = ["rails"]\nlengths = [3000]'),
    ],
)
def test_where_a_board_cannot_give_both_the_lists_stay_apart(bars: str, yard: str) -> None:
    _, sections = cut_of(STUDENTS.format(bars=bars, yard=yard))
    assert sorted(section.use for section in sections) == ["bars", "rails"]
