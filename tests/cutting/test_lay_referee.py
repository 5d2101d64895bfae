"""Faults planted in lays, bounds, evidence, cuts, rolls and flaws: the referees catch each.

The list of kinds stands in the theory page of cloth lays, with what the referees do not look at.
"""

import json
import sys
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

import numpy as np
import pytest

from longpoint.cli.entry import main
from longpoint.cutting.cloth.case import problem_of_case
from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.confirm import confirm_cloth
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.cutting.lay.evidence import Columns, Evidence, PieceWorth
from longpoint.cutting.lay.list import read_lay_list
from longpoint.cutting.lay.problem import LayPiece, LayProblem
from longpoint.cutting.lay.referee.certain import Rectangle, Strip, least_length
from longpoint.cutting.lay.referee.check import check_lay, confirm_lay
from longpoint.cutting.lay.referee.check_bound import certain_length
from longpoint.cutting.lay.referee.every_cut import EveryCut
from longpoint.cutting.lay.referee.listing import Listing
from longpoint.cutting.lay.solve import solve_ground, solve_strip
from longpoint.cutting.lay.strip import lay_pieces

MM = 10**6

# Two of 1360 × 960 side by side turned, the rest beside and behind: 2680 mm, and only a listing proves it.
LAY = LayProblem(
    (LayPiece("a", 1360, 960, 2, True), LayPiece("b", 760, 560, 3, True), LayPiece("c", 930, 660, 2)), 2100
)
# Proven by worths: six of 1100 × 700 lie one behind the other on a roll of 2100, though the area asks for less.
ROWS = LayProblem((LayPiece("a", 1100, 700, 6), LayPiece("b", 900, 300, 2)), 2100)
CLOTH = ClothProblem(
    (ClothPiece("p", 800, 600, 2, True), ClothPiece("q", 500, 900), ClothPiece("r", 2300, 700, may_seam=True)),
    (
        ClothRoll("wide", 2100, price=Decimal("14.50"), step=100, selvedge=10, square_up=30,
                  flaws=(Flaw(200, 260, 300, 420, "slub"),)),
        ClothRoll("rest", 1300, 1500, at_hand=True, worth=Decimal(4), shortest_kept=400),
    ),
    allowance=5,
)  # fmt: skip


@pytest.fixture(scope="module")
def lay():
    return lay_pieces(LAY, effort=500)


@pytest.fixture(scope="module")
def cloth():
    return plan_cloth(CLOTH, effort=2000)


def with_laid(plan, at, **changes):
    laid = list(plan.laid)
    laid[at] = replace(laid[at], **changes)
    return replace(plan, laid=tuple(laid))


PLANTED_IN_LAYS = {
    "a piece left out": lambda p: replace(p, laid=p.laid[1:]),
    "a piece laid twice": lambda p: replace(p, laid=(*p.laid, p.laid[0])),
    "a piece a millimetre smaller": lambda p: with_laid(p, 0, across=p.laid[0].across - MM),
    "a piece pushed over its neighbour": lambda p: with_laid(p, 1, x=p.laid[1].x - MM),
    "a piece over the edge": lambda p: with_laid(p, 0, x=-1),
    "a piece turned that may not be": lambda p: with_laid(
        p, [e.piece for e in p.laid].index(2), across=660 * MM, along=930 * MM, turned=True
    ),
    "a length that is too short": lambda p: replace(p, length=p.length - MM),
    "a bound above the length": lambda p: replace(p, at_least=p.length + MM),
}


@pytest.mark.parametrize("kind", PLANTED_IN_LAYS)
def test_a_fault_planted_in_a_lay_is_caught(lay, kind):
    assert check_lay(LAY, lay) == []
    assert check_lay(LAY, PLANTED_IN_LAYS[kind](lay)) != []


def first(cuts, **changes):
    return (replace(cuts[0], **changes), *cuts[1:])


def last_use(plan, **changes):
    return replace(plan, uses=(*plan.uses[:-1], replace(plan.uses[-1], **changes)))


