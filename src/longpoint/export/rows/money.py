"""Rows of ``plan.json`` about money: what is bought, what works cost, what to ask. Amounts are text, two decimals."""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from pydantic import Field

from longpoint.costing.buying import BuyLine
from longpoint.costing.cost import CostSheet, MaterialUse
from longpoint.costing.price import Amounts, PriceList
from longpoint.drawing.words.own_words import pack_words, remark_words, thing_words
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.export.rows.row import RangeRow, Row, range_row
from longpoint.needs.hours import Operation


class BuyRow(Row):
    """A line of the buying list."""

    group: str
    what: str
    need: float
    have: float
    unit: str
    buy: float
    pack: str
    each: str | None
    total: str | None
    spare: float
    note: str


class OperationRow(Row):
    """What is done again and again."""

    kind: str
    count: float = Field(description="Parts, metres, holes, screws, pieces, staples, square metres, frames.")
    minutes: RangeRow = Field(description="All of them together, the learning of repeats counted.")
    own: bool = Field(description="Whether the time is the shop's own; else an estimate.")


class CostRow(Row):
    """Cost of all pieces of one work, and the price of one."""

    work: str
    how_many: int
    timber: str
    cloth: str
    sundries: str
    hours: float = Field(description="Likely, with its share of setting up, and painting. Estimate.")
    hours_range: RangeRow | None = Field(default=None, description="The same, from and to.")
    operations: list[OperationRow] = Field(default_factory=list)
    labour: str
    overhead: str
    waste: str
    total: str
    price_each: str = Field(description="Before discount and tax.")


class MaterialRow(Row):
    """One kind of material: bought + rack - kept = used."""

    group: str
    bought: str
    rack: str = Field(description="What is taken from the rack, by its worth.")
    kept: str = Field(description="Offcuts, remnants, spares, what stays in boxes.")
    used: str


class AmountsRow(Row):
    """A line of money, or a sum of such lines."""

    gross: str = Field(description="At the prices of one.")
    discount: str
    net: str = Field(description="gross - discount.")
    tax: str
    total: str = Field(description="net + tax.")
    cost: str
    hours: float
    margin: float | None = Field(description="Profit as a share of net.")
    markup: float | None = Field(description="Profit as a share of cost.")
    per_hour: str | None = Field(description="What an hour earns once all that is paid out is off.")


class WorkPriceRow(AmountsRow):
    """The price of a work."""

    work: str
    how_many: int
    each: str = Field(description="Before discount and tax.")
    basis: str = Field(description='"agreed", "size" or "cost".')
    copies: list[str] = Field(description="What is paid for each copy; together the total.")


class SetPriceRow(AmountsRow):
    """The price of a set."""

    set: str = Field(description='"" for the works that hang in none.')
    works: list[str]


class PricesRow(Row):
    """What to ask."""

    discount: float = Field(description="Share taken off for several.")
    tax: float = Field(description="Share added.")
    works: list[WorkPriceRow]
    sets: list[SetPriceRow]
    batch: AmountsRow


@cache
def _words() -> Voice:
    """Tables and ``plan.json`` list things in English, whatever the sheets speak."""
    return voice_of()


def missing_prices(sheet: CostSheet) -> list[str]:
    """Things that must be bought and have no price."""
    return [thing_words(what, _words()) for what in sheet.missing]


def buy_row(line: BuyLine) -> BuyRow:
    """A line of the buying list as a row."""
    return BuyRow(
        group=line.group,
        what=thing_words(line.what, _words()),
        need=line.need,
        have=line.have,
        unit=line.unit,
        buy=line.buy,
        pack=pack_words(line.pack, _words()),
        each=_money(line.each),
        total=_money(line.total),
        spare=line.spare,
        note="; ".join(remark_words(note, _words()) for note in line.notes),
    )


def operation_row(one: Operation) -> OperationRow:
    """An operation as a row."""
    return OperationRow(
        kind=one.kind, count=round(one.count, 3), minutes=range_row(one.minutes, digits=2), own=one.own
    )


def cost_rows(sheet: CostSheet, prices: PriceList) -> list[CostRow]:
    """What every work costs, as rows."""
    return [
        CostRow(
            work=work.work,
            how_many=work.how_many,
            timber=str(work.timber),
            cloth=str(work.cloth),
            sundries=str(work.sundries),
            hours=work.hours.middle,
            hours_range=range_row(work.hours, digits=2),
            operations=[operation_row(one) for one in work.operations],
            labour=str(work.labour),
            overhead=str(work.overhead),
            waste=str(work.waste),
            total=str(work.total),
            price_each=str(price.each),
        )
        for work, price in zip(sheet.works, prices.works, strict=True)
    ]


def material_row(use: MaterialUse) -> MaterialRow:
    """One kind of material as a row."""
    return MaterialRow(
        group=use.group, bought=str(use.bought), rack=str(use.rack), kept=str(use.kept), used=str(use.used)
    )


def prices_row(prices: PriceList) -> PricesRow:
    """What to ask, as a row."""
    return PricesRow(
        discount=prices.discount,
        tax=prices.tax,
        works=[
            WorkPriceRow(
                work=one.work,
                how_many=one.how_many,
                each=str(one.each),
                basis=one.basis,
                copies=[str(copy) for copy in one.copies],
                **_amounts(one.sums),
            )
            for one in prices.works
        ],
        sets=[SetPriceRow(set=one.name, works=list(one.works), **_amounts(one.sums)) for one in prices.sets],
        batch=AmountsRow(**_amounts(prices.sums)),
    )


def _amounts(sums: Amounts) -> dict[str, object]:
    return {
        **{name: str(getattr(sums, name)) for name in ("gross", "discount", "net", "tax", "total", "cost")},
        "hours": sums.hours,
        **{
            name: None if share is None else round(share, 4)
            for name, share in (("margin", sums.margin), ("markup", sums.markup))
        },
        "per_hour": _money(sums.per_hour),
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)
