"""Improving an order, and the comparison that a page shows."""

from __future__ import annotations

import json
from functools import cache

import numpy as np
import pytest

from longpoint.errors import FaultsError
from longpoint.strength.membrane.grid import rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.rehearsal.compare import (
    OrderComparison,
    compare_orders,
    rehearsal_grid,
    stands_out,
    staple_tear_load,
)
from longpoint.stretching.rehearsal.frame import LoopBar, beam_loop, rigid_frame
from longpoint.stretching.rehearsal.improve import best_shares, improve, in_words, score, zones_of
from longpoint.stretching.rehearsal.linear import PullFields, pull_fields
from longpoint.stretching.rehearsal.orders import usual_places
from longpoint.stretching.rehearsal.orders_usual import corners_first, middles_outward
from longpoint.stretching.rehearsal.rehearse import hand_for_tension, rehearse
from longpoint.stretching.rehearsal.sheet import edge_system

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


def test_best_shares_meet_a_field_that_can_be_met_and_keep_their_bounds() -> None:
    rng = np.random.default_rng(4)
    per_share = rng.uniform(0.05, 0.2, (3, 4, 5, 2))
    wished = np.array([0.9, 0.6, 0.8])
    flat = 0.2 - np.tensordot(wished, per_share, axes=1)  # so that these shares give exactly 0.2 everywhere
    fields = PullFields((("a",), ("b",), ("c",)), flat, per_share)
    free = best_shares(fields, tension=0.2, low=0.0, high=2.0)
    assert fields.field(free) == pytest.approx(0.2, abs=0.01)
    held = best_shares(fields, tension=0.2, low=0.0, high=0.7)
    assert held.max() <= 0.7 + 1e-12


def test_words_are_those_a_hand_can_tell_apart() -> None:
    assert in_words(0.97) == (1.0, "firm")
    assert in_words(0.69) == (2 / 3, "two thirds of firm")
    assert in_words(0.1)[1] == "a third of firm"


def test_zones_take_in_every_staple_once() -> None:
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    names = [name for zone in zones_of(order) for name in zone.names]
    assert sorted(names) == sorted(place.name for place in order.places)
    assert len(zones_of(order)) == 5  # the short sides are near a corner or in the middle, never between


def test_fitted_pulls_are_better_than_any_nearby_ones_in_the_linear_field() -> None:
    grid = rectangle_grid(width=WIDTH, height=HEIGHT, columns=11, rows=8)
    system, frame = edge_system(grid, RAW), beam_loop(grid, level=BAR, upright=BAR)
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    zones = zones_of(order)
    fields = pull_fields(system, frame, order, HAND, [zone.names for zone in zones])
    best = best_shares(fields, tension=0.15, low=0.2, high=2.0)

    def off(shares: np.ndarray) -> float:
        return float(np.linalg.norm(fields.field(shares) - 0.15))

    for k in range(len(zones)):
        for change in (-0.15, 0.15):
            moved = best.copy()
            moved[k] = np.clip(moved[k] + change, 0.2, 2.0)
            assert off(moved) > off(best) - 1e-3


@pytest.mark.slow
def test_improved_order_is_better_when_rehearsed_with_slack() -> None:
    grid = rehearsal_grid(width=WIDTH, height=HEIGHT, spacing=SPACING)
    system, frame = edge_system(grid, RAW, slackness=0.001), beam_loop(grid, level=BAR, upright=BAR)
    plain = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    said: list[str] = []
    better = improve(
        system,
        frame,
        plain,
        HAND,
        tension=0.2,
        others=[corners_first(width=WIDTH, height=HEIGHT, places=PLACES)],
        most_force=400.0,
        say=said.append,
    )
    again = rehearse(system, frame, better.best.order, better.hand)  # at the finer tolerance
    assert score(again) < 0.8 * score(better.plain)
    assert better.gain == pytest.approx(score(better.best) / score(better.plain))
    assert better.hand.force <= 400.0 + 1e-9
    assert len(said) - 1 == len(better.tried) >= 5  # and the best once more, step by step
    shares = {s for run in better.best.order.runs for s in run.shares}
    told = {0.0, 1.0, 0.75, 2 / 3, 0.5, 1 / 3, 0.667}
    assert all(any(abs(s - t) < 1e-9 for t in told) for s in shares)  # nothing a hand cannot tell


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
    assert any("estimates" in caution.what for caution in found.cautions)


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
