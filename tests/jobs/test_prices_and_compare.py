"""The table of prices by size, the offer on one sheet, and batches side by side."""

from __future__ import annotations

import json
from decimal import Decimal
from functools import cache

import pytest
from pytest import approx

from longpoint.choosing.by_rule import design_of
from longpoint.drawing.paper.pages import A4, LETTER, Table
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.packs.fitting import fills_of, laid_out
from longpoint.export.packs.offer_of import offer_of, prices_pack
from longpoint.export.rows.sides import sides_json
from longpoint.jobs.compare import side_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.jobs.prices import has_prices, price_table
from longpoint.model.reading import parse_batch

YARD = """
[[yard]]
name = "strip"
thickness = 21
depth = 44
per_metre = 3.1
lengths = [2400]
[[roll]]
name = "duck"
width = 1600
per_metre = 12
"""
PRICED = "[shop.rates]\nper_hour = 20\nmargin = 0.25\n[price]\ntax = 0.19\n"


def text(count: int, *, works: int = 1, head: str = "") -> str:
    listed = "".join(
        f'[[work]]\nname = "Reeds {n}"\nwidth = {500 + 10 * (n % 3)}\nheight = 400\nhow_many = {count}\n'
        for n in range(works)
    )
    return head + listed + YARD + PRICED


@cache
def plan(count: int, works: int = 1, head: str = "") -> Plan:
    return plan_batch(parse_batch(text(count, works=works, head=head)), choose=design_of)


@pytest.mark.slow
def test_the_table_lists_what_can_be_built_and_says_what_not() -> None:
    sizes = "sizes = [[400, 300], [800, 600], [3000, 2800]]\n"
    batch = parse_batch(text(1).replace("[price]\n", f"[price]\n{sizes}") + "[cloth]\nseam = false\n")
    found = price_table(batch.model_copy(update={"as_stated": True}))
    assert [(one.width, one.height) for one in found.sizes] == [(400, 300), (800, 600)]
    assert found.left_out == ((3000, 2800),)
    for one in found.sizes:
        assert one.price.sums.margin == approx(0.25, abs=0.001)
    assert found.sizes[0].price.each < found.sizes[1].price.each
    with pytest.raises(FaultsError, match="none of the sizes"):
        only = batch.price.model_copy(update={"sizes": batch.price.sizes[2:]})
        price_table(batch.model_copy(update={"as_stated": True, "price": only}))


@pytest.mark.slow
@pytest.mark.parametrize(("language", "unit"), [("en", "mm"), ("de", "cm"), ("en", "in")])
def test_the_offer_is_one_sheet_and_its_lines_make_its_sum(language: str, unit: str) -> None:
    paper = LETTER if unit == "in" else A4
    for works in (1, 30):
        made = plan(2, works, f'language = "{language}"\nshow = "{unit}"\n')
        pack = offer_of(made, say=voice_of(language, made.batch.style))
        fills = fills_of(pack, paper=paper, settings=laid_out(pack, paper=paper).settings)
        assert [fill.sheets for fill in fills.values()] == [1]
        lines, sums = (block for block in pack.pages[0].blocks if isinstance(block, Table))
        amounts = [Decimal(row[-1].replace(",", ".")) for row in lines.rows]
        assert sum(amounts) == made.prices.sums.gross
        assert Decimal(sums.sums[-1].replace(",", ".")) == made.prices.sums.total
        said = repr(pack)
        assert str(made.cost.total) not in said  # a client is not told what it costs


def test_the_table_of_prices_is_the_painters_in_both_languages() -> None:
    made = plan(2)
    table = price_table(
        parse_batch(text(1).replace("[price]\n", "[price]\nsizes = [[400, 300]]\nper_cm = 2\n"))
    )
    for language, word in (("en", "centimetre"), ("de", "Zentimeter")):
        pack = prices_pack(plan_of(made, "per_cm = 2"), table, say=voice_of(language))
        assert word in repr(pack)
        assert "140.00".replace(".", "," if language == "de" else ".") in repr(pack)


def plan_of(made: Plan, rate: str) -> Plan:
    from dataclasses import replace

    batch = parse_batch(text(2).replace("[price]\n", f"[price]\n{rate}\n"))
    return replace(made, batch=batch)


def test_nothing_with_a_price_is_known_before_anything_is_planned() -> None:
    bare = '[[work]]\nname = "Reeds"\nwidth = 500\nheight = 400\n'
    assert not has_prices(parse_batch(bare))
    for more in ("price = 90\n", "[price]\nper_cm = 3\n", "[shop.rates]\nper_hour = 20\n", YARD):
        assert has_prices(parse_batch(bare + more))


def test_ten_instead_of_one_cost_less_each_and_a_side_adds_up() -> None:
    one, ten = (side_of(plan(count), f"{count}") for count in (1, 10))
    assert ten.works[0].cost < one.works[0].cost
    assert ten.works[0].hours < one.works[0].hours  # learning, and setting up shared
    assert (one.pieces, ten.pieces) == (1, 10)
    assert ten.mass == approx(10 * one.mass)
    assert ten.boards >= one.boards
    assert ten.pulled_in is None  # by rule nothing is computed
    read = json.loads(sides_json([one, ten]))["batches"]
    assert [side["cost"] for side in read] == [str(one.cost), str(ten.cost)]
    assert read[1]["works"][0]["pieces"] == 10
