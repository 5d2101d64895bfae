"""Rows of ``plan.json`` about money: what is bought, and what works cost."""

from __future__ import annotations

from decimal import Decimal

from pydantic import Field

from longpoint.costing.buying import BuyLine
from longpoint.costing.cost import CostSheet
from longpoint.export.rows.row import Row


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


class CostRow(Row):
    """Cost of all pieces of one work, and the price of one."""

    work: str
    how_many: int
    timber: str
    cloth: str
    sundries: str
    hours: float = Field(description="Estimate.")
    labour: str
    overhead: str
    waste: str
    total: str
    price_each: str


def buy_row(line: BuyLine) -> BuyRow:
    """A line of the buying list as a row."""
    return BuyRow(
        group=line.group,
        what=line.what,
        need=line.need,
        have=line.have,
        unit=line.unit,
        buy=line.buy,
        pack=line.pack,
        each=_money(line.each),
        total=_money(line.total),
        spare=line.spare,
        note=line.note,
    )


def cost_rows(sheet: CostSheet) -> list[CostRow]:
    """What every work costs, as rows."""
    return [
        CostRow(
            work=work.work,
            how_many=work.how_many,
            timber=str(work.timber),
            cloth=str(work.cloth),
            sundries=str(work.sundries),
            hours=work.hours,
            labour=str(work.labour),
            overhead=str(work.overhead),
            waste=str(work.waste),
            total=str(work.total),
            price_each=str(sheet.price_of(work)),
        )
        for work in sheet.works
    ]


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)
