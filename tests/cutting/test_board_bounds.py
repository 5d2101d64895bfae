"""What bounds and lists promise: lists are complete under safe stubs, charges are least, bounds are never above."""

from __future__ import annotations

import itertools
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
from longpoint.cutting.boards.proof.certificate import charged, most_worth, proves
from longpoint.cutting.boards.proof.count_cuts import Nodes, cheapest_counts, slackest_counts
from longpoint.cutting.boards.search.core import Core, build_core
from longpoint.cutting.boards.search.dive import dive
from longpoint.cutting.boards.search.hand import plan_by_hand, stick_fits, total_cost
from longpoint.cutting.boards.search.kernels import (
    NO_FLOAT,
    NO_WHOLE,
    Items,
    Stick,
    fill_table,
    fill_table_by_rows,
    search_firsts,
)
from longpoint.cutting.boards.search.listing import list_columns
from longpoint.cutting.boards.search.pricing import COARSE, FINE, Column, Pricer
from longpoint.cutting.boards.search.relaxation import Relaxation

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
        Pricer(core), prices=np.array([0.5, 0.4]), needs=np.array([0.3]), demand=np.array([1, 1])
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
        needs=np.array([0.3]),
        demand=np.array([1, 1]),
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
        bound, scaled, charges = relaxation.bound(prices, best)
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


def few_cheap_boards(seed: int) -> Core:
    """Racks of cheap boards, of which every descent would rather take more than there are."""
    random = np.random.default_rng(seed)
    parts = tuple(
        square(f"p{k}", int(random.integers(330, 1210)), int(random.integers(1, 3))) for k in range(11)
    )
    boards = (
        Board("rack", nm(1913), Fraction(1), how_many=2, at_hand=True),
        Board("stub", nm(1571), Fraction(1, 2), how_many=3, at_hand=True),
        Board("yard", nm(2107), Fraction(11)),
    )
    return build_core(BoardProblem("s", nm(20), nm(40), parts, boards, Shop(nm(3.2), trim=nm(3))))


def there_are_enough(core: Core, plan: list[Column] | None) -> bool:
    used = Counter(column.bin for column in plan or ())
    return plan is not None and all(
        bin_.limit is None or used[b] <= bin_.limit for b, bin_ in enumerate(core.bins)
    )


@pytest.mark.parametrize("seed", [13, 31, 47])  # where settling many at a time would take a board too many
def test_a_descent_in_strides_keeps_to_the_boards_there_are(seed: int) -> None:
    core = few_cheap_boards(seed)
    relaxation = Relaxation(core, Pricer(core))
    relaxation.solve()
    plan, _ = dive(
        relaxation,
        demand=relaxation.demand.copy(),
        low=relaxation.low.copy(),
        high=list(relaxation.high),
        below=10**9,
        rounds=9,
        stride=1.0,
    )
    assert there_are_enough(core, plan)


@pytest.mark.parametrize("seed", range(3))
def test_every_cut_is_passed_by_the_boards_of_a_plan(seed: int) -> None:
    # A plan's boards can hold what is wanted whatever it is worth; the cheapest counts that pass are a bound.
    core = few_cheap_boards(50 + seed)
    relaxation = Relaxation(core, Pricer(core))
    relaxation.solve()
    start = plan_by_hand(core)
    assert start is not None
    counts = np.array([sum(column.bin == b for column in start) for b in range(len(core.bins))])
    assert relaxation.cuts
    for cut in relaxation.cuts:
        assert float(cut.worths @ counts) >= cut.earned * (1 - 1e-9)
    low, high = relaxation.low, relaxation.high
    least = cheapest_counts(core, relaxation.cuts, low, high, from_cost=0, nodes=Nodes())
    assert least is not None
    assert least <= total_cost(core, start)
    slackest = slackest_counts(core, relaxation.cuts, low, high, cost=least, nodes=Nodes())
    assert slackest is not None
    assert int(slackest @ [bin_.cost for bin_ in core.bins]) == least
    for cut in relaxation.cuts:
        assert float(cut.worths @ slackest) >= cut.earned * (1 - 1e-7)
    none_bought: list[int | None] = [bin_.limit or 0 for bin_ in core.bins]
    assert cheapest_counts(core, relaxation.cuts, low, none_bought, from_cost=0, nodes=Nodes()) is None


