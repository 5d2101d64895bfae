"""The rack as it was at any moment, rebuilt from the journal; and whether what is there now follows from it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import select

from longpoint.store.opening import Desk
from longpoint.store.rack.facts import columns_of
from longpoint.store.rack.journal import CannotError, Standing, after
from longpoint.store.rack.stock import Thing
from longpoint.store.rack.words import strangers
from longpoint.store.tables import Event, Item, Reservation


def rebuilt(desk: Desk, until: datetime | None = None) -> dict[str, Standing]:
    """What there was of everything that had come, by label.

    Args:
        desk: A transaction.
        until: The moment; None for now. What happened at it or later is left out.

    Raises:
        CannotError: If the journal holds what cannot have been.
    """
    asked = select(Event, Item.label, Item.kind).join(Item, Event.item_id == Item.id).order_by(Event.id)
    if until is not None:
        asked = asked.where(Event.at < until)
    found: dict[str, Standing] = {}
    for event, label, kind in desk.session.execute(asked.execution_options(yield_per=2000)):
        found[label] = after(
            found.get(label), event.kind, event.amount, kind=kind, plan=event.plan_id, facts=event.facts
        )
    return found


def rack_at(desk: Desk, until: datetime) -> list[Thing]:
    """What lay in the rack just before a moment."""
    return [
        Thing(label, one.kind, one.amount, one.reserved, one.facts, 0)
        for label, one in rebuilt(desk, until).items()
        if one.amount
    ]


def differences(desk: Desk) -> Iterator[str]:
    """Where what is there now does not follow from the journal; none in a sound store."""
    try:
        told = rebuilt(desk)
    except CannotError as error:
        yield f"the journal holds what cannot have been: {error}"
        return
    kept: dict[int, dict[int, int]] = {}
    for row in desk.session.scalars(select(Reservation)):
        kept.setdefault(row.item_id, {})[row.plan_id] = row.amount
    lost: set[str] = set()
    for item in desk.session.scalars(select(Item).execution_options(yield_per=2000)):
        one = told.pop(item.label, None)
        if one is None:
            yield f"{item.label} never came into the rack"
            continue
        now = (item.amount, item.reserved, dict(item.facts), kept.get(item.id, {}))
        then = (one.amount, one.reserved, dict(one.facts), dict(one.kept))
        if now != then:
            yield f"{item.label} stands at {now[:2]}, its journal says {then[:2]}"
        columns = columns_of(item.kind, item.facts)
        if any(getattr(item, name) != getattr(columns, name) for name in columns.__slots__):
            lost.add(item.label)
    for label in sorted(lost | set(strangers(desk))):
        yield f"{label} is not found by what is stated of it"
