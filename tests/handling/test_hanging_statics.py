"""Hanging by statics: T = W / (2 sin θ) and the balance of moments; the figures by hand."""

from __future__ import annotations

from math import cos, degrees, radians, sin, tan

import pytest
from pytest import approx

from longpoint.handling.hanging import (
    FLATTEST,
    HIDDEN,
    hook_height,
    lean,
    on_wall,
    place_clear,
    wire,
    wire_for,
)


@pytest.mark.parametrize(("angle", "tension"), [(10, 287.9), (15, 193.2), (30, 100.0), (45, 70.7)])
def test_a_flat_wire_pulls_harder(angle: float, tension: float) -> None:
    found = wire(weight=100, span=907, sag=907 / 2 * tan(radians(angle)))
    assert degrees(found.angle) == approx(angle)
    assert found.tension == approx(tension, rel=1e-3)
    assert found.inward == approx(50 / tan(radians(angle)))
    assert found.length == approx(907 / cos(radians(angle)))


def test_a_long_wire_with_little_sag() -> None:
    assert wire(weight=120, span=1000, sag=80).tension == approx(379.8, abs=0.1)


def test_two_hooks_make_the_ends_steeper_and_the_loads_still_add_up_to_the_weight() -> None:
    one, two = wire(weight=120, span=1000, sag=80), wire(weight=120, span=1000, sag=80, hooks_apart=500)
    assert two.tension < one.tension
    assert 2 * two.tension * sin(two.angle) == approx(120)
    assert two.length == approx(500 + 2 * (250**2 + 80**2) ** 0.5)


def test_a_wire_is_as_steep_as_hides_its_hook_or_none() -> None:
    steep = wire_for(weight=80, span=300, below_top=200)
    assert steep is not None
    assert degrees(steep.angle) == approx(30)
    hidden = wire_for(weight=80, span=700, below_top=200)
    assert hidden is not None
    assert hidden.sag == approx(200 - HIDDEN)
    assert hidden.angle > FLATTEST
    assert wire_for(weight=80, span=1600, below_top=200) is None


def test_the_bottom_edge_leans_and_moments_balance() -> None:
    found = lean(weight=100, height=1200, below_top=300, ring_off=5, centre_off=25)
    assert found.push * 900 == approx(100 * 30)
    assert found.top_gap == approx(5 + 300 * 5 / 900)


def test_a_hanger_moves_aside_for_screws_the_least_it_can() -> None:
    def place(*at: float, screws: tuple[float, ...] = (0.0,)) -> float | None:
        return place_clear(300, low=50, high=900, screws=screws, taken=[(one, 20.0) for one in at])

    assert place(200, 400) == 300
    assert place(290) == 310
    assert place(290, 315) == 270
    assert place(*range(0, 1000, 10)) is None
    assert place(300, screws=(-25.0, 25.0)) == 300  # astride
    assert place(300, screws=(-10.0, 10.0)) == 270


def test_hooks_stand_where_the_middle_comes_to_the_centre_line() -> None:
    assert hook_height(centre=1500, height=1200, drop=120) == 1980
    placed = on_wall(left=400, centre=1500, width=900, height=1200, drop=120, from_left=(100, 800))
    assert placed.foot == 900
    assert placed.hooks == ((500, 1980), (1200, 1980))
    middle = placed.foot + placed.height / 2
    assert middle == 1500
