"""Screws as solids: distances of segments, planted clashes, and moving apart."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from joinery.frames import FEW_SCREWS, frame_of, plan_of
from longpoint.joinery import JointKind
from longpoint.joinery.screws.clash import (
    Movable,
    Slide,
    find_clashes,
    move_apart,
    segment_distance,
    surfaces_apart,
)

F = Fraction
coordinate = st.floats(-50, 50)
point = st.tuples(coordinate, coordinate, coordinate)


def test_crossing_axes_are_as_far_apart_as_the_planes_they_lie_in():
    assert segment_distance((0, 0, 7), (11, 0, 7), (5, -3, 0), (5, 9, 0)) == pytest.approx(7)


def test_segments_that_do_not_pass_over_each_other_are_measured_from_their_ends():
    # From (3, 0, 0) to (7, 4, 0): √(4² + 4²)
    assert segment_distance((0, 0, 0), (3, 0, 0), (7, 4, 0), (7, 19, 0)) == pytest.approx(math.sqrt(32))


def test_parallel_segments_are_measured_square_across():
    assert segment_distance((0, 0, 0), (10, 0, 0), (4, 5, 0), (23, 5, 0)) == pytest.approx(5)


@given(p=point, q=point, r=point, s=point)
def test_the_distance_is_never_more_than_that_of_any_sampled_pair(p, q, r, s):
    found = segment_distance(p, q, r, s)
    for i in range(9):
        for j in range(9):
            a = [x + (y - x) * i / 8 for x, y in zip(p, q, strict=True)]
            b = [x + (y - x) * j / 8 for x, y in zip(r, s, strict=True)]
            assert found <= math.dist(a, b) + 1e-6


def fixing(plan, kind, index=0):
    return [f for j in plan.joints if j.kind is kind for f in j.fixings][index]


def test_a_planted_clash_is_found_with_how_far_the_screws_cut_into_each_other():
    plan = plan_of(frame_of())
    rail_end = fixing(plan, JointKind.RAIL_END)
    along = fixing(plan, JointKind.ALONG)
    assert find_clashes((rail_end, along)) == ()
    # Put the end rail's first screw on to the axis of the screw that comes through the long bar.
    planted = replace(along, start=(along.start[0], F(40), rail_end.start[2]))
    (clash,) = find_clashes((rail_end, planted))
    assert (clash.first, clash.second) == (rail_end.name, along.name)
    radii = float(rail_end.screw.diameter + along.screw.diameter) / 2
    assert clash.apart == pytest.approx(-radii)


def test_screws_closer_than_the_clearance_clash_though_they_do_not_touch():
    plan = plan_of(frame_of())
    one = fixing(plan, JointKind.RAIL_END)
    beside = replace(one, name="beside", start=(one.start[0] + one.screw.diameter + 1, *one.start[1:]))
    assert surfaces_apart(one, beside) < 2
    assert len(find_clashes((one, beside))) == 1


def test_the_middle_screw_of_an_end_rail_gives_way_to_the_middle_pieces_long_screw():
    plan = plan_of(frame_of())
    middle = fixing(plan, JointKind.ALONG, 2)
    assert middle.moved != 0
    # by hand: 5 diameters of the 4 mm screw that passes bar and rail in the same line of grain (EN 1995-1-1 Table 8.2)
    assert abs(middle.moved) == 20
    through = fixing(plan, JointKind.THROUGH_TWO)
    assert through.moved == 0
    assert surfaces_apart(middle, through) >= 2


def test_the_first_screw_of_an_end_rail_stays_clear_of_the_tip_that_comes_through_the_long_bar():
    plan = plan_of(frame_of())
    first, last = fixing(plan, JointKind.ALONG, 0), fixing(plan, JointKind.RAIL_END, 0)
    assert first.start[1] > last.tip[1]


def test_two_screws_that_cross_on_their_hole_lines_are_both_moved():
    # With end rails on all four sides their end screws cross in every corner.
    # Rails 25 deep leave either screw 3 mm to move, and 6 are needed.
    plan = plan_of(frame_of(end_rails=("left", "right", "bottom", "top"), rail_depth=F(25)))
    assert not plan.faults
    moved = [
        f for j in plan.joints if j.kind in (JointKind.RAIL_END, JointKind.THROUGH_TWO) for f in j.fixings
    ]
    assert sum(f.moved != 0 for f in moved) == 8
    assert {abs(f.moved) for f in moved if f.moved} == {F(3)}


def test_an_end_rail_does_without_the_end_screw_that_finds_no_room_and_its_caution_says_so():
    plan = plan_of(frame_of(end_rails=("left", "right", "bottom", "top"), rail_depth=F(22)))
    assert not plan.faults
    assert "no-room-clamp" in {caution.code for caution in plan.cautions}
    through = [joint for joint in plan.joints if joint.kind is JointKind.THROUGH_TWO]
    assert any(not joint.fixings for joint in through)
    along = [joint for joint in plan.joints if joint.kind is JointKind.ALONG]
    assert all(joint.fixings for joint in along)
    assert not find_clashes(fixing for joint in plan.joints for fixing in joint.fixings)


def test_screws_that_cannot_be_moved_apart_are_a_fault_that_names_both():
    # middle pieces in one line: the screws into their ends meet in the cross rail
    frame = frame_of(
        width=F(1625), height=F(1062), bar_thickness=F(24), bar_depth=F(58), rail_depth=F(20), shift=F(0),
        end_rails=("left", "right", "bottom", "top"),
    )  # fmt: skip
    plan = plan_of(frame)
    faults = [fault for fault in plan.faults if fault.code == "screws-meet"]
    assert faults
    assert "middle piece 1" in faults[0].what
    assert "middle piece 2" in faults[0].what


def test_moving_apart_keeps_within_its_limits_and_moves_the_least():
    plan = plan_of(frame_of(), screws=FEW_SCREWS)
    one = replace(fixing(plan, JointKind.ALONG, 1), moved=F(0))
    other = replace(one, name="other")
    held = Movable(fixing=one, slides=(), rank=0)
    free = Movable(fixing=other, slides=(Slide(way=(0, 1, 0), back_by=F(30), on_by=F(30)),), rank=1)
    fixings, clashes = move_apart((held, free))
    assert not clashes
    # 5 diameters of 3.5 mm in one line of grain, in whole millimetres (EN 1995-1-1 Table 8.2, pre-drilled).
    assert fixings[1].moved == 18
    _, clashes = move_apart((held, replace(free, slides=(Slide(way=(0, 1, 0), back_by=F(8), on_by=F(8)),))))
    assert len(clashes) == 1
