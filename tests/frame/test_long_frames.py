"""Bars longer than a board and frames in two halves: pieces, overlaps, places, parts.

The lengths of joins are common practice or estimates, as the code says beside each; what is tested here is the
arithmetic, by hand, and what must hold whatever they are.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longpoint.frame import (
    Frame,
    FrameDesign,
    Kind,
    as_built,
    derive_frame,
    design_faults,
    even_rails,
    half_frames,
    joined_bars,
    outline_xy,
    parts_of,
    plates_of,
)
from longpoint.frame.halves import BESIDE_SEAM, extent_of, halves_faults, seam_for, with_seam
from longpoint.frame.join_places import CLEAR_OF_RAIL
from longpoint.frame.joins import free_stretches, join_faults, pieces_of, place_joins
from longpoint.units import LengthStyle

F = Fraction
STYLE = LengthStyle()


def design_of(**changes: Any) -> FrameDesign:
    """A long frame, 5300 × 1700 of 23 × 57, with changes; ``rails`` counts even cross rails."""
    rails = changes.pop("rails", 5)
    stated: dict[str, Any] = {
        "width": F(5300),
        "height": F(1700),
        "bar_thickness": F(23),
        "bar_depth": F(57),
        "bevel_fall": F(6),
        "bevel_first": True,
        "lip_radius": F(2),
        "corner": "mitre",
        "rail_thickness": F(21),
        "rail_depth": F(38),
        "drop": F(7),
        "end_rails": ("left", "right"),
        "cross_rails": (),
        "middle_pieces": False,
        "halved": False,
        "shift": F(0),
        "strings": ("left", "right"),
    }
    design = FrameDesign(**{**stated, **changes})
    if design.cross_rails:
        return design
    return replace(design, cross_rails=even_rails(rails, design=design))


def joined(kind: Any = "scarf", *, boards: tuple[int, int] = (2970, 2970), **changes: Any) -> FrameDesign:
    design = design_of(**changes)
    joins = place_joins(derive_frame(design), kind=kind, boards=(F(boards[0]), F(boards[1])))
    return replace(design, joins=joins)


def faults_of(design: FrameDesign, kind: Any = "scarf", boards: tuple[int, ...] = (2970, 2970)) -> list[str]:
    found = join_faults(
        derive_frame(design),
        kind=kind,
        boards=tuple(map(F, boards)),
        style=STYLE,
        work="River",
        key="work[1]",
    )
    return [fault.code for fault in found]


# --- bars joined in length -------------------------------------------------------------------------------------


def test_a_scarf_is_eight_thicknesses_long_and_lies_in_both_pieces():
    design = joined()
    bottom = design.joins_of("bottom")[0]
    assert bottom.length == 184  # 8 · 23
    parts = [
        part for part in parts_of(derive_frame(design), work="River", code="B", how_many=1) if part.joined
    ]
    # by hand: inside 44 to 5256, five rails of 21 leave bays of 851.2; the third ends at 2639.5, a fifth of it before
    # that is 2469.3; tried in steps of 5 mm from either end of the bay, 2471 comes nearest
    assert bottom.centre == 2471
    assert [part.long_point for part in parts] == [5300 - 2471 + 92, 2471 + 92] == [2921, 2563]
    assert [part.short_point for part in parts] == [2898, 2540]  # one mitre each, 23 less
    assert [part.ends for part in parts] == [("mitre", "scarf")] * 2
    assert sum(part.long_point for part in parts) - bottom.length == 5300


def test_bars_that_face_each_other_are_joined_turned_end_for_end_and_cut_alike():
    design = joined()
    bottom, top = design.joins_of("bottom")[0], design.joins_of("top")[0]
    assert bottom.centre + top.centre == 5300
    parts = [
        part for part in parts_of(derive_frame(design), work="River", code="B", how_many=3) if part.joined
    ]
    assert [(part.per_work, part.how_many, part.hand) for part in parts] == [(2, 6, "left"), (2, 6, "right")]


def test_the_hand_of_a_mitred_end_is_told_face_up_with_the_lip_away():
    # Over the lip of the bottom bar one looks down the picture: its left corner lies at the right hand.
    frame = derive_frame(joined())
    (short,) = [p for p in parts_of(frame, work="River", code="B", how_many=1) if p.long_point == 2563]
    assert short.hand == "right"
    assert pieces_of(frame.design, frame.named("bottom bar"))[0].length == 2563


def test_a_plate_is_a_part_of_rail_timber_and_lies_between_the_rails():
    design = joined("half-lap with plate")
    plate = plates_of(derive_frame(design))[0]
    assert plate.length == 3 * 57 + 2 * 60
    assert (plate.low, plate.high) == (23, 44)  # on the bottom bar's inner side, as thick as a rail
    assert (plate.back, plate.front) == (-50, -12)  # 7 in from the back edge, 38 deep
    parts = parts_of(derive_frame(design), work="River", code="B", how_many=2)
    made = next(part for part in parts if part.kind is Kind.PLATE)
    assert (made.long_point, made.how_many, made.ends) == (291, 4, ("square", "square"))
    assert next(part for part in parts if part.joined).ends == ("mitre", "spliced lap")


def test_a_plate_keeps_clear_of_the_canvas_where_rails_are_deep():
    design = joined("half-lap with plate", rail_depth=F(49))
    assert plates_of(derive_frame(design))[0].depth == 57 - 7 - 8


@settings(max_examples=60, deadline=None)
@given(
    width=st.integers(3000, 6100),
    height=st.integers(900, 2900),
    thickness=st.integers(19, 32),
    rails=st.integers(0, 7),
    kind=st.sampled_from(["scarf", "half-lap with plate"]),
    longest=st.integers(2300, 3700),
    second=st.integers(2300, 3700),
    ends=st.sampled_from([(), ("left", "right")]),
)
def test_two_pieces_and_their_overlap_make_exactly_the_bar(
    width, height, thickness, rails, kind, longest, second, ends
):
    boards = (max(longest, second), min(longest, second))
    plain = design_of(
        width=F(2 * width + 1, 2), height=F(height), bar_thickness=F(thickness), rails=rails, end_rails=ends
    )
    if design_faults(plain, style=STYLE, key="work[1]", work="River"):
        return
    joins = place_joins(derive_frame(plain), kind=kind, boards=(F(boards[0]), F(boards[1])))
    design = replace(plain, joins=joins)
    frame = derive_frame(design)
    unjoined = 0
    for bar in frame.of_kind(Kind.BAR):
        pieces = pieces_of(design, bar)
        overlap = sum(join.length for join in design.joins_of(bar.side))
        assert sum(piece.length for piece in pieces) - overlap == bar.length
        if bar.length <= boards[0]:
            assert len(pieces) == 1
        elif len(pieces) == 1:
            unjoined += 1
        else:
            assert max(piece.length for piece in pieces) <= boards[0]
            assert min(piece.length for piece in pieces) <= boards[1]
            (join,) = design.joins_of(bar.side)
            low, high = join.reach
            bay = next((a, b) for a, b in free_stretches(frame, bar) if a < join.centre < b)
            assert low - bay[0] >= CLEAR_OF_RAIL and bay[1] - high >= CLEAR_OF_RAIL
            assert bay[0] < low and high < bay[1]
            middle = sum(bay) / 2
            assert high < middle or low > middle
    assert len(faults_of(design, kind, boards)) == unjoined
    timber = sum(part.long_point * part.per_work for part in parts_of(frame, work="R", code="B", how_many=1))
    plates = plates_of(frame)
    assert timber == sum(member.length for member in (*frame.members, *plates)) + sum(j.length for j in joins)


def test_the_volume_of_two_pieces_is_that_of_the_whole_bar():
    whole = parts_of(derive_frame(design_of()), work="R", code="B", how_many=1)
    bar = next(part for part in whole if part.long_point == 5300)
    parts = parts_of(derive_frame(joined()), work="R", code="B", how_many=1)
    assert sum(part.volume for part in parts if part.joined) == bar.volume


def test_a_bar_once_joined_is_marked_whole_from_one_end():
    design = joined()
    frame = derive_frame(design)
    (bar,) = joined_bars(frame, parts_of(frame, work="River", code="B", how_many=1))
    assert bar.mark == "B1 + B2"
    assert bar.ends == ("mitre", "mitre")
    assert [mark.at for mark in bar.marks if "cross" in mark.what][2] == F(5300, 2) - F(21, 2)


def test_two_boards_that_are_too_short_say_what_they_give():
    assert faults_of(joined(boards=(2400, 2400)), boards=(2400, 2400)) == ["boards-too-short"] * 2


def test_boards_that_reach_only_over_a_rail_or_mid_bay_find_no_place():
    # pieces of 2750 at most put the centre within 2642 to 2658, over the middle rail
    design = joined(boards=(2750, 2750))
    assert design.joins == ()
    assert faults_of(design, boards=(2750, 2750)) == ["no-place-for-join"] * 2


def test_a_plate_under_an_end_rail_is_refused():
    design = joined(
        "half-lap with plate", end_rails=("left", "right", "bottom", "top"), width=F(5200), height=F(1600)
    )
    assert faults_of(design, "half-lap with plate") == ["plate-under-end-rail"] * 2


# --- frames in two halves --------------------------------------------------------------------------------------


def halved(rails: int = 4, **changes: Any) -> FrameDesign:
    """A frame in halves with ``rails`` cross rails in all, the doubled two with them."""
    plain = design_of(rails=0, middle_pieces=True, shift=F(40), **changes)
    seam = replace(plain, seam=plain.length / 2)
    return replace(seam, cross_rails=even_rails(rails, design=seam))


def test_doubled_members_lie_face_to_face_and_share_no_bay():
    design = halved()
    # by hand: inside from 44 to 5256; each half 2606 − 21 of the doubled, − 21 of its own rail, in two bays of 1282
    assert design.cross_rails == (1336 + F(1, 2), 2639 + F(1, 2), 2660 + F(1, 2), 3963 + F(1, 2))
    assert design.seam_rails == (1, 2)
    frame = derive_frame(design)
    assert frame.bays == (1282, 1282, 1282, 1282)
    assert [piece.name for piece in frame.of_kind(Kind.MIDDLE_PIECE)] == [
        f"middle piece {number}" for number in (1, 2, 3, 4)
    ]
    assert not design_faults(design, style=STYLE, key="work[1]", work="River")


def test_long_bars_are_two_parts_mitred_at_one_end_and_square_at_the_other():
    frame = derive_frame(halved())
    parts = [p for p in parts_of(frame, work="River", code="B", how_many=1) if p.long_point == 2650]
    assert [(p.members, p.ends, p.hand) for p in parts] == [
        (("bottom bar 1",), ("mitre", "square"), "right"),
        (("bottom bar 2",), ("square", "mitre"), "left"),
        (("top bar 1",), ("mitre", "square"), "left"),
        (("top bar 2",), ("square", "mitre"), "right"),
    ]
    assert {p.short_point for p in parts} == {2627}
    # bevelled later they may be turned over, and two are alike
    later = parts_of(derive_frame(halved(bevel_first=False)), work="River", code="B", how_many=1)
    assert [p.members for p in later if p.long_point == 2650] == [
        ("bottom bar 1", "top bar 1"),
        ("bottom bar 2", "top bar 2"),
    ]


def test_marks_of_a_half_bar_count_from_its_own_left_end():
    frame = derive_frame(halved())
    second = next(
        p for p in parts_of(frame, work="River", code="B", how_many=1) if p.members == ("bottom bar 2",)
    )
    # the doubled member at 0, its rail at 3963.5 − 10.5 − 2650, the end rail at 5256 − 2650
    assert [mark.at for mark in second.marks] == [0, 1303, 2606]


@settings(max_examples=60, deadline=None)
@given(
    width=st.integers(1500, 5400),
    height=st.integers(700, 5400),
    lines=st.lists(st.integers(1, 19), max_size=5, unique=True),
)
def test_halves_hold_every_member_once_and_reach_to_the_seam(width, height, lines):
    length = F(max(width, height))
    plain = design_of(
        width=F(width),
        height=F(height),
        rails=0,
        end_rails=("left", "right") if width >= height else ("bottom", "top"),
    )
    plain = replace(plain, cross_rails=tuple(sorted(length * line / 20 for line in lines)))
    if design_faults(plain, style=STYLE, key="work[1]", work="River"):
        return
    seam = seam_for(plain)
    if seam is None:
        bays = derive_frame(plain).bays
        assert max(bays) < 2 * (BESIDE_SEAM + plain.rail_thickness) + 1  # whole millimetres
        return
    design = with_seam(plain, seam)
    built = as_built(derive_frame(design))
    first, second = half_frames(built)
    assert sorted(m.name for half in (first, second) for m in half.members) == sorted(
        m.name for m in built.members
    )
    index = 0 if design.long_axis == "x" else 1
    assert extent_of(first)[index] == seam
    assert extent_of(second)[index] == length - seam
    assert not halves_faults(design, style=STYLE, work="River", key="work[1]")
    whole = derive_frame(design)
    for side in design.flank_sides:
        halves = [bar for bar in built.of_kind(Kind.BAR) if bar.side == side]
        assert sum(bar.length for bar in halves) == length
        area = sum(_area(outline_xy(bar, design)) for bar in halves)
        assert area == _area(outline_xy(whole.named(f"{side} bar"), design))


def _area(corners: tuple[tuple[Fraction, Fraction], ...]) -> Fraction:
    turned = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum((x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned), F(0)) / 2


def test_a_half_bar_longer_than_a_board_is_joined_within_its_half():
    design = halved(rails=6, width=F(5300))
    joins = place_joins(derive_frame(design), kind="scarf", boards=(F(1900), F(1900)))
    assert sorted(join.side for join in joins) == ["bottom", "bottom", "top", "top"]
    frame = derive_frame(replace(design, joins=joins))
    parts = [p for p in parts_of(frame, work="River", code="B", how_many=1) if p.joined]
    assert {frozenset(p.ends) for p in parts} == {
        frozenset(("mitre", "scarf")),
        frozenset(("square", "scarf")),
    }
    assert max(p.long_point for p in parts) <= 1900


def test_what_runs_through_the_seam_is_refused_all_together():
    design = halved(halved=True, end_rails=("bottom", "top"))
    found = halves_faults(design, style=STYLE, work="River", key="work[1]")
    assert [fault.code for fault in found] == ["end-rail-over-seam", "halved-over-seam"]


def test_narrow_bays_leave_no_room_for_a_seam():
    design = design_of(width=F(1300), height=F(907), rails=5)
    assert seam_for(design) is None
    found = halves_faults(design, style=STYLE, work="River", key="work[1]")
    assert [fault.code for fault in found] == ["no-room-for-seam"]


@pytest.mark.parametrize("count", [0, 1, 2, 3, 4, 7])
def test_even_rails_keep_the_doubled_members_and_share_out_the_rest(count):
    plain = replace(design_of(rails=0), seam=F(2650))
    lines = even_rails(count, design=plain)
    assert len(lines) == max(count, 2)
    assert {F(2650) - F(21, 2), F(2650) + F(21, 2)} <= set(lines)
    bays = derive_frame(replace(plain, cross_rails=lines)).bays
    assert len(set(bays)) <= 2  # equal within each half


def test_a_frame_in_one_piece_is_built_as_it_is():
    frame: Frame = derive_frame(design_of())
    assert as_built(frame) is frame
    assert half_frames(frame) == (frame,)
