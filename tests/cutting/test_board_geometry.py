"""How pieces lie on a board and what a bend does, against values computed by hand.

Case numbers are those of the project's collection of trade facts; their numbers are computed from the geometry
in the case and need no published authority.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from longpoint.cutting import (
    Board,
    BoardProblem,
    End,
    Kind,
    Lie,
    OffcutWorth,
    Shop,
    Swing,
    WantedPart,
    check_board_plan,
    mitre_kerf,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards.accept import bend_left, clear_sticks, twist_left
from longpoint.cutting.boards.mitres import mitre_face, mitre_gap, short_point
from longpoint.cutting.boards.values import Span
from longpoint.errors import OutOfRangeError


def bars(*lengths: float, width: float, lie: Lie) -> tuple[WantedPart, ...]:
    return tuple(
        WantedPart(f"bar {number}", nanometres(length), 1, mitre_width=nanometres(width), lie=lie)
        for number, length in enumerate(lengths)
    )


def problem_of(
    parts: tuple[WantedPart, ...], *board_lengths: float, kerf: float, trim: float = 0
) -> BoardProblem:
    boards = tuple(
        Board(f"board {length}", nanometres(length), Fraction(str(length)), how_many=1)
        for length in board_lengths
    )
    return BoardProblem(
        "28 × 70", nanometres(28), nanometres(70), parts, boards, Shop(nanometres(kerf), nanometres(trim))
    )


def test_a_sixty_fourth_of_an_inch_is_exact() -> None:
    assert nanometres(Fraction(254, 10) / 64) == 396_875


def test_parts_round_up_and_boards_round_down() -> None:
    third = Fraction(1, 3)
    assert (nanometres(third), nanometres(third, round_up=False)) == (333_334, 333_333)


def test_short_point_face_and_kerf_of_a_mitred_bar() -> None:
    assert short_point(long_point=nanometres(2000), mitre_width=nanometres(60)) == nanometres(1880)
    assert mitre_face(mitre_width=60) == pytest.approx(84.85, abs=0.005)
    assert mitre_kerf(nanometres(3)) / 1e6 == pytest.approx(4.243, abs=0.0005)


def test_mitres_that_meet_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="meet"):
        short_point(long_point=nanometres(119), mitre_width=nanometres(60))


def test_a_mitre_cut_off_angle_gapes() -> None:
    assert mitre_gap(mitre_width=60, angle_error=math.radians(0.1)) == pytest.approx(0.296, rel=0.01)


@pytest.mark.parametrize(
    ("pieces", "lie", "length"),
    [
        (3, Lie.LIP_FIXED, 3608.5),
        (3, Lie.MAY_TURN, 3468.5),
        (4, Lie.LIP_FIXED, 4812.7),
        (4, Lie.MAY_TURN, 4602.7),
    ],
)
def test_pieces_that_may_turn_share_their_mitres(pieces: int, lie: Lie, length: float) -> None:
    parts = bars(*[1200] * pieces, width=70, lie=lie)
    problem = problem_of(parts, 5000, kerf=3)
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    (board,) = plan.boards
    # A turned last piece has its long side on the near edge: its far edge then ends one mitre earlier, and the
    # whole row is as long either way.
    assert board.cuts[-1].end / 1e6 == pytest.approx(length, abs=0.1)


def test_four_bars_fit_a_4800_board_only_where_they_may_turn() -> None:
    fixed = plan_boards(problem_of(bars(*[1200] * 4, width=70, lie=Lie.LIP_FIXED), 4800, 5100, kerf=3))
    turning = plan_boards(problem_of(bars(*[1200] * 4, width=70, lie=Lie.MAY_TURN), 4800, 5100, kerf=3))
    assert [board.length for board in fixed.boards] == [nanometres(5100)]  # 4812.7 misses 4800
    assert [board.length for board in turning.boards] == [nanometres(4800)]  # 4602.7 fits


def test_bevelling_first_swings_the_saw_between_neighbours() -> None:
    plan = plan_boards(problem_of(bars(907, 641, width=21, lie=Lie.LIP_FIXED), 2400, kerf=3.2, trim=7))
    first, second = plan.boards[0].cuts
    assert (first.swing_start, first.swing_end) == (Swing.RIGHT, Swing.LEFT)
    assert (second.swing_start, second.swing_end) == (Swing.RIGHT, Swing.LEFT)
    assert first.start == nanometres(7)
    assert second.start - first.end == mitre_kerf(nanometres(3.2))
    # Two mitres of 21 mm meet at the near edge; the two kerfs overlap by one: 2·21 − 3.2·√2.
    assert second.triangle / 1e6 == pytest.approx(42 - 4.5255, abs=1e-3)


def test_turned_neighbours_share_one_cut_and_drop_no_triangle() -> None:
    plan = plan_boards(problem_of(bars(907, 641, width=21, lie=Lie.MAY_TURN), 2400, kerf=3.2))
    first, second = plan.boards[0].cuts
    assert (first.turned, second.turned) == (False, True)
    assert first.swing_end == second.swing_start == Swing.LEFT
    assert second.triangle == 0
    assert second.start - first.end == mitre_kerf(nanometres(3.2)) - nanometres(21)


def test_a_mitre_beside_a_square_end_costs_a_slanting_kerf() -> None:
    parts = (
        *bars(907, width=21, lie=Lie.LIP_FIXED),
        WantedPart("rail", nanometres(633), 2, kind=Kind.RAIL, ends=End.SQUARE, round=2),
    )
    plan = plan_boards(problem_of(parts, 2400, kerf=3.2))
    bar, rail, other = plan.boards[0].cuts
    assert rail.start - bar.end == mitre_kerf(nanometres(3.2))
    assert other.start - rail.end == nanometres(3.2)
    assert plan.boards[0].remains == nanometres(2400) - other.end - nanometres(3.2)
    assert not plan.boards[0].mitred_end


def test_what_remains_is_the_shorter_edge_and_loses_every_kerf() -> None:
    plan = plan_boards(problem_of(bars(907, 641, width=21, lie=Lie.LIP_FIXED), 2400, kerf=3.2, trim=7))
    (board,) = plan.boards
    taken = 2 * nanometres(7) + nanometres(907 + 641) + 2 * mitre_kerf(nanometres(3.2))
    assert board.remains == nanometres(2400) - taken
    assert board.mitred_end


@pytest.mark.parametrize(
    ("bend", "board", "part", "left"),
    [
        (10, 2000, 500, 0.625),
        (10, 2000, 1200, 3.6),
        (6.35, 2438.4, 1219.2, 1.59),  # 1/4 in over 8 ft, on 4 ft
        (6.35, 2438.4, 2000, 4.27),  # the same on 2 m
    ],
)
def test_a_bend_shrinks_with_the_square_of_the_length(
    bend: float, board: float, part: float, left: float
) -> None:
    found = bend_left(nanometres(bend), length=nanometres(part), board_length=nanometres(board))
    assert found / 1e6 == pytest.approx(left, rel=0.01)


def test_a_twist_shrinks_with_the_length() -> None:
    found = twist_left(nanometres(6), length=nanometres(700), board_length=nanometres(2100))
    assert found == nanometres(2)


def test_clear_sticks_lie_between_trims_and_spoiled_spans() -> None:
    board = Board("b", nanometres(2400), Fraction(1), spoiled=(Span(nanometres(900), nanometres(960)),))
    sticks = clear_sticks(board, Shop(nanometres(3.2), trim=nanometres(11)))
    assert [(stick.start / 1e6, stick.length / 1e6, stick.beyond / 1e6) for stick in sticks] == [
        (11, 889, 0),
        (960, 1429, 11),
    ]


def test_a_knot_narrower_than_the_saw_costs_the_saw_cut() -> None:
    board = Board("b", nanometres(2400), Fraction(1), spoiled=(Span(nanometres(900), nanometres(901)),))
    first, second = clear_sticks(board, Shop(nanometres(3.2)))
    assert second.start - (first.start + first.length) == mitre_kerf(nanometres(3.2))


def test_an_offcut_is_worth_its_share_once_it_is_long_enough() -> None:
    parts = bars(907, width=21, lie=Lie.LIP_FIXED)
    problem = problem_of(parts, 2400, kerf=3.2, trim=7)
    worth = OffcutWorth(Kind.BAR, nanometres(800), Fraction(1, 2))
    kept = plan_boards(replace(problem, shop=replace(problem.shop, offcuts=(worth,), keeping=Fraction(11))))
    remains = 2400 - 2 * 7 - 907 - 4.525484
    assert kept.boards[0].good_for == "bar"
    # The board costs 1 per mm: half of that per mm kept, less 11 for keeping it.
    assert float(kept.left_worth) == pytest.approx(remains / 2 - 11)
    assert kept.left_worth <= kept.left_worth_at_most <= Fraction(2400 - 907, 2)
    strict = replace(worth, at_least=nanometres(1500))
    assert plan_boards(replace(problem, shop=replace(problem.shop, offcuts=(strict,)))).left_worth == 0
