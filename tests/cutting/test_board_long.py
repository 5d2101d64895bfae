"""Long lists: begun at prices of like lengths, they pass the referee, and what they claim holds."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from cutting.test_board_oracles import few_cheap_boards, least_cost
from longpoint.cutting import (
    Board,
    BoardProblem,
    End,
    Grade,
    Kind,
    Shop,
    Span,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards.search import long_list
from longpoint.cutting.boards.search.core import build_core

nm = nanometres


@pytest.fixture
def begun_early(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every list is long, and few lengths are priced together."""
    monkeypatch.setattr(long_list, "LONG", 1)
    monkeypatch.setattr(long_list, "LOAD", 1)
    monkeypatch.setattr(long_list, "REST", 1)
    monkeypatch.setattr(long_list, "CLASSES", 2)
    monkeypatch.setattr(long_list, "FARTHEST", 0.3)


@pytest.mark.usefixtures("begun_early")
@pytest.mark.parametrize("seed", range(12))
def test_what_is_claimed_of_few_parts_holds(seed: int) -> None:
    random = np.random.default_rng(4400 + seed)
    parts = tuple(
        WantedPart(f"p{k}", nm(int(size)), 1 + (k == 0), Kind.RAIL, End.SQUARE)
        for k, size in enumerate(random.integers(260, 900, 5))
    )
    boards = (
        Board("short", nm(1500), Fraction(5)),
        Board("long", nm(2400), Fraction(79, 10)),
        Board(
            "mine",
            nm(1100),
            Fraction(2),
            1,
            at_hand=True,
            grade=Grade.RAILS,
            spoiled=(Span(nm(400), nm(460)),),
        ),
    )
    problem = BoardProblem("s", nm(21), nm(28), parts, boards, Shop(nm(3.2), trim=nm(9), safe=nm(300)))
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    assert plan.refereed is not None and not plan.refereed.faults
    least = least_cost(problem)
    assert least is not None
    assert plan.at_least <= least <= plan.cost
    assert plan.cost <= least * Fraction(13, 10)


@pytest.mark.usefixtures("begun_early")
@pytest.mark.parametrize("seed", range(6))
def test_no_more_boards_are_taken_than_there_are(seed: int) -> None:
    problem = few_cheap_boards(seed)
    parts = tuple(replace(part, how_many=1 + k % 2 * 4) for k, part in enumerate(problem.parts))
    problem = replace(problem, parts=parts)
    core = build_core(problem)
    begun = long_list.begin(core)
    assert begun is not None
    taken = Counter(column.bin for column in begun.columns)
    assert all(bin_.limit is None or taken[b] <= bin_.limit for b, bin_ in enumerate(core.bins))
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    assert plan.refereed is not None and not plan.refereed.faults


@pytest.mark.parametrize("seed", range(2))
def test_some_hundred_lengths_are_cut_within_half_a_percent(seed: int) -> None:
    random = np.random.default_rng(seed)
    sizes = random.choice(np.arange(300, 1600), 200, replace=False)
    parts = tuple(
        WantedPart(f"p{k}", nm(int(size)), 2, Kind.RAIL, End.SQUARE) for k, size in enumerate(sizes)
    )
    boards = tuple(Board(f"b{m}", nm(m), Fraction(m, 1000)) for m in (1800, 3000, 4200, 5400))
    boards += tuple(
        Board(f"mine{k}", nm(int(length)), Fraction(int(length), 2000), 1, at_hand=True)
        for k, length in enumerate(random.integers(900, 4000, 6))
    )
    problem = BoardProblem("s", nm(21), nm(28), parts, boards, Shop(nm(3.2), trim=nm(15), safe=nm(200)))
    plan = plan_boards(problem)
    assert check_board_plan(problem, plan) == ()
    assert plan.gap <= Fraction(1, 200)