@pytest.mark.parametrize("start", [0, 3])
@pytest.mark.parametrize("safe", [0, 510])
def test_each_longest_part_gets_its_best_pattern(start: int, safe: int) -> None:
    random = np.random.default_rng(8)
    sizes = np.sort(random.integers(170, 640, 9))[::-1].astype(np.int64)
    values = (sizes * random.uniform(0.8, 1.2, 9)).round(3)
    values[4] = 0.0
    most = random.integers(1, 3, 9).astype(np.int64)
    rounds = np.array([1, 2, 1, 2, 1, 2, 1, 2, 1], dtype=np.int64)
    room, need, grid = 1181, 900.0, 7
    table = np.zeros((10, room // grid + 1))
    fill_table(values, sizes // grid, most, table)
    found, reached = np.zeros((9, 9), dtype=np.int64), np.zeros(9)
    items = Items(values, sizes, sizes, rounds, most, NO_FLOAT, NO_WHOLE)
    stick = Stick(start, room, grid, table, safe, 13)
    _, bound = search_firsts(items, stick, need, 0.0, 10**6, found, reached)
    best = dict.fromkeys(range(9), 0.0)
    for counts in itertools.product(*(range(int(n) + 1) for n in most)):
        taken = [i for i, count in enumerate(counts) if count]
        left = room - int(np.dot(counts, sizes))
        if not taken or taken[0] < start or left < 0 or counts[4]:
            continue
        last = max(taken, key=lambda i: (rounds[i], sizes[i]))
        if sizes[last] + left + 13 >= safe:
            best[taken[0]] = max(best[taken[0]], float(np.dot(counts, values)))
    top = max(best.values())
    assert top > need
    assert bound >= top - 1e-9
    assert reached.max() == pytest.approx(top)
    for first in np.flatnonzero(reached):
        assert reached[first] == pytest.approx(best[int(first)])
        assert float(found[first] @ values) == pytest.approx(reached[first])
        assert found[first, first] > 0


@pytest.mark.parametrize("seed", range(3))
def test_a_negative_need_takes_no_pattern_of_another_board(seed: int) -> None:
    # Numbers of boards that are set make needs negative; what an earlier board holds is then no find for a shorter one.
    random = np.random.default_rng(seed)
    lengths = random.choice(np.arange(2200, 2400), size=60, replace=False)
    parts = tuple(square(f"p{k}", int(length), 2) for k, length in enumerate(lengths))
    boards = (Board("long", nm(7200), Fraction(72)), Board("short", nm(2250), Fraction(22)))
    core = build_core(BoardProblem("s", nm(21), nm(44), parts, boards, Shop(nm(3))))
    prices = np.array([item.length / nm(100) for item in core.items])
    demand = np.array([item.demand for item in core.items])
    for level in (COARSE, FINE):
        found, best = Pricer(core).price(prices, demand, np.array([10.0, -5.0]), level=level)
        assert {column.bin for _, column in found} == {0, 1}
        for excess, column in found:
            assert stick_fits(core, core.bins[column.bin].sticks[0], dict(column.takes))
            worth = sum(prices[i] * count for i, count in column.takes)
            assert excess == pytest.approx(worth - [10.0, -5.0][column.bin])
        assert best[1] >= max(
            price for price, item in zip(prices, core.items, strict=True) if item.length <= nm(2250)
        )


def test_the_table_is_the_same_filled_in_one_pass_or_by_rows() -> None:
    random = np.random.default_rng(4)
    values = random.uniform(-1.0, 9.0, 14).round(3)
    cells = random.integers(0, 70, 14).astype(np.int64)
    most = random.integers(0, 6, 14).astype(np.int64)
    one, other = np.zeros((15, 91)), np.zeros((15, 91))
    one[-1] = other[-1] = random.uniform(0.0, 2.0, 91)
    fill_table(values, cells, most, one)
    fill_table_by_rows(values, cells, most, other)
    assert np.allclose(one, other, atol=1e-12)
