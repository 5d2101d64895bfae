"""Whole works at whole obstacles: how they are held, by how much they pass, what stops them first."""

from __future__ import annotations

from dataclasses import replace
from math import degrees

import pytest
from pytest import approx

from longpoint.handling.holds import Box, Hold, passes
from longpoint.handling.obstacles import Corner, Door, QuarterLanding, Space, Stairs
from longpoint.handling.passing import FINEST, first_stop, longest_side, passing

DOOR = Door(width=800, height=2000)
PANEL = Box(width=2400, height=1600, depth=70)


def test_a_panel_goes_upright_through_a_door_with_the_room_above_it() -> None:
    told = passing(DOOR, PANEL)
    assert told.hold == Hold(along="width", up="height")
    assert told.room == approx(400, abs=FINEST)


def test_a_panel_higher_than_the_door_is_tilted_sideways() -> None:
    told = passing(DOOR, Box(width=2200, height=2100, depth=50))
    assert told.hold == Hold(along="width", up="height", tilt="lean")
    assert told.passes
    assert degrees(told.tilt[0]) == approx(19.17, abs=0.01)


def test_what_does_not_pass_is_told_by_how_much() -> None:
    told = passing(DOOR, Box(width=2200, height=2300, depth=50))
    assert not told.passes
    assert told.room == approx(2120.5 - 2200, abs=2 * FINEST)
    shrunk = Box(width=2200, height=2300, depth=50).grown(told.room)
    assert passes(DOOR, shrunk)
    assert not passes(DOOR, shrunk.grown(2 * FINEST))


def test_a_long_strip_goes_round_a_corner_with_one_end_raised() -> None:
    strip = Box(width=2900, height=180, depth=60)
    corner = Corner(before=900, after=900, height=2400)
    assert not passes(replace(corner, height=1500), strip)
    told = passing(corner, strip)
    assert told.hold.tilt in ("raise", "lean")
    assert told.passes


def test_stairs_turn_a_work_at_foot_and_head() -> None:
    stairs = Stairs(width=900, headroom=2000, rise=180, going=260, height=2300)
    low = Box(width=2400, height=1300, depth=70)
    assert passing(stairs, low).hold == Hold(along="width", up="height")
    high = Box(width=2400, height=1610, depth=70)
    assert high.height < stairs.clear
    assert passing(stairs, high).hold != Hold(along="width", up="height")


def test_a_landing_at_the_head_must_let_the_work_turn_aside() -> None:
    stairs = Stairs(width=900, headroom=2600, rise=180, going=260, height=2600)
    work = Box(width=2200, height=900, depth=70)
    assert passes(stairs, work)
    assert passes(replace(stairs, landing=1400), work)
    assert not passes(replace(stairs, landing=300), work)


def test_a_quarter_landing_asks_for_height_over_its_steps() -> None:
    landing = QuarterLanding(before=900, after=900, height=2600, rise=180, going=260)
    work = Box(width=1900, height=1500, depth=70)
    assert passes(landing, work)
    assert not passes(replace(landing, height=2000), work)


def test_a_space_is_entered_through_its_door_and_holds_the_length() -> None:
    van = Space(width=1700, height=1800, depth=2600, door_width=1500, door_height=1700)
    assert passing(van, PANEL).hold == Hold(along="width", up="height")
    assert not passes(replace(van, depth=2300), Box(width=2400, height=2300, depth=200))
    swung = passing(replace(van, depth=2300), PANEL)
    assert swung.passes
    assert swung.hold.tilt in ("raise", "swing")


@pytest.mark.parametrize("measure", ["width", "height"])
def test_nothing_goes_through_a_door_that_is_narrower_than_it_is_thick(measure: str) -> None:
    door = replace(DOOR, **{measure: 60})
    assert not passes(door, PANEL)


def test_the_first_obstacle_that_stops_a_work_is_told() -> None:
    way = [DOOR, Corner(before=900, after=900, height=2300), Door(width=700, height=1900)]
    assert first_stop(way, Box(width=1500, height=1200, depth=60)) is None
    assert first_stop(way, Box(width=2600, height=1900, depth=60)) == 1
    assert first_stop(way, Box(width=2050, height=2050, depth=60)) == 2


def test_the_largest_of_a_shape_passes_and_one_millimetre_more_does_not() -> None:
    way = [DOOR, Corner(before=900, after=950, height=2300)]

    def shaped(longer: float) -> Box:
        return Box(width=longer, height=longer / 1.5, depth=70)

    longest = longest_side(way, shaped)
    assert first_stop(way, shaped(longest)) is None
    assert first_stop(way, shaped(longest + 1)) is not None
