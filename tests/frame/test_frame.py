"""Frames and their parts."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction as F

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from longpoint.frame import (
    FrameDesign,
    Kind,
    derive_frame,
    design_faults,
    even_rails,
    outline_xy,
    parts_of,
    strings_of,
)
from longpoint.frame.rule_of_thumb import inside_by_rule
from longpoint.units import LengthStyle


def design(**changes: object) -> FrameDesign:
    """A practitioner's frame of 1700 × 1200 with timber 21 × 44 on edge (common practice, no published source)."""
    cross_rails = changes.pop("cross_rails", 2)
    base = FrameDesign(
        width=F(1700),
        height=F(1200),
        bar_thickness=F(21),
        bar_depth=F(44),
        bevel_fall=F(6),
        bevel_first=True,
        lip_radius=F(2),
        corner="mitre",
        rail_thickness=F(21),
        rail_depth=F(28),
        drop=F(7),
        end_rails=("left", "right"),
        cross_rails=(),
        middle_pieces=True,
        halved=False,
        shift=F(40),
        strings=("left", "right"),
    )
    base = replace(base, **changes)  # type: ignore[arg-type]
    if isinstance(cross_rails, int):
        return replace(base, cross_rails=even_rails(cross_rails, design=base))
    return replace(base, cross_rails=cross_rails)  # type: ignore[arg-type]


def test_the_practitioners_frame_has_exactly_eleven_timbers() -> None:
    """Common practice, no published source."""
    parts = parts_of(derive_frame(design()), work="w", code="A", how_many=1)
    timbers: Counter[tuple[Kind, F]] = Counter()
    for part in parts:
        timbers[part.kind, part.long_point] += part.per_work
    assert timbers == {
        (Kind.BAR, F(1700)): 2,
        (Kind.BAR, F(1200)): 2,
        (Kind.END_RAIL, F(1200 - 2 * 21)): 2,
        (Kind.CROSS_RAIL, F(1200 - 2 * 21)): 2,
        (Kind.MIDDLE_PIECE, F(1700 - 6 * 21, 3)): 3,
    }
    assert timbers.total() == 11


def test_two_cross_rails_between_end_rails_make_three_equal_bays() -> None:
    frame = derive_frame(design())
    assert len(set(frame.bays)) == 1
    assert len(frame.bays) == 3


def test_only_the_middle_bays_piece_stands_aside() -> None:
    pieces = derive_frame(design()).of_kind(Kind.MIDDLE_PIECE)
    assert [piece.shifted for piece in pieces] == [0, 40, 0]
    assert [piece.centre for piece in pieces] == [600, 640, 600]


def test_a_mitred_bar_is_shorter_inside_by_two_thicknesses() -> None:
    wide = design(width=F(2000), height=F(1500), bar_thickness=F(60))
    long = parts_of(derive_frame(wide), work="w", code="A", how_many=1)[0]
    assert (long.long_point, long.short_point) == (2000, 1880)  # geometry of a 45° mitre, W 60
    assert long.ends == ("mitre", "mitre")


def test_half_lapped_bars_keep_their_length() -> None:
    part = parts_of(derive_frame(design(corner="half-lap")), work="w", code="A", how_many=1)[0]
    assert part.long_point == part.short_point == 1700
    assert not part.mitred


def test_frame_mass_of_a_mitred_frame_by_volume() -> None:
    """2.0 × 1.5 m, bars 60 × 28, square-edged: 0.01136 m³ and at 420 kg/m³ 4.77 kg (computed; geometry)."""
    plain = design(
        width=F(2000),
        height=F(1500),
        bar_thickness=F(60),
        bar_depth=F(28),
        bevel_fall=F(0),
        end_rails=(),
        cross_rails=0,
        middle_pieces=False,
    )
    volume = sum(p.volume * p.per_work for p in parts_of(derive_frame(plain), work="w", code="A", how_many=1))
    assert float(volume) * 1e-9 == pytest.approx(0.01136, rel=2e-3)
    assert float(volume) * 1e-9 * 420 == pytest.approx(4.77, rel=2e-3)


def test_marks_are_measured_from_one_end_and_name_the_side_of_the_line() -> None:
    long_bar = parts_of(derive_frame(design()), work="w", code="A", how_many=1)[0]
    assert [mark.what for mark in long_bar.marks] == [
        "left end rail",
        "cross rail 1",
        "cross rail 2",
        "right end rail",
    ]
    first, second = long_bar.marks[1:3]
    bay = F(1700 - 6 * 21, 3)
    assert first.at == 42 + bay
    assert second.at == 42 + bay + 21 + bay
    assert {mark.covers for mark in long_bar.marks} == {21}


def test_a_shifted_piece_is_marked_where_it_lies_on_the_cross_rail() -> None:
    parts = parts_of(derive_frame(design()), work="w", code="A", how_many=1)
    rail = next(part for part in parts if part.kind is Kind.CROSS_RAIL)
    assert [(mark.what, mark.at) for mark in rail.marks] == [
        ("middle piece 1", F(600) - F(21, 2) - 21),
        ("middle piece 2", F(640) - F(21, 2) - 21),
    ]


