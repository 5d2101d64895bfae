"""The rack as a batch states it: what is free becomes ``[[rack]]``, rolls at hand, and what is at hand of supplies."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from sqlalchemy import select

from longpoint.joinery.screws.on_sale import sizes_on_sale
from longpoint.model.batch import Batch as Stated
from longpoint.model.cloth import Roll
from longpoint.model.timber import RackBoard
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import NM, THOUSANDTHS
from longpoint.store.rack.stock import Thing, listed
from longpoint.store.tables import Batch, Item, PlanRow, Reservation
from longpoint.units import CENT
from longpoint.works.ordinary import ordinary_screws
from longpoint.works.stock import stock_of

MOST = 200
"""Boards of one section that a plan is given; cutting many more takes long and saves little. Estimate."""


def with_rack(desk: Desk, stated: Stated) -> tuple[Stated, dict[str, int]]:
    """A batch with what lies free in the rack, or is kept for its own last plan, instead of its ``[[rack]]``.

    Args:
        desk: A transaction.
        stated: The batch.

    Returns:
        The batch, and how many boards of each section were left out because there are more than `MOST`.
    """
    mine = _own(desk, stated.title)
    free = [
        (one, one.free + mine.get(one.label, 0))
        for one in listed(desk, limit=None)
        if one.free + mine.get(one.label, 0) > 0
    ]
    boards, left_out = _boards(stated, [one for one, _ in free if one.kind in ("board", "offcut")])
    lowest = min((roll.rate for roll in stated.roll if roll.rate is not None), default=None)
    worth = None if lowest is None else lowest * Decimal(str(stated.shop.rack_share))
    rolls = tuple(
        _worth(one, _roll(one, amount), worth, priced=worth is not None or not stated.roll)
        for one, amount in free
        if one.kind == "roll"
    )
    named = {roll.name for roll in rolls}
    supplies: Counter[str] = Counter()
    for one, amount in free:
        if one.kind == "supply":
            supplies[one.facts["what"]] += amount
    return stated.model_copy(
        update={
            "rack": boards,
            "roll": (*rolls, *(roll for roll in stated.roll if roll.name not in named)),
            **_at_hand(stated, supplies),
        }
    ), left_out


def _own(desk: Desk, title: str) -> dict[str, int]:
    """What the standing plan of the open batch of that title keeps."""
    asked = (
        select(Item.label, Reservation.amount)
        .join(Reservation, Reservation.item_id == Item.id)
        .join(PlanRow, PlanRow.id == Reservation.plan_id)
        .join(Batch, Batch.id == PlanRow.batch_id)
        .where(Batch.title == title, Batch.state == "open", PlanRow.state == "standing")
    )
    return dict(desk.session.execute(asked).all())


def _boards(stated: Stated, things: Iterable[Thing]) -> tuple[tuple[RackBoard, ...], dict[str, int]]:
    wanted = {frozenset((float(timber.thickness), float(timber.depth))) for timber in stated.yard}
    wanted |= {
        frozenset((float(bars.thickness), float(bars.depth)))
        for bars in (stated.bars_of(work) for work in stated.work)
        if isinstance(bars.thickness, Fraction) and isinstance(bars.depth, Fraction)
    }
    found: list[RackBoard] = []
    count: dict[frozenset[float], int] = {}
    left_out: dict[str, int] = {}
    for one in things:
        sides = frozenset((float(one.facts["thickness"]), float(one.facts["depth"])))
        if wanted and sides not in wanted:
            continue
        count[sides] = count.get(sides, 0) + 1
        if count[sides] > MOST:
            section = f"{one.facts['thickness']:g} × {one.facts['depth']:g}"
            left_out[section] = left_out.get(section, 0) + 1
            continue
        found.append(_board(one))
    return tuple(found), left_out


def _board(one: Thing) -> RackBoard:
    keys = RackBoard.model_fields.keys() - {"name", "how_many"}
    data = {key: value for key, value in one.facts.items() if key in keys}
    return RackBoard.model_validate({"name": one.label, **data}, context={"unit": "mm"})


def _roll(one: Thing, amount: int) -> Roll:
    keys = Roll.model_fields.keys() - {"name", "length", "at_hand"}
    data: dict[str, Any] = {key: value for key, value in one.facts.items() if key in keys}
    data |= {"name": one.label, "length": amount / NM, "at_hand": True}
    return Roll.model_validate(data, context={"unit": "mm"})


def _worth(one: Thing, roll: Roll, worth: Decimal | None, *, priced: bool) -> Roll:
    """A roll with a price where the batch's have one: its own, what it cost, else a share of the lowest, as boards."""
    if not priced:
        return roll.model_copy(update={"per_metre": None, "per_yard": None})
    if roll.rate is not None:
        return roll
    cost, length = one.facts.get("cost"), float(one.facts.get("length", 0))
    if cost is not None and length and worth is not None:
        worth = Decimal(str(cost)) / Decimal(str(length / 1000))
    return roll if worth is None else roll.model_copy(update={"per_metre": worth.quantize(CENT)})


def _at_hand(stated: Stated, supplies: Mapping[str, int]) -> dict[str, Any]:
    """What is at hand of the hardware that the batch names, where the rack has something of that name."""

    def counted(row: Any, name: str) -> Any:
        if row is None or name not in supplies:
            return row
        amount = supplies[name] / THOUSANDTHS
        whole = isinstance(row.at_hand, int)
        return row.model_copy(update={"at_hand": int(amount) if whole else amount})

    stock = stock_of(stated)
    screws = [(row, sizes_on_sale([row])[0].name) for row in stated.screw or ordinary_screws(stock.region)]
    staples = stock.staples
    if not stated.screw and not any(name in supplies for _, name in screws):
        screws = []  # then it is still said that an ordinary shop's are assumed
    if not stated.staple and not any(row.name in supplies for row in staples):
        staples = ()
    return {
        "screw": tuple(counted(row, name) for row, name in screws),
        "staple": tuple(counted(row, row.name) for row in staples),
        "glue": counted(stated.glue, stated.glue.name),
        "size": counted(stated.size, stated.size.label if stated.size else ""),
        "primer": counted(stated.primer, stated.primer.label),
        "hanger": counted(stated.hanger, stated.hanger.name),
    }
