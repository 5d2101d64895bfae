"""The order at the saw, followed cut by cut; the card for the yard; what cannot be had."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from longpoint.cutting import (
    BendLimits,
    Board,
    BoardProblem,
    End,
    Grade,
    Kind,
    Lie,
    Shop,
    Swing,
    WantedPart,
    check_board_plan,
    mitre_kerf,
    nanometres,
    plan_boards,
    saw_rounds,
    wanted_boards,
)
from longpoint.errors import FaultsError

nm = nanometres


def batch(lie: Lie = Lie.LIP_FIXED, safe: float = 240) -> BoardProblem:
    """The eleven timbers of a face of 1700 × 1200 in 21 × 44, and those of a small study."""
    parts = (
        WantedPart("A long bar", nm(1700), 2, mitre_width=nm(21), lie=lie),
        WantedPart("A short bar", nm(1200), 2, mitre_width=nm(21), lie=lie),
        WantedPart("A rail", nm(1158), 4, kind=Kind.RAIL, ends=End.SQUARE, round=2, needs=Grade.BARS),
        WantedPart("A middle piece", nm(524), 3, kind=Kind.MIDDLE, ends=End.SQUARE, round=3, extra=nm(6)),
        WantedPart("B long bar", nm(431), 2, mitre_width=nm(21), lie=lie),
        WantedPart("B short bar", nm(317), 2, mitre_width=nm(21), lie=lie),
        WantedPart("block", nm(71), 6, kind=Kind.BLOCK, ends=End.SQUARE, round=3),
    )
    boards = (
        Board("rack", nm(1910), Fraction(2), how_many=1, at_hand=True),
        Board("three", nm(3000), Fraction(63, 10)),
        Board("four", nm(4200), Fraction(88, 10)),
    )
    return BoardProblem("21 × 44", nm(21), nm(44), parts, boards, Shop(nm(3.2), trim=nm(12), safe=nm(safe)))


@pytest.mark.parametrize("lie", list(Lie))
def test_every_cut_is_followed_with_a_tape_in_the_head(lie: Lie) -> None:
    problem = batch(lie)
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    rounds = saw_rounds(problem, plan)
    parts = {part.name: part for part in problem.parts}
    lengths = {board.name: board.length for board in problem.boards}
    slant = mitre_kerf(problem.shop.kerf)
    at: dict[tuple[str, int], int] = {}
    before: dict[tuple[str, int], tuple[bool, bool]] = {}
    made: Counter[str] = Counter()
    assert [one.number for one in rounds] == [1, 2, 3]
    for one in rounds:
        for setting in one.settings:
            for cut in setting.cuts:
                part, key = parts[cut.part], (cut.board, cut.copy)
                assert part.round == one.number
                assert setting.stop == part.length
                # The tape: where the last cut ended, the saw, then the part on its long point.
                start = problem.shop.trim
                if key in at:
                    was_mitred, _ = before[key]
                    start = at[key] + (slant if was_mitred or part.is_mitred else problem.shop.kerf)
                    if was_mitred and part.is_mitred and lie is Lie.MAY_TURN:
                        start -= part.mitre_width
                        assert cut.shares_cut
                        assert cut.turned is not before[key][1]
                assert cut.cut_to == start + part.planned
                assert cut.held == lengths[cut.board] - start
                assert cut.held >= problem.shop.safe or not cut.is_last
                if part.is_mitred:
                    swings = (Swing.LEFT, Swing.RIGHT) if cut.turned else (Swing.RIGHT, Swing.LEFT)
                    assert (cut.swing_start, cut.swing_end) == swings
                else:
                    assert cut.swing_start is cut.swing_end is Swing.SQUARE
                at[key], before[key] = cut.cut_to, (part.is_mitred, cut.turned)
                made[cut.part] += 1
            assert setting.done == sum(made[name] for name in made if parts[name].round == one.number)
    assert made == {part.name: part.how_many for part in problem.parts}


def test_both_of_a_pair_are_cut_before_the_stop_moves() -> None:
    problem = batch()
    plan = plan_boards(problem)
    settings = [(one.number, setting.stop) for one in saw_rounds(problem, plan) for setting in one.settings]
    assert len(settings) == len(set(settings)) == plan.settings == 7


def test_a_round_goes_from_short_to_long_where_a_stub_would_be_unsafe() -> None:
    parts = (
        WantedPart("block", nm(71), 2, kind=Kind.BLOCK, ends=End.SQUARE),
        WantedPart("piece", nm(402), 2, kind=Kind.BLOCK, ends=End.SQUARE),
    )
    boards = (Board("b", nm(970), Fraction(1)),)
    shop = Shop(nm(3.2))
    problem = BoardProblem("s", nm(20), nm(40), parts, boards, shop)
    free = plan_boards(problem)
    safe = plan_boards(replace(problem, shop=replace(shop, safe=nm(300))))
    assert [cut.part for cut in free.boards[0].cuts] == ["piece", "piece", "block", "block"]
    assert [cut.part for cut in safe.boards[0].cuts] == ["block", "block", "piece", "piece"]
    assert saw_rounds(problem, free)[0].longest_first
    assert not saw_rounds(problem, safe)[0].longest_first


def test_the_yard_card_says_which_runs_each_bought_board_must_have() -> None:
    problem = batch()
    limits = BendLimits(nm(6), nm(1.5), nm(2))
    problem = replace(problem, parts=tuple(replace(part, bend=limits) for part in problem.parts))
    plan = plan_boards(problem)
    wanted = wanted_boards(problem, plan)
    bought = Counter(board.length for board in plan.boards if not board.at_hand)
    told: Counter[int] = Counter()
    for board in wanted:
        told[board.length] += board.how_many
        # no two runs of a board for the same use, none longer than the board, the best first
        assert all(run.length <= board.length for run in board.runs)
        grades = [run.grade for run in board.runs]
        assert grades == sorted(set(grades), reverse=True)
    assert told == bought
    run = wanted[0].runs[0]
    assert run.grade is Grade.BARS
    assert run.most_crook is not None
    # A run of several parts may bend more than one of them: the limit grows with the square of the length.
    assert run.most_crook >= nm(1.5)


def test_a_bar_too_high_for_the_saw_is_refused() -> None:
    problem = batch()
    low_saw = replace(problem, shop=replace(problem.shop, highest_at_45=nm(40)))
    with pytest.raises(FaultsError, match="stands 44 mm high in the saw, which mitres 40 mm"):
        plan_boards(low_saw)


def test_a_part_no_board_gives_names_the_nearest_board_and_by_how_much() -> None:
    problem = batch()
    part = replace(problem.parts[0], length=nm(4190), name="giant")
    bent = tuple(replace(board, crook=nm(9)) for board in problem.boards)
    strict = replace(problem.parts[1], bend=BendLimits(None, nm(0.3), None), name="strict")
    asked = replace(problem, parts=(part, strict), boards=bent)
    with pytest.raises(FaultsError) as caught:
        plan_boards(asked)
    first, second = caught.value.faults
    assert "giant, 4190 mm. four comes nearest: it is 14 mm too short" in first.what
    # 9 · (1200 / 4200)² = 0.735 mm would be left: 0.435 mm over the limit.
    assert "four comes nearest: 0.73 mm of crook would be left in the part, 0.43 mm too much" in second.what


def short_ones(safe: float) -> BoardProblem:
    parts = (WantedPart("short", nm(245), 2, kind=Kind.BLOCK, ends=End.SQUARE),)
    boards = (Board("small", nm(500), Fraction(5)), Board("large", nm(800), Fraction(7)))
    return BoardProblem("21 × 28", nm(21), nm(28), parts, boards, Shop(nm(3), safe=nm(safe)))


@pytest.mark.parametrize(("safe", "cost", "said"), [(0, 5, False), (251, 5, False), (260, 7, True)])
def test_it_is_said_where_a_safe_stub_costs(safe: float, cost: int, said: bool) -> None:
    # 2 × 245 + 3 = 493 of 500: the last one would be cut from a stub of 252 mm.
    plan = plan_boards(short_ones(safe))
    assert plan.cost == cost
    found = [caution for caution in plan.cautions if caution.code == "safe-stub-costs"]
    assert bool(found) is said
    if said:
        assert dict(found[0].facts) == {"stub": "260 mm", "now": "7.00", "before": "5.00"}
