"""The referee catches what is wrong, and the certificate proves no more than it may."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from longpoint.cutting import (
    BendLimits,
    Board,
    BoardPlan,
    BoardProblem,
    End,
    Grade,
    Kind,
    Lie,
    Shop,
    Span,
    Swing,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
    verify_certificate,
)
from longpoint.cutting.boards.proof.referee import certificate_bound, next_total
from longpoint.errors import FaultsError

nm = nanometres


def problem() -> BoardProblem:
    parts = (
        WantedPart("long bar", nm(1213), 2, mitre_width=nm(21)),
        WantedPart("short bar", nm(847), 2, mitre_width=nm(21)),
        WantedPart("rail", nm(805), 2, kind=Kind.RAIL, ends=End.SQUARE, round=2),
        WantedPart("middle", nm(377), 3, kind=Kind.MIDDLE, ends=End.SQUARE, round=3, extra=nm(4)),
    )
    boards = (
        Board(
            "rack", nm(2130), Fraction(3), how_many=1, at_hand=True, spoiled=(Span(nm(880), nm(930), "knot"),)
        ),
        Board("yard", nm(3300), Fraction(71, 10)),
    )
    return BoardProblem("21 × 44", nm(21), nm(44), parts, boards, Shop(nm(3.2), trim=nm(12), safe=nm(250)))


def change_cut(plan: BoardPlan, **changes: object) -> BoardPlan:
    first = plan.boards[0]
    cut = replace(first.cuts[0], **changes)  # type: ignore[arg-type]
    return replace(plan, boards=(replace(first, cuts=(cut, *first.cuts[1:])), *plan.boards[1:]))


def start_in_the_trim(plan: BoardPlan) -> BoardPlan:
    cut = plan.boards[0].cuts[0]
    return change_cut(plan, start=0, end=cut.end - cut.start)


def claim_more_remains(plan: BoardPlan) -> BoardPlan:
    first = plan.boards[0]
    return replace(plan, boards=(replace(first, remains=first.remains + 5), *plan.boards[1:]))


def cut_one_board_twice(plan: BoardPlan) -> BoardPlan:
    first, second = plan.boards[:2]
    again = replace(second, board=first.board, copy=first.copy)
    return replace(plan, boards=(first, again, *plan.boards[2:]))


def treble_the_prices(plan: BoardPlan) -> BoardPlan:
    dear = tuple((name, 3 * price) for name, price in plan.certificate.parts)
    return replace(plan, certificate=replace(plan.certificate, parts=dear))


SPOILERS: list[tuple[str, Callable[[BoardPlan], BoardPlan]]] = [
    ("wrong-count", lambda plan: replace(plan, boards=plan.boards[1:])),
    ("unknown-part", lambda plan: change_cut(plan, part="ghost")),
    ("outside-the-board", start_in_the_trim),
    ("wrong-length", lambda plan: change_cut(plan, end=plan.boards[0].cuts[0].end - 1)),
    ("wrong-stop", lambda plan: change_cut(plan, stop=plan.boards[0].cuts[0].stop + 1)),
    ("wrong-swing", lambda plan: change_cut(plan, swing_start=Swing.SQUARE)),
    ("turned-but-fixed", lambda plan: change_cut(plan, turned=True)),
    ("wrong-cost", lambda plan: replace(plan, cost=plan.cost - 1)),
    ("bound-above-cost", lambda plan: replace(plan, at_least=plan.cost + 1)),
    ("false-proof", lambda plan: replace(plan, proven=not plan.proven)),
    ("wrong-settings", lambda plan: replace(plan, settings=plan.settings + 1)),
    ("wrong-remains", claim_more_remains),
    ("board-twice", cut_one_board_twice),
    ("bad-certificate", treble_the_prices),
]


def test_a_sound_plan_passes() -> None:
    asked = problem()
    assert check_board_plan(asked, plan_boards(asked)) == ()


@pytest.mark.parametrize(("code", "spoil"), SPOILERS, ids=[code for code, _ in SPOILERS])
def test_a_spoiled_plan_is_caught(code: str, spoil: Callable[[BoardPlan], BoardPlan]) -> None:
    asked = problem()
    spoiled = spoil(plan_boards(asked))
    assert code in {fault.code for fault in check_board_plan(asked, spoiled)}


def test_a_part_moved_one_nanometre_into_the_kerf_is_caught() -> None:
    asked = replace(problem(), boards=(problem().boards[1],))
    plan = plan_boards(asked)
    board = next(board for board in plan.boards if len(board.cuts) > 1)
    second = board.cuts[1]
    # Two: the referee grants one nanometre for the root of two.
    moved = replace(second, start=second.start - 2, end=second.end - 2)
    spoiled = replace(
        plan,
        boards=tuple(
            replace(board, cuts=(board.cuts[0], moved, *board.cuts[2:])) if one is board else one
            for one in plan.boards
        ),
    )
    assert "no-room-for-the-saw" in {fault.code for fault in check_board_plan(asked, spoiled)}


def test_the_problem_changed_under_a_plan_is_caught() -> None:
    asked = problem()
    plan = plan_boards(asked)
    knot = Span(plan.boards[-1].cuts[0].start + 5, plan.boards[-1].cuts[0].start + 9, "knot")
    name = plan.boards[-1].board
    spoiled = tuple(replace(b, spoiled=(*b.spoiled, knot)) if b.name == name else b for b in asked.boards)
    poor = tuple(replace(b, grade=Grade.FIREWOOD) for b in asked.boards)
    bent = tuple(replace(b, crook=nm(30)) for b in asked.boards)
    strict = tuple(replace(p, bend=BendLimits(None, nm(1), None)) for p in asked.parts)
    safer = replace(asked.shop, safe=nm(2900))
    for changed, code in (
        (replace(asked, boards=spoiled), "on-a-spoiled-span"),
        (replace(asked, boards=poor), "board-too-poor"),
        (replace(asked, boards=bent, parts=strict), "too-bent"),
        (replace(asked, shop=safer), "unsafe-stub"),
    ):
        assert code in {fault.code for fault in check_board_plan(changed, plan)}


def test_the_certificate_proves_the_bound_without_the_solver() -> None:
    asked = problem()
    plan = plan_boards(asked)
    assert verify_certificate(asked, plan.certificate)
    assert next_total(asked, certificate_bound(asked, plan.certificate)) <= plan.cost


def test_a_certificate_one_unit_too_dear_is_refused() -> None:
    parts = (WantedPart("p", nm(500), 4, kind=Kind.BLOCK, ends=End.SQUARE),)
    asked = BoardProblem("s", nm(20), nm(40), parts, (Board("b", nm(1006), Fraction(4)),), Shop(nm(3)))
    plan = plan_boards(asked)
    assert plan.proof == "bound"
    ((name, price),) = plan.certificate.parts
    # Two parts fit a board of cost 4: the price of one is at most half of it, in units of 1/scale.
    most = int(2 * plan.certificate.scale)
    assert price <= most
    assert verify_certificate(asked, replace(plan.certificate, parts=((name, most),)))
    assert not verify_certificate(asked, replace(plan.certificate, parts=((name, most + 1),)))


lengths = st.integers(min_value=310, max_value=1590)


@st.composite
def problems(draw: st.DrawFn) -> BoardProblem:
    width = draw(st.sampled_from([19, 28, 43]))
    lie = draw(st.sampled_from(list(Lie)))
    parts = []
    for k in range(draw(st.integers(1, 3))):
        parts.append(
            WantedPart(f"bar {k}", nm(draw(lengths)), draw(st.integers(1, 4)), mitre_width=nm(width), lie=lie)
        )
    for k in range(draw(st.integers(0, 3))):
        kind = draw(st.sampled_from([Kind.RAIL, Kind.MIDDLE]))
        parts.append(
            WantedPart(
                f"{kind} {k}",
                nm(draw(st.integers(110, 900))),
                draw(st.integers(1, 4)),
                kind=kind,
                ends=draw(st.sampled_from([End.SQUARE, End.HALF_LAP])),
                round=2 if kind is Kind.RAIL else 3,
                extra=nm(draw(st.sampled_from([0, 3]))),
            )
        )
    boards = [Board("yard", nm(draw(st.integers(2300, 4900))), Fraction(draw(st.integers(300, 900)), 100))]
    for k in range(draw(st.integers(0, 3))):
        length = draw(st.integers(700, 3100))
        start = draw(st.integers(0, length - 60))
        spans = (Span(nm(start), nm(start + 45)),) if draw(st.booleans()) else ()
        boards.append(
            Board(
                f"rack {k}",
                nm(length),
                Fraction(draw(st.integers(0, 300)), 100),
                how_many=draw(st.integers(0, 2)),
                at_hand=True,
                grade=draw(st.sampled_from(list(Grade))),
                spoiled=spans,
            )
        )
    shop = Shop(
        kerf=nm(draw(st.sampled_from([0, 1.8, 3.2]))),
        trim=nm(draw(st.sampled_from([0, 14]))),
        safe=nm(draw(st.sampled_from([0, 230]))),
    )
    return BoardProblem("s", nm(width), nm(60), tuple(parts), tuple(boards), shop)


@pytest.mark.slow
@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(problems())
def test_every_plan_passes_the_referee(asked: BoardProblem) -> None:
    try:
        plan = plan_boards(asked)
    except FaultsError as refused:
        assert {fault.code for fault in refused.faults} <= {"no-board-gives", "boards-too-few", "never-safe"}
        return
    assert check_board_plan(asked, plan) == ()
    assert plan.at_least <= plan.cost
    assert sum(len(board.cuts) for board in plan.boards) == sum(part.how_many for part in asked.parts)


@pytest.mark.slow
def test_two_runs_give_the_same_plan() -> None:
    asked = problem()
    assert plan_boards(asked) == plan_boards(asked)
