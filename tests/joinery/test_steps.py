"""The steps of building: their order, their checks, the glue's clock, and that nothing is left out."""

from __future__ import annotations

import itertools
from collections import Counter
from fractions import Fraction

from joinery.frames import DRILL, FEW_SCREWS, STYLE, frame_of, plan_of
from longpoint.frame import parts_of
from longpoint.joinery import JointKind, build_plan_of
from longpoint.joinery.glue import beads, glue_lines
from longpoint.units import LengthStyle

F = Fraction


def keys(plan):
    return [step.key for step in plan.steps]


def test_the_steps_follow_the_trades_order():
    # Common practice, no published source: bars bevel up, turn over, end rails, square, cross rails, middle pieces.
    assert keys(plan_of(frame_of())) == [
        *("bow", "holes", "dry", "corners", "turn-over", "cut-end-rails", "end-rails", "square"),
        *("cut-cross-rails", "put-in", "put-in", "centre-line", "put-in", "put-in", "put-in", "ease", "name"),
    ]


def test_steps_are_numbered_from_one_and_the_frame_grows_to_all_its_members():
    frame = frame_of()
    plan = plan_of(frame)
    assert [step.number for step in plan.steps] == list(range(1, len(plan.steps) + 1))
    assert set(plan.steps[-1].in_place) == {member.name for member in frame.members}
    building = [step for step in plan.steps if step.lies != "APART"]
    for before, after in itertools.pairwise(building):
        assert set(before.in_place) <= set(after.in_place)


def test_every_screw_is_driven_once_and_every_joint_closed():
    for changes in (
        {},
        {"corner": "mitre with gusset"},
        {"corner": "half-lap"},
        {"width": F(1000), "rails": 4},
    ):
        plan = plan_of(frame_of(**changes))
        driven = Counter(name for step in plan.steps if step.key != "dry" for name in step.screws)
        assert driven == Counter(f.name for joint in plan.joints for f in joint.fixings)
        closed = {name for step in plan.steps for name in step.joints}
        assert closed == {joint.name for joint in plan.joints}


def test_bars_are_glued_face_up_and_everything_inside_goes_in_face_down():
    plan = plan_of(frame_of())
    lies = {step.key: step.lies for step in plan.steps}
    assert lies["corners"] == "FACE UP"
    assert lies["turn-over"] == lies["end-rails"] == lies["put-in"] == "FACE DOWN"
    seen = {step.key: step.seen_from for step in plan.steps}
    assert seen["corners"] == "front"
    assert seen["put-in"] == "back"


def test_the_end_rails_last_screws_are_driven_after_the_diagonals():
    plan = plan_of(frame_of())
    by_key = {step.key: step for step in plan.steps}
    into_ends = {
        f.name
        for joint in plan.joints
        if joint.kind is JointKind.RAIL_END and any("end rail" in name for name in joint.members)
        for f in joint.fixings
    }
    assert set(by_key["square"].screws) == into_ends
    assert not into_ends & set(by_key["end-rails"].screws)
    assert by_key["square"].do == ("square.diagonals", "square.wind", "square.screws")


def test_the_corners_are_squared_while_their_glue_is_open():
    plan = plan_of(frame_of())
    corners = next(step for step in plan.steps if step.key == "corners")
    assert corners.clock is not None
    assert corners.clock.holds
    assert corners.check == ("any.square-nip-up",)


def test_a_glue_that_sets_too_soon_is_said_at_the_step():
    frame = frame_of()
    plan = build_plan_of(
        frame, work="River", key="work[1]", screws=FEW_SCREWS, drill=DRILL, style=STYLE, open_minutes=3.0
    )
    corners = next(step for step in plan.steps if step.key == "corners")
    assert corners.clock is not None
    assert not corners.clock.holds
    assert dict(corners.facts)["open"] == "3"
    assert corners.caution == ("any.late-glue",)


def test_turning_over_a_large_frame_takes_two_people_and_says_how_much_floor():
    turn = next(step for step in plan_of(frame_of()).steps if step.key == "turn-over")
    assert turn.people == 2
    assert dict(turn.facts)["floor"] == "2900 mm × 2400 mm"
    small = next(
        step for step in plan_of(frame_of(width=F(907), height=F(613))).steps if step.key == "turn-over"
    )
    assert small.people == 1


