"""The staple map and the order rehearsed are one thing."""

from __future__ import annotations

from longpoint.stretching.rehearsal.orders import usual_places, with_second_pass
from longpoint.stretching.rehearsal.orders_map import map_from_order, order_from_map
from longpoint.stretching.rehearsal.orders_usual import middles_outward
from longpoint.stretching.staple_map import StapleUse, staple_map

WIDTH, HEIGHT = 907.0, 613.0
MAPPED = staple_map(face_width=WIDTH, face_height=HEIGHT, depth=43.0, staple_line=61.0)


def test_map_becomes_an_order_with_every_staple_that_pulls() -> None:
    order = order_from_map(MAPPED)
    pulling = [staple for staple in MAPPED.staples if staple.use is not StapleUse.FOLD]
    assert order.steps == len(pulling)
    assert {(p.side, round(p.along, 6)) for p in order.places} == {
        (s.side, round(s.along, 6)) for s in pulling
    }
    assert set(order.runs[0].shares) == {0.0}
    assert sum(len(run.takes_out) for run in order.runs) == MAPPED.count(StapleUse.HOLDING)


def test_there_and_back_again_keeps_places_runs_and_numbers() -> None:
    back = map_from_order(order_from_map(MAPPED), MAPPED)
    assert len(back.runs) == len(MAPPED.runs)
    ours, theirs = (
        sorted((s.side, s.along, s.across, s.label) for s in one.staples) for one in (back, MAPPED)
    )
    assert ours == theirs
    for mine, other in zip(back.runs, MAPPED.runs, strict=True):
        assert (mine.side, mine.puts_in) == (other.side, other.puts_in)


def test_improved_order_becomes_a_map_with_its_own_pulls_and_second_pass() -> None:
    places = usual_places(width=WIDTH, height=HEIGHT)
    plain = middles_outward(width=WIDTH, height=HEIGHT, places=places, run=2, holding=False)
    made = map_from_order(with_second_pass(plain, ["top 3"]), MAPPED)
    assert made.count(StapleUse.HOLDING) == 0
    assert made.count(StapleUse.FOLD) == MAPPED.count(StapleUse.FOLD)
    assert made.count(StapleUse.EDGE) == len(places)
    second = next(run for run in made.runs if run.takes_out)
    assert second.puts_in == second.takes_out
    assert made.runs[0].firmness.startswith("only snug")
    assert [run.number for run in made.runs] == list(range(1, len(made.runs) + 1))
    labels = [int(s.label) for s in made.staples if s.use is StapleUse.EDGE]
    assert labels == list(range(1, len(labels) + 1))
