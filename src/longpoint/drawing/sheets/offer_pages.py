"""An offer for a client, on one sheet, and the painter's own table of prices by size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from longpoint.costing.price import PriceList
from longpoint.drawing.paper.pages import Blanks, Block, Column, Gap, Heading, Page, Paragraph, Table
from longpoint.drawing.sheets.money_page import money, percent
from longpoint.drawing.words.own_words import product_words
from longpoint.drawing.words.voice import Voice
from longpoint.model.batch import Batch
from longpoint.model.cloth import Roll

MOST_LINES = 22
"""So many works stand on the sheet by their names; more are told by their sizes."""

OUNCES = 33.90575
"""Grams per square metre in an ounce per square yard."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """A work as it is offered.

    Attributes:
        name: Its name.
        face: Width and height. [mm]
        depth: Off the wall, without hangers. [mm]
        how_many: How many.
        each: Price of one.
    """

    name: str
    face: tuple[float, float]
    depth: float
    how_many: int
    each: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedSize:
    """A size of the table of prices.

    Attributes:
        face: Width and height. [mm]
        hours: From, likely, to. [h]
        cost: What one costs.
        price: What is asked for one.
        margin: Profit as a share of the price.
        per_hour: What an hour earns.
    """

    face: tuple[float, float]
    hours: tuple[float, float, float]
    cost: Decimal
    price: Decimal
    margin: float | None
    per_hour: Decimal | None


def offer_page(
    works: Sequence[Offered], prices: PriceList, made_of: str, *, batch: Batch, say: Voice
) -> Page:
    """The offer.

    Args:
        works: The works.
        prices: Their prices.
        made_of: What they are made of.
        batch: For currency, title and how long it holds.
        say: How the sheet speaks.
    """
    currency = batch.currency
    columns = (
        Column(say("offer.work"), share=1.0),
        Column(say("offer.size", unit=say.unit)),
        Column(say("offer.count"), "end"),
        Column(say("offer.each", currency=_behind(currency)), "end"),
        Column(say("offer.amount", currency=_behind(currency)), "end", strong=True),
    )
    blocks: list[Block] = [
        Blanks(tuple((say(f"offer.{what}"), "", "") for what in ("from", "for", "date", "number"))),
        Gap(),
        Table(columns, tuple(_lines(works, say)), close=True),
        Gap(2.0),
        Table(
            (Column("", share=1.0), Column("", "end", strong=True)),
            tuple(_sums(prices, say)),
            sums=(
                say("offer.total" if prices.tax else "offer.total-untaxed", currency=_behind(currency)),
                money(prices.sums.total, say),
            ),
            close=True,
        ),
        Heading(say("offer.made-title"), 2),
        Paragraph(made_of),
        Paragraph(say("offer.valid", days=batch.price.valid_days)),
        Heading(say("offer.terms"), 2),
        Blanks(
            tuple((say(f"offer.{what}"), "", "") for what in ("payment", "delivery", "rights")), columns=1
        ),
        Gap(),
        Blanks(tuple((say(f"offer.{what}"), "", "") for what in ("signed", "accepted"))),
    ]
    return Page(
        "offer", say("offer.section"), say("offer.title", title=batch.title), tuple(blocks), alone=True
    )


def prices_page(
    sizes: Sequence[ListedSize], left_out: Sequence[tuple[float, float]], *, batch: Batch, say: Voice
) -> Page:
    """The painter's own table of prices.

    Args:
        sizes: Size by size.
        left_out: Sizes that cannot be built from what is stated. [mm]
        batch: For currency, tax and how it is priced.
        say: How the sheet speaks.
    """
    tax = batch.price.tax
    heads = ("cost", "hours", "price", *(("taxed",) if tax else ()), "margin", "per-hour")
    rows = []
    for one in sizes:
        low, middle, high = (say.number(value, places=1) for value in one.hours)
        rows.append(
            (
                say.face(*one.face),
                money(one.cost, say),
                f"{middle} ({low}–{high})",
                money(one.price, say),
                *(
                    (money((one.price * (1 + Decimal(str(tax)))).quantize(Decimal("0.01")), say),)
                    if tax
                    else ()
                ),
                percent(one.margin, say),
                money(one.per_hour, say),
            )
        )
    basis = next(iter(batch.price.rates), "cost")
    rate = money(batch.price.rates.get(basis), say)
    margin = float(batch.shop.rates.profit)
    blocks: list[Block] = [
        Table(
            (
                Column(say("offer.face"), share=1.0),
                *(Column(say(f"offer.list-{head}"), "end", strong=head == "price") for head in heads),
            ),
            tuple(rows),
        ),
        Paragraph(
            say(
                f"offer.by-{basis.replace('_', '-')}",
                rate=rate,
                currency=batch.currency,
                margin=percent(margin, say),
                markup=percent(margin / (1 - margin), say),
            )
        ),
        Paragraph(say("offer.list-note"), "small"),
    ]
    if left_out:
        listed = ", ".join(say.face(*face) for face in left_out)
        blocks.append(Paragraph(say("offer.left-out", sizes=listed), "small"))
    return Page(
        "prices",
        say("offer.section"),
        say("offer.list-title") + _behind(batch.currency),
        tuple(blocks),
        lead=say("offer.list-lead"),
    )


def made_of(roll: Roll, coats: Sequence[tuple[str, int]], depths: Sequence[float], say: Voice) -> str:
    """What works are made of, as a client is told.

    Args:
        roll: Their cloth.
        coats: What is brushed on it and how often.
        depths: How deep their bars are. [mm]
        say: How the sheet speaks.
    """
    mass = f"{say.number(roll.mass)} g/m²"
    if say.lengths.system == "in":
        mass = f"{say.number(roll.mass / OUNCES)} oz/yd²"
    depth = "–".join(dict.fromkeys(say.fine(depth) for depth in (min(depths), max(depths))))
    told = [
        say("offer.frames", depth=f"{depth} {say.unit}"),
        say("offer.cloth", fibre=say(f"fibre.{roll.fibre}"), mass=mass),
    ]
    told += [say("offer.coats", count=count, what=product_words(what, say)) for what, count in coats if count]
    return "; ".join(told) + "."


def _behind(currency: str) -> str:
    return f" [{currency}]" if currency else ""


def _lines(works: Sequence[Offered], say: Voice) -> list[tuple[str, ...]]:
    """A line for each work; where they are too many, one for all of a size and price."""
    groups: dict[tuple[object, ...], list[Offered]] = {}
    for one in works:
        alike = (one.face, one.depth, one.each) if len(works) > MOST_LINES else (one.name,)
        groups.setdefault(alike, []).append(one)
    rows: list[tuple[str, ...]] = []
    for same in groups.values():
        count, first = sum(one.how_many for one in same), same[0]
        size = " × ".join((say.length(first.face[0]), say.length(first.face[1]), say.fine(first.depth)))
        name = first.name if len(same) == 1 else say("offer.several")
        rows.append((name, size, str(count), money(first.each, say), money(first.each * count, say)))
    return rows


def _sums(prices: PriceList, say: Voice) -> list[tuple[str, str]]:
    sums = prices.sums
    rows = []
    if sums.discount:
        rows += [
            (say("offer.sum"), money(sums.gross, say)),
            (say("offer.discount", share=percent(prices.discount, say)), f"−{money(sums.discount, say)}"),
        ]
    if prices.tax:
        rows += [
            (say("offer.net"), money(sums.net, say)),
            (say("offer.tax", share=percent(prices.tax, say)), money(sums.tax, say)),
        ]
    return rows
