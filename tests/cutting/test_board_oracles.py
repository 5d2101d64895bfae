"""Every rule against a solver of another kind: brute force over all ways to share few parts among boards."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import numpy as np
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
    Span,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards.search.branch import branch_on_counts
from longpoint.cutting.boards.search.core import build_core
from longpoint.cutting.boards.search.dive import dive
from longpoint.cutting.boards.search.hand import plan_by_hand, total_cost
from longpoint.cutting.boards.search.pricing import Column, Pricer
from longpoint.cutting.boards.search.relaxation import Relaxation
from longpoint.errors import FaultsError

nm = nanometres


def lies_on_stick(parts: tuple[WantedPart, ...], length: int, beyond: int, shop: Shop) -> bool:
    """Whether some order of the parts fits one stick, tried order by order in exact roots."""
    if not parts:
        return True
    kerf, slant = shop.kerf, math.isqrt(2 * shop.kerf**2 - 1) + 1 if shop.kerf else 0
    mitred = [part for part in parts if part.is_mitred]
    ways = {(part.lie, part.mitre_width if part.lie is Lie.MAY_TURN else 0) for part in mitred}
    if len(ways) > 1:
        return False
    for order in itertools.permutations(parts):
        if [part.round for part in order] != sorted(part.round for part in order):
            continue
        at = 0
        for before, part in zip((None, *order), order, strict=False):
            if before is not None:
                at += slant if before.is_mitred or part.is_mitred else kerf
                if before.is_mitred and part.is_mitred and part.lie is Lie.MAY_TURN:
                    at -= part.mitre_width
            at += part.planned
        if at > length:
            continue
        held = order[-1].planned + (length - at) + beyond
        if shop.safe and held < shop.safe:
            continue
        return True
    return False


def board_gives(board: Board, parts: tuple[WantedPart, ...], shop: Shop) -> bool:
    sticks, at = [], shop.trim
    high = board.length - shop.trim
    for span in sorted(board.spoiled, key=lambda span: span.start):
        sticks.append((span.start - at, 0))
        at = span.end
    sticks.append((high - at, board.length - high))
    for part in parts:
        share = Fraction(part.planned, board.length)
        if part.least_grade > board.grade or part.planned > max(length for length, _ in sticks):
            return False
        if part.bend.in_plane is not None and board.bow * share**2 > part.bend.in_plane:
            return False
        if part.bend.out_of_plane is not None and board.crook * share**2 > part.bend.out_of_plane:
            return False
        if part.bend.twist is not None and board.twist * share > part.bend.twist:
            return False
    for places in itertools.product(range(len(sticks)), repeat=len(parts)):
        if all(
            lies_on_stick(
                tuple(p for p, s in zip(parts, places, strict=True) if s == k), length, beyond, shop
            )
            for k, (length, beyond) in enumerate(sticks)
        ):
            return True
    return False


def least_cost(problem: BoardProblem) -> Fraction | None:
    """Least cost over all ways to share the parts among the boards."""
    parts = [part for part in problem.parts for _ in range(part.how_many)]
    everything = (1 << len(parts)) - 1
    best: dict[int, Fraction] = {0: Fraction(0)}
    for board in problem.boards:
        gives = [
            mask
            for mask in range(1, everything + 1)
            if board_gives(board, tuple(p for k, p in enumerate(parts) if mask >> k & 1), problem.shop)
        ]
        copies = len(parts) if board.how_many is None else board.how_many
        for _ in range(copies):
            after = dict(best)
            for done, cost in best.items():
                for mask in gives:
                    if mask & done:
                        continue
                    total = cost + board.cost
                    if total < after.get(mask | done, total + 1):
                        after[mask | done] = total
            best = after
    return best.get(everything)


def check(problem: BoardProblem) -> None:
    least = least_cost(problem)
    try:
        plan = plan_boards(problem)
    except FaultsError:
        assert least is None
        return
    assert check_board_plan(problem, plan) == ()
    assert least is not None
    assert plan.at_least <= least, "the bound is false"
    assert plan.cost == least
    assert plan.proven or plan.at_least < plan.cost


def lengths(random: np.random.Generator, count: int, low: int, high: int) -> list[int]:
    return [int(value) for value in random.integers(low, high, count)]


@pytest.mark.parametrize("seed", range(6))
def test_square_parts_and_two_lengths_on_sale(seed: int) -> None:
    random = np.random.default_rng(seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, length in enumerate(lengths(random, 6, 310, 1390))
    )
    boards = (Board("short", nm(1830), Fraction(411, 100)), Board("long", nm(2570), Fraction(567, 100)))
    check(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(9))))


@pytest.mark.parametrize("seed", range(6))
def test_bars_and_rails_on_one_board(seed: int) -> None:
    random = np.random.default_rng(100 + seed)
    lie = (Lie.LIP_FIXED, Lie.MAY_TURN)[seed % 2]
    parts = tuple(
        WantedPart(f"bar {k}", nm(length), 1, mitre_width=nm(43), lie=lie)
        for k, length in enumerate(lengths(random, 3, 400, 1100))
    )
    parts += tuple(
        WantedPart(f"rail {k}", nm(length), 1, kind=Kind.RAIL, ends=End.SQUARE, round=2)
        for k, length in enumerate(lengths(random, 3, 300, 900))
    )
    boards = (Board("a", nm(1790), Fraction(3)), Board("b", nm(2410), Fraction(4), how_many=1))
    check(BoardProblem("s", nm(43), nm(60), parts, boards, Shop(nm(4))))


@pytest.mark.parametrize("seed", range(8))
def test_grades_are_nested_and_boards_at_hand_are_few(seed: int) -> None:
    random = np.random.default_rng(200 + seed)
    kinds = (Kind.BAR, Kind.RAIL, Kind.MIDDLE)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1, kind=kinds[k % 3], ends=End.SQUARE, round=1 + k % 3)
        for k, length in enumerate(lengths(random, 6, 240, 1290))
    )
    boards = (
        *(
            Board(
                f"rack {k}",
                nm(length),
                Fraction(int(random.integers(50, 250)), 100),
                how_many=1,
                at_hand=True,
                grade=Grade(int(random.integers(1, 4))),
            )
            for k, length in enumerate(lengths(random, 4, 900, 2300))
        ),
        Board("yard", nm(2130), Fraction(397, 100), how_many=None if seed % 2 else 3),
    )
    check(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(6))))


@pytest.mark.parametrize("seed", range(8))
def test_bent_boards_give_what_is_short_enough(seed: int) -> None:
    random = np.random.default_rng(300 + seed)
    parts = tuple(
        WantedPart(
            f"p{k}",
            nm(length),
            1,
            ends=End.SQUARE,
            bend=BendLimits(nm(6), nm(1.3), nm(2.1)) if k % 2 else BendLimits(nm(9), nm(3.3), None),
        )
        for k, length in enumerate(lengths(random, 5, 350, 1490))
    )
    boards = (
        *(
            Board(
                f"b{k}",
                nm(length),
                Fraction(length // 10 * 2, 100),
                how_many=1,
                bow=nm(int(random.integers(0, 22))),
                crook=nm(int(random.integers(0, 7))),
                twist=nm(int(random.integers(0, 6))),
            )
            for k, length in enumerate(lengths(random, 4, 1200, 2600))
        ),
        Board("yard", nm(2300), Fraction(9)),
    )
    check(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3))))


@pytest.mark.parametrize("seed", range(8))
def test_spoiled_spans_are_left_out(seed: int) -> None:
    random = np.random.default_rng(400 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, length in enumerate(lengths(random, 5, 240, 880))
    )
    boards = []
    for k, length in enumerate(lengths(random, 3, 1500, 2300)):
        start = int(random.integers(300, length - 400))
        spans = (Span(nm(start), nm(start + 37), "knot"),)
        boards.append(Board(f"b{k}", nm(length), Fraction(length, 1000), how_many=1, spoiled=spans))
    boards.append(Board("yard", nm(1700), Fraction(5, 2)))
    check(BoardProblem("s", nm(20), nm(40), parts, tuple(boards), Shop(nm(3.2), trim=nm(5))))


@pytest.mark.parametrize("seed", range(10))
def test_the_last_cut_is_never_from_too_short_a_stub(seed: int) -> None:
    random = np.random.default_rng(500 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1, kind=Kind.BLOCK, ends=End.SQUARE, round=1 + k % 2)
        for k, length in enumerate(lengths(random, 6, 90, 420))
    )
    boards = (
        Board("a", nm(613), Fraction(100)),
        Board("b", nm(1011), Fraction(171)),
        Board("c", nm(799), Fraction(90), 1),
    )
    check(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(4), safe=nm(305))))


def few_cheap_boards(seed: int) -> BoardProblem:
    """Two racks of cheap boards, of which every descent would rather take more than there are."""
    random = np.random.default_rng(700 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, length in enumerate(lengths(random, 7, 430, 1190))
    )
    boards = (
        Board("rack", nm(1913), Fraction(1), how_many=2, at_hand=True),
        Board("stub", nm(1271), Fraction(1, 2), how_many=1, at_hand=True),
        Board("yard", nm(2107), Fraction(11)),
    )
    return BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(3)))


@pytest.mark.parametrize("seed", range(4))
def test_no_descent_takes_more_boards_than_there_are(seed: int) -> None:
    # A descent that forgets a limit gives all parts for less than brute force says they can cost.
    problem = few_cheap_boards(seed)
    least = least_cost(problem)
    core = build_core(problem)
    start = plan_by_hand(core)
    assert least is not None
    assert start is not None
    ceiling = 100 * total_cost(core, start)

    def holds(plan: list[Column] | None) -> int:
        assert plan is not None
        for b, bin_ in enumerate(core.bins):
            assert bin_.limit is None or sum(column.bin == b for column in plan) <= bin_.limit
        made = [sum(dict(column.takes).get(i, 0) for column in plan) for i in range(len(core.items))]
        assert all(amount >= item.demand for amount, item in zip(made, core.items, strict=True))
        assert total_cost(core, plan) * core.cost_unit >= least
        return total_cost(core, plan)

    for stride in (0.0, 0.4, 1.0):
        relaxation = Relaxation(core, Pricer(core))
        root = relaxation.solve()
        demand, low, high = relaxation.demand.copy(), relaxation.low.copy(), list(relaxation.high)
        plan, _ = dive(
            relaxation, demand=demand, low=low, high=high, below=ceiling, rounds=9, stride=stride, turns=3
        )
        holds(plan)
    branched = branch_on_counts(
        relaxation, demand=demand, root=(low, high), root_bound=root.bound, cost=ceiling, most_nodes=200,
        most_dives=50, rounds=9,
    )  # fmt: skip
    assert branched.least * core.cost_unit <= least
    assert holds(branched.columns) >= branched.least


def test_an_unsafe_stub_costs_timber_where_it_must() -> None:
    parts = (WantedPart("block", nm(113), 5, kind=Kind.BLOCK, ends=End.SQUARE),)
    boards = (Board("offcut", nm(578), Fraction(1)), Board("longer", nm(797), Fraction(3, 2)))
    free = plan_boards(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2))))
    safe = plan_boards(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), safe=nm(300))))
    assert [board.board for board in free.boards] == ["offcut"]
    # 5 · 113 + 4 · 3.2 = 577.8: the last cut would come from a stub of 113.2 mm, the longer one leaves 332.2 mm.
    assert [board.board for board in safe.boards] == ["longer"]
    assert safe.boards[0].last_stick == nm(332.2)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_a_constraint_solver_finds_nothing_cheaper(seed: int) -> None:
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    random = np.random.default_rng(600 + seed)
    sizes = lengths(random, 13, 300, 1500)
    stock = [(1810, 37), (2430, 47), (3050, 61)]
    kerf = 3
    parts = tuple(
        WantedPart(f"p{k}", nm(size), 1, kind=Kind.BLOCK, ends=End.SQUARE) for k, size in enumerate(sizes)
    )
    boards = tuple(Board(f"b{length}", nm(length), Fraction(cost)) for length, cost in stock)
    problem = BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(kerf)))
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    model = cp_model.CpModel()
    slots = len(plan.boards) + 1
    kind = [[model.new_bool_var("") for _ in stock] for _ in range(slots)]
    lies = [[model.new_bool_var("") for _ in range(slots)] for _ in sizes]
    for row in lies:
        model.add_exactly_one(row)
    for slot in range(slots):
        model.add_at_most_one(kind[slot])
        load = sum((size + kerf) * lies[p][slot] for p, size in enumerate(sizes))
        model.add(load <= sum((length + kerf) * kind[slot][k] for k, (length, _) in enumerate(stock)))
    model.minimize(sum(cost * kind[slot][k] for slot in range(slots) for k, (_, cost) in enumerate(stock)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 3
    solver.parameters.max_deterministic_time = 4
    status = solver.solve(model)
    assert plan.at_least <= solver.objective_value
    if status == cp_model.OPTIMAL:
        assert plan.cost == solver.objective_value
        assert plan.proven
