"""How hard an order pulls, in zones a hand is told."""

from __future__ import annotations

from longpoint.stretching.pull_zones import SidePull, side_pulls
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders import Order
from longpoint.stretching.rehearsal.orders_map import map_from_order
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.staple_map import StapleMap, staple_map
from oracles.loops import with_shares

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
