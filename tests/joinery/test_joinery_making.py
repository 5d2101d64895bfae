"""Bevels, bars joined in length, frames in two halves: common practice and estimates, no published source."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from joinery_frames import STYLE, design_of, frame_of

from longpoint.joinery.bevel import bevel_work
from longpoint.joinery.halves import in_two_halves
from longpoint.joinery.long_bars import CLEAR_OF_RAIL, join_bar

F = Fraction


def bevel(by="hand plane", how_many=1, **changes):
    return bevel_work(
        design_of(**changes), by=by, how_many=how_many, style=STYLE, work="River", key="work[1]"
    )


def test_the_bevel_is_gauged_from_the_back_edge_and_from_the_outer_side():
    work = bevel(bar_thickness=F(23), bar_depth=F(47), bevel_fall=F(6))
    assert work.gauge_inner == 41  # 47 − 6
    assert work.gauge_front == work.arris == 2
    assert work.angle == pytest.approx(math.atan(6 / 21))
    assert work.slope == pytest.approx(math.sqrt(21**2 + 6**2))
    assert work.deepest == pytest.approx(6 * 21 / math.sqrt(21**2 + 6**2))


def test_what_comes_off_is_a_wedge_beside_the_arris_along_all_bars():
    work = bevel(bar_thickness=F(23), bevel_fall=F(6), how_many=3)
    assert work.area == 63  # ½ · 21 · 6
    assert work.length == 3 * 2 * (1700 + 1200)
    assert work.volume == 63 * 17400


def test_passes_are_the_depth_over_the_shaving():
    # 4.835 mm deep: 0.15 mm a pass by hand, 0.8 by machine (estimates)
    assert bevel().passes == math.ceil(4.835 / 0.15)
    assert bevel(by="power plane").passes == math.ceil(4.835 / 0.8)


def test_the_card_shows_the_lip_the_arris_and_the_low_edge():
    card = bevel(bar_thickness=F(23), bevel_fall=F(6)).card
    assert card[:3] == ((0, 0), (2, 0), (23, 6))


def test_a_glued_lip_keeps_the_whole_as_deep():
    lip = bevel(bevel_fall=F(6)).lip
    assert lip.bar_depth + lip.height == 44
    assert lip.length == F(11, 10) * 2 * (1700 + 1200)


def test_short_pieces_are_not_planed_after_cutting():
    short = bevel(by="power plane", width=F(280), height=F(211), bevel_first=False)
    codes = {caution.code for caution in short.cautions}
    assert {"bevel-short-pieces", "safety-planer", "bevel-after-cutting"} <= codes
    assert "bevel-short-pieces" not in {c.code for c in bevel(by="power plane").cautions}


def test_an_arris_as_wide_as_half_the_bar_is_refused():
    work = bevel_work(
        design_of(), by="hand plane", how_many=1, style=STYLE, work="River", key="work[1]", arris=F(12)
    )
    assert [fault.code for fault in work.faults] == ["arris-too-wide"]


def joined(frame, *, kind="scarf", board=2370):
    return join_bar(
        frame,
        frame.named("bottom bar"),
        kind=kind,
        longest_board=F(board),
        style=STYLE,
        work="River",
        key="work[1]",
    )


def test_a_bar_that_a_board_holds_is_not_joined():
    assert joined(frame_of(width=F(2203))).join is None


@settings(max_examples=40)
@given(
    width=st.integers(2400, 4200),
    rails=st.integers(0, 4),
    kind=st.sampled_from(["scarf", "half-lap with plate"]),
)
def test_a_join_lies_clear_of_rails_away_from_mid_bay_and_boards_hold_both_pieces(width, rails, kind):
    frame = frame_of(width=F(width), height=F(1307), rails=rails, middle_pieces=False)
    found = joined(frame, kind=kind)
    if found.join is None:
        assert found.faults or width <= 2370
        return
    join = found.join
    assert join.from_rail >= CLEAR_OF_RAIL
    assert join.share_of_bay < 0.45
    assert max(join.pieces) <= 2370
    assert sum(join.pieces) - join.length == width  # the join lies in both
    low, high = join.centre - join.length / 2, join.centre + join.length / 2
    for rail in frame.members:
        if "cross rail" in rail.name:
            assert high < rail.low or low > rail.high
    assert "joined-bar" in {caution.code for caution in found.cautions}


def test_boards_too_short_for_any_place_say_what_length_would_do():
    found = joined(frame_of(width=F(2603), rails=3), board=1307)
    assert found.join is None
    assert [fault.code for fault in found.faults] == ["no-place-for-join"]


def test_boards_that_reach_only_to_mid_bay_are_refused():
    # 3000 long without rails, boards of 1650: the join's middle would lie within 66 mm of mid-bay.
    frame = frame_of(width=F(3000), rails=0, middle_pieces=False, end_rails=())
    assert joined(frame, board=1650).join is None
    assert joined(frame, board=1950).join is not None


def halves_of(frame, **changes):
    return in_two_halves(frame, style=STYLE, work="River", key="work[1]", **changes)


def test_two_halves_meet_in_the_bay_nearest_the_middle_through_doubled_members():
    frame = frame_of(width=F(2607), height=F(1507), rails=2)
    halves = halves_of(frame).halves
    assert halves is not None
    assert halves.seam == 1304  # the middle, whole millimetres: 1303.5 rounded to even
    assert halves.doubled[1] - halves.doubled[0] == frame.design.rail_thickness
    assert sum(half[0] for half in halves.halves) == 2607
    assert halves.bolt_length > 2 * frame.design.rail_thickness


@settings(max_examples=40)
@given(width=st.integers(1500, 4200), height=st.integers(600, 1490), rails=st.integers(0, 5))
def test_bolts_are_close_and_none_stands_where_a_middle_piece_ends(width, height, rails):
    frame = frame_of(width=F(width), height=F(height), rails=rails)
    halves = halves_of(frame).halves
    if halves is None:
        return
    gaps = [b - a for a, b in zip(halves.bolts, halves.bolts[1:], strict=False)]
    assert max(gaps) <= 350
    line = frame.design.breadth / 2
    assert all(abs(bolt - line) > 20 for bolt in halves.bolts)
    low, high = halves.doubled[0] - F(21) / 2, halves.doubled[1] + F(21) / 2
    for rail in frame.members:
        if "cross rail" in rail.name:
            assert high < rail.low or low > rail.high


def test_halves_that_do_not_pass_the_door_are_refused():
    found = halves_of(frame_of(width=F(2607), height=F(1507)), longest_half=F(1200))
    assert [fault.code for fault in found.faults] == ["half-too-long"]


def test_narrow_bays_leave_no_room_for_a_seam():
    found = halves_of(frame_of(width=F(1300), height=F(907), rails=5))
    assert found.halves is None
    assert [fault.code for fault in found.faults] == ["no-room-for-seam"]
