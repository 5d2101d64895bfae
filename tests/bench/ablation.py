"""What each idea of the cutting solvers is worth: one after the other is switched off on a fixed set of problems.

Run as a program it prints the tables of ``docs/theory/cutting.md``: ``python tests/bench/ablation.py [boards | lays]
[idea …]``. Every answer is compared with the one of the whole solver on the same problem. Effort is counted (linear
programs and knapsacks; lengths filled), never timed, so that the tables are the same on every machine.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from bench import bench_lay
from bench.bench_cutting import works
from hunt import boards as hunt_boards
from hunt import lays as hunt_lays
from longpoint.cutting import (
    Board,
    BoardProblem,
    End,
    Kind,
    Shop,
    Span,
    WantedPart,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards import plan
from longpoint.cutting.boards.kept import gaining, pickups
from longpoint.cutting.boards.search import branch, gains, pricing, relaxation, solve, totals
from longpoint.cutting.cloth.problem import ClothProblem
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.cutting.lay import solve as lay_solve
from longpoint.cutting.lay.exact.flawed import RoundFlaws
from longpoint.cutting.lay.exact.shortest import Proof
from longpoint.cutting.lay.ground import Ground, Stock, Want
from longpoint.cutting.lay.mix import better, kept_lengths, mend
from longpoint.cutting.lay.problem import LayProblem
from longpoint.cutting.lay.strip import lay_pieces
from longpoint.cutting.lay.walk import search as lay_search
from longpoint.errors import FaultsError

ROOT = Path(__file__).parents[2]
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Answer:
    """One problem's answer: smaller is better in every figure.

    Attributes:
        figures: What it comes to, the weightiest first: cost, then pick-ups or what is left, then what is open
            between cost and bound.
    """

    figures: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Off:
    """A place in the program and what stands there while an idea is switched off.

    Attributes:
        where: The module or class.
        name: What is exchanged in it.
        instead: What stands there.
        by: The function in it that must be called for this to matter; "" for the one exchanged.
    """

    where: Any
    name: str
    instead: object
    by: str = ""

    @property
    def called(self) -> str:
        return self.by or self.name


Problem = tuple[str, Callable[[], Answer]]


COUNTS: Counter[str] = Counter()


def counting(name: str, function: Callable[..., Any], amount: Callable[..., int] = lambda *_, **__: 1) -> Any:
    """The same function; its calls, or what one of its arguments says, are counted."""

    def counted(*args: Any, **kwargs: Any) -> Any:
        COUNTS[name] += int(amount(*args, **kwargs))
        return function(*args, **kwargs)

    return counted


# --- boards ---------------------------------------------------------------------------------------------------------


def published() -> Iterator[tuple[str, BoardProblem]]:
    for instance in json.loads((ROOT / "tests/published/packing-1d.json").read_text(encoding="utf-8")):
        parts = tuple(
            WantedPart(f"p{k}", length, count, kind=Kind.BLOCK, ends=End.SQUARE)
            for k, (length, count) in enumerate(instance["items"])
        )
        board = Board("b", instance["capacity"], Fraction(1))
        yield instance["name"], BoardProblem("list", 1, 1, parts, (board,), Shop(kerf=0))


def racked(seed: int) -> BoardProblem:
    """A list whose boards at hand have a knot each, so that two sticks are cut from them."""
    random = np.random.default_rng([seed, 5])
    parts = tuple(
        replace(part, how_many=int(random.integers(1, 5))) for part in hunt_boards.middle(seed).parts
    )
    boards = [Board("new", nanometres(3000), Fraction(9))]
    for k in range(7):
        length = int(random.integers(2200, 4600))
        knot = nanometres(int(random.integers(700, length - 900)))
        price = Fraction(int(length * random.uniform(0.8, 1.2)) // 10, 100)
        spoiled = (Span(knot, knot + nanometres(40)),)
        boards.append(
            Board(f"rack {k}", nanometres(length), price, int(random.integers(1, 5)), spoiled=spoiled)
        )
    return replace(hunt_boards.middle(seed), parts=parts, boards=tuple(boards))


WORKSHOPS = (3, 6, 7, 8, 9, 10, 11, 12, 15, 17, 18, 19, 21, 22, 23, 26, 27, 28, 30)
SORTED_WORKSHOPS = (3, 8, 15, 21)


def board_problems() -> Iterator[tuple[str, BoardProblem]]:
    """A fixed set that is small, and calls on every idea but where that is said: half a minute for the whole solver."""
    yield from published()
    for number in (12, 20):
        for seed in (1, 2):
            yield f"{number} works, by the metre, {seed}", works(number, seed)
            yield f"{number} works, unequal rates, {seed}", works(number, seed, unequal=True)
    for seed in WORKSHOPS:
        yield f"workshop {seed}", hunt_boards.workshop(seed)
    for seed in range(6):
        yield f"knotted rack {seed}", racked(seed)
        yield f"list {seed}, sorted", less_sorted(hunt_boards.middle(seed))
    for seed in SORTED_WORKSHOPS:
        yield f"workshop {seed}, sorted", less_sorted(hunt_boards.workshop(seed))
    yield "knotted rack 0, sorted", less_sorted(racked(0))


def less_sorted(problem: BoardProblem) -> BoardProblem:
    return replace(problem, settings_within=Fraction(1, 50))


def cut_answer(problem: BoardProblem) -> Answer:
    try:
        done = plan_boards(problem)
    except FaultsError:
        return Answer((0.0,))
    COUNTS["knapsacks"] += done.spent.pricings
    sorted_by = float(done.pickups) if problem.settings_within is not None else 0.0
    figures = (float(done.cost), sorted_by, -float(done.left_worth), float(done.cost - done.at_least))
    if problem.settings_within is not None:  # money may be spent for less sorting
        figures = (sorted_by, float(done.cost), -float(done.left_worth), float(done.cost - done.at_least))
    return Answer(figures)


BOARD_COUNTS = (
    Off(relaxation, "run_linear", counting("linear programs", relaxation.run_linear)),
    Off(gains, "run_linear", counting("linear programs", gains.run_linear)),
)


def none_found(*_: object, **__: object) -> None:
    return None


def as_it_is(_: object, mine: list[object], **__: object) -> tuple[list[object], int]:
    return mine, 0


def plain_total(self: totals.Totals, value: float) -> int:
    return max(0, int(np.ceil((value - 1e-6 * max(1.0, abs(value) * 1e-3)) / self.step))) * self.step


WHOLE = gains.GainMaster.whole


def whole_of_all(pool: gains.GainMaster, **asked: Any) -> Any:
    """The integer program only where every pattern was listed."""
    return (None, False) if asked.get("columns") is not None else WHOLE(pool, **asked)


BOARD_IDEAS: dict[str, tuple[Off, ...]] = {
    "hand start": (Off(solve, "plan_by_hand", none_found),),
    "bound rounded up to a sum that boards can cost": (Off(totals.Totals, "at_least", plain_total),),
    "many patterns from one table": (Off(pricing, "MANY_ITEMS", 10**9, "lay_out"),),
    "numbers of boards (branching)": (Off(solve, "BRANCH_DIVES", 0, "branch_on_counts"),),
    "dives: back to the last choice": (Off(branch, "TURNS", 0, "dive"),),
    "dives: three under the same numbers": (Off(branch, "DESCENTS", 1, "dive"),),
    "dives at the root: three": (Off(solve, "ROOT_DIVES", 1, "dive"),),
    "dives at the end: eight more": (Off(solve, "MORE_DIVES", 0, "dive"),),
    "listing every pattern": (Off(solve, "list_columns", none_found),),
    "proof by numbers of boards": (Off(solve, "prove_counts", none_found),),
    "proof by listed patterns": (Off(solve, "prove_by_listing", none_found),),
    "most left: the whole step": (Off(plan, "leave_most", lambda *_, **__: None),),
    "most left, least sorting: sharing anew": (Off(gaining, "reshare", as_it_is),),
    "most left, least sorting: program over patterns met": (Off(gains.GainMaster, "whole", whole_of_all),),
    "least sorting: every pattern listed": (Off(pickups.PickupPricer, "list_all", none_found),),
    "least sorting: the cheaper, fuller of two alike": (Off(pickups, "_leave_more", none_found),),
    "most left, least sorting: patterns priced": (Off(gaining.Gaining, "settle", none_found),),
}


# --- lays -----------------------------------------------------------------------------------------------------------

EFFORT, USUAL_EFFORT = 4_000, 20_000


def lay_problems() -> Iterator[Problem]:
    for instance in json.loads((ROOT / "tests/published/strip-2d.json").read_text(encoding="utf-8")):
        yield f"{instance['name']} straight", lambda i=instance: published_strip(i, turn=False, any_cut=False)
        yield (
            f"{instance['name']} any cut, turned",
            lambda i=instance: published_strip(i, turn=True, any_cut=True),
        )
    for seed in range(8):
        yield f"thinned {seed}", lambda s=seed: strip_answer(hunt_lays.thinned(s))
    for seed in range(24):
        yield f"rolls, few {seed}", lambda s=seed: roll_answer(hunt_lays.cloth(s, 6))
    for seed in range(8):
        yield f"rolls, batch {seed}", lambda s=seed: roll_answer(hunt_lays.cloth(s, 30))
    for turn in (False, True):
        yield f"60 works {turn}", lambda t=turn: ground_answer(bench_lay.batch_of_60(0, turn=t))
    for kind in ("first", "joins", "slubs"):
        yield f"60 works, {kind}", lambda k=kind: ground_answer(flawed(k))


def published_strip(instance: dict[str, Any], *, turn: bool, any_cut: bool) -> Answer:
    length, least, _ = bench_lay.run(instance, turn=turn, any_cut=any_cut, effort=EFFORT)
    return Answer((float(length), float(length - least)))


def flawed(kind: str) -> Ground:
    rng = np.random.default_rng(0)
    sizes = [
        (int(rng.integers(30, 200)) * 10 + 176, int(rng.integers(30, 200)) * 10 + 176) for _ in range(30)
    ]
    wants = tuple(Want(min(w, 2096), h, int(rng.integers(1, 4)), may_turn=False) for w, h in sizes)
    return Ground(wants, (Stock(2100, blocked=bench_lay.flaws_of(0, kind)),))


def strip_answer(problem: LayProblem) -> Answer:
    done = lay_pieces(problem, effort=EFFORT)
    return Answer((float(done.length), float(done.length - done.at_least)))


def roll_answer(problem: ClothProblem) -> Answer:
    try:
        done = plan_cloth(problem, effort=EFFORT)
    except FaultsError:
        return Answer((0.0,))
    least, value = hunt_lays.measure(done)
    return Answer((float(value), float(value) - float(least)))


def ground_answer(ground: Ground) -> Answer:
    if any(stock.blocked for stock in ground.stocks):
        found = lay_solve.solve_ground(ground, effort=USUAL_EFFORT)
        puts, least = found.puts, found.length
    else:
        puts, least, _ = lay_solve.solve_strip(ground, effort=USUAL_EFFORT, any_cut=False)
    length = ground.used(puts)[0]
    return Answer((float(length), float(length - least)))


WALK, DIVE = lay_search.Search.walk, better.dive


def starts_only(search: Any, genes: Any, _: int, good_enough: float, state: Any, pool: Any) -> Any:
    return WALK(search, genes, 1, good_enough, state, pool)


def dive_on_plain_rolls(mixed: kept_lengths.KeptLengths, *, tries: int, best: float) -> Any:
    return None if best == float("inf") else DIVE(mixed, tries=tries, best=best)


def nothing_beside(*_: object) -> np.ndarray:
    return np.zeros((0, 4), np.int64)


def not_proven(_: object, *, at_least: int, **__: object) -> Proof:
    return Proof(None, at_least)


LAY_COUNTS = (
    Off(lay_search.Search, "walk", counting("lays", WALK, lambda *args: args[2])),
    Off(
        kept_lengths.KeptLengths,
        "look",
        counting("lengths", kept_lengths.KeptLengths.look, lambda *args: args[4]),
    ),
    Off(mend, "beside", counting("lengths", mend.beside, lambda *args: args[5])),
)

LAY_IDEAS: dict[str, tuple[Off, ...]] = {
    "annealing (only its starts)": (Off(lay_search.Search, "walk", starts_only),),
    "walk: four times as long for few lengths": (Off(lay_search, "FARTHER", 0, "lay_from_genes"),),
    "lengths mixed (all of it)": (Off(lay_search, "better", lambda *a, **_: a[5]),),
    "mix: dive": (Off(better, "dive", none_found),),
    "mix: mending": (Off(mend.Mend, "run", none_found),),
    "mix: whole cloth between flaws": (Off(better, "dive", dive_on_plain_rolls),),
    "mix: places beside flaws filled anew": (Off(mend, "beside", nothing_beside),),
    "mix: better lengths looked for": (Off(kept_lengths.KeptLengths, "look", lambda *_: 0),),
    "few pieces shared among rolls": (Off(lay_solve, "cheapest_share", lambda *_, **__: (None, None)),),
    "exact search by blocks": (Off(lay_solve, "prove", not_proven),),
    "blocks of little waste": (Off(lay_solve, "tighten", none_found),),
    "exact search round flaws": (
        Off(lay_solve, "prove_round_flaws", lambda _, *, at_least, **__: RoundFlaws(None, at_least)),
    ),
    "bound by slices": (Off(lay_solve, "least_length", lambda g: (0, tuple(0 for _ in g.wants))),),
    "bound by columns": (Off(lay_solve, "column_length", lambda g, *, at_least, length: (at_least, None)),),
    "bound round flaws, several rolls": (Off(lay_solve, "least_cost_round_flaws", lambda g: (0.0, ())),),
    "free places": (Off(lay_solve, "lay_free", lambda g, puts, **_: puts),),
}


# --- the tables -----------------------------------------------------------------------------------------------------


def answers(problems: list[Problem], offs: tuple[Off, ...]) -> tuple[list[Answer], list[Counter[str]]]:
    found, spent = [], []
    with ExitStack() as stack:
        for off in offs:
            stack.enter_context(mock.patch.object(off.where, off.name, off.instead))
        for _, answer in problems:
            COUNTS.clear()
            found.append(answer())
            spent.append(Counter(COUNTS))
    return found, spent


def watched(ideas: dict[str, tuple[Off, ...]]) -> tuple[Off, ...]:
    """Every function that an idea stands or falls with, its calls counted: where there are none it cannot matter."""
    watching: dict[str, Off] = {}
    for off in (off for offs in ideas.values() for off in offs):
        name = f"{off.where.__name__}.{off.called}"
        watching[name] = Off(off.where, off.called, counting(name, getattr(off.where, off.called)))
    return tuple(watching.values())


def compared(one: Answer, whole: Answer) -> int:
    """1 where an answer is worse than the whole solver's, -1 where it is better."""
    for mine, its in zip(one.figures, whole.figures, strict=True):
        if abs(mine - its) > HAIR * (1.0 + abs(its)):
            return 1 if mine > its else -1
    return 0