def test_a_frame_without_end_rails_is_still_checked_for_wind_before_the_glue_sets():
    plan = plan_of(frame_of(end_rails=(), rails=0, middle_pieces=False))
    assert keys(plan) == ["bow", "holes", "dry", "corners", "wind", "ease", "name"]


def test_a_middle_piece_is_cut_to_the_bay_as_measured_and_the_shifted_one_says_how_far():
    plan = plan_of(frame_of())
    last = [step for step in plan.steps if step.key == "put-in"][-1]
    assert last.members == ("middle piece 2",)
    assert dict(last.facts)["aside"] == "40 mm"
    assert (
        dict(last.facts)["planned"] == "525 mm"
    )  # 524.67: what is measured on the frame is planned in whole millimetres


def test_gussets_wait_until_the_frame_lies_face_down():
    plan = plan_of(frame_of(corner="mitre with gusset"))
    step = next(step for step in plan.steps if step.key == "gussets")
    assert step.lies == "FACE DOWN"
    assert len(step.screws) == 16
    assert keys(plan).index("gussets") > keys(plan).index("turn-over")


def test_steps_speak_in_the_users_units():
    frame = frame_of()
    plan = build_plan_of(
        frame,
        work="River",
        key="work[1]",
        screws=FEW_SCREWS,
        drill=DRILL,
        style=LengthStyle("in", 16),
        parts=parts_of(frame, work="River", code="B", how_many=1),
    )
    texts = " ".join(text for step in plan.steps for _, text in step.facts)
    assert " in " in texts
    assert "524.5 mm" not in texts


def test_minutes_add_up():
    plan = plan_of(frame_of())
    assert plan.minutes == round(sum(step.minutes for step in plan.steps), 1)
    assert all(step.minutes > 0 for step in plan.steps)


def test_hole_marks_hold_every_hole_of_every_part_from_its_reference_end():
    frame = frame_of()
    plan = plan_of(frame)
    left = plan.holes_in("left bar")
    assert [mark.at for mark in left] == sorted(mark.at for mark in left)
    assert {mark.part for mark in left} == {"B2"}
    for mark in plan.holes:
        member = frame.named(mark.member)
        assert 0 <= mark.at <= member.length
        assert 0 <= mark.from_back <= member.depth
        assert 0 <= mark.across <= member.thickness


def test_holes_of_a_screw_line_up_through_the_parts_it_holds():
    frame = frame_of()
    plan = plan_of(frame)
    screw = next(f for j in plan.joints if j.kind is JointKind.THROUGH_TWO for f in j.fixings)
    bar, rail, piece = (
        next(mark for mark in plan.holes if mark.fixing == screw.name and mark.member == name)
        for name in screw.members
    )
    assert bar.at == frame.named("left bar").start + F(600)
    assert rail.at == F(600) - frame.named("left end rail").start
    assert bar.from_back - frame.design.drop == rail.from_back == piece.from_back
    assert (bar.countersink > 0, rail.countersink, piece.countersink) == (True, 0, 0)
    assert (bar.depth, rail.depth) == (None, None)
    assert piece.purpose == "pilot hole"
    assert piece.face == "reference end"


def test_glue_is_the_middle_spread_over_the_faces_with_end_grain_counted_again():
    plan = plan_of(frame_of())
    lines = {line.kind: line for line in glue_lines(plan.joints)}
    along = lines[JointKind.ALONG]
    # By hand: 2 × 1158 × 30 mm × 200 g/m² × 1.15 = 15.98 g; two beads each
    assert along.grams == round(2 * 1158 * 30 * 200e-6 * 1.15, 10)
    assert along.bead == 2 * 2 * 1158
    ends = lines[JointKind.RAIL_END]
    assert abs(ends.grams - 8 * 21 * 30 * 2 * 200e-6 * 1.15) < 1e-9


def test_a_bead_serves_twenty_millimetres_of_width():
    assert [beads(F(width)) for width in (6, 20, 21, 44)] == [1, 1, 2, 3]


def test_sundries_count_the_heads_to_be_filled():
    plan = plan_of(frame_of())
    heads = sum(f.under_canvas for j in plan.joints for f in j.fixings)
    filler = next(sundry for sundry in plan.sundries if sundry.name == "wood filler")
    assert f"{heads} sunk heads" in filler.purpose
