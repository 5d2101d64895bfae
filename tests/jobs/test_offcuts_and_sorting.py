"""What a batch says of offcuts and of sorting reaches the saw, the page and plan.json."""

from __future__ import annotations

import itertools
import json
from fractions import Fraction
from functools import cache

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.cutting import Certificate, Kind, check_board_plan, nanometres, verify_certificate
from longpoint.cutting.boards.proof.referee import certificate_bound
from longpoint.drawing.paper.marks import Text
from longpoint.drawing.paper.pages import Paragraph, Table, drawings_of, paper_named
from longpoint.drawing.sheets.saw_pages import saw_pages
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

WORKS = """
[[work]]
name = "a"
width = 1310
height = 870
how_many = 2
[[work]]
name = "b"
width = 640
height = 530
[[work]]
name = "c"
width = 970
height = 1120
"""
YARD = """
[[yard]]
name = "bars"
thickness = 21
depth = 44
serves = ["bars"]
lengths = [{ length = 2430, price = 6.2 }, { length = 3610, price = 9.3 }]
[[yard]]
name = "rails"
thickness = 21
depth = 28
serves = ["rails"]
per_metre = 1.6
lengths = [2430, 4810]
"""
ONE_TIMBER = """
[bars]
thickness = 28
bevel_when = "{when}"
[inside]
thickness = 44
depth = 28
[[yard]]
name = "both"
thickness = 28
depth = 44
lengths = [{{ length = 2430, price = 6.2 }}]
[shop.drill]
bit_length = 120
"""


@cache
def planned(text: str) -> Plan:
    return plan_batch(parse_batch(text), choose=design_of)


def offcuts(text: str) -> dict[str, dict[str, tuple[float, Fraction]]]:
    return {
        section.use: {str(one.kind): (one.at_least / 1e6, one.share) for one in section.problem.shop.offcuts}
        for section in planned(text).boards
    }


@pytest.mark.slow
def test_each_use_names_the_kinds_its_offcuts_serve_as() -> None:
    half, third, tenth = Fraction(1, 2), Fraction(3, 10), Fraction(1, 10)
    # Estimates of the model: 900, 600, 350 mm; blocks from the shortest piece that the saw holds, 200 mm.
    assert offcuts(WORKS + YARD) == {
        "bars": {"bar": (900, half), "block": (200, tenth)},
        "rails": {"rail": (600, half), "middle piece": (350, third), "block": (200, tenth)},
    }


@pytest.mark.slow
def test_lengths_shares_and_the_charge_are_the_shops() -> None:
    text = (
        WORKS
        + YARD
        + "[shop.saw]\nshortest_held = 230\n[shop.offcuts]\nbars = 777\nrails = 555\nmiddle_pieces = 333\n"
        + "share = 0.4\nrails_share = 0.35\nmiddle_pieces_share = 0\nblocks_share = 0.07\nkeeping = 0.25\n"
    )
    assert offcuts(text) == {
        "bars": {"bar": (777, Fraction(2, 5)), "block": (230, Fraction(7, 100))},
        "rails": {"rail": (555, Fraction(7, 20)), "block": (230, Fraction(7, 100))},
    }
    for section in planned(text).boards:
        assert section.problem.shop.keeping == Fraction(1, 4)
        assert check_board_plan(section.problem, section.plan) == ()


def test_an_offcut_never_keeps_its_whole_price() -> None:
    with pytest.raises(FaultsError) as caught:
        parse_batch(WORKS + "[shop.offcuts]\nshare = 1\n")
    assert [fault.where.key for fault in caught.value.faults] == ["shop.offcuts.share"]


@pytest.mark.slow
def test_what_is_bevelled_already_makes_no_rail() -> None:
    # bars and rails share boards: only the stretch for bars is bevelled
    everything = {"bar", "rail", "middle piece", "block"}
    for when in ("before cutting", "after cutting"):
        shared = offcuts(WORKS + ONE_TIMBER.format(when=when))
        assert {use: set(kinds) for use, kinds in shared.items()} == {"bars and rails": everything}
    by_yard = WORKS + ONE_TIMBER.replace("bevel_when", 'bevel_by = "yard"\nbevel_when')
    apart = offcuts(by_yard.format(when="before cutting"))
    assert set(apart["bars"]) == {"bar", "block"}
    assert set(apart["rails"]) == everything


