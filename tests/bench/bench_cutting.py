"""Speed and cost of board cutting beside other ways, in the same run.

Times are processor seconds of this process, since a shared machine stretches the others; wall seconds stand beside
them. The first step finds the least cost, which is what the baselines do, too; the second step (what is left) has no
counterpart and a column of its own.

Baselines: first fit by falling length (the hand's method); OR-Tools CP-SAT, 60 s on 2 workers, started from first
fit; plain column generation with a HiGHS integer finish on its columns. The published instances are other
people's data, read from beside the project and skipped where they are not there.
"""

from __future__ import annotations

import json
import os
import resource
import time
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from longpoint.cutting import (
    BendLimits,
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
from longpoint.cutting.boards.kept.leftovers import leave_most
from longpoint.cutting.boards.search.core import Core, build_core
from longpoint.cutting.boards.search.hand import first_fit, total_cost
from longpoint.cutting.boards.search.master import integer_master
from longpoint.cutting.boards.search.pricing import Pricer
from longpoint.cutting.boards.search.relaxation import Relaxation
from longpoint.cutting.boards.search.solve import solve_core

pytestmark = pytest.mark.bench

nm = nanometres
INSTANCES = (
    Path(os.environ.get("LONGPOINT_INSTANCES", Path(__file__).resolve().parents[1] / "published"))
    / "packing-1d.json"
)
LINES: list[str] = []


@pytest.fixture(scope="module", autouse=True)
def table(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    reporter = request.config.pluginmanager.get_plugin("terminalreporter")
    capture = request.config.pluginmanager.get_plugin("capturemanager")
    with capture.global_and_fixture_disabled():
        for line in LINES:
            reporter.write_line(line)


def works(count: int, seed: int, *, unequal: bool = False) -> BoardProblem:
    """Bars and rails of invented works: about six parts each, five lengths on sale, kerf 3.2."""
    random = np.random.default_rng(seed)
    parts: list[WantedPart] = []
    for work in range(count):
        across, high = int(random.integers(40, 231)) * 10, int(random.integers(30, 181)) * 10
        if random.random() < 0.15:
            across += 5
        parts.append(WantedPart(f"{work} long", nm(across), 2, mitre_width=nm(21)))
        parts.append(WantedPart(f"{work} high", nm(high), 2, mitre_width=nm(21)))
        parts.append(WantedPart(f"{work} rail", nm(high - 42), 2, kind=Kind.RAIL, ends=End.SQUARE, round=2))
    lengths = (2400, 3000, 3600, 4200, 4800)
    rates = np.random.default_rng(seed + 100).uniform(0.9, 1.1, 5) if unequal else np.ones(5)
    boards = tuple(
        Board(str(length), nm(length), Fraction(round(length * 0.21 * rate), 100))
        for length, rate in zip(lengths, rates, strict=True)
    )
    return BoardProblem("21 × 44", nm(21), nm(44), tuple(parts), boards, Shop(nm(3.2)))


def measured_boards(seed: int, count: int = 300) -> BoardProblem:
    """Measured boards at hand, 300 of them, some spoiled, and 400 parts with limits of bend."""
    random = np.random.default_rng(seed)
    parts = [
        WantedPart(f"bar {k}", nm(int(random.integers(40, 231)) * 10), 4, mitre_width=nm(21),
                   bend=BendLimits(nm(8), nm(1.5), nm(2)))
        for k in range(50)
    ]  # fmt: skip
    parts += [
        WantedPart(f"rail {k}", nm(int(random.integers(300, 1900))), 2, kind=Kind.RAIL, ends=End.SQUARE,
                   round=2, bend=BendLimits(nm(12), nm(4), nm(4)))
        for k in range(100)
    ]  # fmt: skip
    boards = []
    for k in range(count):
        length = int(random.integers(1200, 4900))
        spoiled: tuple[Span, ...] = ()
        if random.random() < 0.3:
            start = int(random.integers(100, length - 200))
            spoiled = (Span(nm(start), nm(start + int(random.integers(20, 120))), "knot"),)
        boards.append(
            Board(f"b{k}", nm(length), Fraction(int(length * 0.18), 100), 1, True,
                  Grade(int(random.choice([2, 3, 3, 3]))), nm(int(random.integers(0, 20))),
                  nm(int(random.integers(0, 8))), nm(int(random.integers(0, 6))), spoiled)
        )  # fmt: skip
    boards += [
        Board(f"yard {length}", nm(length), Fraction(length * 21, 10000)) for length in (3000, 4200, 4800)
    ]
    return BoardProblem("21 × 44", nm(21), nm(44), tuple(parts), tuple(boards), Shop(nm(3.2), trim=nm(10)))


def by_hand(core: Core) -> float:
    order = sorted(range(len(core.bins)), key=lambda b: (core.bins[b].cost / core.bins[b].sticks[0][0], b))
    plan = first_fit(core, order)
    assert plan is not None
    return float(total_cost(core, plan) * core.cost_unit)


def by_constraints(core: Core, seconds: float) -> tuple[float, float]:
    """CP-SAT on one slot per board of the first-fit plan, started from it; bars and rails alike by their sizes."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    order = sorted(range(len(core.bins)), key=lambda b: (core.bins[b].cost / core.bins[b].sticks[0][0], b))
    start = first_fit(core, order)
    assert start is not None
    model = cp_model.CpModel()
    gap = min(fs.offset for fs in core.family_sets)
    takes = [[model.new_int_var(0, item.demand, "") for item in core.items] for _ in start]
    kind = [[model.new_bool_var("") for _ in core.bins] for _ in start]
    for i, item in enumerate(core.items):
        model.add(sum(row[i] for row in takes) == item.demand)
    for row, kinds in zip(takes, kind, strict=True):
        model.add_at_most_one(kinds)
        load = sum(item.size * amount for item, amount in zip(core.items, row, strict=True))
        model.add(
            load <= sum((bin_.sticks[0][0] + gap) * k for bin_, k in zip(core.bins, kinds, strict=True))
        )
    model.minimize(sum(bin_.cost * k for kinds in kind for bin_, k in zip(core.bins, kinds, strict=True)))
    for slot, column in enumerate(start):
        counts = dict(column.takes)
        for i in range(len(core.items)):
            model.add_hint(takes[slot][i], counts.get(i, 0))
        for b in range(len(core.bins)):
            model.add_hint(kind[slot][b], int(column.bin == b))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    solver.solve(model)
    unit = float(core.cost_unit)
    return round(solver.objective_value) * unit, solver.best_objective_bound * unit


def by_plain_columns(core: Core) -> tuple[float, float, float]:
    """Plain column generation, then HiGHS on its columns with a node limit: cost, seconds of either.

    One pattern for each board in a turn, as in the textbook; tables, searches and linear programs are ours.
    """
    begun = time.process_time()
    relaxation = Relaxation(core, Pricer(core, firsts=False))
    order = sorted(range(len(core.bins)), key=lambda b: (core.bins[b].cost / core.bins[b].sticks[0][0], b))
    start = first_fit(core, order) or []
    for column in dict.fromkeys(start):
        relaxation.add(column)
    relaxation.solve()
    relaxed = time.process_time()
    answer = integer_master(
        core, relaxation.columns, demand=relaxation.demand, low=relaxation.low, high=relaxation.high,
        below=total_cost(core, start) + core.totals.step, nodes=200,
    )  # fmt: skip
    cost = total_cost(core, answer.columns) if answer.columns else total_cost(core, start)
    return float(cost * core.cost_unit), relaxed - begun, time.process_time() - relaxed


class Clock:
    """Processor and wall seconds since it was made."""

    def __init__(self) -> None:
        self.processor, self.wall = time.process_time(), time.perf_counter()

    def read(self) -> str:
        return f"{self.seconds():6.2f} s ({time.perf_counter() - self.wall:.1f} s wall)"

    def seconds(self) -> float:
        return time.process_time() - self.processor


@pytest.fixture(scope="module")
def warm() -> None:
    plan_boards(works(20, 5))


@pytest.mark.parametrize("unequal", [False, True], ids=["by the metre", "unequal rates"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sixty_works_are_proven_beside_other_ways(warm: None, seed: int, unequal: bool) -> None:
    problem = works(60, seed, unequal=unequal)
    core = build_core(problem)
    clock = Clock()
    solved = solve_core(core)
    ours, first_step = clock.seconds(), clock.read()
    assert solved.columns is not None
    clock = Clock()
    leave_most(core, solved.columns, solved.pool)
    second_step = clock.read()
    clock = Clock()
    plan = plan_boards(problem)
    whole = clock.read()
    assert check_board_plan(problem, plan) == ()
    begun = time.process_time()
    hand = by_hand(core)
    hand_seconds = time.process_time() - begun
    plain, relaxing, choosing = by_plain_columns(core)
    constraint, constraint_bound = by_constraints(core, 60.0)
    rates = "unequal" if unequal else "metre"
    best = float(plan.cost)
    LINES.append(
        f"60 works, seed {seed}, {rates:7}: ours {best:8.2f} ({plan.verdict}, {plan.proof}), first step {first_step}, "
        f"second {second_step}, plan with certificate {whole} | "
        f"first fit {hand:8.2f} (+{100 * (hand / best - 1):.2f} %) {hand_seconds:5.2f} s | CP-SAT 60 s "
        f"{constraint:8.2f} (+{100 * (constraint / best - 1):.2f} %, its bound {constraint_bound:.2f}) | "
        f"plain columns {plain:8.2f} (+{100 * (plain / best - 1):.2f} %) {relaxing:.2f} + {choosing:.2f} s, "
        f"{(relaxing + choosing) / ours:.1f} times ours"
    )
    assert plan.proven
    assert best <= min(hand, constraint, plain)


def test_three_hundred_measured_boards(warm: None) -> None:
    problem = measured_boards(1)
    clock = Clock()
    plan = plan_boards(problem)
    seconds = clock.read()
    LINES.append(
        f"300 measured boards, 400 parts: {float(plan.cost):.2f}, {plan.verdict}, {seconds}, {plan.work}"
    )
    assert check_board_plan(problem, plan) == ()
    assert plan.gap <= Fraction(3, 1000)


def test_five_thousand_parts_and_growth(warm: None) -> None:
    sizes, times = (104, 208, 416, 833), []
    for count in sizes:
        problem = works(count, 1)
        clock = Clock()
        plan = plan_boards(problem)
        seconds = clock.read()
        times.append(clock.seconds())
        LINES.append(
            f"{sum(part.how_many for part in problem.parts)} parts: {float(plan.cost):.2f}, {plan.verdict}, "
            f"{seconds}"
        )
    exponent = float(np.polyfit(np.log(sizes), np.log(times), 1)[0])
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    LINES.append(
        f"growth of time with parts: exponent {exponent:.2f}; most memory of the run {memory:.2f} GB"
    )
    assert plan.gap <= Fraction(1, 1000)


def test_growth_with_the_number_of_measured_boards(warm: None) -> None:
    sizes, times = (50, 100, 200, 300), []
    for count in sizes:
        problem = measured_boards(1, count)
        clock = Clock()
        plan = plan_boards(problem)
        seconds = clock.read()
        times.append(clock.seconds())
        LINES.append(f"{count} measured boards, 400 parts: {float(plan.cost):.2f}, {plan.verdict}, {seconds}")
        assert plan.gap <= Fraction(3, 1000)
    exponent = float(np.polyfit(np.log(sizes), np.log(times), 1)[0])
    LINES.append(f"growth of time with boards: exponent {exponent:.2f}")


def test_published_instances_are_proven() -> None:
    found: dict[str, list[tuple[bool, bool, float]]] = defaultdict(list)
    for instance in json.loads(INSTANCES.read_text(encoding="utf-8")):
        parts = tuple(
            WantedPart(f"p{k}", length, count, kind=Kind.BLOCK, ends=End.SQUARE)
            for k, (length, count) in enumerate(instance["items"])
        )
        board = Board("b", instance["capacity"], Fraction(1))
        problem = BoardProblem("list", 1, 1, parts, (board,), Shop(kerf=0))
        clock = Clock()
        plan = plan_boards(problem)
        seconds = clock.seconds()
        assert plan.at_least <= instance["optimum"], f"false bound on {instance['name']}"
        assert plan.cost >= instance["optimum"], f"{instance['name']} is beaten: the plan must be wrong"
        found[instance["family"]].append((plan.cost == instance["optimum"], plan.proven, seconds))
        if not plan.proven:
            LINES.append(f"{instance['name']}: {plan.cost}, at least {plan.at_least}, not proven")
    for family, rows in found.items():
        LINES.append(
            f"{family:16} {len(rows):3} instances, {sum(row[0] for row in rows):3} optimal, "
            f"{sum(row[1] for row in rows):3} proven, mean {np.mean([row[2] for row in rows]):6.2f} s"
        )
    every = [row for rows in found.values() for row in rows]
    LINES.append(f"all {len(every)}: {sum(r[0] for r in every)} optimal, {sum(r[1] for r in every)} proven")
    assert sum(row[1] for row in every) >= 0.97 * len(every)
