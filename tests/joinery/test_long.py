"""Joined bars and frames in two halves, put together: screws of plates, bolts, dowels, steps.

Distances are common practice or estimates, as the code says beside each; what is tested is that they are kept, that
nothing meets, and that the referee, which knows none of them, agrees.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from joinery.frames import DRILL, LONG_BIT, MANY_SCREWS, STYLE, design_of
from longpoint.frame import FrameDesign, Kind, as_built, derive_frame, design_faults, even_rails, parts_of
from longpoint.frame.joins import place_joins
from longpoint.joinery import BuildPlan, JointKind, build_plan_of, needed_shift
from longpoint.joinery.joints.long_bars import BESIDE_SHOULDER, plate_screws
from longpoint.joinery.joints.seam import bolt_length, bolt_places, dowel_diameter
from longpoint.joinery.referee import check_build_plan
from longpoint.joinery.steps.building import screws_of_steps

F = Fraction


def joined(kind: str, **changes) -> FrameDesign:
    """5300 × 1690 of 23 × 57 timber with five rails, its long bars joined."""
    stated = {
        "width": F(5300),
        "height": F(1690),
        "bar_thickness": F(23),
        "bar_depth": F(57),
        "rail_depth": F(38),
    }
    design = design_of(**{**stated, "rails": 5, "bevel_fall": F(6), **changes})
    return replace(design, joins=place_joins(derive_frame(design), kind=kind, boards=(F(2970), F(2970))))  # type: ignore[arg-type]


def halved(rails: int = 4, **changes) -> FrameDesign:
    """4310 × 1590 of 23 × 57 timber in two halves."""
    stated = {
        "width": F(4310),
        "height": F(1590),
        "bar_thickness": F(23),
        "bar_depth": F(57),
        "rail_depth": F(38),
    }
    plain = design_of(**{**stated, "rails": 0, "bevel_fall": F(6), **changes})
    plain = replace(plain, seam=plain.length / 2)
    return replace(plain, cross_rails=even_rails(rails, design=plain))


def plan(design: FrameDesign, *, drill=DRILL, screws=MANY_SCREWS) -> BuildPlan:
    frame = derive_frame(design)
    return build_plan_of(
        frame,
        work="River",
        key="work[1]",
        screws=screws,
        drill=drill,
        style=STYLE,
        parts=parts_of(frame, work="River", code="B", how_many=1),
    )


# --- joined bars -----------------------------------------------------------------------------------------------


def test_a_scarf_is_glued_over_its_slope_and_holds_no_screw():
    build = plan(joined("scarf"))
    scarfs = [joint for joint in build.joints if joint.kind is JointKind.SCARF]
    assert [joint.members for joint in scarfs] == [("bottom bar",), ("top bar",)]
    assert scarfs[0].fixings == ()
    # √(184² + 23²) = 185.43 long, 57 − 6/2 = 54 deep
    assert scarfs[0].glue[0].length == F(18543, 100)
    assert scarfs[0].glue[0].width == 54
    assert not check_build_plan(derive_frame(joined("scarf")), build, drill=DRILL)


def test_the_screws_of_a_plate_press_lap_and_plate_and_none_stands_at_a_shoulder():
    design = joined("half-lap with plate")
    build = plan(design)
    join = design.joins[0]
    low, high = join.centre - join.length / 2, join.centre + join.length / 2
    spots = plate_screws(join)
    # 171 long lap: 20 beside each shoulder, 131 between in three steps; two more at each end of the plate
    assert len(spots) == 8
    assert [spot - low for spot in spots[:4]] == [-40, -20, 20, 20 + F(131, 3)]
    assert all(abs(spot - edge) >= BESIDE_SHOULDER for spot in spots for edge in (low, high))
    lap = next(joint for joint in build.joints if joint.kind is JointKind.SPLICED_LAP)
    assert len(lap.fixings) == 8
    for fixing in lap.fixings:
        assert fixing.through == ("bottom plate 1",)
        assert fixing.into == "bottom bar"
        assert fixing.thread < 23  # never through to the canvas
    assert not check_build_plan(derive_frame(design), build, drill=DRILL)


def test_screws_of_plates_are_on_the_list_and_driven_the_day_before():
    build = plan(joined("half-lap with plate"))
    every = [fixing for joint in build.joints for fixing in joint.fixings]
    assert sum(line.count for line in build.screws) == len(every)
    assert {fixing.name for fixing in screws_of_steps(build.steps, every)} == {
        fixing.name for fixing in every
    }
    first, second = build.steps[:2]
    assert first.key == "join-lap"
    assert len(first.screws) == 16
    assert second.key == "join-flush"
    assert "join-flush.bevelled" in second.do


def test_a_plate_is_bored_where_its_screws_pass():
    design = joined("half-lap with plate")
    build = plan(design)
    holes = [mark for mark in build.holes if mark.member == "bottom plate 1"]
    assert [mark.at for mark in holes][:3] == [20, 40, 80]  # the plate reaches 60 beyond the lap
    assert {mark.purpose for mark in holes} == {"clearance hole"}
    assert {mark.from_back for mark in holes} == {19}  # the middle of 38
    assert all(mark.part for mark in holes)


def test_holes_of_a_joined_bar_count_from_its_own_end_over_the_join():
    build = plan(joined("scarf"))
    marks = [mark for mark in build.holes if mark.member == "bottom bar" and mark.purpose == "clearance hole"]
    assert {mark.part for mark in marks} == {"B1 + B2"}
    assert F(5300, 2) in {mark.at for mark in marks}  # the middle rail's screw


def test_bars_bevelled_later_are_bevelled_through_the_join():
    assert "join-flush.bevel" in plan(joined("scarf", bevel_first=False)).steps[1].do


# --- two halves ------------------------------------------------------------------------------------------------


def test_bolts_stand_between_the_bars_and_clear_of_middle_pieces():
    design = halved()
    # inside from 23 to 1567: first at 68, last at 1522; middle pieces at 795 and 835, each needs 10.5 + 9 + 14 = 33.5
    places = bolt_places(design)
    assert places[0] == 68 and places[-1] == 1522
    assert all(abs(place - line) >= F(67, 2) for place in places for line in (795, 835))
    assert max(b - a for a, b in pairwise(places)) <= 350
    assert bolt_length(design) == 55  # 2 · 21 + 2 · 1.6 + 6 = 51.2, the next that is sold
    assert dowel_diameter(design) == 8  # 23 / 3 = 7.7


def test_screws_in_the_ends_of_the_doubled_members_stop_short_of_the_first_bolt():
    build = plan(halved(bar_thickness=F(32), rail_thickness=F(32)))
    reach = {
        fixing.into: fixing.thread
        for joint in build.joints
        if joint.kind is JointKind.RAIL_END
        for fixing in joint.fixings
    }
    # a thick rail's screw would reach ten diameters of 5 mm and more; 45 − 6.5/2 − 3 = 38.75 is left beside a bolt
    assert max(reach["cross rail 2"], reach["cross rail 3"]) <= F(155, 4)
    assert reach["cross rail 1"] > F(155, 4)
    assert "short-thread" not in {caution.code for caution in build.cautions}


def test_bolts_washers_nuts_and_dowels_are_counted():
    build = plan(halved())
    count = len(bolt_places(halved()))
    assert [(f"{line.kind} {line.size}", line.count) for line in build.hardware] == [
        ("bolt M6 × 55 mm", count),
        ("large-washer M6", 2 * count),
        ("nut M6", count),
        ("dowel 8 × 60 mm", 2),
    ]
    (seam,) = [joint for joint in build.joints if joint.kind is JointKind.SEAM]
    assert seam.members == ("cross rail 2", "cross rail 3")
    butts = [joint for joint in build.joints if joint.kind is JointKind.BUTT]
    assert [joint.members for joint in butts] == [
        ("bottom bar 1", "bottom bar 2"),
        ("top bar 1", "top bar 2"),
    ]


def test_both_members_of_a_bolt_are_bored_at_the_same_height_and_place():
    build = plan(halved())
    bored = {}
    for mark in build.holes:
        if mark.purpose == "bolt hole":
            bored.setdefault(mark.fixing, []).append((mark.member, mark.at, mark.from_back, mark.diameter))
    for marks in bored.values():
        (one, *first), (other, *second) = marks
        assert {one, other} == {"cross rail 2", "cross rail 3"}
        assert first == second
    dowels = [mark for mark in build.holes if mark.purpose == "dowel hole"]
    assert [(mark.member, mark.face) for mark in dowels] == [
        ("bottom bar 1", "other end"),
        ("bottom bar 2", "reference end"),
        ("top bar 1", "other end"),
        ("top bar 2", "reference end"),
    ]


def test_the_halves_are_put_together_one_after_the_other_and_bolted_last():
    build = plan(halved())
    halves = [step.half for step in build.steps]
    assert [half for half in halves if half] == sorted(half for half in halves if half)
    assert [step.key for step in build.steps if not step.half] == [
        "bow", "holes", "seam-bore", "seam-bolt", "ease", "name",
    ]  # fmt: skip
    first = [step for step in build.steps if step.half == 1]
    assert first[0].members == ("bottom bar 1", "left bar", "top bar 1")
    assert all("right bar" not in step.in_place for step in first)
    assert not check_build_plan(derive_frame(halved()), build, drill=DRILL)
    bolted = next(step for step in build.steps if step.key == "seam-bolt")
    assert len(bolted.bolts) == len(bolt_places(halved()))


def test_in_one_piece_the_same_rails_could_not_be_screwed():
    # Side by side the doubled members leave no drill behind the middle pieces' screws: each half alone does.
    design = replace(halved(), seam=None)
    assert plan(design).faults
    assert not plan(halved()).faults


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(
    width=st.integers(2400, 5400),
    height=st.integers(900, 2300),
    thickness=st.integers(20, 34),
    depth=st.integers(48, 80),
    rails=st.sampled_from([2, 3, 4, 6]),
    middle=st.booleans(),
    corner=st.sampled_from(["mitre", "mitre with gusset", "mitre with glue block", "half-lap"]),
    join=st.sampled_from([None, "scarf", "half-lap with plate"]),
    turned=st.booleans(),
)
def test_over_random_halves_and_joins_nothing_meets_and_every_screw_is_driven(
    width, height, thickness, depth, rails, middle, corner, join, turned
):
    width, height = max(width, height + 50), height
    plain = design_of(
        width=F(height if turned else width),
        height=F(width if turned else height),
        bar_thickness=F(thickness),
        bar_depth=F(depth),
        bevel_fall=F(6),
        rail_thickness=F(thickness),
        rail_depth=F(depth - 7 - 10),
        rails=0,
        corner=corner,
        end_rails=("bottom", "top") if turned else ("left", "right"),
        strings=("bottom", "top") if turned else ("left", "right"),
        middle_pieces=middle,
        shift=needed_shift(rail_thickness=F(thickness), drill=LONG_BIT) if middle else F(0),
    )
    plain = replace(plain, seam=plain.length / 2)
    design = replace(plain, cross_rails=even_rails(rails, design=plain))
    if (
        design_faults(design, style=STYLE, key="work[1]", work="River")
        or min(derive_frame(design).bays) < 340
    ):
        return
    if join:
        board = design.length / 2 * F(4, 5)
        joins = place_joins(derive_frame(design), kind=join, boards=(board, board))
        design = replace(design, joins=joins)
    build = plan(design, drill=LONG_BIT)
    assert not build.faults
    assert not check_build_plan(derive_frame(design), build, drill=LONG_BIT)
    every = [fixing for joint in build.joints for fixing in joint.fixings]
    assert len(screws_of_steps(build.steps, every)) == len(every)
    placed = sorted(build.order.members)
    assert placed == sorted(member.name for member in as_built(derive_frame(design)).members)


# --- the referee sees planted faults ---------------------------------------------------------------------------


def test_the_referee_sees_a_bolt_under_a_middle_piece_and_one_too_short():
    design = halved()
    build = plan(design)
    seam = next(joint for joint in build.joints if joint.bolts)
    bolt = seam.bolts[0]
    bad = replace(seam, bolts=(replace(bolt, start=(bolt.start[0], F(795), bolt.start[2]), length=F(30)),))
    joints = tuple(bad if joint is seam else joint for joint in build.joints)
    wrong = check_build_plan(derive_frame(design), replace(build, joints=joints), drill=DRILL)
    assert any("lies under the middle piece 3" in text for text in wrong)
    assert any("too short for its nut" in text for text in wrong)
    assert any("1 bolts hold" in text for text in wrong)
    assert any("and screw" in text for text in wrong)  # the middle piece's screw runs there


def test_the_referee_sees_a_dowel_on_a_screw_and_a_rail_on_a_join():
    design = halved()
    build = plan(design)
    butt = next(joint for joint in build.joints if joint.dowels)
    dowel = butt.dowels[0]
    line = F(-57 + 7 + 19)  # the hole line of the rails' screws
    bad = replace(butt, dowels=(replace(dowel, centre=(dowel.centre[0], dowel.centre[1], line)),))
    joints = tuple(bad if joint is butt else joint for joint in build.joints)
    wrong = check_build_plan(derive_frame(design), replace(build, joints=joints), drill=DRILL)
    assert any(text.startswith(dowel.name) and "apart" in text for text in wrong)

    long = joined("scarf")
    moved = replace(long, joins=tuple(replace(join, centre=F(2650)) for join in long.joins))
    assert any(
        "ends on the join" in text for text in check_build_plan(derive_frame(moved), plan(moved), drill=DRILL)
    )


def test_the_referee_sees_a_half_that_lacks_a_part():
    design = halved()
    build = plan(design)
    order = replace(build.order, placements=build.order.placements[:-1])
    wrong = check_build_plan(derive_frame(design), replace(build, order=order), drill=DRILL)
    assert any("is put in 0 times" in text for text in wrong)


def test_a_narrow_work_leaves_no_room_for_two_bolts():
    build = plan(halved(height=F(180), width=F(2410), rails=2, middle_pieces=False, end_rails=()))
    assert "no-room-for-bolts" in [fault.code for fault in build.faults]


def test_plates_are_bars_things_and_no_members_of_the_frame():
    frame = derive_frame(joined("half-lap with plate"))
    assert all(member.kind is not Kind.PLATE for member in frame.members)
