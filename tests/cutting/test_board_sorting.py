"""Least sorting: boards are picked up as seldom as money allows, checked against all ways to share few parts."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from longpoint.cutting import (
    Board,
    BoardPlan,
    BoardProblem,
    End,
    Kind,
    Lie,
    OffcutWorth,
    Shop,
    Span,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.errors import FaultsError

nm = nanometres


def on_stick(parts: tuple[WantedPart, ...], length: int, beyond: int, shop: Shop) -> bool:
    """Whether some order of the parts lies on one stick and its last cut is safe."""
    if not parts:
        return True
    slant = math.isqrt(2 * shop.kerf**2 - 1) + 1 if shop.kerf else 0
    for order in itertools.permutations(parts):
        if [part.round for part in order] != sorted(part.round for part in order):
            continue
        at = sum(part.planned for part in order)
        for before, part in itertools.pairwise(order):
            at += slant if before.is_mitred or part.is_mitred else shop.kerf
            if before.is_mitred and part.is_mitred and part.lie is Lie.MAY_TURN:
                at -= part.mitre_width
        if at <= length and order[-1].planned + length - at + beyond >= shop.safe:
            return True
    return False


def gives(board: Board, parts: tuple[WantedPart, ...], shop: Shop) -> bool:
    """Whether a board gives the parts, over all ways to share them among its clear sticks."""
    sticks, at, high = [], shop.trim, board.length - shop.trim
    for span in board.spoiled:
        sticks.append((span.start - at, 0))
        at = span.end
    sticks.append((high - at, board.length - high))
    return any(
        all(
            on_stick(tuple(p for p, s in zip(parts, places, strict=True) if s == k), *stick, shop)
            for k, stick in enumerate(sticks)
        )
        for places in itertools.product(range(len(sticks)), repeat=len(parts))
    )


def fewest(problem: BoardProblem, within: Fraction) -> tuple[Fraction, int]:
    """Least cost, and the fewest pick-ups at no more than a share above it: every way to share parts is tried."""
    parts = [part for part in problem.parts for _ in range(part.how_many)]
    everything = (1 << len(parts)) - 1
    best: dict[int, set[tuple[Fraction, int]]] = {0: {(Fraction(0), 0)}}
    for board in problem.boards:
        masks: dict[int, int] = {}
        for mask in range(1, everything + 1):
            mine = tuple(part for k, part in enumerate(parts) if mask >> k & 1)
            if gives(board, mine, problem.shop):
                masks[mask] = len({(part.round, part.length) for part in mine})
        for _ in range(len(parts) if board.how_many is None else board.how_many):
            after = {mask: set(pairs) for mask, pairs in best.items()}
            for done, pairs in best.items():
                for mask, picked in masks.items():
                    if not mask & done:
                        more = {(cost + board.cost, count + picked) for cost, count in pairs}
                        after.setdefault(mask | done, set()).update(more)
            best = {mask: undominated(pairs) for mask, pairs in after.items()}
    least = min(cost for cost, _ in best[everything])
    return least, min(count for cost, count in best[everything] if cost <= least * (1 + within))


def undominated(pairs: set[tuple[Fraction, int]]) -> set[tuple[Fraction, int]]:
    kept: set[tuple[Fraction, int]] = set()
    for cost, count in sorted(pairs):
        if all(count < other for _, other in kept):
            kept.add((cost, count))
    return kept


def check(problem: BoardProblem) -> BoardPlan:
    within = problem.settings_within
    assert within is not None
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    least, count = fewest(problem, within)
    assert plan.sorting is not None
    assert plan.sorting.cost_before == least
    assert plan.cost <= least * (1 + within)
    assert plan.sorting.at_least <= count, "the bound is false"
    assert plan.pickups == count
    return plan


def sizes(random: np.random.Generator, count: int, low: int, high: int) -> list[int]:
    return [int(value) for value in random.integers(low, high, count)]


@pytest.mark.slow
@pytest.mark.parametrize("within", [Fraction(0), Fraction(3, 100), Fraction(15, 100)])
@pytest.mark.parametrize("seed", range(3))
def test_pairs_of_square_parts_are_picked_up_least_often(seed: int, within: Fraction) -> None:
    random = np.random.default_rng(1100 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 2 + (k == 0), kind=Kind.BLOCK, ends=End.SQUARE)
        for k, size in enumerate(sizes(random, 3, 370, 1010))
    )
    boards = (Board("short", nm(1830), Fraction(501, 100)), Board("long", nm(2570), Fraction(667, 100)))
    problem = BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(9)))
    check(replace(problem, settings_within=within))


@pytest.mark.slow
@pytest.mark.parametrize("within", [Fraction(0), Fraction(1, 10)])
@pytest.mark.parametrize("seed", range(3))
def test_mitres_rounds_safe_stubs_and_boards_at_hand_are_picked_up_least_often(
    seed: int, within: Fraction
) -> None:
    random = np.random.default_rng(1200 + seed)
    lie = (Lie.LIP_FIXED, Lie.MAY_TURN)[seed % 2]
    bars = sizes(random, 2, 410, 930)
    parts = (
        *(WantedPart(f"bar {k}", nm(size), 2, mitre_width=nm(27), lie=lie) for k, size in enumerate(bars)),
        # As long as a bar, but of another round: a pick-up of its own.
        WantedPart("rail", nm(bars[0]), 2, kind=Kind.RAIL, ends=End.SQUARE, round=2),
    )
    boards = (
        Board("rack", nm(1490), Fraction(2), 1, True, spoiled=(Span(nm(611), nm(653), "knot"),)),
        Board("yard", nm(2410), Fraction(5)),
        Board("longer", nm(3190), Fraction(13, 2)),
    )
    shop = Shop(nm(3.7), trim=nm(8), safe=nm(280), offcuts=(OffcutWorth(Kind.BAR, nm(450), Fraction(2, 5)),))
    problem = BoardProblem("s", nm(27), nm(60), parts, boards, shop)
    check(replace(problem, settings_within=within))


@pytest.mark.slow
@pytest.mark.parametrize("within", [Fraction(0), Fraction(1, 4)])
def test_sticks_of_one_board_may_hold_mitres_that_cannot_lie_together(within: Fraction) -> None:
    turning = Lie.MAY_TURN
    parts = (
        WantedPart("thin", nm(613), 3, mitre_width=nm(27), lie=turning),
        WantedPart("deep", nm(487), 3, mitre_width=nm(61), lie=turning),
    )
    boards = (
        Board("two sticks", nm(1990), Fraction(3), 2, True, spoiled=(Span(nm(1270), nm(1310), "shake"),)),
        Board("yard", nm(2230), Fraction(4)),
    )
    problem = BoardProblem("s", nm(27), nm(61), parts, boards, Shop(nm(3.1), trim=nm(7)))
    check(replace(problem, settings_within=within))


def pairs(within: Fraction | None) -> BoardProblem:
    parts = tuple(
        WantedPart(name, nm(size), 2, kind=Kind.BLOCK, ends=End.SQUARE)
        for name, size in (("a", 1201), ("b", 803), ("c", 400))
    )
    boards = (Board("short", nm(2430), Fraction(5)), Board("long", nm(4850), Fraction(51, 5)))
    return BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3)), settings_within=within)


def test_a_pair_on_one_board_is_one_pick_up() -> None:
    plan = plan_boards(pairs(Fraction(0)))
    # 2 × 1201 + 3 = 2405 on one board, 2 × 803 + 2 × 400 + 9 = 2415 on the other: three lengths, three pick-ups.
    assert plan.cost == 10
    assert plan.pickups == 3
    assert plan.sorting is not None
    assert (plan.sorting.at_least, plan.sorting.proof) == (3, "bound")


def test_without_the_wish_nothing_is_said_of_sorting() -> None:
    assert plan_boards(pairs(None)).sorting is None


def test_more_money_never_sorts_worse() -> None:
    random = np.random.default_rng(1300)
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 2, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, size in enumerate(sizes(random, 9, 310, 1270))
    )
    boards = (Board("a", nm(2430), Fraction(5)), Board("b", nm(3610), Fraction(37, 5)))
    problem = BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3)))
    counts = []
    for percent in (0, 1, 4):
        wish = replace(problem, settings_within=Fraction(percent, 100))
        plan = plan_boards(wish)
        assert check_board_plan(wish, plan) == ()
        assert plan.sorting is not None
        assert plan.pickups <= plan.sorting.free <= plan.sorting.before
        counts.append(plan.pickups)
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


@pytest.mark.parametrize("harm", ["count", "dear", "bound", "proof", "share"])
def test_a_false_word_about_sorting_is_caught(harm: str) -> None:
    problem = pairs(Fraction(1, 10))
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    sorting = plan.sorting
    assert sorting is not None
    spoiled = {
        "count": replace(plan, pickups=plan.pickups - 1),
        "dear": replace(plan, sorting=replace(sorting, cost_before=plan.cost / 2)),
        "bound": replace(plan, sorting=replace(sorting, at_least=plan.pickups + 1, proof="")),
        "proof": replace(plan, sorting=replace(sorting, at_least=plan.pickups - 1, proof="bound")),
        "share": replace(plan, sorting=replace(sorting, within=Fraction(1, 5))),
    }[harm]
    codes = {
        "count": "wrong-pickups",
        "dear": "sorting-too-dear",
        "bound": "sorting-bound",
        "proof": "false-proof",
        "share": "wrong-sorting",
    }
    assert codes[harm] in {fault.code for fault in check_board_plan(problem, spoiled)}


def test_a_share_below_nothing_is_refused() -> None:
    with pytest.raises(FaultsError) as caught:
        plan_boards(pairs(Fraction(-1, 100)))
    assert [fault.code for fault in caught.value.faults] == ["share-out-of-range"]
