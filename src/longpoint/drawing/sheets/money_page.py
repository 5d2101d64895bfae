"""Money: what works cost and how long they take, what to ask, what is bought and what is used of it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from longpoint.costing.cost import CostSheet, WorkCost
from longpoint.costing.price import Amounts, PriceList
from longpoint.drawing.paper.pages import Block, Column, Heading, Page, Paragraph, Table
from longpoint.drawing.words.own_words import thing_words
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.ranges import Range

Row = tuple[str, ...]


def cost_page(costs: CostSheet, prices: PriceList, *, currency: str, say: Voice) -> Page:
    """Cost, price and material of a batch.

    Args:
        costs: What it costs.
        prices: What to ask.
        currency: Word behind amounts.
        say: How the sheet speaks.
    """
    blocks: list[Block] = [_work_table(costs, prices, say)]
    if prices.sums.hours and prices.sums.net:
        blocks.append(Paragraph(_earns(costs, prices, say), "small"))
    whole = {
        key: money(sum((getattr(use, key) for use in costs.materials), Decimal(0)), say)
        for key in ("bought", "rack", "kept", "used")
    }
    blocks.append(Paragraph(say("cost.material-sum", **whole), "small"))
    if costs.missing:
        what = ", ".join(thing_words(what, say) for what in costs.missing)
        blocks.append(Paragraph(say("cost.missing", what=what), "small"))
    return Page(
        key="cost",
        flows=True,
        section=say("section-name.money"),
        title=say("cost.title") + (f" [{currency}]" if currency else ""),
        lead=say("cost.lead"),
        blocks=tuple(blocks),
    )


def hours_page(costs: CostSheet, prices: PriceList, *, currency: str, say: Voice) -> Page:
    """How long everything takes, operation by operation, and what each work's cost and price are made of.

    Args:
        costs: What the batch costs.
        prices: What to ask.
        currency: Word behind amounts.
        say: How the sheet speaks.
    """
    blocks: list[Block] = [_time_table(costs, say)]
    if costs.total:
        behind = f" [{currency}]" if currency else ""
        blocks += [
            Heading(say("cost.detail") + behind, 2),
            _detail_table(costs, prices, say),
            Heading(say("cost.material") + behind, 2),
            _material_table(costs, say),
        ]
    return Page(
        key="hours",
        flows=True,
        section=say("section-name.money"),
        title=say("cost.time"),
        lead=say("cost.time-note"),
        blocks=tuple(blocks),
    )


def _table(columns: Sequence[Column], rows: Sequence[Row], sums: Row = ()) -> Table:
    """A small table without the columns in which nothing stands."""
    kept = [n for n in range(len(columns)) if n == 0 or any(row[n] for row in rows)]
    return Table(
        columns=tuple(columns[n] for n in kept),
        rows=tuple(tuple(row[n] for n in kept) for row in rows),
        sums=tuple(sums[n] for n in kept) if sums else (),
        size="small",
        close=True,
    )


def _work_table(costs: CostSheet, prices: PriceList, say: Voice) -> Table:
    """Cost and price of every work, of every set and of the batch."""

    def cells(name: str, members: Sequence[WorkCost], each: str, sums: Amounts) -> Row:
        paid = [
            sum((getattr(one, key) for one in members), Decimal(0))
            for key in ("material", "waste", "labour", "overhead", "total")
        ]
        hours = say.number(sum(one.hours.middle for one in members), places=1)
        return (
            name,
            *(_or_none(amount, say) for amount in paid[:2]),
            hours,
            *(_or_none(amount, say) for amount in paid[2:]),
            each,
            money(sums.gross, say) if sums.gross else "",
            f"−{money(sums.discount, say)}" if sums.discount else "",
            money(sums.tax, say) if sums.tax else "",
            money(sums.total, say) if sums.tax or sums.discount else "",
            money(sums.per_hour, say),
        )

    by_name = {cost.work: cost for cost in costs.works}
    rows = [
        cells(_named(one.work, one.how_many), [by_name[one.work]], money(one.each, say), one.sums)
        for one in prices.works
    ]
    rows += [
        cells(
            say("cost.set", name=group.name) if group.name else say("cost.no-set"),
            [by_name[name] for name in group.works],
            "",
            group.sums,
        )
        for group in prices.sets
    ]
    heads = (
        *("mat", "waste", "hours", "labour", "overhead", "total"),
        *("price", "gross", "discount", "tax", "paid", "per-hour"),
    )
    return _table(
        (
            Column(say("cost.work"), share=1.0),
            *(Column(say(f"cost.{head}"), "end", strong=head in ("total", "price")) for head in heads),
        ),
        rows,
        cells(say("cost.sum"), costs.works, "", prices.sums),
    )


def _detail_table(costs: CostSheet, prices: PriceList, say: Voice) -> Table:
    rows = [
        (
            _named(cost.work, cost.how_many),
            *(_or_none(getattr(cost, key), say) for key in ("timber", "cloth", "sundries")),
            say.number(cost.hours.middle, places=1),
            spread(cost.hours, say),
            money(cost.each, say),
            percent(price.sums.margin, say),
            percent(price.sums.markup, say),
        )
        for cost, price in zip(costs.works, prices.works, strict=True)
    ]
    heads = ("timber", "cloth", "sundries", "hours", "spread", "each", "margin", "markup")
    return _table(
        (Column(say("cost.work"), share=1.0), *(Column(say(f"cost.{head}"), "end") for head in heads)), rows
    )


def _earns(costs: CostSheet, prices: PriceList, say: Voice) -> str:
    earned, sums = prices.sums.per_hour, prices.sums
    slow = costs.hours.high
    least = (sums.net - sums.cost + sums.labour) / Decimal(str(slow))
    return say(
        "cost.earns",
        earned=money(earned, say),
        margin=percent(sums.margin, say),
        markup=percent(sums.markup, say),
        spread=spread(costs.hours, say),
        slow=money(least, say),
        hours=say.number(slow, places=1),
        least=money(costs.total, say),
    )


def _material_table(costs: CostSheet, say: Voice) -> Table:
    keys = ("bought", "rack", "kept", "used")
    rows = [
        (say(f"buying.{use.group}"), *(_or_none(getattr(use, key), say) for key in keys))
        for use in costs.materials
    ]
    sums = (
        say("cost.sum"),
        *(money(sum((getattr(use, key) for use in costs.materials), Decimal(0)), say) for key in keys),
    )
    return _table(
        (Column(say("cost.what"), share=1.0), *(Column(say(f"cost.{key}"), "end") for key in keys)),
        rows,
        sums,
    )


def _time_table(costs: CostSheet, say: Voice) -> Table:
    feet = say.lengths.system == "in"
    found: dict[str, list[float]] = {}
    own: set[str] = set()
    for one in (costs.set_up, *(each for work in costs.works for each in work.operations)):
        held = found.setdefault(one.kind, [0.0, 0.0, 0.0, 0.0])
        for place, value in enumerate((one.count, one.minutes.low, one.minutes.middle, one.minutes.high)):
            held[place] += value
        if one.own:
            own.add(one.kind)
    rows = []
    for kind, (count, *minutes) in found.items():
        per, places = {
            "bevel": (0.3048 if feet else 1.0, 1),
            "coat": (0.09290304 if feet else 1.0, 1),
        }.get(kind, (1.0, 0))
        low, middle, high = (say.number(value / 60, places=1) for value in minutes)
        rows.append(
            (
                say(
                    f"cost.does-{kind}",
                    unit={"bevel": "ft" if feet else "m", "coat": "ft²" if feet else "m²"}.get(kind, ""),
                ),
                say.number(count / per, places=places) if kind != "set-up" else "",
                *(("", middle, "") if kind in own else (low, middle, high)),
            )
        )
    return _table(
        (
            Column(say("cost.what"), share=1.0),
            Column(say("cost.count"), "end"),
            Column(say("cost.from"), "end"),
            Column(say("cost.likely"), "end", strong=True),
            Column(say("cost.to"), "end"),
        ),
        rows,
    )


def _named(name: str, how_many: int) -> str:
    return f"{name} × {how_many}" if how_many > 1 else name


def _or_none(amount: Decimal, say: Voice) -> str:
    return money(amount, say) if amount else ""


def spread(hours: Range, say: Voice) -> str:
    """From–to of hours; nothing where nothing is estimated."""
    if hours.low == hours.high:
        return ""
    return f"{say.number(hours.low, places=1)}–{say.number(hours.high, places=1)}"


def percent(share: float | None, say: Voice) -> str:
    """A share in per cent; nothing where there is none."""
    return "" if share is None else f"{say.number(100 * share, places=1)} %"


def money(amount: Decimal | None, say: Voice) -> str:
    """An amount without a gap between thousands: columns are narrow, and a figure must not be broken there."""
    return "" if amount is None else say.number(float(amount), places=2).replace("\u202f", "")
