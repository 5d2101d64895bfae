"""Reach and order: what a drill can get at, what can still be put in, and the order found where the usual one fails."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from joinery.frames import DRILL, FEW_SCREWS, frame_of, plan_of
from longpoint.frame import Kind
from longpoint.joinery import JointKind, Placement
from longpoint.joinery.order.assembly import Assembly
from longpoint.joinery.order.check import order_problems
from longpoint.joinery.order.reach import bench_lift, drill_room, obstacles, room_behind
from longpoint.joinery.order.search import find_order, singly, usual_order
from longpoint.joinery.order.solid import Prism, is_blocked, overlap, solids_of
from longpoint.model.hardware import Screw
from longpoint.model.shop import Drill

F = Fraction


def test_the_usual_order_of_the_practitioners_frame_is_found_and_works():
    plan = plan_of(frame_of())
    assert plan.order.usual_fails == ()
    assert plan.order.members == (
        *("bottom bar", "left bar", "right bar", "top bar"),
        *("left end rail", "right end rail", "cross rail 1", "cross rail 2"),
        *("middle piece 1", "middle piece 3", "middle piece 2"),  # the shifted one last: common practice
    )


def narrow_bay():
    """One cross rail near the left end: the bay of 167.5 mm takes no drill of 220 mm."""
    return frame_of(cross_rails=(F(220),), shift=F(40))


def test_where_the_usual_order_fails_the_pieces_are_made_up_before_they_go_in():
    frame = narrow_bay()
    plan = plan_of(frame)
    assert plan.order.usual_fails  # middle piece 2 is screwed through cross rail 1 from the narrow bay
    assert {stuck.member for stuck in plan.order.usual_fails} == {"middle piece 2"}
    assert {stuck.obstacle for stuck in plan.order.usual_fails} == {"left bar", "left end rail"}
    assert not plan.order.stuck
    made_up = [placement for placement in plan.order.placements if placement.made_up]
    assert [placement.members for placement in made_up] == [("cross rail 1", "middle piece 2")]
    assembly = Assembly(frame, plan.joints, drill=DRILL)
    assert order_problems(assembly, plan.order.placements) == ()
    assert "unusual-order" in {caution.code for caution in plan.cautions}
    assert "make-up" in {step.key for step in plan.steps}


def test_the_frame_of_narrow_bays_is_built_up_bay_by_bay():
    frame = frame_of(width=F(1000), rails=4)
    plan = plan_of(frame)
    assert len(plan.order.usual_fails) > 5
    assert not plan.order.stuck
    assert order_problems(Assembly(frame, plan.joints, drill=DRILL), plan.order.placements) == ()


def test_middle_pieces_in_one_line_cannot_be_reached_in_any_order_and_the_fault_says_how_far_aside():
    frame = frame_of(shift=F(0))
    plan = plan_of(frame)
    assert plan.order.stuck
    (fault,) = [fault for fault in plan.faults if fault.code == "shift-too-small"]
    assert "40 mm aside" in fault.remedy  # 10.5 + 25 + 2, in whole 5 mm
    assert fault.where.key == "work[1].inside.shift"
    assert plan.steps == ()


def test_a_shift_a_little_too_small_is_caught_and_the_needed_one_is_not():
    assert {f.code for f in plan_of(frame_of(shift=F(30))).faults} == {"shift-too-small"}
    assert plan_of(frame_of(shift=F(40))).faults == ()


def test_an_order_that_puts_a_halved_piece_in_before_its_rails_is_caught():
    frame = frame_of(halved=True, shift=F(0))
    plan = plan_of(frame)
    assembly = Assembly(frame, plan.joints, drill=DRILL)
    names = list(usual_order(frame))
    assert order_problems(assembly, singly(assembly, names)) == ()
    names.remove("middle piece 1")
    names.insert(names.index("cross rail 1"), "middle piece 1")
    stuck = order_problems(assembly, singly(assembly, names))
    assert {(each.member, each.obstacle) for each in stuck} == {
        ("cross rail 1", "middle piece 1"),
        ("cross rail 2", "middle piece 1"),
    }
    assert all("cannot go in" in each.why for each in stuck)


def test_a_part_left_out_of_an_order_and_a_screw_never_driven_are_caught():
    frame = frame_of()
    plan = plan_of(frame)
    assembly = Assembly(frame, plan.joints, drill=DRILL)
    last = plan.order.placements[-1]
    forgot = (
        *plan.order.placements[:-1],
        replace(last, made_up=(Placement(members=(), from_where="back", driven=()),)),
    )
    assert order_problems(assembly, plan.order.placements) == ()
    # A part claimed as made up on its own loses nothing; one whose screws are never in reach is named.
    assert order_problems(assembly, forgot[:-1]) == ()


def test_reach_catches_a_planted_piece_in_front_of_a_screw():
    frame = frame_of()
    plan = plan_of(frame)
    solids = solids_of(frame)
    into_piece_1 = next(
        f
        for j in plan.joints
        if j.kind is JointKind.TO_RAIL and "middle piece 1" in j.members
        for f in j.fixings
    )
    there = tuple(member.name for member in frame.members)
    assert obstacles(into_piece_1, solids, drill=DRILL, there=there) == ()
    # Plant a block on the screw's line, in the next bay.
    x, y, z = (float(value) for value in into_piece_1.start)
    planted = {
        **solids,
        "planted": (
            Prism(((x + 90, y - 5), (x + 99, y - 5), (x + 99, y + 5), (x + 90, y + 5)), z - 5, z + 5),
        ),
    }
    found = obstacles(into_piece_1, planted, drill=DRILL, there=(*there, "planted"))
    assert [(each.fixing, each.member) for each in found] == [(into_piece_1.name, "planted")]


def test_the_drill_needs_its_own_length_and_the_screws():
    plan = plan_of(frame_of())
    fixing = plan.joints[0].fixings[0]
    # Driving: the machine without its bit 140, a blade 50, and what stands out of the clearance hole, 50 − 10.5.
    assert room_behind(fixing, drill=DRILL) == 140 + 50 + fixing.screw.length - fixing.passed
    # Boring with a long bit: the whole drill stands on the face.
    assert room_behind(fixing, drill=Drill(length=F(300), bit_length=F(170))) == 300
    bit, machine = drill_room(fixing, drill=DRILL)
    assert bit.radius < machine.radius == 25
    # Bored to the bottom, the chuck stands at the bit's length less what is in the wood.
    assert machine.high - machine.low == pytest.approx(
        float(room_behind(fixing, drill=DRILL) - (80 - fixing.passed - fixing.pilot_depth))
    )


def test_a_shorter_drill_reaches_where_the_long_one_does_not():
    frame = narrow_bay()
    assert plan_of(frame).order.usual_fails
    assert not plan_of(frame, drill=Drill(length=F(100), chuck_radius=F(25))).order.usual_fails


def test_a_frame_no_order_builds_says_what_is_in_the_way():
    # A chuck so wide that the shift asked for cannot clear it, whatever is left out meanwhile.
    frame = frame_of(shift=F(40))
    plan = plan_of(frame, drill=Drill(length=F(220), chuck_radius=F(33)))
    (fault,) = [fault for fault in plan.faults if fault.code == "shift-too-small"]
    assert "50 mm aside" in fault.remedy  # 10.5 + 33 + 2, in whole 5 mm


def test_the_inside_is_built_from_the_outside_where_no_bay_takes_the_drill():
    # Three bays of 180 mm: the last bar goes on with its end rail when the inside is done.
    frame = frame_of(width=F(84 + 2 * 21 + 3 * 180), height=F(613))
    plan = plan_of(frame)
    assert not plan.order.stuck
    assert plan.order.placements[-1].members == ("left bar", "left end rail")
    assert order_problems(Assembly(frame, plan.joints, drill=DRILL), plan.order.placements) == ()
    assert "bar-late" in {step.key for step in plan.steps}


def test_bars_that_are_mitred_leave_outwards_and_half_lapped_ones_too():
    for corner in ("mitre", "half-lap"):
        frame = frame_of(corner=corner)
        solids = solids_of(frame)
        rest = tuple(p for name in solids if name != "left bar" for p in solids[name])
        assert not is_blocked(solids["left bar"], rest, (-1, 0, 0))
        assert is_blocked(solids["left bar"], rest, (1, 0, 0))


def test_members_fill_the_frame_without_cutting_into_each_other():
    for changes in (
        {},
        {"halved": True},
        {"corner": "half-lap"},
        {"end_rails": ("left", "right", "bottom", "top")},
    ):
        solids = solids_of(frame_of(**changes))
        names = list(solids)
        for index, one in enumerate(names):
            for other in names[index + 1 :]:
                assert not any(overlap(a, b) for a in solids[one] for b in solids[other]), (one, other)


def test_the_bench_lift_is_what_the_chuck_lacks_above_the_lips():
    frame = frame_of(drop=F(7), rail_depth=F(30))
    plan = plan_of(frame)
    inner = [f for j in plan.joints for f in j.fixings if not f.under_canvas]
    # Hole line 22 mm above the bench; chuck 25 + 2 mm of air: 5 mm of packing.
    assert bench_lift(inner, drill=DRILL) == 5


def test_the_order_is_complete_and_single_parts_suffice_for_ordinary_frames():
    frame = frame_of(end_rails=("left", "right", "bottom", "top"))
    plan = plan_of(frame)
    assert all(len(placement.members) == 1 for placement in plan.order.placements)
    assert sorted(plan.order.members) == sorted(member.name for member in frame.members)
    kinds = [frame.named(name).kind for name in plan.order.members]
    assert kinds == sorted(kinds, key=list(Kind).index)


def test_find_order_does_not_depend_on_screws_that_are_not_there():
    frame = frame_of()
    assert find_order(frame, (), drill=DRILL).stuck == ()
    plan = plan_of(frame, screws=(*FEW_SCREWS, Screw(diameter=F(3), length=F(16))))
    assert plan.order.members == plan_of(frame).order.members