PLANTED_IN_CLOTH = {
    "a piece on the flaw": lambda p: with_laid(p, 0, x=250.0, y=150.0),
    "a piece on the selvedge": lambda p: with_laid(p, 0, x=0.0),
    "a piece before the squared end": lambda p: with_laid(p, 0, y=0.0),
    "a piece on another roll": lambda p: with_laid(p, 0, roll="rest" if p.laid[0].roll == "wide" else "wide"),
    "a piece on a roll that is not there": lambda p: with_laid(p, 0, roll="another"),
    "a breadth too narrow for its seam": lambda p: replace(
        p, sewn=(replace(p.sewn[0], breadths=(p.sewn[0].breadths[0] - 1, *p.sewn[0].breadths[1:])),)
    ),
    "a cut left out": lambda p: replace(p, cuts=p.cuts[1:]),
    "a cut through a piece": lambda p: replace(p, cuts=first(p.cuts, at=p.cuts[0].at + 50)),
    "cuts in another order": lambda p: replace(p, cuts=p.cuts[::-1]),
    "a cut that frees another piece": lambda p: replace(p, cuts=first(p.cuts, frees=("p 1",))),
    "a measure from the wrong edge": lambda p: replace(p, cuts=first(p.cuts, measure=p.cuts[0].measure + 10)),
    "a roll used less than its pieces reach": lambda p: last_use(p, used=p.uses[-1].used - 10),
    "less paid than bought": lambda p: replace(
        last_use(p, cost=p.uses[-1].cost - Decimal("0.50")), cost=p.cost - Decimal("0.50")
    ),
    "a cost that is not the sum": lambda p: replace(p, cost=p.cost - Decimal("0.02")),
    "a remnant that is not there": lambda p: last_use(p, remains=99.0),
}


@pytest.mark.slow
@pytest.mark.parametrize("kind", PLANTED_IN_CLOTH)
def test_a_fault_planted_in_a_cloth_plan_is_caught(cloth, kind):
    assert check_cloth_plan(CLOTH, cloth) == ()
    assert check_cloth_plan(CLOTH, PLANTED_IN_CLOTH[kind](cloth)) != ()


def test_what_a_lay_claims_is_confirmed_by_a_listing_of_its_own(lay):
    assert lay.length == lay.at_least == 2680 * MM
    assert lay.bound_by == "listing"
    assert lay.refereed.passed


@pytest.mark.parametrize("less", [1, 40, 200])
def test_a_longer_lay_that_claims_to_be_shortest_is_refused_the_claim(lay, less):
    worse = replace(lay, length=lay.length + less * MM, at_least=lay.length + less * MM)
    told = confirm_lay(LAY, worse)
    assert told.at_least <= lay.length
    assert not told.proven
    assert "only" in told.refereed.faults[0].what


def test_a_bound_by_worths_falls_with_them():
    plan = lay_pieces(ROWS, effort=200)
    assert plan.proven
    assert plan.bound_by == "arithmetic"
    (worths,) = plan.evidence.worths
    for planted in (
        Evidence(),
        Evidence((tuple(replace(worth, worth=1) for worth in worths),)),
        Evidence((tuple(replace(worth, along=worth.along + 1) for worth in worths),)),
    ):
        free = replace(ROWS, any_cut=True)  # else the listing would prove it without any worths
        told = confirm_lay(free, replace(plan, evidence=planted))
        assert told.at_least < plan.at_least
        assert told.refereed.instead == "claims-dropped"
        assert not told.proven


def test_worths_of_any_size_never_prove_more_than_the_truth(lay):
    (worths,) = lay.evidence.worths
    for one in worths:
        for factor in (0, 3, 10**9):
            planted = tuple(
                replace(each, worth=each.worth * factor) if each is one else each for each in worths
            )
            evidence = Evidence((planted,), Columns(5000 * MM, planted))
            told = confirm_lay(replace(LAY, any_cut=True), replace(lay, evidence=evidence))
            assert told.at_least <= lay.length


@pytest.mark.slow
def test_what_cloth_claims_is_confirmed_and_a_claim_too_high_is_not(cloth):
    assert cloth.proven
    assert cloth.bound_by in ("shares", "every cut")
    dearer = cloth.cost + Decimal(3)
    told = confirm_cloth(CLOTH, replace(cloth, cost=dearer, at_least=dearer, proven=True, gap=0.0))
    assert not told.proven
    assert told.at_least <= cloth.cost
    assert told.gap > 0
    assert told.refereed.instead == "claims-dropped"


@pytest.mark.slow
def test_a_flaw_that_is_not_stated_cannot_carry_a_bound(cloth):
    # The same plan claimed for a roll without its flaw, and for one that is cheaper.
    rolls = (replace(CLOTH.rolls[0], flaws=(), price=Decimal(9)), CLOTH.rolls[1])
    least = plan_cloth(replace(CLOTH, rolls=rolls), effort=2000)
    told = confirm_cloth(replace(CLOTH, rolls=rolls), cloth)
    assert told.at_least <= least.cost


def brute(pieces, width):
    """Boxes of every subset, by recursion (as in the oracles of lays)."""
    known = {}

    def of(chosen):
        if chosen not in known:
            if len(chosen) == 1:
                w, h, turn = pieces[chosen[0]]
                known[chosen] = {(w, h)} | ({(h, w)} if turn else set())
            else:
                known[chosen] = {
                    box
                    for size in range(1, len(chosen))
                    for some in combinations(chosen, size)
                    for w, h in of(some)
                    for v, k in of(tuple(each for each in chosen if each not in some))
                    for box in ((w + v, max(h, k)), (max(w, v), h + k))
                }
        return known[chosen]

    return min(h for w, h in of(tuple(range(len(pieces)))) if w <= width)