@pytest.mark.slow
def test_less_sorting_is_asked_for_in_the_shop_and_said_in_plan_json_and_on_the_page() -> None:
    plain, wished = planned(WORKS + YARD), planned(WORKS + YARD + "[shop]\nless_sorting = 0.02\n")
    assert all(section.plan.sorting is None for section in plain.boards)
    rows = json.loads(plan_json(wished))["boards"]
    assert all(row["sorting"] is None for row in json.loads(plan_json(plain))["boards"])
    for row, section, before in zip(rows, wished.boards, plain.boards, strict=True):
        assert section.problem.settings_within == Fraction(1, 50)
        assert check_board_plan(section.problem, section.plan) == ()
        counted = sum(len({(cut["part"], cut["stop"]) for cut in board["cuts"]}) for board in row["boards"])
        assert row["pickups"] <= counted
        assert (
            row["sorting"]["before"] >= row["sorting"]["free"] >= row["pickups"] >= row["sorting"]["at_least"]
        )
        assert row["cost"] <= float(before.plan.cost) * 1.02 + 1e-6
        assert row["sorting"]["costs_more"] == pytest.approx(row["cost"] - float(before.plan.cost), abs=1e-5)
    for language in ("en", "de"):
        section = wished.boards[0]
        page, _ = saw_pages(section.plan, section.problem, say=voice_of(language), paper=paper_named("A4"))
        words = " ".join(block.words for block in page.blocks if isinstance(block, Paragraph))
        assert f"{section.plan.pickups}" in words
        assert ("handled" if language == "en" else "in die Hand genommen") in words


@pytest.mark.slow
def test_the_certificate_travels_with_the_plan_and_proves_what_it_says() -> None:
    plan = planned(WORKS + YARD)
    for row, section in zip(json.loads(plan_json(plan))["boards"], plan.boards, strict=True):
        prices = row["certificate"]
        certificate = Certificate(
            Fraction(prices["units"]), tuple(prices["parts"].items()), tuple(prices["boards"].items())
        )
        assert verify_certificate(section.problem, certificate)
        assert float(certificate_bound(section.problem, certificate)) <= row["at_least"] + 1e-6
        assert (row["proof"] == "bound") == ("prove it alone" in row["proof_rests_on"])


@pytest.mark.slow
def test_a_kept_piece_is_said_in_its_kinds_word() -> None:
    text = '[[work]]\nname = "a"\nwidth = 420\nheight = 310\n[shop.offcuts]\nbars = 700\n' + YARD
    plan = planned(text)
    (board,) = plan.boards[0].plan.boards
    assert board.good_for == str(Kind.BAR) or board.remains < nanometres(700)
    kept = [one for section in plan.boards for one in section.plan.boards if one.good_for]
    assert kept
    texts = {
        mark.words
        for section in plan.boards
        for page in saw_pages(section.plan, section.problem, say=voice_of(), paper=paper_named("A4"))
        for view in drawings_of(page)
        for mark in view.marks
        if isinstance(mark, Text)
    }
    for one in kept:
        word = {"bar": "bar with bevel", "block": "blocks"}.get(one.good_for, one.good_for)
        assert any("keep " in words and words.endswith(f": {word}") for words in texts)


@pytest.mark.slow
@pytest.mark.parametrize(("unit", "said"), [("mm", "4"), ("in", "1/8")])
def test_the_saw_page_says_how_much_is_kept_for_fitting_and_the_board_has_it(unit: str, said: str) -> None:
    plan = planned(f'show = "{unit}"\nfraction = 16\n' + WORKS + YARD)
    bars, rails = (next(one for one in plan.boards if one.use == use) for use in ("bars", "rails"))
    say = voice_of("en", plan.batch.style)
    told = {}
    for section in (bars, rails):
        page, _ = saw_pages(section.plan, section.problem, say=say, paper=paper_named("A4"))
        (told[section.use],) = (block for block in page.blocks if isinstance(block, Table))
    heads = [column.title for column in told["rails"].columns if column.blank is None]
    assert {row[heads.index(f"Spare [{say.unit}]")] for row in told["rails"].rows} == {said}
    assert not any("Spare" in column.title for column in told["bars"].columns)
    for board in rails.plan.boards:
        # each is as long on the board as its stop and the 4 mm together, and the saw's cut lies between
        assert all(cut.end - cut.start == cut.stop + nanometres(4) for cut in board.cuts)
        assert all(
            after.start - before.end >= rails.problem.shop.kerf
            for before, after in itertools.pairwise(board.cuts)
        )
