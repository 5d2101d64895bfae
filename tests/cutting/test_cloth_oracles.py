"""Several rolls, limits and flaws against brute force.

Several rolls: every way to give the pieces to the rolls; on each roll the shortest lay from the boxes that straight
cuts make (all subsets); the costs added in decimals. Flaws: every straight cut through every sheet of a small roll,
and every way to give the pieces to the two halves.
"""

from decimal import Decimal
from functools import cache
from itertools import combinations, product

import numpy as np
import pytest

from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.cutting.lay.exact.flawed import prove_round_flaws
from longpoint.cutting.lay.ground import Ground, Stock, Want


def boxes(pieces):
    @cache
    def of(chosen):
        if len(chosen) == 1:
            across, along, turn = pieces[chosen[0]]
            return frozenset([(across, along)] + ([(along, across)] if turn else []))
        found = set()
        for size in range(1, len(chosen)):
            for some in combinations(chosen, size):
                rest = tuple(each for each in chosen if each not in some)
                for (w, h), (v, k) in product(of(some), of(rest)):
                    found |= {(w + v, max(h, k)), (max(w, v), h + k)}
        return frozenset(
            one for one in found if not any(o != one and o[0] <= one[0] and o[1] <= one[1] for o in found)
        )

    return of


def cost_of(roll, used):
    """What a length of a roll costs, in exact decimals of a cent."""
    used, cent = Decimal(used), Decimal("0.01")
    if roll.at_hand:
        left = Decimal(int(roll.length)) - used
        kept = roll.worth * left / 1000 if left > 0 and left >= Decimal(roll.shortest_kept) else Decimal(0)
        return (roll.worth * Decimal(int(roll.length)) / 1000).quantize(cent) - kept.quantize(cent)
    step = int(roll.step)
    bought = Decimal(-(-int(used) // step) * step) if step else used
    return (roll.price * bought / 1000).quantize(cent)


def cheapest(pieces, rolls):
    of = boxes(tuple(pieces))
    best = None
    for given in product(range(len(rolls)), repeat=len(pieces)):
        total = Decimal(0)
        for at, roll in enumerate(rolls):
            mine = tuple(k for k, where in enumerate(given) if where == at)
            if not mine:
                continue
            lengths = [h for w, h in of(mine) if w <= roll.width]
            if not lengths or (roll.length is not None and min(lengths) > roll.length):
                break
            total += cost_of(roll, min(lengths))
        else:
            best = total if best is None else min(best, total)
    return best


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(10))
def test_several_rolls_cost_what_brute_force_says(seed):
    rng = np.random.default_rng(300 + seed)
    pieces = [
        (int(rng.integers(300, 1400)), int(rng.integers(300, 1400)), bool(rng.integers(0, 2)))
        for _ in range(5)
    ]
    rolls = [
        ClothRoll("new", 1500, price=Decimal(int(rng.integers(9, 20))), step=float(rng.choice([0, 100]))),
        ClothRoll("wide", 2100, price=Decimal(int(rng.integers(14, 28)))),
        ClothRoll(
            "rest", int(rng.integers(900, 1700)), float(rng.integers(1000, 3000)), at_hand=True,
            worth=Decimal(int(rng.integers(2, 15))), shortest_kept=500,
        ),
    ]  # fmt: skip
    problem = ClothProblem(
        tuple(ClothPiece(f"p{k}", w, h, 1, t) for k, (w, h, t) in enumerate(pieces)), tuple(rolls)
    )
    plan = plan_cloth(problem, effort=4000)
    assert check_cloth_plan(problem, plan) == ()
    best = cheapest(pieces, rolls)
    assert plan.cost == plan.at_least == best
    assert plan.proven


def with_flaws(pieces, width, length, flaws):
    """Whether straight cuts give all pieces from a small roll with flaws, trying every cut."""

    def clean(x, y, w, h):
        return not any(a < x + w and x < c and b < y + h and y < d for a, b, c, d in flaws)

    @cache
    def gives(x0, y0, x1, y1, chosen):
        if not chosen:
            return True
        if sum(pieces[k][0] * pieces[k][1] for k in chosen) > (x1 - x0) * (y1 - y0):
            return False
        if len(chosen) == 1:
            w, h, turn = pieces[chosen[0]]
            return any(
                clean(x, y, a, b)
                for a, b in ([(w, h), (h, w)] if turn else [(w, h)])
                for x in range(x0, x1 - a + 1)
                for y in range(y0, y1 - b + 1)
            )
        for size in range(1, len(chosen)):
            for some in combinations(chosen, size):
                rest = tuple(each for each in chosen if each not in some)
                for y in range(y0 + 1, y1):
                    if gives(x0, y0, x1, y, some) and gives(x0, y, x1, y1, rest):
                        return True
                for x in range(x0 + 1, x1):
                    if gives(x0, y0, x, y1, some) and gives(x, y0, x1, y1, rest):
                        return True
        return False

    return gives(0, 0, width, length, tuple(range(len(pieces))))


def flawed_problem(seed):
    rng = np.random.default_rng(500 + seed)
    pieces = [(int(rng.integers(2, 8)), int(rng.integers(2, 7)), bool(rng.integers(0, 2))) for _ in range(3)]
    flaws = []
    for _ in range(2):
        x, y = int(rng.integers(0, 9)), int(rng.integers(0, 8))
        flaws.append((x, y, min(10, x + int(rng.integers(1, 3))), y + 1))
    return pieces, flaws


@pytest.mark.slow
def test_lays_round_flaws_are_as_short_as_brute_force_finds_and_proven() -> None:
    for seed in range(24):
        pieces, flaws = flawed_problem(seed)
        rolls = (ClothRoll("r", 10, flaws=tuple(Flaw(b, d, a, c) for a, b, c, d in flaws)),)
        wanted = tuple(ClothPiece(f"p{k}", w, h, 1, t) for k, (w, h, t) in enumerate(pieces))
        problem = ClothProblem(wanted, rolls)
        plan = plan_cloth(problem, effort=1000)
        assert check_cloth_plan(problem, plan) == ()
        best = next(length for length in range(1, 60) if with_flaws(tuple(pieces), 10, length, tuple(flaws)))
        assert plan.used == plan.used_at_least == best
        assert plan.proven


def cheapest_round_flaws(pieces, rolls, flaws):
    """Every way to give the pieces to the rolls, each roll as short as brute force can lay it."""
    best = None
    for given in product(range(len(rolls)), repeat=len(pieces)):
        total = Decimal(0)
        for at, roll in enumerate(rolls):
            mine = tuple(pieces[k] for k, where in enumerate(given) if where == at)
            if not mine:
                continue
            lengths = range(1, 40 if roll.length is None else int(roll.length) + 1)
            used = next((n for n in lengths if with_flaws(mine, int(roll.width), n, flaws[at])), None)
            if used is None:
                break
            total += cost_of(roll, used)
        else:
            best = total if best is None else min(best, total)
    return best


@pytest.mark.slow
def test_several_rolls_with_flaws_cost_what_brute_force_says() -> None:
    for seed in range(8):
        rng = np.random.default_rng(700 + seed)
        pieces = [
            (int(rng.integers(2, 8)), int(rng.integers(2, 7)), bool(rng.integers(0, 2))) for _ in range(4)
        ]
        spots = []
        rest = float(rng.integers(6, 14))
        for width in (10, 8):
            mine = []
            for _ in range(2):
                x, y = int(rng.integers(0, width - 1)), int(rng.integers(0, 6))
                mine.append((x, y, min(width, x + int(rng.integers(1, 3))), y + 1))
            spots.append(tuple(mine))
        new, old = (tuple(Flaw(b, d, a, c) for a, b, c, d in mine) for mine in spots)
        rolls = (
            ClothRoll("new", 10, price=Decimal(1700), flaws=new),
            ClothRoll("rest", 8, rest, at_hand=True, worth=Decimal(int(rng.integers(300, 1500))), flaws=old),
        )
        wanted = tuple(ClothPiece(f"p{k}", w, h, 1, t) for k, (w, h, t) in enumerate(pieces))
        problem = ClothProblem(wanted, rolls)
        plan = plan_cloth(problem, effort=2000)
        assert check_cloth_plan(problem, plan) == ()
        best = cheapest_round_flaws(pieces, rolls, tuple(spots))
        assert plan.cost == plan.at_least == best
        assert plan.proven


def test_the_bound_round_flaws_rises_with_them_and_never_above_what_can_be_had() -> None:
    # Three strips right across leave 700, 500 and 400 mm before 1800: a piece of 450 × 1600 goes behind all of them.
    bands = (Flaw(700, 720), Flaw(1220, 1300), Flaw(1700, 1800))
    clean = plan_cloth(ClothProblem((ClothPiece("p", 1600, 450, 4),), (ClothRoll("r", 2100),)), effort=50)
    flawed = plan_cloth(
        ClothProblem((ClothPiece("p", 1600, 450, 4),), (ClothRoll("r", 2100, flaws=bands),)), effort=50
    )
    assert clean.used == 1800
    # One before 700, one in 720 to 1220, none in 1300 to 1700 (400 mm), two behind 1800: 1800 + 900.
    assert flawed.used == flawed.used_at_least == 2700
    assert flawed.proven


@pytest.mark.slow
def test_many_pieces_are_mixed_between_the_flaws_of_a_roll() -> None:
    rng = np.random.default_rng(41)
    pieces = tuple(
        ClothPiece(f"p{k}", int(rng.integers(40, 190)) * 10, int(rng.integers(30, 150)) * 10, 2)
        for k in range(12)
    )
    bands = tuple(Flaw(y, y + 60) for y in (2310, 5730, 9170))
    problem = ClothProblem(pieces, (ClothRoll("r", 2100, flaws=bands),))
    plan = plan_cloth(problem, effort=800)
    assert check_cloth_plan(problem, plan) == ()
    assert plan.gap < 0.08
    assert plan == plan_cloth(problem, effort=800)


def test_cuts_behind_a_flaw_are_tried_where_only_they_part_the_pieces() -> None:
    # A band right across the free end, 3 long; 50, 41 and 23 long behind it, each as wide as the roll: 117.
    wants = (Want(10, 50, 1, False), Want(10, 41, 1, False), Want(10, 23, 1, False))
    ground = Ground(wants, (Stock(10, blocked=((0, 0, 10, 3),)),))
    proof = prove_round_flaws(ground, at_least=1, length=200, work=10**6)
    assert proof.at_least == 3 + 50 + 41 + 23
    assert proof.puts is not None
    assert min(put.y for put in proof.puts) == 3