def table(problems: list[Problem], ideas: dict[str, tuple[Off, ...]], counts: tuple[Off, ...]) -> None:
    whole, spent = answers(problems, (*counts, *watched(ideas)))
    names = sorted({name for one in spent for name in one if "." not in name})
    proven = sum(answer.figures[-1] <= HAIR for answer in whole)
    efforts = ", ".join(f"{sum(one[name] for one in spent)} {name}" for name in names)
    print(f"{len(problems)} problems, {proven} proven, {efforts}\n")
    print("| switched off | problems | worse | better | first figure | proven | " + " | ".join(names) + " |")
    print("|---" * (6 + len(names)) + "|", flush=True)
    for idea, offs in ideas.items():
        called = [f"{off.where.__name__}.{off.called}" for off in offs]
        places = [k for k, one in enumerate(spent) if any(one[name] for name in called)]
        if not places:
            print(f"| {idea} | 0 |" + " – |" * (4 + len(names)), flush=True)
            continue
        found, took = answers([problems[k] for k in places], (*counts, *offs))
        before = [whole[k] for k in places]
        marks = [compared(one, its) for one, its in zip(found, before, strict=True)]
        ratios = [
            one.figures[0] / its.figures[0] for one, its in zip(found, before, strict=True) if its.figures[0]
        ]
        certain = sum(
            (one.figures[-1] <= HAIR) - (its.figures[-1] <= HAIR)
            for one, its in zip(found, before, strict=True)
        )
        efforts = " | ".join(
            f"{sum(one[name] for one in took) / max(1, sum(spent[k][name] for k in places)):.2f}"
            for name in names
        )
        print(
            f"| {idea} | {len(places)} | {marks.count(1)} | {marks.count(-1)} | "
            f"{100 * (float(np.mean(ratios)) - 1.0):+.2f} % | {certain:+d} | {efforts} |",
            flush=True,
        )
        changed = [f"{problems[k][0]} ({mark:+d})" for k, mark in zip(places, marks, strict=True) if mark]
        print(f"    {idea}: {', '.join(changed)}", file=sys.stderr, flush=True)


if __name__ == "__main__":
    which, only = (sys.argv[1] if len(sys.argv) > 1 else "boards"), sys.argv[2:]
    if which == "boards":
        asked: list[Problem] = [(name, lambda p=problem: cut_answer(p)) for name, problem in board_problems()]
        ideas, counters = BOARD_IDEAS, BOARD_COUNTS
    else:
        asked = list(lay_problems())
        ideas, counters = LAY_IDEAS, LAY_COUNTS
    table(asked, {name: ideas[name] for name in only or ideas}, counters)
