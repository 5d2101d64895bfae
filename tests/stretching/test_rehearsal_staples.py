"""A staple holds back and does not push: its forces, the corners it decides, and quicker ways to the same end."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.linalg import solve_triangular
from scipy.optimize import lsq_linear
from scipy.sparse.linalg import spsolve

from longpoint.strength.membrane.grid import Floats, rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.rehearsal.edge import rows_of
from longpoint.stretching.rehearsal.factor import QuickFactor
from longpoint.stretching.rehearsal.orders import Order, usual_places
from longpoint.stretching.rehearsal.orders_usual import middles_outward
from longpoint.stretching.rehearsal.rehearse import hand_for_tension, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem, edge_system
from longpoint.stretching.rehearsal.staples import Holding, Jaws
from longpoint.stretching.rehearsal.system import StapledCloth
from oracles.loops import LoopBar, beam_loop, rigid_frame

WIDTH, HEIGHT = 571.0, 413.0
RAW = Cloth(warp_stiffness=33.0, weft_stiffness=51.0, poisson_warp=0.18, shear_stiffness=2.1)
HAND = hand_for_tension(0.37)
BAR = LoopBar(bending=8300.0 * 41 * 19**3 / 12, stretching=8300.0 * 41 * 19)


@cache
def bench(columns: int = 13, rows: int = 9, slackness: float = 0.001) -> EdgeSystem:
    return edge_system(
        rectangle_grid(width=WIDTH, height=HEIGHT, columns=columns, rows=rows), RAW, slackness=slackness
    )


@cache
def soft() -> Floats:
    return beam_loop(bench().sheet.grid, level=BAR, upright=BAR)


@cache
def order() -> Order:
    return middles_outward(
        width=WIDTH,
        height=HEIGHT,
        places=usual_places(width=WIDTH, height=HEIGHT, spacing=61.0),
        holding=False,
    )


def _some_staples() -> StapledCloth:
    stapled, rng = StapledCloth(bench(), soft(), staple_give=1e-3), np.random.default_rng(7)
    for place in order().places[::2]:
        rows = rows_of(bench().sheet.grid, side=place.side, along=place.along, width=41.0)
        stapled.put_in(place.name, rows, rng.normal(0.0, 0.4, 2))
    return stapled


def test_staples_that_only_hold_back_share_the_load_as_a_bounded_least_squares_problem_says() -> None:
    """The forces make ½ λᵀBλ − dᵀλ least over outward λ ≥ 0; scipy's bounded least squares solves that apart."""
    stapled = _some_staples()
    free = np.random.default_rng(3).normal(0.0, 0.3, len(bench().edge))
    forces, _, on_edge = Holding(stapled, None).answer(free)
    parted = stapled.places - stapled.rows @ free
    least = np.where(np.arange(len(forces)) % 2 == 0, 0.0, -np.inf)
    right = solve_triangular(stapled.factor, parted, trans="T")
    exact = lsq_linear(stapled.factor, right, bounds=(least, np.inf), tol=1e-14).x
    assert forces == pytest.approx(exact, abs=1e-5 * np.abs(exact).max())
    assert np.count_nonzero(np.abs(forces[0::2]) < 1e-9) >= 3  # some strips do hang loose
    assert on_edge == pytest.approx(stapled.rows.T @ forces)


def test_hand_that_reaches_its_end_pulls_no_more_than_it_takes_to_get_there() -> None:
    stapled = _some_staples()
    row = rows_of(bench().sheet.grid, side="top", along=287.0, width=75.0)[0]
    free = bench().loose_edge
    strong = Jaws(row=row, force=90.0, reach=1e9, reaction="bar")
    forces, pull, on_edge = Holding(stapled, strong).answer(free)
    assert pull == 90.0
    moved = float(row @ (free + stapled.both @ on_edge))
    near = replace(strong, reach=0.6 * moved)
    forces, pull, on_edge = Holding(stapled, near).answer(free)
    assert 0.0 < pull < 90.0
    assert float(row @ (free + stapled.both @ on_edge)) == pytest.approx(0.6 * moved, rel=1e-6)
    assert forces[0::2].min() > -1e-8


