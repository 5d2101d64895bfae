"""The second step against solvers of another kind: at the least cost, nothing leaves more than the plan does.

Brute force goes through all ways to share few parts among boards; OR-Tools CP-SAT takes the larger ones.
"""

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
    CutBoard,
    End,
    Grade,
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

nm = nanometres


def offcut_on_stick(parts: tuple[WantedPart, ...], length: int, beyond: int, shop: Shop) -> int | None:
    """The longest offcut over all orders of the parts on one stick; None where no order will do."""
    if not parts:
        return length
    kerf, slant = shop.kerf, math.isqrt(2 * shop.kerf**2 - 1) + 1 if shop.kerf else 0
    ways = {
        (part.lie, part.mitre_width if part.lie is Lie.MAY_TURN else 0) for part in parts if part.is_mitred
    }
    if len(ways) > 1:
        return None
    best: int | None = None
    for order in set(itertools.permutations(parts)):
        if [part.round for part in order] != sorted(part.round for part in order):
            continue
        at = 0
        for before, part in zip((None, *order), order, strict=False):
            if before is not None:
                at += slant if before.is_mitred or part.is_mitred else kerf
                if before.is_mitred and part.is_mitred and part.lie is Lie.MAY_TURN:
                    at -= part.mitre_width
            at += part.planned
        held = order[-1].planned + (length - at) + beyond
        if at <= length and held >= shop.safe:
            offcut = max(0, length - at - (slant if order[-1].is_mitred else kerf))
            best = offcut if best is None else max(best, offcut)
    return best


def most_from(board: Board, parts: tuple[WantedPart, ...], problem: BoardProblem) -> Fraction | None:
    """The most that a board's offcut can be worth when it gives the parts; None where it cannot give them."""
    shop = problem.shop
    sticks: list[tuple[int, int]] = []
    at, high = shop.trim, board.length - shop.trim
    for span in sorted(board.spoiled, key=lambda span: span.start):
        sticks.append((span.start - at, 0))
        at = span.end
    sticks.append((high - at, board.length - high))
    if any(part.least_grade > board.grade for part in parts):
        return None
    best: Fraction | None = None
    for places in itertools.product(range(len(sticks)), repeat=len(parts)):
        offcuts = [
            offcut_on_stick(tuple(p for p, s in zip(parts, places, strict=True) if s == k), *stick, shop)
            for k, stick in enumerate(sticks)
        ]
        if None not in offcuts:
            worth = worth_of(board, offcuts[-1] or 0, problem)
            best = worth if best is None else max(best, worth)
    return best


def worth_of(board: Board, offcut: int, problem: BoardProblem) -> Fraction:
    lowest = min(Fraction(one.cost) / one.length for one in problem.boards if not one.at_hand)
    grades = {Kind.BAR: Grade.BARS, Kind.RAIL: Grade.RAILS}
    worth = Fraction(0)
    for use in problem.shop.offcuts:
        if offcut >= use.at_least and board.grade >= grades.get(use.kind, Grade.SHORT_PIECES):
            share = use.share
            if board.at_hand:
                share = min(share, Fraction(math.ceil(board.cost * 100 / board.length / lowest), 100))
            worth = max(worth, share * lowest * offcut - problem.shop.keeping)
    return worth


def two_steps(problem: BoardProblem) -> tuple[Fraction, Fraction]:
    """Least cost, and the most left at that cost, over all ways to share the parts among the boards."""
    parts = [part for part in problem.parts for _ in range(part.how_many)]
    everything = (1 << len(parts)) - 1
    best: dict[int, tuple[Fraction, Fraction]] = {0: (Fraction(0), Fraction(0))}  # cost, −worth
    for board in problem.boards:
        gives = {
            mask: worth
            for mask in range(1, everything + 1)
            if (worth := most_from(board, tuple(p for k, p in enumerate(parts) if mask >> k & 1), problem))
            is not None
        }
        for _ in range(len(parts) if board.how_many is None else board.how_many):
            after = dict(best)
            for done, (cost, lost) in best.items():
                for mask, worth in gives.items():
                    if not mask & done:
                        total = (cost + board.cost, lost - worth)
                        after[mask | done] = min(total, after.get(mask | done, total))
            best = after
    cost, lost = best[everything]
    return cost, -lost


def check(problem: BoardProblem) -> BoardPlan:
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    cost, worth = two_steps(problem)
    assert plan.cost == cost
    assert plan.left_worth_at_most is not None
    assert plan.left_worth_at_most >= worth, "the bound is false"
    assert plan.left_worth == worth
    return plan


def sizes(random: np.random.Generator, count: int, low: int, high: int) -> list[int]:
    return [int(value) for value in random.integers(low, high, count)]


