"""Lays on one roll against brute force, a constraint solver, and published optima.

Brute force for straight cuts: the smallest boxes into which every subset of the pieces can be cut, by recursion over
subsets, nothing thrown out but what is beaten both ways. Published: straight-cut optima, any number of stages, of
instances in ``tests/published`` (its README says whose they are).
"""

import json
from collections import Counter
from functools import cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longpoint.cutting.lay.exact.bound import area_length, column_length, least_length, next_sum
from longpoint.cutting.lay.exact.shortest import prove
from longpoint.cutting.lay.exact.slices import Bar, Reel, proof
from longpoint.cutting.lay.ground import Ground, Stock, Want
from longpoint.cutting.lay.problem import LayPiece, LayProblem
from longpoint.cutting.lay.referee.check import check_lay
from longpoint.cutting.lay.solve import solve_strip
from longpoint.cutting.lay.strip import lay_pieces

INSTANCES = Path(__file__).resolve().parents[1] / "published" / "strip-2d.json"


def boxes(pieces):
    """For every subset of pieces (across, along, may turn) the boxes it can be cut from, none beaten both ways."""

    @cache
    def of(chosen):
        if len(chosen) == 1:
            across, along, turn = pieces[chosen[0]]
            return [(across, along)] + ([(along, across)] if turn else [])
        found = set()
        for size in range(1, len(chosen)):
            for some in combinations(chosen, size):
                rest = tuple(each for each in chosen if each not in some)
                for w, h in of(some):
                    for v, k in of(rest):
                        found.add((w + v, max(h, k)))
                        found.add((max(w, v), h + k))
        return [
            one for one in found if not any(o != one and o[0] <= one[0] and o[1] <= one[1] for o in found)
        ]

    return of


def shortest(pieces, width):
    return min(h for w, h in boxes(tuple(pieces))(tuple(range(len(pieces)))) if w <= width)


def ground_of(pieces, width):
    return Ground(tuple(Want(w, h, n, t) for (w, h, t), n in Counter(pieces).items()), (Stock(width),))


def random_pieces(rng, count, width):
    return [
        (int(rng.integers(2, width)), int(rng.integers(2, width)), bool(rng.integers(0, 2)))
        for _ in range(count)
    ]


@pytest.mark.parametrize("seed", range(12))
def test_straight_cuts_are_proven_shortest_as_brute_force_says(seed):
    rng = np.random.default_rng(seed)
    width = int(rng.integers(9, 31))
    pieces = random_pieces(rng, 5, width)
    ground = ground_of(pieces, width)
    puts, bound, _ = solve_strip(ground, effort=300, any_cut=False)
    assert ground.used(puts)[0] == bound == shortest(pieces, width)


@pytest.mark.parametrize("seed", range(12))
def test_blocks_alone_prove_what_brute_force_says(seed):
    rng = np.random.default_rng(100 + seed)
    width = int(rng.integers(9, 31))
    pieces = random_pieces(rng, 5, width)
    ground = ground_of(pieces, width)
    best = shortest(pieces, width)
    found = prove(ground, at_least=1, length=best + 7, work=10**8)
    assert found.puts is not None
    assert ground.used(found.puts)[0] == found.at_least == best
    closed = prove(ground, at_least=1, length=best, work=10**8)
    assert (closed.puts, closed.at_least) == (None, best)


def test_a_proof_that_runs_out_of_work_claims_no_more_than_it_showed():
    rng = np.random.default_rng(7)
    pieces = random_pieces(rng, 7, 23)
    ground = ground_of(pieces, 23)
    best = prove(ground, at_least=1, length=500, work=10**8).at_least
    for work in (1, 30, 300, 3000):
        assert prove(ground, at_least=area_length(ground), length=best + 3, work=work).at_least <= best


def free_optimum(pieces, width, top):
    """The least length without regard to straight cuts, by a constraint solver."""
    cp = pytest.importorskip("ortools.sat.python.cp_model")
    model = cp.CpModel()
    length = model.new_int_var(1, top, "length")
    across, along = [], []
    for at, (w, h, turn) in enumerate(pieces):
        ways = [(w, h), (h, w)] if turn else [(w, h)]
        picked = [model.new_bool_var(f"{at} {way}") for way in range(len(ways))]
        model.add_exactly_one(picked)
        x, y = model.new_int_var(0, width, f"x{at}"), model.new_int_var(0, top, f"y{at}")
        for way, (a, b) in zip(picked, ways, strict=True):
            model.add(x + a <= width).only_enforce_if(way)
            model.add(y + b <= length).only_enforce_if(way)
        sizes = [sum(way * size[side] for way, size in zip(picked, ways, strict=True)) for side in (0, 1)]
        for side, (start, into) in enumerate(((x, across), (y, along))):
            end = model.new_int_var(0, width + top, f"e{at} {side}")
            size = model.new_int_var(0, width + top, f"s{at} {side}")
            model.add(size == sizes[side])
            into.append(model.new_interval_var(start, size, end, f"i{at} {side}"))
    model.add_no_overlap_2d(across, along)
    model.minimize(length)
    solver = cp.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = 20
    assert solver.solve(model) == cp.OPTIMAL
    return int(solver.objective_value)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
