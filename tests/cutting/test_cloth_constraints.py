"""Every rule of rolls at once against a constraint solver that knows nothing of the search.

Up to three rectangles can always be parted by straight cuts; four can unless they lie as a pinwheel round an empty
middle. In none of these draws is a pinwheel the cheapest, so the solver's free places give the very cost of straight
cuts: were one cheaper, the test would say so. Everything is in whole tens
of millimetres and prices are whole cents for each of them, so that nothing is rounded here.
"""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth

APART = 1000  # tens of mm between the left edges of two rolls on the solver's floor
TOP = 900  # tens of mm: no lay here is longer


def rectangles(problem):
    """Across, along the warp and whether it may turn; wide pieces as one full breadth and a strip, as by hand."""
    edge = int(problem.allowance)
    seam = int(problem.seam_allowance)
    usable = max(int(roll.width) - 2 * int(roll.selvedge) for roll in problem.rolls)
    found = []
    for piece in problem.pieces:
        across, along = int(piece.across_warp), int(piece.along_warp) + 2 * edge
        for _ in range(piece.count):
            if piece.may_seam and across + 2 * edge > usable:
                full = usable - edge - seam  # finished width of the full breadth
                assert across - full <= across // 3, "the strip must keep the seam out of the middle third"
                found += [(usable, along, False), (across - full + seam + edge, along, False)]
            else:
                found.append((across + 2 * edge, along, piece.may_turn))
    return found