def keeps(at_least: float, *, share: Fraction = Fraction(2, 5), kind: Kind = Kind.BLOCK) -> OffcutWorth:
    return OffcutWorth(kind, nm(at_least), share)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_square_parts_from_lengths_on_sale_leave_the_most(seed: int) -> None:
    random = np.random.default_rng(700 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 1, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, size in enumerate(sizes(random, 6, 310, 1090))
    )
    boards = (Board("short", nm(1830), Fraction(5)), Board("long", nm(2570), Fraction(6)))
    shop = Shop(nm(3.2), trim=nm(9), offcuts=(keeps(333),), keeping=Fraction(seed % 3, 7))
    check(BoardProblem("s", nm(20), nm(40), parts, boards, shop))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_boards_at_hand_and_spoiled_spans_leave_the_most(seed: int) -> None:
    random = np.random.default_rng(800 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 1, kind=Kind.RAIL if k % 2 else Kind.MIDDLE, ends=End.SQUARE)
        for k, size in enumerate(sizes(random, 5, 280, 870))
    )
    start = int(random.integers(400, 900))
    boards = (
        Board(
            "spoiled", nm(2210), Fraction(7, 2), 1, True, spoiled=(Span(nm(start), nm(start + 53), "knot"),)
        ),
        Board("rack", nm(1490), Fraction(7, 2), 2, True, Grade(int(random.integers(1, 4)))),
        Board("yard", nm(2030), Fraction(13, 2)),
    )
    shop = Shop(nm(2.9), trim=nm(7), offcuts=(keeps(600, kind=Kind.RAIL), keeps(290, share=Fraction(1, 4))))
    check(BoardProblem("s", nm(20), nm(40), parts, boards, shop))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_mitred_parts_and_safe_stubs_leave_the_most(seed: int) -> None:
    random = np.random.default_rng(900 + seed)
    lie = (Lie.LIP_FIXED, Lie.MAY_TURN)[seed % 2]
    parts = tuple(
        WantedPart(f"bar {k}", nm(size), 1, mitre_width=nm(27), lie=lie)
        for k, size in enumerate(sizes(random, 3, 410, 1030))
    ) + tuple(
        WantedPart(f"rail {k}", nm(size), 1, kind=Kind.RAIL, ends=End.SQUARE, round=2)
        for k, size in enumerate(sizes(random, 2, 120, 640))
    )
    boards = (Board("a", nm(1790), Fraction(4)), Board("b", nm(2410), Fraction(5)))
    shop = Shop(nm(3.7), trim=nm(8), safe=nm(280), offcuts=(keeps(450, kind=Kind.BAR),))
    check(BoardProblem("s", nm(27), nm(60), parts, boards, shop))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4))
def test_a_constraint_solver_leaves_no_more_at_that_cost(seed: int) -> None:
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    random = np.random.default_rng(1000 + seed)
    lengths = sizes(random, 9, 330, 1270)
    stock = [(1810, 5), (2430, 6), (3070, 8)]
    kerf, at_least = 3, 500
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 1, kind=Kind.BLOCK, ends=End.SQUARE) for k, size in enumerate(lengths)
    )
    boards = tuple(Board(f"b{length}", nm(length), Fraction(cost)) for length, cost in stock)
    problem = BoardProblem(
        "s", nm(20), nm(40), parts, boards, Shop(nm(kerf), offcuts=(keeps(at_least, share=Fraction(1, 2)),))
    )
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    model = cp_model.CpModel()
    slots = len(lengths)
    kind = [[model.new_bool_var("") for _ in stock] for _ in range(slots)]
    lies = [[model.new_bool_var("") for _ in range(slots)] for _ in lengths]
    kept = []
    for row in lies:
        model.add_exactly_one(row)
    for slot in range(slots):
        model.add_at_most_one(kind[slot])
        load = sum((size + kerf) * lies[p][slot] for p, size in enumerate(lengths))
        room = sum(length * kind[slot][k] for k, (length, _) in enumerate(stock))
        model.add(load <= room + kerf * sum(kind[slot]))
        # A board that gives nothing is not taken.
        model.add(sum(lies[p][slot] for p in range(len(lengths))) >= sum(kind[slot]))
        is_kept, amount = model.new_bool_var(""), model.new_int_var(0, 3100, "")
        model.add(room - load >= at_least).only_enforce_if(is_kept)
        model.add(amount <= 3100 * is_kept)
        model.add(amount <= room - load).only_enforce_if(is_kept)
        kept.append(amount)
    cost = sum(price * kind[slot][k] for slot in range(slots) for k, (_, price) in enumerate(stock))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 5
    model.minimize(cost)
    assert solver.solve(model) == cp_model.OPTIMAL
    least = round(solver.objective_value)
    assert plan.cost == least
    model.add(cost == least)
    model.maximize(sum(kept))
    assert solver.solve(model) == cp_model.OPTIMAL
    lowest = min(Fraction(price, length) for length, price in stock)
    worth = Fraction(round(solver.objective_value)) * lowest / 2
    assert plan.left_worth_at_most is not None
    assert plan.left_worth_at_most >= worth, "the bound is false"
    assert plan.left_worth == worth


