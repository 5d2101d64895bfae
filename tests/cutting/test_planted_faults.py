"""Faults planted in sound plans, one kind at a time: the referee must catch every one; the docs hold the table."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from longpoint.cutting import (
    Board,
    BoardPlan,
    BoardProblem,
    End,
    Kind,
    OffcutWorth,
    Shop,
    Span,
    Swing,
    WantedPart,
    check_board_plan,
    nanometres,
    plan_boards,
)
from longpoint.cutting.boards.values import CountsProof, ListedProof, Tree

nm = nanometres
DOCS = Path(__file__).parents[2] / "docs" / "theory" / "cutting.md"
BEGIN, END = "<!-- planted faults -->", "<!-- end of planted faults -->"
Harm = Callable[[BoardPlan], BoardPlan]


def frame_parts() -> BoardProblem:
    """Mitred bars, rails and middle pieces; a board at hand with a knot, one on sale; offcuts are worth something."""
    parts = (
        WantedPart("long bar", nm(1213), 2, mitre_width=nm(21)),
        WantedPart("short bar", nm(847), 2, mitre_width=nm(21)),
        WantedPart("rail", nm(805), 2, kind=Kind.RAIL, ends=End.SQUARE, round=2),
        WantedPart("middle", nm(377), 3, kind=Kind.MIDDLE, ends=End.SQUARE, round=3, extra=nm(4)),
    )
    rack = Board("rack", nm(2130), Fraction(3), 1, True, spoiled=(Span(nm(880), nm(930), "knot"),))
    yard = Board("yard", nm(3300), Fraction(71, 10))
    shop = Shop(
        nm(3.2), trim=nm(12), safe=nm(250), offcuts=(OffcutWorth(Kind.BLOCK, nm(100), Fraction(1, 5)),)
    )
    return BoardProblem(
        "21 × 44", nm(21), nm(44), parts, (rack, yard), shop, settings_within=Fraction(1, 100)
    )


def by_numbers() -> BoardProblem:
    """A list that prices alone do not settle: the numbers of boards do."""
    lengths = (431, 467, 502, 611, 688, 733, 790, 846, 905, 1013, 1102, 1187, 1250, 1333)
    parts = tuple(
        WantedPart(f"p{k}", nm(length), 1 + k % 2, kind=Kind.BLOCK, ends=End.SQUARE)
        for k, length in enumerate(lengths)
    )
    boards = (
        Board("1.8", nm(1800), Fraction(523, 100)), Board("2.4", nm(2400), Fraction(701, 100)),
        Board("3.3", nm(3300), Fraction(977, 100)),
    )  # fmt: skip
    return BoardProblem("s", nm(20), nm(44), parts, boards, Shop(nm(3)))


def by_listing() -> BoardProblem:
    """More kinds of boards than are counted one by one: what settles them is a list of patterns."""
    random = np.random.default_rng(0)
    parts = tuple(
        WantedPart(f"p{k}", nm(int(random.integers(300, 1400))), 1, kind=Kind.BLOCK, ends=End.SQUARE)
        for k in range(7)
    )
    boards = tuple(
        Board(
            f"b{k}", nm(int(random.integers(1400, 3400))), Fraction(int(random.integers(30, 90)), 10),
            1 if k < 3 else None,
        )
        for k in range(13)
    )  # fmt: skip
    boards += (Board("yard", nm(3500), Fraction(10)),)
    return BoardProblem("s", nm(20), nm(44), parts, boards, Shop(nm(3)))


def cut(**changes: Any) -> Harm:
    """The first cut of the first board changed."""

    def harm(plan: BoardPlan) -> BoardPlan:
        first = plan.boards[0]
        changed = {key: value(first.cuts[0]) if callable(value) else value for key, value in changes.items()}
        return _with_first(plan, replace(first, cuts=(replace(first.cuts[0], **changed), *first.cuts[1:])))

    return harm


def board(**changes: Any) -> Harm:
    """The first board changed."""

    def harm(plan: BoardPlan) -> BoardPlan:
        first = plan.boards[0]
        changed = {key: value(first) if callable(value) else value for key, value in changes.items()}
        return _with_first(plan, replace(first, **changed))

    return harm


def plan_with(**changes: Any) -> Harm:
    """Something said of the whole plan changed."""

    def harm(plan: BoardPlan) -> BoardPlan:
        changed = {key: value(plan) if callable(value) else value for key, value in changes.items()}
        return replace(plan, **changed)

    return harm


def beyond(**changes: Any) -> Harm:
    """Something of what proves more than the certificate changed."""

    def harm(plan: BoardPlan) -> BoardPlan:
        assert plan.beyond is not None
        changed = {
            key: value(getattr(plan.beyond, key)) if callable(value) else value
            for key, value in changes.items()
        }
        return replace(plan, beyond=replace(plan.beyond, **changed))

    return harm


def _with_first(plan: BoardPlan, first: Any) -> BoardPlan:
    return replace(plan, boards=(first, *plan.boards[1:]))


def lighter(tree: Tree) -> Tree:
    """The multipliers of every leaf halved."""
    return tuple(
        node if isinstance(node[1], int) else (node[0], tuple((r, y // 2) for r, y in node[1]))
        for node in tree
    )


def into_the_kerf(plan: BoardPlan) -> BoardPlan:
    """On the fullest board, the first part moved towards the next by two nanometres."""
    fullest = max(plan.boards, key=lambda one: len(one.cuts))
    first = fullest.cuts[0]
    moved = replace(first, start=first.start + 2, end=first.end + 2)
    boards = [replace(one, cuts=(moved, *one.cuts[1:])) if one is fullest else one for one in plan.boards]
    return replace(plan, boards=tuple(boards))


def swapped(plan: BoardPlan) -> BoardPlan:
    """The first two boards with their cuts exchanged."""
    first, second, *rest = plan.boards
    return replace(plan, boards=(replace(first, cuts=second.cuts), replace(second, cuts=first.cuts), *rest))


FRAME: dict[str, Harm] = {
    "a board with its parts is left out": lambda plan: replace(plan, boards=plan.boards[1:]),
    "a part is cut twice": lambda plan: _with_first(
        plan, replace(plan.boards[0], cuts=(*plan.boards[0].cuts, plan.boards[0].cuts[0]))
    ),
    "a part is called otherwise": cut(part="ghost"),
    "a part lies one nanometre short": cut(end=lambda one: one.end - 1),
    "a part lies in the trim": cut(start=0, end=lambda one: one.end - one.start),
    "a part lies past the end": cut(
        start=lambda one: one.start + nm(4000), end=lambda one: one.end + nm(4000)
    ),
    "a part lies on a knot": cut(start=nm(900), end=lambda one: nm(900) + one.end - one.start),
    "a part ends where the saw has to pass": into_the_kerf,
    "the stop is set otherwise": cut(stop=lambda one: one.stop + 1),
    "the saw stands otherwise": cut(swing_start=Swing.SQUARE),
    "a part is turned over though its lip is fixed": cut(turned=True),
    "two boards have their cuts exchanged": swapped,
    "more is said to remain": board(remains=lambda one: one.remains + 5),
    "what remains is said to serve otherwise": board(good_for="bar"),
    "a board is longer than stated": board(length=lambda one: one.length + nm(10)),
    "a board is cheaper than stated": board(cost=lambda one: one.cost - 1),
    "a board was never there": board(board="found"),
    "a board is cut up twice": lambda plan: replace(
        plan,
        boards=(
            plan.boards[0],
            replace(plan.boards[1], board=plan.boards[0].board, copy=plan.boards[0].copy),
            *plan.boards[2:],
        ),
    ),
    "the boards are said to cost less": plan_with(cost=lambda plan: plan.cost - Fraction(1, 100)),
    "the bound is above the cost": plan_with(at_least=lambda plan: plan.cost + 1),
    "proven is said and is not": plan_with(proven=lambda plan: not plan.proven),
    "prices of the certificate are trebled": plan_with(
        certificate=lambda plan: replace(
            plan.certificate, parts=tuple((name, 3 * price) for name, price in plan.certificate.parts)
        )
    ),
    "a price of the certificate is negative": plan_with(
        certificate=lambda plan: replace(
            plan.certificate, parts=tuple((name, -1) for name, _ in plan.certificate.parts)
        )
    ),
    "more is said to be left": plan_with(left_worth=lambda plan: plan.left_worth + Fraction(1, 100)),
    "no more is said to be possible to leave": plan_with(left_worth_at_most=Fraction(0), left_proof="bound"),
    "fewer settings of the stop are said": plan_with(settings=lambda plan: plan.settings - 1),
    "fewer pick-ups are said": plan_with(pickups=lambda plan: plan.pickups - 1),
    "the fewest pick-ups are said to be more": plan_with(
        sorting=lambda plan: replace(plan.sorting, at_least=plan.pickups + 1)
    ),
    "less sorting costs more than was allowed": plan_with(
        sorting=lambda plan: replace(plan.sorting, cost_before=plan.cost / 2)
    ),
}
NUMBERS: dict[str, Harm] = {
    "numbers of boards: the proof is left out": plan_with(beyond=None),
    "numbers of boards: one unit more is claimed": beyond(over=lambda over: over + 1),
    "numbers of boards: a price behind a row is negative": beyond(
        rows=lambda rows: (((rows[0][0][0], -1), *rows[0][1:]), *rows[1:])
    ),
    "numbers of boards: a row is left out": beyond(rows=lambda rows: rows[:-1]),
    "numbers of boards: a leaf is left out": beyond(tree=lambda tree: tree[:-1]),
    "numbers of boards: multipliers are halved": beyond(tree=lighter),
    "numbers of boards: a split is passed over": beyond(tree=lambda tree: tree[1:]),
    "numbers of boards: a kind of board is left out": beyond(groups=lambda groups: groups[:-1]),
    "numbers of boards: a kind of board is counted twice": beyond(groups=lambda groups: (*groups, groups[0])),
    "numbers of boards: the unit of cost is enlarged": beyond(unit=lambda unit: 2 * unit),
}
LISTED: dict[str, Harm] = {
    "listed patterns: one unit more is claimed": beyond(over=lambda over: over + 1),
    "listed patterns: a price is raised": beyond(prices=lambda prices: (prices[0] * 2, *prices[1:])),
    "listed patterns: multipliers are halved": beyond(tree=lighter),
    "listed patterns: a leaf is left out": beyond(tree=lambda tree: tree[:-1]),
    "listed patterns: a part is left out": beyond(
        parts=lambda parts: parts[:-1], prices=lambda prices: prices[:-1]
    ),
    "listed patterns: boards on sale are charged": beyond(charges=lambda charges: (1000,) * len(charges)),
    "listed patterns: the scale is changed": beyond(scale=lambda scale: scale // 2),
}
CASES: list[tuple[Callable[[], BoardProblem], dict[str, Harm]]] = [
    (frame_parts, FRAME), (by_numbers, NUMBERS), (by_listing, LISTED),
]  # fmt: skip


def caught() -> dict[str, str]:
    """For every planted fault the code that the referee answers with; "" where it says nothing."""
    found: dict[str, str] = {}
    for asked, harms in CASES:
        problem = asked()
        plan = plan_boards(problem)
        assert check_board_plan(problem, plan) == ()
        for name, harm in harms.items():
            faults = check_board_plan(problem, harm(plan))
            found[name] = faults[0].code if faults else ""
    return found


def test_the_plans_are_proven_in_ways_that_a_referee_can_walk_again() -> None:
    assert plan_boards(replace(frame_parts(), settings_within=None)).proven
    assert isinstance(plan_boards(by_numbers()).beyond, CountsProof)
    listed = plan_boards(by_listing())
    assert isinstance(listed.beyond, ListedProof)
    assert listed.proven


def test_docs_table_of_planted_faults_all_caught() -> None:
    found = caught()
    assert [name for name, code in found.items() if not code] == []
    rows = "\n".join(f"| {name} | `{code}` |" for name, code in found.items())
    table = f"{BEGIN}\n| planted | the referee says |\n|---|---|\n{rows}\n{END}"
    text = DOCS.read_text(encoding="utf-8")
    if os.environ.get("LONGPOINT_WRITE_DOCS"):
        before, after = text.split(BEGIN)[0], text.split(END)[1]
        DOCS.write_text(before + table + after, encoding="utf-8")
        return
    assert table in text, "run: LONGPOINT_WRITE_DOCS=1 pytest -k docs_table"


@pytest.mark.parametrize("case", [0, 1, 2])
def test_what_the_referee_refuses_is_replaced_and_told(case: int) -> None:
    asked, harms = CASES[case]
    problem = asked()
    for name, harm in list(harms.items())[:3]:
        plan = plan_boards(problem, search=lambda problem, harm=harm: harm(plan_boards(problem)))
        assert check_board_plan(problem, plan) == (), name
        assert plan.refereed is not None
        assert not plan.refereed.passed
        assert plan.refereed.instead in ("claims-dropped", "by-hand")
        assert plan.refereed.case
        assert any(caution.code == "referee-refused" for caution in plan.cautions)
