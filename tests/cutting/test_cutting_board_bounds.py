"""What bounds and lists promise: lists are complete under safe stubs, charges are least, bounds are never above."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import numpy as np
import pytest

from longpoint.cutting import (
    Board,
    BoardProblem,
    End,
    Grade,
    Kind,
    Shop,
    Span,
    WantedPart,
    nanometres,
)
from longpoint.cutting.boards.certificate import charged, most_worth, proves
from longpoint.cutting.boards.core import Core, build_core
from longpoint.cutting.boards.dive import dive
from longpoint.cutting.boards.hand import total_cost
from longpoint.cutting.boards.listing import list_columns
from longpoint.cutting.boards.pricing import COARSE, FINE, Pricer
from longpoint.cutting.boards.relaxation import Relaxation

nm = nanometres


def square(name: str, length: float, count: int = 1, *, round_: int = 1) -> WantedPart:
    return WantedPart(name, nm(length), count, kind=Kind.BLOCK, ends=End.SQUARE, round=round_)


def some_boards_at_hand(seed: int) -> Core:
    random = np.random.default_rng(seed)
    parts = tuple(square(f"p{k}", int(random.integers(230, 1410)), 2, round_=1 + k % 2) for k in range(7))
    boards = tuple(
        Board(
            f"b{k}", nm(int(random.integers(1310, 2890))), Fraction(int(random.integers(230, 410)), 100), 1, True,
            Grade(int(random.choice([2, 3]))), spoiled=(Span(nm(611), nm(650), "knot"),) if k % 3 == 0 else (),
        )
        for k in range(9)
    )  # fmt: skip
    yard = (Board("yard", nm(2430), Fraction(509, 100)),)
    return build_core(BoardProblem("s", nm(21), nm(44), parts, boards + yard, Shop(nm(3.2), trim=nm(9))))


def test_a_pattern_is_listed_where_only_an_unsafe_one_is_fuller() -> None:
    # 500 beside 100 on 1000: the last cut, of the 100, would be held by 1000 - 500 - 3.2 = 496.8 < 510 (computed).
    parts = (square("long", 500), square("short", 100, round_=2))
    problem = BoardProblem(
        "s", nm(20), nm(40), parts, (Board("b", nm(1000), Fraction(1)),), Shop(nm(3.2), safe=nm(510))
    )
    core = build_core(problem)
    listed = list_columns(
        Pricer(core), prices=np.array([0.5, 0.4]), charges=np.zeros(1), demand=np.array([1, 1]), gap=0.7
    )
    assert listed is not None
    assert {column.takes for column in listed} == {((0, 1),), ((1, 1),)}


def test_a_fuller_pattern_is_listed_alone_where_it_is_safe() -> None:
    parts = (square("long", 500), square("short", 100, round_=2))
    problem = BoardProblem(
        "s", nm(20), nm(40), parts, (Board("b", nm(1000), Fraction(1)),), Shop(nm(3.2), safe=nm(490))
    )
    listed = list_columns(
        Pricer(build_core(problem)),
        prices=np.array([0.5, 0.4]),
        charges=np.zeros(1),
        demand=np.array([1, 1]),
        gap=0.7,
    )
    assert listed is not None
    assert {column.takes for column in listed} == {((0, 1), (1, 1))}


@pytest.mark.parametrize("seed", range(3))
def test_charges_are_the_least_that_prove_their_prices(seed: int) -> None:
    core = some_boards_at_hand(seed)
    scale = 100
    whole = [item.size * scale * 2 // 10**7 for item in core.items]  # a fifth dearer than boards at hand
    due = charged(core, whole, [0] * len(core.bins), scale, settle=True)
    if due is None:  # the board on sale cannot be charged: lower prices until it need not be
        whole = [price * 4 // 5 for price in whole]
        due = charged(core, whole, [0] * len(core.bins), scale, settle=True)
    assert due is not None
    assert any(due)
    assert proves(core, whole, due, scale)
    for b in (b for b, charge in enumerate(due) if charge):
        assert not proves(core, whole, [c - (k == b) for k, c in enumerate(due)], scale)


def test_a_board_on_sale_is_never_charged() -> None:
    core = some_boards_at_hand(3)
    dear = [1 + bin_cost for bin_cost in [max(bin_.cost for bin_ in core.bins)] * len(core.items)]
    assert charged(core, dear, [0] * len(core.bins), 1, settle=True) is None


@pytest.mark.parametrize("seed", range(3))
def test_the_table_of_a_chain_bounds_every_board_of_it_from_above(seed: int) -> None:
    core = some_boards_at_hand(10 + seed)
    whole = [item.size // 10**6 for item in core.items]
    exact = most_worth(core, whole, 8 * max(whole) + 6_000)
    demand = np.array([item.demand for item in core.items])
    for level in (COARSE, FINE):
        found, bounds = Pricer(core).price(
            np.array(whole, dtype=float), demand, np.zeros(len(core.bins)), level=level
        )
        for excess, column in found:
            assert excess <= exact[column.bin] + 1e-6 or len(column.sticks) > 1
            assert excess <= bounds[column.bin] + 1e-6
        for b, bin_ in enumerate(core.bins):
            if len(bin_.sticks) == 1:
                assert bounds[b] >= exact[b] - 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_any_prices_prove_no_more_than_the_relaxation_is_worth(seed: int) -> None:
    core = some_boards_at_hand(20 + seed)
    relaxation = Relaxation(core, Pricer(core))
    value = relaxation.solve().value
    random = np.random.default_rng(seed)
    for _ in range(20):
        prices = random.uniform(0.0, 250.0, len(core.items))
        _, best = relaxation.pricer.price(prices, relaxation.demand, np.zeros(len(core.bins)), level=FINE)
        bound, scaled, charges = relaxation._bound(prices, best)
        assert bound <= value + 1e-6 * value
        assert (charges >= 0).all()
        assert float(scaled @ relaxation.demand) - float(charges.sum()) == pytest.approx(bound)


@pytest.mark.parametrize(("stride", "turns"), [(0.0, 0), (0.0, 9), (0.3, 0)])
def test_a_descent_gives_every_part_from_boards_that_there_are(stride: float, turns: int) -> None:
    core = some_boards_at_hand(31)
    relaxation = Relaxation(core, Pricer(core))
    bound = relaxation.solve().bound
    demand, low, high = relaxation.demand.copy(), relaxation.low.copy(), list(relaxation.high)
    plan, _ = dive(
        relaxation,
        demand=demand,
        low=low,
        high=high,
        below=int(2 * bound),
        rounds=9,
        stride=stride,
        turns=turns,
    )
    assert plan is not None
    made, used = Counter[int](), Counter(column.bin for column in plan)
    for column in plan:
        made.update(dict(column.takes))
    assert all(made[i] >= item.demand for i, item in enumerate(core.items))
    assert all(bin_.limit is None or used[b] <= bin_.limit for b, bin_ in enumerate(core.bins))
    assert total_cost(core, plan) >= bound
    assert (relaxation.demand == demand).all()
