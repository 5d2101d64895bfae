"""Packs by hand, the mass carriers count, what stands in a load space, the cut list through the cutting room.

Dimensional masses of a parcel of 210 × 160 × 12 cm (80.64 kg over 5000, 67.2 kg over 6000) are computed by hand.
"""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.extent import overlaps
from longpoint.drawing.paper.pages import drawings_of
from longpoint.drawing.sheets.packing_page import packing_page
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rows.packing import packs_row
from longpoint.handling.packing import Pack, Packed, grouped, pack, stack_depth, standing
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch
from longpoint.units import LengthStyle

WORKS = (
    Packed(name="a", width=907, height=613, depth=49, mass=3),
    Packed(name="b", width=890, height=640, depth=51, mass=4),
)


def made(kind: str, works: tuple[Packed, ...] = WORKS) -> Pack:
    return pack(works, kind=kind, clearance=25, back=10, corner=50, sheet=6, batten=(24, 44))


def test_dimensional_mass_by_hand() -> None:
    parcel = Pack(works=(), inside=(0, 0, 0), outside=(2100, 1600, 120), timber=(), sheets=(), mass=0)
    assert parcel.dimensional_mass(5000) == approx(80.64)
    assert parcel.dimensional_mass(6000) == approx(67.2)


def test_works_lie_face_to_face_and_back_to_back() -> None:
    assert stack_depth([49], clearance=25, back=10) == 10 + 49 + 25
    assert stack_depth([49, 51], clearance=25, back=10) == 10 + 49 + 25 + 51 + 10
    assert stack_depth([49, 51, 40], clearance=25, back=10) == 10 + 49 + 25 + 51 + 10 + 40 + 25
    assert stack_depth([49] * 4, clearance=25, back=10) == 4 * 49 + 2 * 25 + 3 * 10


def test_a_travel_frame_by_hand() -> None:
    found = made("travel frame")
    assert found.inside == (907 + 100, 640 + 100, 145)
    # four layers of 44 hold 145; rims 24 thick, sheets of 6 on either side
    assert found.outside == (1007 + 48, 740 + 48, 4 * 44 + 12)
    assert [(one.what, one.length, one.how_many) for one in found.timber] == [
        ("rim", 1007 + 48, 8),
        ("rim across", 740, 8),
    ]
    timber = (8 * 1055 + 8 * 740) * 24 * 44 * 1e-9 * 450
    sheets = 2 * 1055 * 788 * 6 * 1e-9 * 500
    assert found.mass == approx(3 + 4 + timber + sheets)


@pytest.mark.parametrize("kind", ["sleeve", "travel frame", "box", "crate"])
def test_what_is_cut_closes_round_what_lies_inside(kind: str) -> None:
    found = made(kind)
    assert all(inner < outer for inner, outer in zip(found.inside, found.outside, strict=True))
    sheets = {one.what: one for one in found.sheets}
    if kind == "sleeve":
        assert not found.timber
        return
    long, short = max(found.inside[:2]), min(found.inside[:2])
    rims = {one.what: one.length for one in found.timber}
    assert rims["rim"] == long + 2 * 24
    assert rims["rim across"] == short
    assert sheets["face"].length >= long + 2 * 24
    assert sheets["face"].width >= short + 2 * 24
    if kind in ("box", "crate"):  # sides stand between the faces, short ones between the long ones
        assert sheets["long side"].width == sheets["short side"].width == found.inside[2]
        assert sheets["short side"].length + 2 * 6 == sheets["face"].width


def test_a_crate_is_more_than_a_box_and_a_long_one_is_braced() -> None:
    box, crate = made("box"), made("crate")
    assert crate.mass > box.mass
    assert crate.outside[1] == box.outside[1] + 44
    long = made("crate", (Packed(name="a", width=1500, height=700, depth=49, mass=4),))
    assert {one.what for one in long.timber} - {one.what for one in crate.timber} == {"brace"}


works = st.lists(
    st.builds(
        Packed,
        name=st.text("abcdef", min_size=1, max_size=3),
        width=st.floats(200, 2500),
        height=st.floats(200, 2500),
        depth=st.floats(20, 90),
        mass=st.floats(0.3, 30),
    ),
    min_size=1,
    max_size=9,
)


@given(works, st.integers(1, 5))
def test_every_copy_lies_in_one_pack_and_nothing_is_lighter_than_what_is_in_it(
    some: list[Packed], together: int
) -> None:
    groups = grouped(some, together)
    assert Counter(one for group in groups for one in group) == Counter(some)
    for group in groups:
        assert 1 <= len(group) <= together
        for kind in ("sleeve", "travel frame", "box", "crate"):
            one = made(kind, group)
            assert one.mass > sum(each.mass for each in group)
            free = one.inside[2] - sum(each.depth for each in group)
            assert free >= 10 * len(group)