@pytest.mark.parametrize("seed", range(8))
def test_listing_and_every_cut_say_what_brute_force_says(seed):
    rng = np.random.default_rng(seed)
    width = int(rng.integers(9, 24))
    pieces = [
        (int(rng.integers(2, width)), int(rng.integers(2, width)), bool(rng.integers(0, 2))) for _ in range(4)
    ]
    least = brute(pieces, width)
    wanted = [Rectangle(w, h, 1, turn) for w, h, turn in pieces]
    area = sum(w * h for w, h, _ in pieces)
    for trial, there in ((least, True), (least - 1, False)):
        listing = Listing(wanted, crossways=False, work=10**9)
        assert listing.make(width, trial, width * trial - area, close=True)
        assert (listing.shortest([1] * 4, width, trial) is not None) == there
    assert EveryCut(wanted, Strip(width), work=10**6).shortest((1, 1, 1, 1)) == least
    assert least_length(wanted, Strip(width), Evidence(), 1) <= least


def test_a_listing_without_work_confirms_nothing(monkeypatch):
    wanted = [
        Rectangle(w * MM, h * MM, n, t)
        for w, h, n, t in ((1360, 960, 2, True), (760, 560, 3, True), (930, 660, 2, False))
    ]
    claim = {"claimed": 2680 * MM, "straight": True}
    assert certain_length(wanted, Strip(2100 * MM), Evidence(), **claim).by == "listing"
    monkeypatch.setattr("longpoint.cutting.lay.referee.check_bound.PAIRS", 10)
    told = certain_length(wanted, Strip(2100 * MM), Evidence(), **claim)
    assert told.length < 2680 * MM
    assert not told.is_refuted  # nothing is wrong, it only is not certain


def test_columns_are_confirmed_in_whole_numbers():
    wanted = [Rectangle(5, 4, 4, False)]
    # On a roll of 9 one 5 lies across; two lengths of 8 hold two columns of 5 = 10 > 9, so 8 is not enough.
    planted = Evidence((), Columns(8, (PieceWorth(5, 4, False, 5),)))
    assert least_length(wanted, Strip(9), planted, 1) >= 9
    assert least_length(wanted, Strip(10), planted, 1) == 8


def overlapping(solve):
    """The search with its last two pieces at one place, and a bound that is as high as the lay."""

    def spoiled(ground, **rest):
        puts, bound, evidence = solve(ground, **rest)
        moved = replace(puts[-1], x=puts[-2].x, y=puts[-2].y)
        return (*puts[:-1], moved), max(bound, ground.used(puts)[0]), evidence

    return spoiled


def test_a_wrong_lay_is_never_shown_rows_are_taken_and_the_list_is_kept(monkeypatch, tmp_path, capsys):
    monkeypatch.setattr("longpoint.cutting.lay.strip.solve_strip", overlapping(solve_strip))
    plan = lay_pieces(LAY, effort=200)
    assert check_lay(LAY, plan) == []
    assert "overlap" in plan.refereed.faults[0].what
    assert plan.refereed.instead == "by-hand"
    assert not plan.proven
    assert plan.at_least <= 2680 * MM <= plan.length
    again, _ = read_lay_list(json.loads(plan.refereed.case))
    assert [(p.across, p.along, p.count, p.may_turn) for p in again.pieces] == [
        (p.across, p.along, p.count, p.may_turn) for p in LAY.pieces
    ]
    file = tmp_path / "list.json"
    file.write_text(plan.refereed.case)
    monkeypatch.chdir(tmp_path)
    for name in ("lay-case.json", "lay-case-2.json"):
        monkeypatch.setattr(sys, "argv", ["longpoint", "lay", str(file)])
        with suppress(SystemExit):
            main()
        assert (tmp_path / name).read_text() == plan.refereed.case
    told = capsys.readouterr()
    assert "fault of this program" in told.err
    assert "proven" not in told.out


@pytest.mark.slow
def test_a_wrong_lay_on_rolls_is_replaced_by_rows_round_the_flaws(monkeypatch, cloth):
    def spoiled(ground, **rest):
        found = solve_ground(ground, **rest)
        return replace(found, puts=tuple(replace(put, x=0, y=0) for put in found.puts))

    monkeypatch.setattr("longpoint.cutting.cloth.search.solve_ground", spoiled)
    plan = plan_cloth(CLOTH, effort=200)
    assert check_cloth_plan(CLOTH, plan) == ()
    assert plan.refereed.instead == "by-hand"
    assert any(caution.code == "referee-refused" for caution in plan.cautions)
    assert plan.at_least <= cloth.cost <= plan.cost
    assert problem_of_case(plan.refereed.case) == CLOTH
