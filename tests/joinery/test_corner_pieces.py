"""Gussets and glue blocks as solids: what they stand in the way of, and that faults planted in them are caught."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from joinery.frames import DRILL, MANY_SCREWS, frame_of, plan_of
from longpoint.joinery.joints.corner_pieces import BLOCK_SIDE, corner_pieces, overlaps_of
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.order.assembly import Assembly
from longpoint.joinery.order.check import order_problems
from longpoint.joinery.referee import check_build_plan

F = Fraction
BLOCKED = {"corner": "mitre with glue block"}
GUSSETED = {"corner": "mitre with gusset"}


def assembly_of(frame):
    return Assembly(frame, plan_of(frame).joints, drill=DRILL)


def test_a_glue_block_stands_against_bar_and_end_rail():
    frame = frame_of(**BLOCKED)
    pieces = corner_pieces(frame, plan_of(frame).joints)
    assert len(pieces) == 4
    first = next(piece for piece in pieces if piece.name == "glue block, bottom left")
    # left: bar 21 and end rail 21; bottom: bar 21 alone; back edge 44, drop 7, as long as a rail is deep, 30
    assert first.prism.outline[0] == (42.0, 21.0)
    assert first.prism.outline[2] == (42.0 + float(BLOCK_SIDE), 21.0 + float(BLOCK_SIDE))
    assert (first.prism.back, first.prism.front) == (-37.0, -7.0)
    assert first.needs == {"left bar", "bottom bar", "left end rail"}


@pytest.mark.parametrize("thickness", [18, 21, 28, 35])
@pytest.mark.parametrize("corner", [BLOCKED, GUSSETED], ids=["block", "gusset"])
def test_screws_stay_inside_the_piece_they_hold(corner, thickness):
    frame = frame_of(bar_thickness=F(thickness), **corner)
    assert check_build_plan(frame, plan_of(frame, screws=MANY_SCREWS), drill=DRILL) == ()


@pytest.mark.parametrize("corner", [BLOCKED, GUSSETED], ids=["block", "gusset"])
def test_a_screw_planted_beside_its_piece_is_seen_to_leave_the_wood(corner):
    frame = frame_of(**corner)
    plan = plan_of(frame)
    what = "glue block" if corner is BLOCKED else "gusset"
    joint = next(joint for joint in plan.joints if joint.kind.value.endswith(what))
    fixing = next(f for f in joint.fixings if what in f.members)
    level = 0 if not fixing.axis[0] else 1
    start = list(fixing.start)
    start[level] += 30  # along the bar, past the end of the piece
    start[level] += 100 if what == "gusset" else 0
    moved = replace(fixing, start=tuple(start))
    planted = replace(
        plan,
        joints=tuple(
            replace(each, fixings=tuple(moved if f.name == fixing.name else f for f in each.fixings))
            for each in plan.joints
        ),
    )
    assert any(fixing.name in text for text in check_build_plan(frame, planted, drill=DRILL))


def test_a_drill_planted_in_the_room_of_a_glue_block_is_seen():
    frame = frame_of(**BLOCKED)
    assembly = assembly_of(frame)
    everything = frozenset(assembly.names)
    along = next(j for j in plan_of(frame).joints if j.kind is JointKind.ALONG)
    fixing = along.fixings[0]
    # driven from the inside through the end rail, 50 mm from the corner, where the block stands up to 56
    planted = replace(fixing, start=(fixing.start[0], F(50), fixing.start[2]))
    assert [o.member for o in assembly.unreached([planted], everything)] == ["glue block, bottom left"]
    # while the end rail itself has only just come, no block is in its corner yet
    assert assembly.unreached([planted], everything, coming=frozenset(("left end rail",))) == ()


def test_gussets_put_on_too_early_are_seen_to_shut_the_end_rails_out():
    frame = frame_of(**GUSSETED)
    plan = plan_of(frame)
    assembly = assembly_of(frame)
    assert order_problems(assembly, plan.order.placements) == ()
    assembly.pieces = tuple(replace(piece, last=False) for piece in assembly.pieces)
    found = order_problems(assembly, plan.order.placements)
    assert {stuck.member for stuck in found} >= {"left end rail", "right end rail"}
    assert all("gusset" in stuck.why for stuck in found)


def test_gussets_are_the_last_step_of_putting_together():
    keys = [step.key for step in plan_of(frame_of(**GUSSETED)).steps]
    assert keys.index("gussets") > keys.index("end-rails")
    assert keys.index("gussets") > max(i for i, key in enumerate(keys) if key == "put-in")


def test_a_rail_planted_where_a_block_stands_is_seen():
    frame = frame_of(cross_rails=(F(60), F(850)), end_rails=(), middle_pieces=False, **BLOCKED)
    pieces = corner_pieces(frame, plan_of(frame, screws=MANY_SCREWS).joints)
    assert {member for _, member in overlaps_of(frame, pieces)} == {"cross rail 1"}
    clear = frame_of(cross_rails=(F(400), F(850)), end_rails=(), middle_pieces=False, **BLOCKED)
    assert overlaps_of(clear, corner_pieces(clear, plan_of(clear).joints)) == ()