def cheapest(problem):
    """Least cost in cents, by a constraint solver."""
    cp = pytest.importorskip("ortools.sat.python.cp_model")
    model = cp.CpModel()
    across_floor, along_floor = [], []
    used, cost, spots = [], [], []
    for r, roll in enumerate(problem.rolls):
        # From the free end; 0 where the roll is not touched.
        end = TOP if roll.length is None else int(roll.length) // 10
        length = model.new_int_var(0, end, f"used {r}")
        touched = model.new_bool_var(f"touched {r}")
        model.add(length >= 1).only_enforce_if(touched)
        model.add(length == 0).only_enforce_if(touched.Not())
        used.append(length)
        cents = int(Decimal(100) * (roll.worth if roll.at_hand else roll.price) / 100)  # for ten millimetres
        if roll.at_hand:
            kept = model.new_bool_var(f"kept {r}")
            model.add(end - length >= -(-int(roll.shortest_kept) // 10)).only_enforce_if(kept)
            lost = model.new_int_var(0, end, f"lost {r}")
            model.add(lost >= length).only_enforce_if(kept)
            model.add(lost == end).only_enforce_if([touched, kept.Not()])
            cost.append(lost * cents)
        else:
            step = max(1, int(roll.step) // 10)
            steps = model.new_int_var(0, TOP, f"steps {r}")
            model.add(steps * step >= length)
            cost.append(steps * step * cents)
        for flaw in roll.flaws:
            left, right = int(flaw.x_from) // 10, int(roll.width if flaw.x_to is None else flaw.x_to) // 10
            near, far = int(flaw.y_from) // 10, int(flaw.y_to) // 10
            spots.append((
                model.new_fixed_size_interval_var(r * APART + left, right - left, f"fx{r}"),
                model.new_fixed_size_interval_var(near, far - near, f"fy{r}"),
            ))  # fmt: skip
    for k, (across, along, may_turn) in enumerate(rectangles(problem)):
        ways = []
        for r, roll in enumerate(problem.rolls):
            for turned in (False, True) if may_turn else (False,):
                w, h = (along, across) if turned == roll.warp_along else (across, along)
                w, h = w // 10, h // 10
                lies = model.new_bool_var(f"lies {k} {r} {turned}")
                edge, near = int(roll.selvedge) // 10, int(roll.square_up) // 10
                room = int(roll.width) // 10 - edge - w
                if room < edge:
                    model.add(lies == 0)
                    ways.append(lies)
                    continue
                x = model.new_int_var(r * APART + edge, r * APART + room, f"x{k}{r}{turned}")
                y = model.new_int_var(near, TOP, f"y{k}{r}{turned}")
                across_floor.append(
                    model.new_optional_fixed_size_interval_var(x, w, lies, f"i{k}{r}{turned}")
                )
                along_floor.append(model.new_optional_fixed_size_interval_var(y, h, lies, f"j{k}{r}{turned}"))
                model.add(y + h <= used[r]).only_enforce_if(lies)
                ways.append(lies)
        model.add_exactly_one(ways)
    model.add_no_overlap_2d(across_floor, along_floor)
    for across_spot, along_spot in spots:  # one by one: flaws may overlap each other
        model.add_no_overlap_2d([*across_floor, across_spot], [*along_floor, along_spot])
    model.minimize(sum(cost))
    solver = cp.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 60
    status = solver.solve(model)
    if status == cp.INFEASIBLE:
        return None
    assert status == cp.OPTIMAL
    return int(solver.objective_value)


def drawn(seed):
    """A wide new roll in steps of the shop, a narrow one, and a remnant at hand whose warp may run across it."""
    rng = np.random.default_rng(4100 + seed)

    def tens(low, high):
        return 10.0 * int(rng.integers(low, high))

    def flaws(width, length=200):
        found = []
        for _ in range(int(rng.integers(1, 4))):
            x, y = tens(0, width // 10 - 5), tens(0, length)
            left = 0.0 if rng.integers(0, 3) == 0 else x
            right = None if left == 0.0 else min(float(width), x + tens(2, 30))
            found.append(Flaw(y, y + tens(2, 12), left, right))
        return tuple(found)

    rolls = (
        ClothRoll(
            "wide", 1900, price=Decimal(int(rng.integers(14, 24))), step=float(rng.choice([100, 250])),
            selvedge=10, square_up=20, flaws=flaws(1900),
        ),
        ClothRoll("narrow", 1310, price=Decimal(int(rng.integers(9, 17))), flaws=flaws(1310) if seed % 2 else ()),
        ClothRoll(
            "rest", tens(80, 150), tens(110, 260), at_hand=True, worth=Decimal(int(rng.integers(3, 13))),
            shortest_kept=400, warp_along=bool(seed % 3), right_side="down", flaws=flaws(800, 90),
        ),
    )  # fmt: skip
    pieces = [
        ClothPiece(f"p{k}", tens(35, 150), tens(35, 150), 1, bool(rng.integers(0, 2)))
        for k in range(2 if seed % 4 == 0 else 3)
    ]
    if seed % 4 == 0:
        # 1880 usable, 1861 finished in the full breadth: the strip of 189 to 449 keeps the seam off the middle third.
        pieces.append(ClothPiece("wide one", tens(205, 232), tens(60, 120), may_seam=True))
    else:
        pieces.append(ClothPiece("q", tens(60, 150), tens(60, 150)))
    return ClothProblem(tuple(pieces), rolls, allowance=5, seam_allowance=15)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(8))
def test_all_rules_of_rolls_together_cost_what_a_constraint_solver_says(seed) -> None:
    problem = drawn(seed)
    plan = plan_cloth(problem, effort=1500)
    assert check_cloth_plan(problem, plan) == ()
    assert int(plan.cost * 100) == cheapest(problem)
    assert plan.proven
    assert plan.at_least == plan.cost


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 5])
def test_without_prices_the_length_over_all_rolls_is_the_least(seed) -> None:
    stated = drawn(seed)
    free = tuple(
        replace(roll, price=Decimal(0), worth=Decimal(0), at_hand=False, step=0.0, shortest_kept=0.0)
        for roll in stated.rolls
    )
    problem = replace(stated, rolls=free)
    plan = plan_cloth(problem, effort=1500)
    assert check_cloth_plan(problem, plan) == ()
    metres = replace(stated, rolls=tuple(replace(roll, price=Decimal(10)) for roll in free))
    assert plan.used == cheapest(metres)  # a cent for every millimetre
    assert plan.proven
