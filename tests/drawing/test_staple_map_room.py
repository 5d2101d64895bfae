"""A staple map keeps to its room on paper, whatever the face and the order."""

from __future__ import annotations

import pytest

from longpoint.drawing.paper.extent import overlaps
from longpoint.drawing.paper.marks import Text
from longpoint.drawing.views.canvas import staple_map_view
from longpoint.drawing.words.voice import voice_of
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders_map import map_from_order
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.staple_map import staple_map
from longpoint.units import LengthStyle

ROOM = (182.0, 125.0)  # A4 less its margins; half of its height
SAY = voice_of("de", LengthStyle())


@pytest.mark.parametrize(("width", "height"), [(5400.0, 1800.0), (311.0, 2930.0), (407.0, 293.0)])
def test_every_order_on_every_shape_of_face_keeps_to_its_room(width: float, height: float) -> None:
    plain = staple_map(face_width=width, face_height=height, depth=44.0, staple_line=61.0)
    orders = usual_orders(width=width, height=height, places=places_of_map(plain))
    for mapped in (plain, *(map_from_order(order, plain) for order in orders)):
        view = staple_map_view(mapped, say=SAY, room=ROOM)
        assert view.width <= ROOM[0] and view.height <= ROOM[1]
        assert view.scale * max(width, height) > 30
        assert overlaps(view.marks, within=view.edge) == ()  # every number can be read


def test_a_run_whose_staples_lie_apart_carries_its_number_at_each() -> None:
    plain = staple_map(face_width=907.0, face_height=613.0, depth=43.0, staple_line=61.0)
    orders = usual_orders(width=907.0, height=613.0, places=places_of_map(plain))
    corners = next(order for order in orders if order.name == "corners first")
    view = staple_map_view(map_from_order(corners, plain), say=SAY, room=ROOM)
    numbers = [mark.words for mark in view.marks if isinstance(mark, Text)]
    assert numbers.count("1") == 2  # the two corner staples of the bottom side