def test_nobody_buys_a_board_to_keep_it() -> None:
    parts = (WantedPart("p", nm(907), 2, kind=Kind.BLOCK, ends=End.SQUARE),)
    boards = (Board("short", nm(1850), Fraction(37, 10)), Board("long", nm(3700), Fraction(371, 100)))
    shop = Shop(nm(3), offcuts=(keeps(300, share=Fraction(99, 100)),))
    plan = plan_boards(BoardProblem("s", nm(20), nm(40), parts, boards, shop))
    # One cent more would leave 1.9 m worth 1.88: least cost is least cost all the same.
    assert [board.board for board in plan.boards] == ["short"]
    assert plan.left_worth == 0


def test_at_equal_cost_the_long_offcut_is_sought() -> None:
    parts = (
        WantedPart("a", nm(1201), 2, kind=Kind.BLOCK, ends=End.SQUARE),
        WantedPart("b", nm(803), 2, kind=Kind.BLOCK, ends=End.SQUARE),
    )
    boards = (Board("b", nm(2500), Fraction(5)),)
    plan = plan_boards(
        BoardProblem(
            "s", nm(20), nm(40), parts, boards, Shop(nm(3), offcuts=(keeps(850, share=Fraction(1, 2)),))
        )
    )
    # 2 × 1201 and 2 × 803: 888 mm are left on the second (2500 − 2 · 803 − 2 · 3); 1201 + 803 twice leaves 490 twice.
    assert sorted(board.remains for board in plan.boards) == [nm(2500 - 2402 - 6), nm(888)]
    assert plan.left_worth == Fraction(888 * 5, 2500 * 2)


def test_an_offcut_is_never_worth_more_than_its_board_was() -> None:
    parts = (WantedPart("p", nm(400), 1, kind=Kind.BLOCK, ends=End.SQUARE),)
    rack = Board("gift", nm(2000), Fraction(1, 10), 1, True)
    boards = (rack, Board("yard", nm(2000), Fraction(4)))
    shop = Shop(nm(4), offcuts=(keeps(300, share=Fraction(1, 2)),))
    plan = plan_boards(BoardProblem("s", nm(20), nm(40), parts, boards, shop))
    # The gift was worth 1/40 of the yard's price, 3 % to the next whole percent; 1596 mm are left of it.
    assert plan.left_worth == Fraction(3, 100) * Fraction(4, 2000) * 1596


def test_the_second_step_is_the_same_every_time() -> None:
    parts = tuple(
        WantedPart(f"p{k}", nm(401 + 37 * k), 2, kind=Kind.BLOCK, ends=End.SQUARE) for k in range(5)
    )
    boards = (Board("a", nm(2400), Fraction(6)), Board("b", nm(3000), Fraction(15, 2)))
    problem = BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3), offcuts=(keeps(500),)))
    assert plan_boards(problem) == plan_boards(replace(problem))


def _first_kept(plan: BoardPlan) -> CutBoard:
    return next(board for board in plan.boards if board.good_for)


@pytest.mark.parametrize("harm", ["worth", "use", "bound", "proof"])
def test_a_false_word_about_what_is_left_is_caught(harm: str) -> None:
    parts = (WantedPart("a", nm(1201), 2, kind=Kind.BLOCK, ends=End.SQUARE),)
    problem = BoardProblem(
        "s", nm(20), nm(40), parts, (Board("b", nm(3500), Fraction(5)),), Shop(nm(3), offcuts=(keeps(850),))
    )
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    kept = _first_kept(plan)
    spoiled = {
        "worth": replace(plan, left_worth=plan.left_worth + Fraction(1, 100)),
        "use": replace(plan, boards=(replace(kept, good_for="bar"),)),
        "bound": replace(plan, left_worth_at_most=plan.left_worth - 1),
        "proof": replace(plan, left_worth_at_most=plan.left_worth + 1, left_proof="bound"),
    }[harm]
    codes = {"worth": "wrong-left", "use": "wrong-use", "bound": "left-above-bound", "proof": "false-proof"}
    assert codes[harm] in {fault.code for fault in check_board_plan(problem, spoiled)}