@given(st.floats(100, 900), st.floats(100, 900), st.floats(20, 300), st.integers(1, 30))
def test_equal_packs_stand_as_rows_of_them_do(width: float, height: float, depth: float, count: int) -> None:
    fits, left = standing([(width, height, depth)] * count, width=1700, height=1000, depth=2500)
    along = min(width, height)
    assert fits == min(count, int(1700 // depth) * int(2500 // along))
    assert 0 <= left <= 1700


def test_what_is_too_high_or_too_long_is_not_loaded() -> None:
    assert standing([(3000, 1000, 100)], width=1700, height=1900, depth=2600)[0] == 0
    assert standing([(2000, 1000, 100)], width=1700, height=1900, depth=2600)[0] == 1
    assert standing([(1000, 2000, 100)], width=1700, height=1900, depth=2600)[0] == 1  # on its side


TEXT = """
currency = "EUR"
[[work]]
name = "Heron"
width = 600
height = 500
how_many = 3
[[work]]
name = "Reeds"
width = 1000
height = 800
[[work]]
name = "Marsh"
width = 900
height = 800
[[set]]
name = "Two"
members = ["Reeds", "Marsh"]
[[yard]]
name = "strip"
thickness = 24
depth = 44
per_metre = 3
lengths = [2400]
[[packing]]
name = "Crates"
works = ["Two"]
kind = "crate"
together = 2
sheet_price = 14
[[packing]]
name = "Frames"
works = ["Heron"]
divisor = 6000
[[way]]
name = "Out"
[[way.obstacle]]
kind = "load space"
name = "van"
width = 1700
height = 1800
depth = 2500
"""


@cache
def plan() -> Plan:
    return plan_batch(parse_batch(TEXT), choose=design_of)


def test_the_cut_list_goes_through_the_cutting_room_and_its_money_adds_up() -> None:
    packs = plan().packs
    assert packs is not None
    assert [(one.how_many, one.works[0]) for one in packs.alike] == [(1, ("Reeds", "Marsh")), (3, ("Heron",))]
    (timber,) = packs.timber
    wanted = {part.name: part.how_many for part in timber.problem.parts}
    assert wanted == {
        f"{one.mark}.{number}": piece.how_many * one.how_many
        for one in packs.alike
        for number, piece in enumerate(one.pack.timber, start=1)
    }
    assert Counter(cut.part for board in timber.plan.boards for cut in board.cuts) == wanted
    assert timber.plan.refereed is not None
    assert timber.plan.refereed.passed
    (use,) = (use for use in plan().cost.materials if use.group == "packing")
    boards = len(timber.plan.boards) * Decimal("7.20")
    area = Decimal(str(round(packs.sheets[0][1], 2)))
    assert use.bought == use.used == boards + (area * 14).quantize(Decimal("0.01"))
    material = sum((work.material for work in plan().cost.works), Decimal(0))
    assert material == sum((each.used for each in plan().cost.materials), Decimal(0))
    assert [(one.fits, one.of) for one in packs.loaded] == [(4, 4)]
    row = packs_row(packs, plan().batch)
    assert [one.divisor for one in row.packs] == [5000, 6000]
    assert row.packs[1].dimensional_mass == approx(
        row.packs[1].outside[0] * row.packs[1].outside[1] * row.packs[1].outside[2] / 6e6, abs=0.01
    )


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("system", ["mm", "in"])
def test_the_packing_sheet_names_every_piece_and_no_words_lie_over_others(language: str, system: str) -> None:
    packs = plan().packs
    assert packs is not None
    say = voice_of(language, LengthStyle(system=system))  # type: ignore[arg-type]
    page = packing_page(packs, {"Heron": "A", "Reeds": "B", "Marsh": "C"}, batch=plan().batch, say=say)
    (view,) = drawings_of(page)
    assert not overlaps(view.marks)
    said = repr(page)
    for one in packs.alike:
        for number in range(1, len(one.pack.timber) + 1):
            assert f"{one.mark}.{number}" in said


def test_a_batten_that_no_board_gives_is_said_of_its_packing() -> None:
    with pytest.raises(FaultsError, match="packing: ") as caught:
        plan_batch(parse_batch(TEXT.replace("width = 1000", "width = 2330")), choose=design_of)
    assert caught.value.faults[0].where.key == "packing[1].timber"