def test_cuts_of_any_shape_lie_between_bound_and_a_constraint_solvers_optimum(seed):
    rng = np.random.default_rng(200 + seed)
    width = int(rng.integers(9, 21))
    pieces = random_pieces(rng, 6, width)
    ground = ground_of(pieces, width)
    puts, bound, _ = solve_strip(ground, effort=300, any_cut=True)
    length = ground.used(puts)[0]
    optimum = free_optimum(pieces, width, length)
    assert bound <= optimum <= length
    assert length == optimum  # the walk finds it on instances this small


@given(
    width=st.integers(7, 40),
    sizes=st.lists(st.tuples(st.integers(1, 40), st.integers(1, 40), st.booleans()), min_size=1, max_size=4),
)
@settings(max_examples=40, deadline=None)
def test_bounds_never_exceed_the_brute_force_optimum(width, sizes):
    pieces = [(min(w, width), h, turn) for w, h, turn in sizes]
    ground = ground_of(pieces, width)
    best = shortest(pieces, width)
    assert area_length(ground) <= least_length(ground)[0] <= best
    assert column_length(ground, at_least=1, length=best + 50)[0] <= best


@given(worths=st.lists(st.integers(0, 10**6), min_size=3, max_size=3))
@settings(max_examples=60, deadline=None)
def test_any_worths_whatever_prove_only_what_is_true(worths):
    # 7 × 5 and 3 × 11 go side by side on a roll of 10, 6 × 4 may be turned beside nothing: brute force says how long.
    pieces = [(7, 5, False), (6, 4, True), (3, 11, False)]
    bars = (Bar(0, 7, 5, 1), Bar(1, 6, 4, 1), Bar(1, 4, 6, 1), Bar(2, 3, 11, 1))
    assert proof([1, 1, 1], [Reel(10, 1 << 60, 1, bars)], worths) <= shortest(pieces, 10)


def test_a_piece_that_may_be_turned_proves_no_more_than_its_cheaper_way():
    # Alone on a roll of 10 an 8 × 3 takes 3, turned 8: no worth may prove more than 3.
    reel = Reel(10, 1 << 60, 1, (Bar(0, 8, 3, 1), Bar(0, 3, 8, 3)))
    assert proof([1], [reel], [24]) <= 3


def test_pieces_that_never_fit_side_by_side_are_bound_by_the_sum_of_their_lengths():
    # Three wider than half the roll: 13 + 17 + 5; the area alone asks for 26.
    ground = ground_of([(7, 13, False), (8, 17, False), (6, 5, False)], 11)
    assert area_length(ground) < 35
    assert least_length(ground)[0] == 35


def test_pieces_that_never_fit_end_to_end_are_bound_by_their_widths():
    # Three 5 wide and 8 to 9 long on a roll of 14: two side by side, the third behind one of the shorter: 8 + 8.
    ground = ground_of([(5, 8, False), (5, 8, False), (5, 9, False)], 14)
    assert area_length(ground) == 9
    assert column_length(ground, at_least=1, length=40)[0] == 16


def test_a_bound_rises_to_the_next_sum_of_sizes():
    ground = ground_of([(5, 7, False), (5, 11, False), (5, 11, False)], 5)
    assert [next_sum(ground, least) for least in (1, 8, 12, 19, 23)] == [7, 11, 18, 22, 29]


@given(
    width=st.integers(300, 2100),
    space=st.sampled_from([0, 3, 4.5]),
    sizes=st.lists(
        st.tuples(st.integers(150, 2000), st.integers(150, 2000), st.integers(1, 3), st.booleans()),
        min_size=1,
        max_size=8,
    ),
    any_cut=st.booleans(),
)
@settings(max_examples=25, deadline=None)
def test_every_lay_passes_the_referee_and_stands_above_its_bound(width, space, sizes, any_cut):
    pieces = tuple(LayPiece(f"p{k}", min(w, width), h, n, t) for k, (w, h, n, t) in enumerate(sizes))
    problem = LayProblem(pieces, width, space, any_cut)
    plan = lay_pieces(problem, effort=60)
    assert check_lay(problem, plan) == []
    assert plan.at_least <= plan.length


def published(most):
    found = [
        (each, how)
        for each in json.loads(INSTANCES.read_text())
        for how in each.get("guillotine_optimum", {})
        if len(each["items"]) <= most
    ]
    return [pytest.param(each, how, id=f"{each['name']}-{how}") for each, how in found]


@pytest.mark.slow
@pytest.mark.parametrize(("instance", "how"), published(16))
def test_published_straight_cut_optima_are_met_and_proven(instance, how):
    ground = ground_of([(w, h, how == "rot") for w, h in instance["items"]], instance["width"])
    puts, bound, _ = solve_strip(ground, effort=3_000, any_cut=False)
    assert ground.used(puts)[0] == bound == instance["guillotine_optimum"][how]  # strip-2d.json, its source
