"""The rest of a cutting plan: nothing cut is moved, least new timber, then least change."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from longpoint.cutting.boards.checked import plan_boards
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.values import (
    Board,
    BoardPlan,
    BoardProblem,
    End,
    Kind,
    Lie,
    Shop,
    WantedPart,
    nanometres,
)
from longpoint.cutting.remainder.bench import Bench, bench_of
from longpoint.cutting.remainder.events import (
    CutSoFar,
    Happened,
    LostSpan,
    MeasuredPart,
    ShortBy,
    SpoiledPart,
)
from longpoint.cutting.remainder.facts import facts_of
from longpoint.cutting.remainder.replan import Replanned, replan_boards
from longpoint.errors import FaultsError

W = 23


def bar(name: str, length: int, how_many: int, lie: Lie = Lie.LIP_FIXED) -> WantedPart:
    return WantedPart(name, nanometres(length), how_many, mitre_width=nanometres(W), lie=lie)


def rail(name: str, length: int, how_many: int, saw_round: int = 2) -> WantedPart:
    extra = nanometres(4)
    return WantedPart(name, nanometres(length), how_many, Kind.RAIL, End.SQUARE, round=saw_round, extra=extra)


BARS = BoardProblem(
    "bars",
    nanometres(W),
    nanometres(47),
    (bar("A1", 1697, 2), bar("A2", 1193, 2), bar("B1", 2309, 2), bar("C1", 487, 3)),
    (
        Board("3610", nanometres(3610), Fraction(9)),
        Board("2420", nanometres(2420), Fraction(31, 5)),
        Board("R", nanometres(2750), Fraction(2), how_many=2, at_hand=True),
    ),
    Shop(nanometres(3), nanometres(15), nanometres(220)),
)
RAILS = BoardProblem(
    "rails",
    nanometres(21),
    nanometres(28),
    (rail("A3", 1151, 4), rail("A4", 533, 3, 3)),
    (Board("2970", nanometres(2970), Fraction(5)), Board("1810", nanometres(1810), Fraction(3))),
    Shop(nanometres(3), nanometres(15), nanometres(220)),
)


def planned(problem: BoardProblem = BARS) -> BoardPlan:
    return plan_boards(problem)


def after(problem: BoardProblem, plan: BoardPlan, happened: Happened) -> Replanned:
    return further(bench_of(problem, plan), happened)


def further(bench: Bench, happened: Happened) -> Replanned:
    return replan_boards(facts_of(bench, happened))


def holds(answer: Replanned, problem: BoardProblem, plan: BoardPlan, happened: Happened) -> None:
    """What must be true whatever happened."""
    assert check_board_plan(answer.problem, answer.plan) == ()
    done = Counter(part for board in answer.boards for part in board.done)
    spoiled = Counter({event.part: event.how_many for event in happened.spoiled})
    to_come = Counter(cut.part.split(" at ")[0] for board in answer.plan.boards for cut in board.cuts)
    assert done - spoiled + to_come == Counter({part.name: part.how_many for part in problem.parts})
    old = {(board.board, board.copy): board for board in plan.boards}
    now = {board.board: board for board in answer.plan.boards}
    for board in answer.boards:
        made = old[board.board, board.copy].cuts[: len(board.done)]
        if made and board.name in now:
            assert all(cut.start > made[-1].end - nanometres(W) for cut in now[board.name].cuts)


def test_where_nothing_happened_every_board_is_cut_on_as_planned() -> None:
    plan = planned()
    answer = after(BARS, plan, Happened())
    assert answer.as_planned and answer.plan.cost == 0
    assert not any(board.changed for board in answer.boards)
    assert [board.cuts for board in answer.plan.boards] == [board.cuts for board in plan.boards]


def test_when_all_is_cut_nothing_is_left() -> None:
    plan = planned()
    cut = tuple(CutSoFar(board=board.board, copy=board.copy) for board in plan.boards)
    answer = after(BARS, plan, Happened(cut=cut))
    assert answer.finished and answer.plan.boards == () and answer.plan.proven


def test_a_spoiled_bar_is_cut_again_from_the_cheapest_new_board_and_no_other_board_changes() -> None:
    plan = planned()
    first = next(board for board in plan.boards if board.cuts[0].part == "B1")
    happened = Happened(
        cut=(CutSoFar(board=first.board, copy=first.copy, count=1),), spoiled=(SpoiledPart(part="B1"),)
    )
    answer = after(BARS, plan, happened)
    holds(answer, BARS, plan, happened)
    # A bar of 2309 needs 2420 at least; no remainder is as long: by hand.
    assert [board.board for board in answer.to_take] == ["2420"]
    assert answer.plan.cost == Fraction(31, 5) and answer.plan.proven
    assert answer.displaced == (("B1", 1),)
    assert not any(board.changed for board in answer.boards)


def test_new_timber_is_the_least_that_any_choice_of_boards_allows() -> None:
    plan = planned()
    happened = Happened(lost=(LostSpan(board="3610", copy=1, start=nanometres(1300)),))
    answer = after(BARS, plan, happened)
    holds(answer, BARS, plan, happened)
    # Brute force over what is bought: with fewer or cheaper boards the solver finds no plan at all.
    for many, few in product(range(3), range(3)):
        cost = 9 * many + Fraction(31, 5) * few
        if cost >= answer.plan.cost:
            continue
        boards = tuple(
            replace(board, how_many={"3610": many, "2420": few}[board.name])
            if board.how_many is None
            else board
            for board in answer.problem.boards
        )
        with pytest.raises(FaultsError):
            plan_boards(replace(answer.problem, boards=boards))


def test_what_lies_left_of_a_split_is_used_and_nothing_remains_right_of_it() -> None:
    plan = planned()
    happened = Happened(lost=(LostSpan(board="3610", copy=1, start=nanometres(1300)),))
    answer = after(BARS, plan, happened)
    split = next(board for board in answer.plan.boards if board.board == "3610 no. 1")
    assert split.cuts[-1].end <= nanometres(1300)
    assert split.remains == 0


def test_a_short_board_keeps_what_still_fits() -> None:
    plan = planned()
    tight = min((b for b in plan.boards if len(b.cuts) > 1), key=lambda board: board.remains)
    by = tight.remains + nanometres(17)
    happened = Happened(short=(ShortBy(board=tight.board, copy=tight.copy, by=by),))
    answer = after(BARS, plan, happened)
    holds(answer, BARS, plan, happened)
    length = next(b.length for b in answer.problem.boards if b.name == f"{tight.board} no. {tight.copy}")
    assert length == tight.length - by
    assert sum(count for _, count in answer.displaced) == 1


def test_square_edged_timber_goes_on_from_its_mitre_without_losing_a_thickness() -> None:
    problem = replace(BARS, parts=tuple(replace(part, lie=Lie.MAY_TURN) for part in BARS.parts))
    plan = planned(problem)
    cut = tuple(CutSoFar(board=board.board, copy=board.copy, count=1) for board in plan.boards)
    answer = after(problem, plan, Happened(cut=cut))
    holds(answer, problem, plan, Happened(cut=cut))
    assert answer.plan.cost == 0


def test_measured_pieces_get_their_own_length_and_the_rest_keep_theirs() -> None:
    plan = planned(RAILS)
    happened = Happened(
        measured=(
            MeasuredPart(part="A3", length=nanometres(1157), how_many=1),
            MeasuredPart(part="A4", length=nanometres(531)),
        )
    )
    answer = after(RAILS, plan, happened)
    holds(answer, RAILS, plan, happened)
    wanted = {part.name: (part.length, part.extra, part.how_many) for part in answer.problem.parts}
    assert wanted == {
        "A3 at 1157": (nanometres(1157), 0, 1),
        "A3": (nanometres(1151), nanometres(4), 3),
        "A4": (nanometres(531), 0, 3),
    }
    stops = Counter(cut.stop for board in answer.plan.boards for cut in board.cuts)
    assert stops == {nanometres(1157): 1, nanometres(1151): 3, nanometres(531): 3}


def test_only_named_boards_count_as_bought_where_that_is_said() -> None:
    plan = planned()
    cut = (CutSoFar(board="3610", copy=1),)
    answer = after(BARS, plan, Happened(cut=cut, only_named=True))
    holds(answer, BARS, plan, Happened(cut=cut, only_named=True))
    assert len(answer.boards) == 1
    assert answer.plan.cost + 9 == plan.cost


def test_the_rest_is_the_same_however_often_it_is_planned() -> None:
    plan = planned()
    happened = Happened(lost=(LostSpan(board="R", copy=2, start=nanometres(900), end=nanometres(950)),))
    assert after(BARS, plan, happened) == after(BARS, plan, happened)


def test_every_contradiction_is_said_at_once() -> None:
    plan = planned(RAILS)
    board = plan.boards[0]
    cut_at = board.cuts[0].start + nanometres(50)
    happened = Happened(
        cut=(
            CutSoFar(board=board.board, copy=board.copy, count=1),
            CutSoFar(board="297", copy=1),
            CutSoFar(board=board.board, copy=9),
        ),
        spoiled=(SpoiledPart(part="A4", how_many=2), SpoiledPart(part="Z9")),
        lost=(
            LostSpan(board=board.board, copy=board.copy, start=cut_at),
            LostSpan(board=board.board, copy=board.copy, start=board.length + 1),
        ),
        measured=(
            MeasuredPart(part="A4", length=nanometres(700)),
            MeasuredPart(part="A3", length=nanometres(1150), how_many=5),
        ),
    )
    with pytest.raises(FaultsError) as error:
        after(RAILS, plan, happened)
    assert sorted(fault.code for fault in error.value.faults) == [
        "beyond-the-board",
        "measured-far-off",
        "measured-too-many",
        "no-such-board",
        "no-such-board",
        "no-such-part",
        "split-in-cut",
        "spoiled-not-cut",
    ]


def test_more_cut_than_planned_and_a_bar_measured_are_refused() -> None:
    plan = planned()
    happened = Happened(
        cut=(CutSoFar(board="3610", copy=1, count=7),), measured=(MeasuredPart(part="A1", length=1),)
    )
    with pytest.raises(FaultsError) as error:
        after(BARS, plan, happened)
    assert {fault.code for fault in error.value.faults} == {"more-cut-than-planned", "bar-measured"}
