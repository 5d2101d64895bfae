"""Orders of stapling: complete, as people staple, and refused with every fault."""

from __future__ import annotations

from dataclasses import replace

import pytest

from longpoint.stretching.rehearsal.orders import (
    Order,
    OrderRun,
    check_order,
    faults_of,
    usual_places,
    with_second_pass,
)
from longpoint.stretching.rehearsal.orders_usual import corners_first, middles_outward, pinwheel, usual_orders
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from oracles.loops import with_shares

WIDTH, HEIGHT = 1213.0, 787.0
PLACES = usual_places(width=WIDTH, height=HEIGHT)


@pytest.mark.parametrize(
    "order", usual_orders(width=WIDTH, height=HEIGHT, places=PLACES), ids=lambda o: o.name
)
def test_every_usual_order_puts_every_staple_in_once_and_leaves_it(order: Order) -> None:
    left: list[str] = []
    for run in order.runs:
        for name in run.takes_out:
            left.remove(name)
        left.extend(run.puts_in)
    assert sorted(left) == sorted(place.name for place in PLACES)
    assert not faults_of(order)
    assert set(order.runs[0].shares) == {0.0}  # nothing to pull against yet
    assert max(len(run.puts_in) for run in order.runs) <= 4


def test_middles_outward_turns_to_the_opposite_side_and_takes_the_holding_staples_out() -> None:
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    assert [run.side for run in order.runs[:4]] == ["bottom", "top", "left", "right"]
    assert [run.puts_in for run in order.runs[4:8]] == [("hold 1",), ("hold 2",), ("hold 3",), ("hold 4",)]
    assert sorted(n for run in order.runs for n in run.takes_out) == [f"hold {k}" for k in (1, 2, 3, 4)]
    lighter = {n for run in order.runs for n, s in zip(run.puts_in, run.shares, strict=True) if 0 < s < 1}
    for place in PLACES:
        assert (place.name in lighter) == (order.from_corner(place) < 150)


def test_tall_face_begins_on_its_long_sides() -> None:
    tall = usual_places(width=HEIGHT, height=WIDTH)
    order = middles_outward(width=HEIGHT, height=WIDTH, places=tall)
    assert [run.side for run in order.runs[:4]] == ["left", "right", "bottom", "top"]


def test_corners_first_halves_the_gaps() -> None:
    order = corners_first(width=WIDTH, height=HEIGHT, places=PLACES)
    first = [n for run in order.runs[:4] for n in run.puts_in]
    assert {"bottom 1", "top 1", "left 1", "right 1"} <= set(first)
    top = [int(n.split()[1]) for run in order.runs for n in run.puts_in if run.side == "top"]
    assert top[2] == (1 + max(top)) // 2


def test_pinwheel_goes_on_to_the_next_side_every_time() -> None:
    order = pinwheel(width=WIDTH, height=WIDTH, places=usual_places(width=WIDTH, height=WIDTH))
    sides = [run.side for run in order.runs]
    assert sides[:8] == ["bottom", "right", "top", "left"] * 2


def test_second_pass_takes_out_pulls_and_puts_back() -> None:
    order = with_second_pass(middles_outward(width=WIDTH, height=HEIGHT, places=PLACES), ["top 3"], share=0.5)
    assert order.runs[-1] == OrderRun("top", ("top 3",), (0.5,), ("top 3",))
    check_order(order)
    changed = with_shares(order, {"top 3": 0.9})
    assert changed.runs[-1].shares == (0.9,)


def test_wrong_side_missing_pull_and_taking_out_what_is_not_in_are_faults() -> None:
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES)
    bad = (OrderRun("top", ("bottom 1",), (1.0, 1.0)), OrderRun("top", (), (), ("top 1",)))
    codes = {fault.code for fault in faults_of(replace(order, runs=bad))}
    assert codes == {"order-side", "order-pulls", "order-not-in", "order-side-empty"}


def test_two_holding_staples_at_a_corner_sit_on_both_sides_of_it_and_all_come_out() -> None:
    order = middles_outward(width=WIDTH, height=HEIGHT, places=PLACES, holding=2, hold_share=0.37)
    held = [place for place in order.places if place.holding]
    assert [place.side for place in held[:4]] == ["bottom", "left", "top", "right"]
    assert {place.side: sum(p.side == place.side for p in held) for place in held} == dict.fromkeys(
        ("bottom", "left", "top", "right"), 2
    )
    assert {share for run in order.runs if "hold 1" in run.puts_in for share in run.shares} == {0.37}
    assert sorted(name for run in order.runs for name in run.takes_out) == sorted(p.name for p in held)


def test_corners_may_go_in_lightly_before_the_middles() -> None:
    order = middles_outward(
        width=WIDTH, height=HEIGHT, places=PLACES, holding=0, corners=0.45, short_first=True
    )
    assert [run.side for run in order.runs[:8]] == ["left", "right", "bottom", "top"] * 2
    assert [run.shares for run in order.runs[:4]] == [(0.0, 0.0)] + [(0.45, 0.45)] * 3
    assert all(order.from_corner(order.place(name)) < 30 for run in order.runs[:4] for name in run.puts_in)
    assert order.steps == len(PLACES)


def test_what_goes_in_first_has_nothing_to_pull_against_though_its_first_run_waits_for_the_corners() -> None:
    tucked = waiting_for_corners(corners_first(width=WIDTH, height=HEIGHT, places=PLACES))
    assert tucked.runs[0] == OrderRun("left", ("left 1", "left 17"), (0.0, 0.0))  # bottom's last staples wait
    assert set(tucked.runs[1].shares) == {1.0}
