"""Improving an order, and the comparison that a page shows."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.optimize import lsq_linear, minimize

from longpoint.errors import FaultsError
from longpoint.strength.membrane.grid import Floats, rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.rehearsal.compare import (
    OrderComparison,
    compare_orders,
    rehearsal_grid,
    stands_out,
    staple_tear_load,
)
from longpoint.stretching.rehearsal.fit import fitted_shares, load_limits, within_limits
from longpoint.stretching.rehearsal.hand_words import (
    BESIDE,
    FIRST,
    HOLDING,
    LEVEL,
    UPRIGHT,
    in_words,
    pulls_in_words,
    told,
    zones_of,
)
from longpoint.stretching.rehearsal.improve import Improvement, improve, score
from longpoint.stretching.rehearsal.linear import PullFields, pull_fields
from longpoint.stretching.rehearsal.orders import usual_places, with_second_pass
from longpoint.stretching.rehearsal.orders_usual import EVEN, corners_first, middles_outward
from longpoint.stretching.rehearsal.rehearse import Rehearsal, hand_for_tension, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem, edge_system
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from oracles.loops import LoopBar, beam_loop, rigid_frame

WIDTH, HEIGHT, SPACING = 613.0, 407.0, 79.0
RAW = Cloth(warp_stiffness=31.0, weft_stiffness=53.0, poisson_warp=0.19, shear_stiffness=2.3, warp_along="y")
BAR = LoopBar(bending=8100.0 * 43 * 19**3 / 12, stretching=8100.0 * 43 * 19)
HAND = hand_for_tension(0.42)
PLACES = usual_places(width=WIDTH, height=HEIGHT, spacing=SPACING)


@cache
def compared() -> OrderComparison:
    grid = rehearsal_grid(width=WIDTH, height=HEIGHT, spacing=SPACING)
    frame = beam_loop(grid, level=BAR, upright=BAR)
    return compare_orders(grid, RAW, frame, HAND, tension=0.2, breaking=21.6, spacing=SPACING)


def _system() -> tuple[EdgeSystem, Floats]:
    grid = rectangle_grid(width=WIDTH, height=HEIGHT, columns=11, rows=8)
    return edge_system(grid, RAW, slackness=0.001), beam_loop(grid, level=BAR, upright=BAR)


@cache
def starts() -> tuple[Rehearsal, ...]:
    system, frame = _system()
    kind = {"width": WIDTH, "height": HEIGHT, "places": PLACES}
    orders = (middles_outward(**kind), middles_outward(**kind, light=EVEN, holding=0), corners_first(**kind))  # type: ignore[arg-type]
    return tuple(rehearse(system, frame, waiting_for_corners(order), HAND) for order in orders)


@cache
def improved(tear_load: float = 88.0) -> Improvement:
    said: list[str] = []
    found = improve(
        *_system(),
        starts(),
        HAND,
        tension=0.2,
        tear_load=tear_load,
        most_force=400.0,
        tries=11,
        say=said.append,
    )
    assert len(found.tried) <= 11
    assert said[: len(found.tried)] == [f"Trying {words}" for words, *_ in found.tried]
    return found


def test_least_squares_within_limits_are_those_of_another_program() -> None:
    """Bounds and one more limit that cuts; scipy's general minimiser solves the same problem apart."""
    rng = np.random.default_rng(4)
    matrix, wished = rng.normal(size=(23, 4)), rng.normal(size=23) + 2.0
    limit = rng.uniform(0.2, 1.0, 4)
    boxed = lsq_linear(matrix, wished, bounds=(-0.3, 0.4)).x
    rows = np.vstack([np.eye(4), -np.eye(4), -limit])
    least = np.concatenate([np.full(4, -0.3), np.full(4, -0.4), [0.1 - float(limit @ boxed)]])
    found = within_limits(matrix, wished, rows, least)
    exact = minimize(
        lambda x: float(np.sum((matrix @ x - wished) ** 2)),
        np.zeros(4),
        method="SLSQP",
        constraints=[{"type": "ineq", "fun": lambda x: rows @ x - least}],
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assert found == pytest.approx(exact.x, abs=1e-6)
    assert np.count_nonzero(np.abs(rows @ exact.x - least) < 1e-6) >= 2  # limits do cut
    assert (rows @ found)[-1] == pytest.approx(least[-1], abs=1e-9)
    assert within_limits(matrix, wished, np.vstack([rows, [1, 0, 0, 0]]), np.append(least, 0.9)) is None


def test_shares_fitted_in_a_linear_field_reach_the_even_field_that_there_is() -> None:
    rng = np.random.default_rng(4)
    per_share = rng.uniform(0.05, 0.2, (3, 4, 5, 2))
    exact = np.array([0.9, 0.6, 0.8])
    fixed = 0.2 - np.tensordot(exact, per_share, axes=1)  # so that these shares give exactly 0.2 everywhere
    fields = PullFields((("a",), ("b",), ("c",)), fixed, per_share)
    begin = np.array([0.7, 0.7, 0.7])
    given = {"shares": begin, "now": fields.field(begin), "target": 0.2, "low": 0.2}
    assert fitted_shares(fields, high=2.0, **given) == pytest.approx(exact, abs=0.01)  # type: ignore[arg-type]
    assert fitted_shares(fields, high=0.75, **given).max() <= 0.75 + 1e-9  # type: ignore[arg-type]


def test_loads_of_the_linear_pass_are_those_of_the_rehearsal_at_every_step() -> None:
    hand = replace(HAND, reach=1e6)
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    shares = {zone.name: 0.5 + 0.07 * k for k, zone in enumerate(zones_of(order))}
    pulled = told(order, shares)
    fields = pull_fields(*_system(), order, hand, [zone.names for zone in zones_of(order)], with_loads=True)
    assert fields.loads is not None
    size = np.hypot(*fields.loads.loads(list(shares.values())).T)
    whole = rehearse(*_system(), pulled, hand, pushes=True)
    for step in whole.steps[::7]:
        assert size[fields.loads.steps == step.number].max() == pytest.approx(
            step.worst_staple, rel=1e-6, abs=1e-2
        )
    # and the limits about these shares hold each staple's greatest load where it is
    limits = load_limits(fields.loads, np.array(list(shares.values())), tear_load=50.0)
    room = limits.most - limits.rows @ np.array(list(shares.values()))
    both = fields.loads.loads(list(shares.values()))
    assert room.min() == pytest.approx(50.0 - size[both[:, 0] > 0].max(), rel=1e-9)


def test_words_are_those_a_hand_can_tell_apart() -> None:
    assert in_words(0.97) == (1.0, "firm")
    assert in_words(0.69) == (2 / 3, "two thirds of firm")
    assert in_words(0.1)[1] == "a third of firm"


def test_zones_take_in_every_staple_once_and_set_first_pulls_apart() -> None:
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    names = [name for zone in zones_of(order) for name in zone.names]
    assert sorted(names) == sorted(place.name for place in order.places)
    by_where = {(zone.pair, zone.where): zone.names for zone in zones_of(order)}
    assert set(by_where["", FIRST]) == {n for run in order.runs[:4] for n in run.puts_in}
    assert len(by_where["", HOLDING]) == 4
    assert sorted(by_where[LEVEL, BESIDE]) == ["bottom 1", "bottom 9", "top 1", "top 9"]


def test_pulls_are_told_in_one_line_a_pair_and_a_second_pull_follows_its_neighbours() -> None:
    order = middles_outward(
        width=1213.0, height=787.0, places=usual_places(width=1213.0, height=787.0), holding=0
    )
    words = {zone.name: 0.75 if zone.where == BESIDE else 1.0 for zone in zones_of(order)}
    again = told(with_second_pass(order, order.runs[1].puts_in), {**words, FIRST: 0.5})
    assert pulls_in_words(again) == (
        (
            LEVEL,
            "firm in the middle and between and near the corners; three quarters of firm last beside the corners",
        ),
        (
            UPRIGHT,
            "firm in the middle and between and near the corners; three quarters of firm last beside the corners",
        ),
        (FIRST, "half of firm"),
    )
    assert again.runs[0].shares == (0.0,) * len(again.runs[0].shares)  # nothing to pull against yet
    assert set(again.runs[1].shares) == {0.5}
    assert {share for run in again.runs[-3:] for share in run.shares} == {1.0}


@pytest.mark.slow
def test_improved_order_is_better_when_rehearsed_and_keeps_its_staples_within_their_limit() -> None:
    found = improved()
    system, frame = _system()
    again = rehearse(system, frame, found.best.order, found.hand)
    assert again.left.spread < 0.8 * min(one.left.spread for one in starts())
    assert again.peak_load[0] <= 88.0
    assert found.plain is min(starts(), key=lambda one: score(one, tension=0.2))
    assert found.gain == pytest.approx(score(again, tension=0.2) / score(found.plain, tension=0.2))
    assert found.hand.force <= 400.0 + 1e-9
    assert found.told.startswith(f"Spread {100 * again.left.spread:.0f} % instead of")
    shares = {s for run in found.best.order.runs for s in run.shares}
    words = {0.0, 1.0, 0.75, 2 / 3, 0.5, 1 / 3}
    assert all(any(abs(s - t) < 1e-9 for t in words) for s in shares)  # nothing a hand cannot tell
    tucked = waiting_for_corners(found.best.order)
    assert tucked.runs == found.best.order.runs


@pytest.mark.slow
def test_staples_that_tear_first_hold_the_improvement_back() -> None:
    lowest = min(one.peak_load[0] for one in starts())
    tight = improve(
        *_system(), starts(), HAND, tension=0.2, tear_load=1.02 * lowest, most_force=400.0, tries=5
    )
    assert (
        tight.best.peak_load[0] <= 1.02 * lowest
    )  # one order as people use it stays within, so this one must
    assert improved().best.peak_load[0] > 1.02 * lowest  # which the free one does not


@pytest.mark.slow
def test_nothing_better_is_said_plainly() -> None:
    even = starts()[1]
    best = replace(even, left=replace(even.left, spread=1e-4, bent=0.0))  # as if no field could be more even
    found = improve(*_system(), [best], HAND, tension=0.2, tear_load=88.0, most_force=400.0, tries=1)
    assert found.best is best
    assert found.changes == ()
    assert found.gain == 1.0
    assert found.told.startswith("Nothing better was found")


@pytest.mark.slow
def test_comparison_ranks_the_orders_and_speaks_of_corners() -> None:
    found = compared()
    spreads = [row.spread for row in found.rows]
    assert spreads == sorted(spreads)
    assert {row.name for row in found.rows} >= {
        "middles outward",
        "pinwheel",
        "corners first",
        "side after side",
    }
    assert found.rows[-1].name == "round the frame"  # nothing opposite to pull against: worst anywhere
    assert found.improved_row is not None
    plain = next(row for row in found.rows if row.name == "middles outward")
    assert found.improved_row.spread < plain.spread
    assert "corners" in found.corners
    assert any(caution.code == "rehearsal-estimate" for caution in found.cautions)


@pytest.mark.slow
def test_step_data_is_plain_and_the_same_every_time() -> None:
    text = json.dumps(compared().as_dict(), sort_keys=True)
    grid = rehearsal_grid(width=WIDTH, height=HEIGHT, spacing=SPACING)
    frame = beam_loop(grid, level=BAR, upright=BAR)
    again = compare_orders(grid, RAW, frame, HAND, tension=0.2, breaking=21.6, spacing=SPACING)
    assert json.dumps(again.as_dict(), sort_keys=True) == text
    read = json.loads(text)["rehearsals"][0]
    assert len(read["steps"]) == sum(len(run["puts_in"]) for run in read["runs"])
    assert len(read["maps"]) == len(read["runs"])
    assert np.array(read["maps"][0]).shape == (len(read["left"]["y"]), len(read["left"]["x"]), 2)


def test_pull_that_tears_the_cloth_is_refused() -> None:
    grid = rehearsal_grid(width=WIDTH, height=HEIGHT, spacing=SPACING)
    with pytest.raises(FaultsError, match=r"brings 420 N/m to the lip; this cloth breaks at 300 N/m"):
        compare_orders(grid, RAW, rigid_frame(grid), HAND, tension=0.2, breaking=0.3, spacing=SPACING)


def test_staple_takes_a_tenth_of_what_the_stretch_it_holds_breaks_at() -> None:
    # 21.6 × 41 / 10: strain concentration of 10, Young & Hibberd 1999, abstract
    assert staple_tear_load(breaking=21.6, held=41.0) == pytest.approx(88.56)


@pytest.mark.slow
def test_only_orders_whose_staples_stand_out_are_named() -> None:
    found = compared()
    peaks = sorted(one.peak_load[0] for one in found.rehearsals)
    between = 0.5 * (peaks[-2] + peaks[-1])
    one = max(found.rehearsals, key=lambda rehearsal: rehearsal.peak_load[0])
    named = [r.order.name for r in found.rehearsals if stands_out(r, between)]
    assert named == [one.order.name]
    assert peaks[-1] > 1.05 * peaks[0]
