"""Bars glued from two boards: found where nothing on sale holds, cut as boards, counted in mass, price and glue."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from pytest import approx

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import Bench
from longpoint.choosing.candidates import bought_groups_of, bought_timber, glued_candidates_of, price_of
from longpoint.choosing.chooser import ComputedChooser
from longpoint.cutting import plan_boards
from longpoint.errors import FaultsError
from longpoint.frame import Kind
from longpoint.joinery import JointKind
from longpoint.model.batch import Batch
from longpoint.model.reading import parse_batch
from longpoint.needs.boards import board_plans
from longpoint.strength.choice import all_hold
from longpoint.works.brief import briefs_of
from longpoint.works.draft import Draft, draft_of

YARD = """
unit = "mm"

[[yard]]
name = "slat"
thickness = 10
depth = 45
serves = ["bars"]
lengths = [2400, 3000]
per_metre = 0.80

[[yard]]
name = "rail"
thickness = 21
depth = 28
serves = ["rails"]
lengths = [2400]
per_metre = 1.00

[inside]
cross_rails = 1

[[work]]
name = "Heron"
width = 1000
height = 700
"""


def batch(text: str = YARD, *, bars: str = "") -> Batch:
    return parse_batch((text + (f"\n[bars]\n{bars}\n" if bars else "")).encode(), file="batch.toml")


def chosen(stated: Batch) -> ChosenDesign:
    found = ComputedChooser()(briefs_of(stated)[0])
    assert isinstance(found, ChosenDesign)
    return found


@pytest.fixture(scope="module")
def way_out() -> tuple[Batch, ChosenDesign]:
    stated = batch()
    return stated, chosen(stated)


@pytest.fixture(scope="module")
def draft(way_out: tuple[Batch, ChosenDesign]) -> Draft:
    stated, found = way_out
    return draft_of(briefs_of(stated)[0], found)


@pytest.mark.slow
def test_where_no_board_on_sale_holds_two_glued_together_are_planned_and_it_is_said(
    way_out: tuple[Batch, ChosenDesign],
) -> None:
    _, found = way_out
    assert found.design.bar_boards == 2
    assert (found.design.bar_thickness, found.design.bar_depth) == (20, 45)
    assert found.strength.passes
    assert found.strength.instead is not None  # what it is planned instead of
    assert bought_timber(found.strength.option) == ()


@pytest.mark.slow
def test_no_glued_design_and_none_with_bought_timber_that_costs_less_holds(
    way_out: tuple[Batch, ChosenDesign],
) -> None:
    """Brute force: every cheaper one is judged by itself; of bought ones those of the first groups to be asked."""
    stated, found = way_out
    brief = briefs_of(stated)[0]
    bench = Bench(brief)
    cost = found.strength.price.measure
    groups = [group for group, _ in zip(bought_groups_of(brief), range(40), strict=False)]
    every = [*glued_candidates_of(brief), *(one for group in groups for one in group)]
    cheaper = [one for one in every if one.cost < cost - 1e-9]
    assert len(cheaper) >= 5
    for one in cheaper:
        first, broken = bench.look(one)
        if broken or not all_hold(first):
            continue
        assert not all_hold(bench.judge(one)) or not bench.goes_together(one), one.name


@pytest.mark.slow
@pytest.mark.parametrize("bars", ["glued_from = 1", 'stand = "flat"'])
def test_a_work_that_says_how_its_bars_are_made_is_not_glued(bars: str) -> None:
    stated = batch(bars=bars)
    assert glued_candidates_of(briefs_of(stated)[0]) == ()


@pytest.mark.slow
def test_each_glued_bar_is_cut_as_two_square_boards_longer_than_it(
    way_out: tuple[Batch, ChosenDesign], draft: Draft
) -> None:
    stated, found = way_out
    plans = board_plans(stated, [(found, draft.parts)], solve=plan_boards)
    (bars,) = [plan for plan in plans if plan.use == "bars"]
    assert bars.problem.thickness == 10_000_000
    wanted = {part.name: part for part in bars.problem.parts}
    for part in draft.parts:
        if part.kind is Kind.BAR:
            assert wanted[part.mark].how_many == 2 * part.how_many
            assert wanted[part.mark].length == (part.long_point + 20) * 1_000_000
            assert not wanted[part.mark].is_mitred
    # by hand: four boards of 1020 and four of 720, two and one in each of 3 m: no fewer than 6.96 m
    metres = sum(board.length for board in bars.plan.boards) / 1e9
    assert 6.96 <= metres <= 9.0


@pytest.mark.slow
def test_mass_price_and_glue_are_those_of_two_boards(
    way_out: tuple[Batch, ChosenDesign], draft: Draft
) -> None:
    stated, found = way_out
    bars = [part for part in draft.parts if part.kind is Kind.BAR]
    # whole bars of 20 × 45, mitred, the bevel off: by hand within it
    full = 2 * (1000 + 700 - 40) * 20 * 45
    volume = sum(float(part.volume) * part.per_work for part in bars)
    assert 0.9 * full < volume < full
    price = price_of(briefs_of(stated)[0], found.strength.option)
    rail = float(sum(part.long_point * part.per_work for part in draft.parts if part.kind is not Kind.BAR))
    gussets = 4 * 0.06e6 / (20 * 45) / 1000  # m of bar
    assert price.money == approx((2 * (3.4 + gussets)) * 0.80 + rail / 1000 * 1.00, abs=0.02)
    assert price.timber == approx(2 * 3.4 + rail / 1000, abs=1e-6)
    build = draft.build()
    faces = [joint for joint in build.joints if joint.kind is JointKind.GLUED_UP]
    assert len(faces) == 4
    area = sum(float(face.area) for joint in faces for face in joint.glue)
    assert area == approx(2 * (1020 + 720) * 45)
    (line,) = [line for line in build.glue if line.kind is JointKind.GLUED_UP]
    assert (
        0.1e-3 * area < line.grams < 0.35e-3 * area
    )  # 100 to 350 g/m² (estimate of what is spread and squeezed)


@pytest.mark.slow
def test_it_is_glued_the_day_before_with_its_cautions_and_sawn_before_anything_is_bored(draft: Draft) -> None:
    steps = draft.build().steps
    assert [step.key for step in steps[:2]] == ["glue-up", "glued-saw"]
    assert all(step.caution for step in steps[:2])
    facts = dict(steps[0].facts)
    assert facts["clamps"] == "7"  # 1020 in stretches of 200 and one more
    assert steps[0].clock is not None
    assert not draft.designed.design.bevel_first


def test_stated_it_is_what_is_planned_and_its_thickness_is_that_of_the_glued_bar() -> None:
    stated = batch(bars="glued_from = 2")
    assert [(s.thickness, s.depth, s.boards) for s in briefs_of(stated)[0].sections] == [(20, 45, 2)]
    stated = batch(bars="glued_from = 2\nthickness = 20")
    assert [s.boards for s in briefs_of(stated)[0].sections] == [2]
    section = briefs_of(stated)[0].sections[0]
    assert section.single().thickness == F(10)
    assert section.single().glued() == section


@pytest.mark.parametrize(
    ("key", "bars"),
    [
        ("bars.stand", 'glued_from = 2\nstand = "flat"'),
        ("bars.bevel_by", 'glued_from = 2\nbevel_by = "yard"'),
        ("bars.join", 'glued_from = 2\njoin = "scarf"'),
    ],
)
def test_what_cannot_be_glued_is_said_with_what_to_write(key: str, bars: str) -> None:
    with pytest.raises(FaultsError) as raised:
        batch(bars=bars)
    (fault,) = raised.value.faults
    assert fault.code == "glued-bars"
    assert fault.where.key == key
    assert "glued_from = 1" in fault.remedy


def test_nothing_else_changes_where_bars_are_not_glued() -> None:
    """A batch without the key plans as before: the section is the board."""
    stated = batch()
    for section in briefs_of(stated)[0].sections:
        assert section.boards == 1
        assert section.single() == section


def test_a_wrong_number_is_said() -> None:
    with pytest.raises(FaultsError):
        batch(bars="glued_from = 3")
