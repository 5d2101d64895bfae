"""Ways of going outwards that an improvement tries: each one can be stapled, written down, and printed."""

from __future__ import annotations

import pytest

from longpoint.stretching.rehearsal.order_form import form_of, order_of_form, places_of_map
from longpoint.stretching.rehearsal.orders import with_second_pass
from longpoint.stretching.rehearsal.orders_map import map_from_order
from longpoint.stretching.rehearsal.outward_ways import BEGIN, OutwardWay
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from longpoint.stretching.staple_map import StapleUse, staple_map


def _reached() -> list[OutwardWay]:
    """Every way that a search can come to from where it begins."""
    found: dict[OutwardWay, None] = dict.fromkeys(BEGIN)
    todo = list(BEGIN)
    while todo:
        for way in todo.pop().neighbours():
            if way not in found:
                found[way] = None
                todo.append(way)
    return list(found)


@pytest.mark.parametrize("way", _reached(), ids=lambda way: way.name)
@pytest.mark.parametrize(("width", "height"), [(907.0, 613.0), (297.0, 411.0)])
def test_every_way_can_be_written_down_read_again_and_printed(
    way: OutwardWay, width: float, height: float
) -> None:
    mapped = staple_map(face_width=width, face_height=height, depth=43.0, staple_line=61.0)
    places = places_of_map(mapped)
    order = way.order(width=width, height=height, places=places)
    assert waiting_for_corners(order).runs == order.runs
    assert set(order.runs[0].shares) == {0.0}
    again = with_second_pass(order, order.runs[1].puts_in)
    read = order_of_form("again", form_of(again), width=width, height=height, places=places, whole=True)
    assert [len(run.puts_in) for run in read.runs] == [len(run.puts_in) for run in again.runs]
    printed = map_from_order(again, mapped)
    assert printed.count(StapleUse.EDGE) == len(places)
    assert printed.count(StapleUse.HOLDING) == 4 * way.holding


def test_neighbours_are_one_change_away_and_have_names_of_their_own() -> None:
    names = [way.name for way in _reached()]
    assert len(set(names)) == len(names) == 3 * 2 * (2 + 1)
    assert not any(way.corners and way.holding for way in _reached())