def test_upright_works_turn_the_long_direction() -> None:
    frame = derive_frame(design(width=F(1200), height=F(1700), strings=("left", "right"), cross_rails=2))
    rail = frame.of_kind(Kind.CROSS_RAIL)[0]
    assert rail.axis == "x"
    # End rails lie along the long bars here, so cross rails end on them.
    assert rail.start == 42
    assert rail.stop == 1200 - 42


def test_end_rails_on_all_sides_fit_between_each_other() -> None:
    frame = derive_frame(design(end_rails=("left", "right", "bottom", "top")))
    left, bottom = frame.named("left end rail"), frame.named("bottom end rail")
    assert (left.start, left.stop) == (21, 1179)
    assert (bottom.start, bottom.stop) == (42, 1658)


def test_the_strings_are_read_as_sides() -> None:
    assert strings_of("short sides", width=F(1200), height=F(1700)) == ("bottom", "top")
    assert strings_of("long sides", width=F(1200), height=F(1700)) == ("left", "right")
    assert strings_of("top and bottom", width=F(1), height=F(2)) == ("bottom", "top")


def test_the_rule_of_thumb_counts_one_rail_for_every_80_cm() -> None:
    rule = inside_by_rule(width=F(1700), height=F(1200))
    assert (rule.cross_rails, rule.middle_pieces, rule.end_rails) == (2, True, True)
    small = inside_by_rule(width=F(400), height=F(300))
    assert (small.cross_rails, small.middle_pieces, small.end_rails) == (0, False, False)


FAULTY = [
    ("face-too-small", {"height": F(40)}),
    ("bevel-leaves-no-wood", {"bevel_fall": F(44)}),
    ("bevel-leaves-no-wood", {"bevel_fall": F(30)}),
    ("rail-too-deep", {"rail_depth": F(37)}),
    ("rail-outside", {"cross_rails": (F(600), F(610))}),
    ("bay-too-narrow", {"cross_rails": (F(600), F(630))}),
    ("shift-leaves-no-room", {"shift": F(580)}),
    ("rail-wider-than-bay", {"height": F(100), "shift": F(0)}),
    (
        "no-room-inside",
        {"height": F(80), "end_rails": ("left", "right", "bottom", "top"), "bar_thickness": F(20)},
    ),
]


@pytest.mark.parametrize(("code", "changes"), FAULTY)
def test_what_cannot_be_built_is_said(code: str, changes: dict[str, object]) -> None:
    faults = design_faults(design(**changes), style=LengthStyle(), key="work[3]", work="Reeds")
    assert code in {fault.code for fault in faults}
    assert all(fault.where.key.startswith("work[3].") and fault.remedy for fault in faults)


def test_a_saw_that_is_too_small_is_said_twice() -> None:
    faults = design_faults(
        design(), style=LengthStyle(), key="w", work="w", width_at_45=F(20), height_at_45=F(40)
    )
    assert [fault.code for fault in faults] == ["saw-too-small", "saw-too-small"]


def test_a_limit_on_the_gap_is_kept() -> None:
    (fault,) = design_faults(design(), style=LengthStyle(), key="w", work="w", least_gap=F(10))
    assert fault.code == "gap-too-small"
    assert "9 mm" in fault.what


sizes = st.integers(300, 3000).map(F)


@given(
    width=sizes,
    height=sizes,
    cross=st.integers(0, 4),
    middle=st.booleans(),
    ends=st.sampled_from([(), ("left", "right"), ("bottom", "top"), ("left", "right", "bottom", "top")]),
    thickness=st.integers(15, 45).map(F),
)
def test_inside_members_fit_what_they_fit_between_and_the_frame_closes(
    width: F, height: F, cross: int, middle: bool, ends: tuple[str, ...], thickness: F
) -> None:
    made = design(
        width=width,
        height=height,
        cross_rails=cross,
        middle_pieces=middle,
        end_rails=ends,
        bar_thickness=thickness,
        shift=F(0),
    )
    assume(not design_faults(made, style=LengthStyle(), key="w", work="w"))
    frame = derive_frame(made)
    # Solids never overlap; mitred bars are compared by their outlines.
    rails = [member for member in frame.members if member.kind is not Kind.BAR]
    for i, a in enumerate(rails):
        left, bottom, right, top = a.box_xy
        assert left >= thickness and bottom >= thickness
        assert right <= width - thickness and top <= height - thickness
        for b in rails[i + 1 :]:
            l2, b2, r2, t2 = b.box_xy
            assert right <= l2 or r2 <= left or top <= b2 or t2 <= bottom
    # Along the line of middle pieces everything adds up to the face.
    if middle:
        inside = sum(piece.length for piece in frame.of_kind(Kind.MIDDLE_PIECE))
        rails_across = len(made.cross_rails) * made.rail_thickness
        end = sum(made.rail_thickness for side in made.start_sides if side in ends)
        assert inside + rails_across + end + 2 * thickness == made.length
    # The four outlines of the bars cover the ring between face and inside exactly.
    area = sum(_area(outline_xy(bar, made)) for bar in frame.of_kind(Kind.BAR))
    assert area == width * height - (width - 2 * thickness) * (height - 2 * thickness)


def _area(corners: tuple[tuple[F, F], ...]) -> F:
    pairs = zip(corners, corners[1:] + corners[:1], strict=True)
    return sum((x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs), F(0)) / 2
