"""How hard an order pulls, in zones a hand is told, and which runs wait for the corner."""

from __future__ import annotations

from dataclasses import replace

from longpoint.stretching.fold import CleanSides
from longpoint.stretching.pull_zones import SidePull, before_the_tuck, side_pulls
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders import Order, with_shares
from longpoint.stretching.rehearsal.orders_map import map_from_order
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.staple_map import StapleMap, staple_map

WIDTH, HEIGHT = 1307.0, 911.0
MAPPED = staple_map(face_width=WIDTH, face_height=HEIGHT, depth=43.0, staple_line=61.0)


def usual(name: str) -> Order:
    orders = usual_orders(width=WIDTH, height=HEIGHT, places=places_of_map(MAPPED))
    return next(order for order in orders if order.name == name)


def mapped(order: Order) -> StapleMap:
    return map_from_order(order, MAPPED)


def test_the_usual_map_is_firm_in_the_middle_and_two_thirds_towards_the_corners() -> None:
    # two thirds within 150 mm: habits' table, estimate
    assert side_pulls(MAPPED) == (SidePull("level", 1.0, 1.0, 2 / 3), SidePull("upright", 1.0, 1.0, 2 / 3))


def test_a_pair_that_is_pulled_lighter_is_told_apart_and_a_first_run_without_pull_counts_nothing() -> None:
    order = usual("pinwheel")
    upright = {p.name: 0.52 for p in order.places if p.side in ("left", "right")}
    assert side_pulls(mapped(with_shares(order, upright))) == (
        SidePull("level", 1.0, 1.0, 1.0),
        SidePull("upright", 0.5, 0.5, 0.5),
    )


def test_the_maps_own_order_leaves_every_corner_open_until_it_is_folded() -> None:
    assert before_the_tuck(MAPPED) == ()


def test_corners_first_drives_both_folded_sides_before_their_corners_can_be_tucked() -> None:
    found = mapped(usual("corners first"))
    assert before_the_tuck(found) == (1, 2)
    assert [found.runs[number - 1].side for number in (1, 2)] == ["bottom", "top"]
    # with level sides clean, the upright ones carry the folds; they are driven last as it is
    assert before_the_tuck(found, CleanSides.LEVEL) == ()


def test_one_corner_too_early_is_found_alone() -> None:
    order = usual("side after side")
    # the run that ends at the lower left corner is moved before all others but the first
    late = next(k for k, run in enumerate(order.runs) if "bottom 1" in run.puts_in)
    last = [run for run in order.runs if run.side in ("left", "right")]
    first = [run for run in order.runs if run.side in ("bottom", "top")]
    moved = replace(order, runs=(*first[:late], first[late], *last, *first[late + 1 :]))
    early = before_the_tuck(mapped(moved))
    assert late + 1 in early
    assert before_the_tuck(mapped(replace(order, runs=(*last, *first)))) == ()
