"""Narrow timber ripped from wide boards: strips, what falls off, and what is bought."""

from __future__ import annotations

from fractions import Fraction

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.choosing.candidates import Buildable, candidates_of
from longpoint.cutting import check_board_plan, plan_boards
from longpoint.export.rows.money import buy_row
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.model.shop import Rip
from longpoint.needs.boards import board_plans
from longpoint.strength.choice import Candidate
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of
from longpoint.works.ripping import STRIP_SHARE, rip

BATCH = """
currency = "EUR"
[bars]
depth = 44
thickness = 21
[inside]
cross_rails = 1
end_rails = "none"
middle_pieces = false
{inside}
[[work]]
name = "One"
width = 900
height = 700
how_many = 3
[[yard]]
name = "21 x 70"
thickness = 21
depth = 70
per_metre = 2.4
lengths = [{lengths}]
{shop}
"""


@pytest.mark.parametrize(
    ("wide", "strip", "strips", "falls"),
    [
        # After each strip: 3 of the saw, 0.5 off each of the two sawn faces.
        (70, 44, 1, 22),
        (70, 33, 2, 0),  # 33 + 4 + 33: the last has the board's own edge
        (70, Fraction(67, 2), 1, Fraction(65, 2)),
        (95, 44, 2, 0),  # 96 − 92 − 4 would be less than nothing
        (100, 44, 2, 0),  # 100 − 96 = 4 is too narrow
        (112, 44, 2, 16),
    ],
)
def test_strips_and_what_falls_off_add_up_to_the_board(
    wide: int, strip: Fraction, strips: int, falls: Fraction
) -> None:
    how = rip(Rip(), thickness=Fraction(21), wide=Fraction(wide), strip=Fraction(strip))
    assert how is not None
    assert (how.strips, how.falls) == (strips, falls)
    assert how.strips * (strip + 4) - 4 <= wide
    if falls:
        assert how.strips * (strip + 4) + falls == wide
    assert how.boards(2 * strips + 1) == 3


def test_nothing_narrow_and_nothing_as_wide_as_the_board_is_ripped() -> None:
    assert rip(Rip(), thickness=Fraction(21), wide=Fraction(70), strip=Fraction(14)) is None
    assert rip(Rip(), thickness=Fraction(21), wide=Fraction(70), strip=Fraction(70)) is None
    assert rip(Rip(), thickness=Fraction(21), wide=Fraction(70), strip=Fraction(68)) is None


@pytest.mark.slow
def test_rails_are_cut_from_what_falls_off_the_bars() -> None:
    text = BATCH.format(inside="thickness = 21\ndepth = 22", lengths="2400, 3000", shop="[shop.rip]")
    plan = plan_batch(parse_batch(text), choose=design_of)
    bars, rails = plan.boards
    assert (bars.use, bars.section.ripped.strips, bars.section.ripped.falls) == ("bars", 1, 22)  # type: ignore[union-attr]
    assert all(board.board.startswith("strip") for board in rails.plan.boards)
    assert rails.to_buy == 0
    timber = [line for line in plan.buying if line.group == "timber"]
    assert sum(line.buy for line in timber) == len(bars.plan.boards)
    assert all("21 x 70" in buy_row(line).what for line in timber)
    for cut in plan.boards:
        assert not check_board_plan(cut.problem, cut.plan)


@pytest.mark.slow
def test_two_strips_a_board_are_bought_as_one_board() -> None:
    text = BATCH.replace("depth = 44", "depth = 33").format(
        inside="thickness = 21\ndepth = 20", lengths="{ length = 2400, how_many = 9 }", shop="[shop.rip]"
    )
    plan = plan_batch(parse_batch(text), choose=design_of)
    bars = plan.boards[0]
    assert bars.section.ripped is not None and bars.section.ripped.strips == 2
    assert bars.to_buy == -(-len(bars.plan.boards) // 2)
    left = next(board.how_many for board in plan.boards[1].problem.boards if board.name == "2400")
    each = plan.boards[1].section.ripped.strips  # type: ignore[union-attr]
    assert left == each * (9 - bars.to_buy)


def test_without_a_saw_that_rips_nothing_is_ripped() -> None:
    from longpoint.works.stock import stock_of

    text = BATCH.format(inside="", lengths="2400", shop="")
    assert {section.depth for section in stock_of(parse_batch(text)).sections("bars")} == {70, 21}


CHOICE = """
[bars]
depth = 44
[shop.rip]
[[work]]
name = "Heron"
width = 1100
height = 800
[[yard]]
name = "wide board"
thickness = 21
depth = 120
lengths = [2400]
per_metre = 2
serves = ["bars", "rails"]
[[yard]]
name = "rail"
thickness = 21
depth = 28
lengths = [2400]
per_metre = 0.35
serves = ["rails"]
"""


def test_a_choice_counts_rails_of_what_falls_off_the_bars_as_at_hand() -> None:
    """Bars of 44 from boards of 120 leave strips of 24: rails of them cost less than the cheapest that is bought.

    A metre of rail ripped from the board would cost 0.5, a metre bought 0.35: without what falls off, the bought one
    would be looked at first. Boards cut for both say which it is.
    """
    batch = parse_batch(CHOICE.encode(), file="batch.toml")
    brief = briefs_of(batch)[0]
    candidates, _ = candidates_of(brief)
    with_ends = [
        one
        for one in candidates
        if one.design.design.end_rails == ("left", "right")
        and not one.design.design.cross_rails
        and not one.design.design.middle_pieces
        and one.design.design.corner == "mitre"
    ]

    def rails_of(width: int) -> Candidate[Buildable]:
        found = (one for one in with_ends if one.design.rails is not None and one.design.rails.depth == width)
        return min(found, key=lambda one: one.cost)

    fallen, bought = rails_of(24), rails_of(28)
    # by hand: 3.8 m of bars, half a board's metre each; two end rails between the long bars
    rails = 2 * (800 - 2 * 21) / 1000
    assert fallen.cost == pytest.approx(3.8 + rails * 0.5 * float(STRIP_SHARE), abs=1e-6)
    assert bought.cost == pytest.approx(3.8 + rails * 0.35, abs=1e-6)

    def boards_cost(one: Candidate[Buildable]) -> float:
        designed = Designed(one.design.design, one.design.bars, one.design.rails)
        draft = draft_of(brief, designed)
        plans = board_plans(batch, [(designed, draft.parts)], solve=plan_boards)
        assert sum(plan.to_buy for plan in plans) == (1 if one is fallen else 2)
        return float(sum(plan.plan.cost for plan in plans))

    assert boards_cost(fallen) < boards_cost(bought)
