"""What is planned where the boards and sections that are stated do not go: an ordinary shop's, named and priced."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rows.plan import parse_plan, plan_json
from longpoint.export.rows.replan import old_plan_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.jobs.replan import replan_after
from longpoint.model.events import Events
from longpoint.model.reading import parse_batch, parse_stated
from longpoint.needs.boards import SectionCut
from longpoint.replanning.old import old_designs
from longpoint.works.brief import briefs_of
from longpoint.works.designed import Designed

pytestmark = pytest.mark.slow


def work(width: int, height: int, how_many: int = 1) -> str:
    return f'[[work]]\nname = "Mole"\nwidth = {width}\nheight = {height}\nhow_many = {how_many}\n'


def timber(thickness: int, depth: int, lengths: str, more: str = "") -> str:
    return (
        f'[[yard]]\nname = "strip"\nthickness = {thickness}\ndepth = {depth}\nlengths = {lengths}\n{more}\n'
    )


def planned(text: str) -> Plan:
    return plan_batch(parse_batch(text))


def refused(text: str) -> set[str]:
    with pytest.raises(FaultsError) as caught:
        plan_batch(parse_batch("as_stated = true\n" + text))
    return {fault.code for fault in caught.value.faults}


def besides(cut: SectionCut) -> dict[Fraction, int]:
    """Boards that are bought though nobody stated them."""
    items = {item.name: item for item in cut.section.on_sale if item.besides}
    return {items[name].length: count for name, count in cut.boards_taken.items() if name in items}


def said(plan: Plan, code: str) -> list[str]:
    say = voice_of("en", plan.batch.style)
    return [sentence_of(caution, say) for caution in plan.cautions if caution.code == code]


TOO_FEW = work(1400, 1000, 3) + timber(21, 44, "[{ length = 2400, price = 6, how_many = 6 }]")


def test_boards_that_are_too_few_are_bought_at_an_ordinary_shop_and_cost_more() -> None:
    plan = planned(TOO_FEW)
    (cut,) = plan.boards
    bought = besides(cut)
    assert sum(bought.values()) > 0
    rate = Decimal(6) / Decimal(2400) * Decimal("1.1")
    lines = {
        line.what: line
        for line in plan.buying
        if line.group == "timber" and any(note.key in ("shop", "yard") for note in line.notes)
    }
    for length, count in bought.items():
        price = (rate * Decimal(float(length))).quantize(Decimal("0.01"))
        assert any(line.buy == count and line.each == price for line in lines.values())
    (words,) = said(plan, "boards-besides")
    assert all(f"{count} × {float(length):g} mm" in words for length, count in bought.items())
    assert "tenth more" in words
    assert refused(TOO_FEW) == {"boards-too-few"}


@pytest.mark.parametrize("events", ["", '[[timber]]\nname = "strip"\nthickness = [20.3, 20.2, 20.4]\n'])
def test_the_rest_is_planned_again_where_boards_were_bought_besides(events: str) -> None:
    plan = planned(TOO_FEW)
    old = old_plan_of(parse_plan(plan_json(plan)))
    again = replan_after(old, parse_stated(Events, events, unit="mm"))
    bought = {length for cut in plan.boards for length in besides(cut)}
    (section,) = again.sections
    assert bought <= {Fraction(board.length, 10**6) for board in section.again.problem.boards}
    assert section.again.plan.cost == 0


NOT_ENOUGH = (
    "[inside]\ncross_rails = 0\nmiddle_pieces = false\n"
    + work(1700, 1200)
    + timber(14, 34, "[2400]", "per_metre = 2")
)
"""Laths of which no frame this large holds."""


@cache
def changed() -> Plan:
    return plan_batch(parse_batch(NOT_ENOUGH), choose=ComputedChooser())


@pytest.mark.parametrize("name", ["", "strip", "softwood 21 × 70 mm"])
def test_a_plan_of_other_timber_than_stated_is_read_back_and_goes_on(name: str) -> None:
    plan = changed()
    assert plan.works[0].designed.is_changed
    bars, rails = plan.boards
    assert rails.section.assumed and rails.priced
    assert not bars.section.assumed
    lines = [line for line in plan.buying if any(note.key == "price-estimated" for note in line.notes)]
    assert lines and all(line.each is not None and line.each > 0 for line in lines)
    old = old_plan_of(parse_plan(plan_json(plan)))
    assert old_designs(old.batch, old.works)[0].design == plan.works[0].designed.design
    real = (20.6, 69.5) if "softwood" in name else (13.6, 33.5)
    events = f'[[timber]]\nname = "{name}"\nthickness = [{real[0]}]\ndepth = [{real[1]}]\n' if name else ""
    again = replan_after(old, parse_stated(Events, events, unit="mm"))
    for before, section in zip(plan.boards, again.sections, strict=True):
        assert check_board_plan(section.again.problem, section.again.plan) == ()
        boards = {(board.name, board.cost) for board in before.problem.boards}
        assert boards <= {(board.name, board.cost) for board in section.again.problem.boards}
    assert again.longer or name != "strip"


def test_boards_besides_are_not_taken_where_those_stated_are_enough() -> None:
    plan = planned(work(1400, 1000) + timber(21, 44, "[{ length = 2400, price = 6, how_many = 60 }]"))
    assert not any(besides(cut) for cut in plan.boards)
    assert not said(plan, "boards-besides")


def test_what_lies_in_the_rack_alone_is_pieced_out() -> None:
    rack = '[[rack]]\nname = "left"\nthickness = 30\ndepth = 44\nlength = 1500\nhow_many = 2\n'
    plan = planned(work(900, 700) + "[bars]\nthickness = 30\ndepth = 44\n" + rack)
    bars = next(cut for cut in plan.boards if "bars" in cut.use)
    assert besides(bars) or bars.to_buy == 0


def test_a_bar_without_a_place_for_its_join_comes_whole_from_a_longer_board() -> None:
    text = (
        '[bars]\njoin = "half-lap with plate"\n[inside]\ncross_rails = 9\n'
        + work(4000, 700)
        + timber(21, 44, "[2400]")
    )
    plan = planned(text)
    assert plan.works[0].designed.design.joins == ()
    assert max(length for cut in plan.boards for length in besides(cut)) >= 4200
    assert "no-place-for-join" in refused(text)


def test_a_section_that_is_not_on_sale_is_the_nearest_or_an_ordinary_shops() -> None:
    plan = planned("[bars]\nthickness = 30\ndepth = 60\n" + work(900, 700) + timber(21, 44, "[2400]"))
    assert plan.works[0].designed.bars.thickness == 21
    assert said(plan, "other-bars")
    plan = planned("[bars]\nthickness = 34\ndepth = 44\n" + work(900, 700) + timber(21, 44, "[2400]"))
    bars = plan.works[0].designed.bars
    assert (bars.thickness, bars.depth, bars.assumed) == (34, 44, True)
    assert said(plan, "yard-assumed")
    assert not said(plan, "other-bars")


def test_bars_that_leave_rails_no_room_lying_flat_stand_on_edge() -> None:
    text = '[bars]\nstand = "flat"\n[inside]\ncross_rails = 1\n' + work(900, 700) + timber(21, 70, "[2400]")
    plan = planned(text)
    assert plan.works[0].designed.design.bar_depth == 70
    (words,) = said(plan, "other-stand")
    assert "21 mm" in words
    assert refused(text) == {"no-timber-for-rails"}
    batch = parse_batch(text)
    edge = briefs_of(batch)[0].edge_sections
    assert briefs_of(batch)[0].sections[0].depth == 21
    assert [bars.depth for bars in edge] == [70]
    found = ComputedChooser()(briefs_of(batch)[0])
    assert isinstance(found, Designed)
    assert found.design.bar_depth == 70


def test_rails_that_are_stated_and_not_on_sale_are_of_other_timber() -> None:
    yard = timber(21, 44, "[2400]")
    plan = planned("[inside]\nthickness = 24\ndepth = 31\ncross_rails = 1\n" + work(900, 700) + yard)
    rails = plan.works[0].designed.rails
    assert rails is not None
    assert (rails.thickness, rails.depth) != (24, 31)
    assert said(plan, "other-rails")


def test_assumed_rails_and_drop_are_named() -> None:
    plan = planned(work(1400, 1000) + timber(21, 44, "[2400]"))
    (words,) = said(plan, "design-assumed")
    assert "rails 44 × 21 mm, flat" in words
    assert "in from the back edge" in words


def test_two_timbers_of_one_section_are_cut_each_for_those_that_name_it() -> None:
    yard = "".join(
        f'[[yard]]\nname = "{name}"\nthickness = 21\ndepth = 44\nlengths = [{length}]\nper_metre = {price}\n'
        for name, length, price in (("plain", 2400, 2), ("clear", 3000, 5))
    )
    works = "".join(
        f'[[work]]\nname = "{name}"\nwidth = 600\nheight = 500\n[work.bars]\ntimber = "{name}"\n'
        for name in ("plain", "clear")
    )
    plan = planned(works + '[inside]\ncross_rails = 0\nmiddle_pieces = false\nend_rails = "none"\n' + yard)
    parts = {
        timber: {part.work for part in cut.problem.parts}
        for cut in plan.boards
        for timber in cut.section.timbers
    }
    assert parts == {"plain": {"plain"}, "clear": {"clear"}}
