"""Supplies of plans: what is kept for one, what building takes, and what is short.

A supply is that of a plan where the rack calls it as the batch file does, or as the usual thing that is assumed. What
was opened first is taken first. A work that is built is built, whatever the rack says: what it should have taken and is
not there is said, and the rack is then to be counted.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from longpoint.store.book.document import Document, supplies_of
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import THOUSANDTHS, UNITS
from longpoint.store.rack.reserving import kept_by
from longpoint.store.rack.stock import locked, take, thing_of
from longpoint.store.tables import Copy, Event, Item, PlanRow, Tick

Key = tuple[str, str]
"""Kind and name of a supply."""


@dataclass(frozen=True, slots=True)
class Short:
    """What is missing of a supply.

    Attributes:
        kind: Of the supply.
        name: Of the supply.
        needed: How much is needed, thousandths of its unit.
        there: How much of that is there for it.
    """

    kind: str
    name: str
    needed: int
    there: int

    @property
    def words(self) -> str:
        """In one line."""
        unit = f" {UNITS[self.kind]}" if UNITS[self.kind] else ""
        needed, there = (f"{value / THOUSANDTHS:g}{unit}" for value in (self.needed, self.there))
        missing = f"{(self.needed - self.there) / THOUSANDTHS:g}{unit}"
        return f"{self.name}: {needed} needed, {there} in the rack for it; {missing} short"


def needed_by(desk: Desk, batch: int, document: Document) -> Counter[Key]:
    """What a plan still needs of supplies; copies that are so far already have taken theirs. [thousandths]"""
    used: Counter[tuple[str, str]] = Counter()
    asked = (
        select(Copy.work, Tick.key)
        .join(Tick, Tick.copy_id == Copy.id)
        .where(Copy.batch_id == batch, Tick.kind == "used")
    )
    used.update((work, by) for work, by in desk.session.execute(asked).all())
    found: Counter[Key] = Counter()
    for need in supplies_of(document):
        left = max(need.how_many - used[need.work, need.by], 0)
        if left:
            found[need.kind, need.name] += left * _amount(need.amount)
    return found


def to_keep(desk: Desk, wanted: Mapping[Key, int]) -> dict[str, int]:
    """What of the rack is kept for that: amounts by label, as far as there is."""
    found: dict[str, int] = {}
    for key, needed in wanted.items():
        left = needed
        for item in _called(desk, key):
            amount = min(left, item.amount - item.reserved)
            if amount > 0:
                found[item.label] = amount
                left -= amount
    return found


def short_of(desk: Desk, plan: int, batch: int, document: Document) -> list[Short]:
    """What a plan needs of supplies and does not keep; nothing where the rack is asked for none of them."""
    wanted = needed_by(desk, batch, document)
    kept: Counter[Key] = Counter()
    labels = kept_by(desk, plan)
    for item in desk.session.scalars(select(Item).where(Item.label.in_(list(labels)), Item.kind == "supply")):
        kept[item.timber, item.name] += labels[item.label]
    known = {key for key in wanted if _called(desk, key, gone=True)}
    return [
        Short(*key, needed, kept[key])
        for key, needed in wanted.items()
        if key in known and needed > kept[key]
    ]


def use_up(
    desk: Desk, copy: Copy, plan: int, document: Document, reached: Sequence[str]
) -> tuple[list[str], list[Short]]:
    """What building a copy so far takes leaves the rack, once.

    Args:
        desk: A transaction that writes.
        copy: The copy.
        plan: Number of the plan that stands.
        document: The last whole plan.
        reached: States that it has come to or passed.

    Returns:
        What was taken, in words; and what was short.
    """
    if not _from_rack(desk, copy.batch_id):
        return [], []
    taken: list[str] = []
    short: list[Short] = []
    needs = [need for need in supplies_of(document) if need.work == copy.work]
    for by in dict.fromkeys(need.by for need in needs if need.by in reached):
        uid = hashlib.sha256(f"used|{copy.id}|{by}".encode()).hexdigest()
        if desk.session.scalar(select(Tick.id).where(Tick.uid == uid)) is not None:
            continue
        desk.session.add(
            Tick(
                uid=uid,
                plan_id=plan,
                copy_id=copy.id,
                kind="used",
                key=by,
                done=True,
                at=desk.now,
                who=desk.who,
            )
        )
        for need in needs:
            if need.by == by:
                wanted = _amount(need.amount)
                left = _take(desk, (need.kind, need.name), wanted, plan, f"{copy.label} {by}", taken)
                if left and _called(desk, (need.kind, need.name), gone=True):
                    short.append(Short(need.kind, need.name, wanted, wanted - left))
    return taken, short


def _take(desk: Desk, key: Key, wanted: int, plan: int, note: str, taken: list[str]) -> int:
    """Takes as much as there is, first what is kept for the plan; what is left over."""
    items = locked(desk, [item.label for item in _called(desk, key)])
    kept = kept_by(desk, plan)
    for item in sorted(items.values(), key=lambda one: (one.label not in kept, _opened(one))):
        amount = min(wanted, item.amount - item.reserved + kept.get(item.label, 0))
        if amount > 0:
            take(desk, item.label, amount, plan=plan, note=note)
            wanted -= amount
            taken.append(f"{item.label}: {thing_of(item).words}")
    return wanted


def _called(desk: Desk, key: Key, *, gone: bool = False) -> list[Item]:
    """Supplies of a kind and name, what was opened first first."""
    asked = select(Item).where(Item.kind == "supply", Item.timber == key[0], Item.name == key[1])
    rows = desk.session.scalars(asked if gone else asked.where(Item.amount > 0)).all()
    return sorted(rows, key=_opened)


def _opened(item: Item) -> tuple[bool, Any, int]:
    opened = item.facts.get("opened", "")
    return not opened, opened, item.id


def _from_rack(desk: Desk, batch: int) -> bool:
    """Whether a plan of a batch ever kept a supply of the rack."""
    asked = (
        select(Event.id)
        .join(PlanRow, Event.plan_id == PlanRow.id)
        .join(Item, Event.item_id == Item.id)
        .where(PlanRow.batch_id == batch, Event.kind == "reservation", Item.kind == "supply")
    )
    return desk.session.scalar(asked.limit(1)) is not None


def _amount(value: float) -> int:
    return round(value * THOUSANDTHS)
