"""How works hang: hangers clear of screws and staples, screws in the wood, loads that add up, rows on walls."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache
from math import cos, sin

import pytest
from pytest import approx

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.extent import overlaps
from longpoint.drawing.paper.pages import Table, drawings_of
from longpoint.drawing.sheets.hanging_page import Hung, hanging_page
from longpoint.drawing.words.voice import voice_of
from longpoint.handling.hanging import GRAVITY
from longpoint.joinery.referee import check_hangers
from longpoint.joinery.screws.strength import plate_lateral
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.stretching.staple_map import MappedStaple
from longpoint.units import LengthStyle
from longpoint.works.brief import briefs_of
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Designed
from longpoint.works.draft import Draft, draft_of
from longpoint.works.hanging import (
    APART,
    OFF_SCREWS,
    OFF_STAPLES,
    HungWork,
    hanging_cautions,
    hung_work,
    rows_of,
)
from longpoint.works.lifting import lifted_work
from longpoint.works.wood import wood_named

TEXT = """
[[work]]
name = "Reeds"
width = 700
height = 500
[[work]]
name = "Marsh"
width = 900
height = 1100
[[work]]
name = "Bank"
width = 600
height = 1100
strings = "top and bottom"
[[set]]
name = "Two"
members = ["Marsh", "Bank"]
gap = 25
[[wall]]
name = "East wall"
works = ["Two", "Reeds"]
width = 4200
gap = 200
avoid = [{ left = 3400, right = 4000, top = 1100, why = "heater" }]
"""
MASS = 3.0


@cache
def batch_of(hanger: str = "") -> Batch:
    return parse_batch(TEXT + (f"[hanger]\n{hanger}\n" if hanger else ""))


@cache
def made(index: int) -> tuple[Draft, CanvasPlan]:
    batch = batch_of()
    designed = design_of(briefs_of(batch)[index])
    assert isinstance(designed, Designed)
    draft = draft_of(briefs_of(batch)[index], designed)
    canvas = draft.canvas(pressing=False)
    assert isinstance(canvas, CanvasPlan)
    return draft, canvas


def hung(index: int, *, hanger: str = "", mass: float = MASS) -> HungWork:
    draft, canvas = made(index)
    return hung_work(
        batch_of(hanger).hanger,
        draft.brief.stock,
        work=draft.brief.work.name,
        frame=draft.build().frame,
        mass=mass,
        wood=wood_named(draft.designed.bars.wood),
        joints=draft.build().joints,
        staples=canvas.staples,
    )


@pytest.mark.parametrize("index", [0, 1])
def test_hangers_keep_clear_of_every_screw_and_staple_of_their_bars(index: int) -> None:
    draft, canvas = made(index)
    design, found = draft.designed.design, hung(index)
    place = float(design.height) - found.below_top
    staples = [s.along for s in canvas.staples.staples if s.side in ("left", "right")]
    driven = [
        float(one.start[1])
        for joint in draft.build().joints
        for one in joint.fixings
        if min(one.start[0], design.width - one.start[0]) <= design.bar_thickness and one.axis[1] == 0
    ]
    assert staples
    assert driven
    for screw in (place - APART / 2, place + APART / 2):
        assert min(abs(screw - at) for at in staples) >= OFF_STAPLES - 1e-6
        assert min(abs(screw - at) for at in driven) >= OFF_SCREWS - 1e-6


def test_a_staple_in_the_way_moves_the_hanger() -> None:
    draft, canvas = made(1)
    free = hung(1)
    place = float(draft.designed.design.height) - free.below_top
    here = replace(canvas.staples.staples[0], side="left", along=place + APART / 2)
    found = with_staples((*canvas.staples.staples, here))
    assert found.below_top != free.below_top
    assert found.moved
    full = with_staples(tuple(replace(here, along=float(at)) for at in range(0, 1100, 5)))
    assert full.moved is None
    assert [one.code for one in hanging_cautions(batch_of().hanger, [full])] == ["hanger-meets"]


def test_a_screw_of_the_frame_in_the_way_moves_the_hanger() -> None:
    draft, canvas = made(1)
    free, joints = hung(1), draft.build().joints
    height = draft.designed.design.height
    one = next(fixing for joint in joints for fixing in joint.fixings)
    here = Fraction(height) - Fraction(free.below_top) + Fraction(APART) / 2
    moved = replace(one, start=(Fraction(0), here, one.start[2]), axis=(1, 0, 0))
    found = hung_work(
        batch_of().hanger, draft.brief.stock, work="Marsh", frame=draft.build().frame, mass=MASS,
        wood=wood_named("C16"), joints=(*joints, replace(joints[0], fixings=(moved,))), staples=canvas.staples,
    )  # fmt: skip
    place = float(height) - found.below_top
    assert found.moved
    assert min(abs(place + side * APART / 2 - float(here)) for side in (-1, 1)) >= OFF_SCREWS - 1e-6


def with_staples(staples: tuple[MappedStaple, ...]) -> HungWork:
    draft, canvas = made(1)
    return hung_work(
        batch_of().hanger,
        draft.brief.stock,
        work="Marsh",
        frame=draft.build().frame,
        mass=MASS,
        wood=wood_named("C16"),
        joints=draft.build().joints,
        staples=replace(canvas.staples, staples=staples),
    )


@pytest.mark.parametrize("index", [0, 1, 2])
def test_screws_stay_in_the_bar(index: int) -> None:
    design, screw = made(index)[0].designed.design, hung(index).screw
    assert screw is not None
    assert screw.length < design.bar_depth - design.bevel_fall
    assert 6 * screw.diameter <= design.bar_thickness


def test_the_hangers_carry_the_weight_and_nothing_else() -> None:
    wired = hung(1, hanger='by = "wire"')
    assert wired.wire is not None
    assert 2 * wired.wire.tension * sin(wired.wire.angle) == approx(MASS * GRAVITY)
    assert (2 * wired.sideways) ** 2 == approx((MASS * GRAVITY / 2) ** 2 + wired.wire.inward**2)
    assert wired.wire.inward == approx(wired.wire.tension * cos(wired.wire.angle))
    two = hung(1, hanger='by = "two hooks"')
    assert two.wire is None
    assert 2 * two.on_hook == approx(MASS * GRAVITY)
    assert two.sideways * 4 == approx(MASS * GRAVITY)
    assert two.drop == two.below_top


def test_a_wire_of_a_given_length_has_the_sag_it_must_have_and_is_told_where_it_is_flat_or_too_long() -> None:
    span = 900 - float(made(1)[0].designed.design.bar_thickness)
    for length, codes in ((span * 1.15, []), (span * 1.005, ["wire-flat"]), (span * 2, ["hook-seen"])):
        found = hung(1, hanger=f"wire = {length:.1f}")
        assert found.wire is not None
        assert found.wire.length == approx(length, abs=0.06)
        assert 2 * found.wire.tension * sin(found.wire.angle) == approx(MASS * GRAVITY)
        cautions = hanging_cautions(batch_of().hanger, [found])
        assert [one.code for one in cautions if one.code in ("wire-flat", "hook-seen")] == codes


def test_hangers_go_as_near_to_where_they_are_wanted_as_screws_and_staples_let_them() -> None:
    found = hung(1, hanger="below_top = 200")
    assert found.moved is not None
    assert found.below_top == approx(200, abs=found.moved + 1e-6)


def test_heavy_works_hang_on_two_hooks_where_nothing_is_said() -> None:
    assert hung(1, mass=3.0).wire is not None
    assert hung(1, mass=20.0).wire is None


def test_a_screw_through_a_plate_by_hand() -> None:
    # d_ef = 1.1 · 2/3 · 4 = 2.933; f_h = 0.082 (1 − 0.0293) 310 = 24.67; M_y = 0.3 · 400 · 2.933^2.6 = 1968
    across = plate_lateral(diameter=4, received=30, density=310)
    assert across == approx(
        0.6 / 1.3 * min(0.4 * 24.67 * 30 * 2.933, 1.15 * (2 * 1968 * 24.67 * 2.933) ** 0.5), rel=2e-3
    )


@pytest.mark.parametrize("index", [0, 1, 2])
def test_the_build_referee_knows_the_screws_of_hangers(index: int) -> None:
    draft, found = made(index)[0], hung(index)
    build = draft.build()
    assert len(found.fixings) == 4
    assert check_hangers(draft.frame, build, found.fixings) == ()
    first = found.fixings[0]
    into = build.frame.named(first.into)
    assert first.start[2] + first.passed == into.back
    assert into.back + first.thread < into.front - draft.designed.design.bevel_fall
    aside = replace(first, start=(Fraction(-3), *first.start[1:]))
    assert any("leaves the wood" in wrong for wrong in check_hangers(draft.frame, build, [aside]))
    long = replace(first, screw=replace(first.screw, length=Fraction(60)))
    assert any("leaves the wood" in wrong for wrong in check_hangers(draft.frame, build, [long]))
    other = next(fixing for joint in build.joints for fixing in joint.fixings)
    met = replace(other, name="H9", into=other.members[-1])
    assert any("apart" in wrong for wrong in check_hangers(draft.frame, build, [met]))


def test_what_bears_less_than_it_carries_is_said() -> None:
    batch = batch_of("holds = 1.0")
    assert [one.about for one in hanging_cautions(batch.hanger, [hung(1)])] == ["Marsh"]
    assert hanging_cautions(batch_of().hanger, [hung(1)]) == ()
    assert [one.about for one in hanging_cautions(batch_of().hanger, [hung(1, mass=900)])] == ["Marsh"]


def test_a_row_is_marked_from_the_left_corner_and_the_floor() -> None:
    works = [hung(index) for index in range(3)]
    batch = batch_of()
    rows = rows_of(batch.wall, batch.work, batch.set, works)
    assert [row.work for row in rows] == ["Marsh", "Bank", "Reeds"]
    marsh, bank, reeds = (row.place for row in rows)
    assert marsh.left == (4200 - (900 + 25 + 600 + 200 + 700)) / 2
    assert bank.left == marsh.left + 900 + 25
    assert reeds.left == bank.left + 600 + 200
    for row, work in zip(rows, (works[1], works[2], works[0]), strict=True):
        assert row.place.foot + row.place.height / 2 == 1500
        for x, y in row.place.hooks:
            assert row.place.left < x < row.place.left + row.place.width
            assert y == row.place.foot + row.place.height - work.drop


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("system", ["mm", "cm", "in"])
def test_the_card_tells_every_hook_and_no_words_lie_over_others(language: str, system: str) -> None:
    batch, works = batch_of(), [hung(index) for index in range(3)]
    cards = [
        Hung(
            code="ABC"[n],
            name=one.work,
            height=float(batch.work[n].height),
            face=(float(batch.work[n].width), float(batch.work[n].height)),
            mass=MASS,
            centre=1500.0,
            hung=one,
            lifted=lifted_work(
                batch.way, work=one.work, design=made(n)[0].designed.design, mass=MASS, pieces=3
            ),
        )
        for n, one in enumerate(works)
    ]
    placed = [
        ("BCA"[n], row.place) for n, row in enumerate(rows_of(batch.wall, batch.work, batch.set, works))
    ]
    say = voice_of(language, LengthStyle(system=system))  # type: ignore[arg-type]
    page = hanging_page(cards, [(batch.wall[0], placed)], say=say)
    (view,) = drawings_of(page)
    assert not overlaps(view.marks)
    marked = [block for block in page.blocks[1].blocks if isinstance(block, Table)]  # type: ignore[union-attr]
    hooks = sum(len(place.hooks) for _, place in placed)
    assert sum(len(table.rows) for table in marked) == hooks == 5 or not marked
