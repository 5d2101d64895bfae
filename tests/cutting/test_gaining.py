"""A better plan by a single pick-up is not passed over: each search against every way to share the parts."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest

from longpoint.cutting import Board, BoardProblem, End, Kind, Shop, WantedPart, nanometres
from longpoint.cutting.boards.kept.gaining import Gaining
from longpoint.cutting.boards.kept.pickup_patterns import pickups_of
from longpoint.cutting.boards.kept.pickups import _Sorting
from longpoint.cutting.boards.search.core import Core, build_core
from longpoint.cutting.boards.search.pricing import Column

nm = nanometres


def drawn(seed: int) -> Core:
    """Three lengths, two of each, to be cut from boards of one length."""
    random = np.random.default_rng(seed)
    lengths = random.choice(np.arange(300, 700, 20), 3, replace=False)
    parts = tuple(
        WantedPart(f"p{k}", nm(int(length)), 2, Kind.RAIL, End.SQUARE) for k, length in enumerate(lengths)
    )
    boards = (Board("long", nm(1500), Fraction(1)),)
    return build_core(BoardProblem("rails", nm(21), nm(28), parts, boards, Shop(kerf=nm(3), trim=nm(10))))


def plans(core: Core) -> list[tuple[Column, ...]]:
    """Every way to share the parts among boards, one pattern to a board."""
    (bin_,) = core.bins
    room = bin_.sticks[0][0] + core.family_sets[0].offset
    patterns = [
        counts
        for counts in itertools.product(*(range(item.demand + 1) for item in core.items))
        if any(counts) and sum(k * item.size for k, item in zip(counts, core.items, strict=True)) <= room
    ]
    found: list[tuple[Column, ...]] = []

    def go_on(left: tuple[int, ...], first: int, columns: tuple[Column, ...]) -> None:
        if not any(left):
            found.append(columns)
            return
        for at in range(first, len(patterns)):
            counts = patterns[at]
            rest = tuple(a - b for a, b in zip(left, counts, strict=True))
            if min(rest) >= 0:
                takes = tuple((i, k) for i, k in enumerate(counts) if k)
                go_on(rest, at, (*columns, Column(0, takes, (takes,))))

    go_on(tuple(item.demand for item in core.items), 0, ())
    return found


@pytest.mark.parametrize("seed", range(12))
def test_a_plan_better_by_one_is_found_and_then_no_other_is_sought(seed: int) -> None:
    core = drawn(seed)
    every = plans(core)

    def often(plan: tuple[Column, ...]) -> int:
        return sum(pickups_of(core, column) for column in plan)

    most = max(len(plan) for plan in every)
    fewest = min(map(often, every))
    for start in [plan for plan in every if often(plan) == fewest + 1][:3]:
        aim = _Sorting(core, least=0, most=most * core.bins[0].cost, effort=1)
        search = Gaining(aim, start, at_most=0.0)
        for column in start:
            search.add(column)
        search.settle()
        assert often(tuple(search.best)) == fewest
        assert search.is_met(-float(fewest))
        assert not search.is_met(1.0 - fewest)