@pytest.mark.slow
def test_last_staples_beside_a_corner_carry_less_than_a_pull_whatever_the_elements(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What a staple gives back is a gap, not a push: staples that push drive cloth into each other at a corner.

    With elements wider than the staples' spacing two staples share a corner's element, and the push is greatest.
    """
    beside = [p.name for p in order().places if order().from_corner(p) < 30.0]
    assert len(beside) == 8

    def worst(columns: int, rows: int) -> float:
        system = bench(columns, rows)
        found = rehearse(system, rigid_frame(system.sheet.grid), order(), HAND)
        return max(found.staple_loads[name] for name in beside)

    assert worst(11, 8) < HAND.at_lip  # elements of 52 mm
    assert worst(22, 16) < HAND.at_lip
    monkeypatch.setattr(Holding, "_wrong", lambda *_given: np.zeros(0, dtype=np.intp))  # all hold both ways
    assert worst(11, 8) > 2.0 * HAND.at_lip


@pytest.mark.slow
def test_brief_rehearsal_comes_to_the_same_end() -> None:
    whole = rehearse(bench(), soft(), order(), HAND, tolerance=3e-4)
    brief = rehearse(bench(), soft(), order(), HAND, tolerance=3e-4, brief=True)
    assert brief.steps == ()
    assert brief.left.level == pytest.approx(whole.left.level, abs=0.01 * whole.left.highest)
    assert brief.left.upright == pytest.approx(whole.left.upright, abs=0.01 * whole.left.highest)


@pytest.mark.slow
def test_cloth_that_shrinks_on_a_rigid_frame_tightens_by_its_stiffness_times_the_shrinkage() -> None:
    """Held all round, even shrinkage e adds e (k_warp' + coupling) both ways, from the law alone."""
    rigid, hand = rigid_frame(bench().sheet.grid), replace(HAND, staple_give=0.0)
    before = rehearse(bench(), rigid, order(), hand, settling=0.0)
    after = rehearse(bench(), rigid, order(), hand, settling=0.0, shrinks=0.006)
    added = RAW.matrix[:2, :2].sum(axis=1) * 0.006
    grown = np.array(
        [after.left.mean_level - before.left.mean_level, after.left.mean_upright - before.left.mean_upright]
    )
    assert grown == pytest.approx(added, rel=0.15)  # edges between staples are free, so a little less arrives
    assert np.all(grown < added * 1.02)


@pytest.mark.slow
def test_loads_on_staples_settle_once_elements_are_narrower_than_their_spacing() -> None:
    """Elements of 1.4, 0.8 and 0.5 of the spacing of 56 mm, staples as they are; cloth shrinks once it is held."""
    greatest, means = [], []
    for columns, rows in ((7, 5), (13, 9), (20, 15)):
        system = bench(columns, rows)
        found = rehearse(
            system, rigid_frame(system.sheet.grid), order(), HAND, settling=0.0, shrinks=0.004, brief=True
        )
        greatest.append(found.peak_load[0])
        means.append(found.left.mean_level)
    coarse, taken, fine = greatest
    assert taken == pytest.approx(fine, rel=0.1)
    assert coarse > 1.2 * fine  # two staples on one node: too wide to be used
    assert means[1] == pytest.approx(means[2], rel=0.05)  # 3.2 % measured


@pytest.mark.slow
def test_what_would_be_left_by_other_shrinkage_is_what_that_shrinkage_leaves() -> None:
    given = {"settling": 0.0, "frame_creep": 0.6, "brief": True}
    both = rehearse(bench(), soft(), order(), HAND, shrinks=0.003, may_shrink=(0.001, 0.007), **given)
    alone = rehearse(bench(), soft(), order(), HAND, shrinks=0.007, **given)
    assert [one.shrunk for one in both.left_if] == [0.001, 0.007]
    most = both.left_if[1]
    assert most.field.level == pytest.approx(alone.left.level, rel=1e-12)
    assert most.pulled_in == alone.pulled_in
    assert most.load == alone.peak_load[0] > both.peak_load[0]


def test_quick_factor_answers_as_scipy_does() -> None:
    matrix = bench().sheet.stiffness.tocsc()
    loads = np.random.default_rng(5).normal(size=(matrix.shape[0], 3))
    quick = QuickFactor(matrix)
    exact = spsolve(matrix, loads)
    assert quick.solve(loads) == pytest.approx(exact, abs=1e-7 * np.abs(exact).max())
    assert quick.solve(loads[:, 1]) == pytest.approx(exact[:, 1], abs=1e-7 * np.abs(exact).max())
