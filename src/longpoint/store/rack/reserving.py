"""Plans keep boards, cloth and supplies; what they keep dies with them. Nothing is kept for two."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select

from longpoint.errors import Fault, FaultsError
from longpoint.store.opening import Desk
from longpoint.store.rack.journal import CannotError
from longpoint.store.rack.stock import apply, cannot, locked
from longpoint.store.tables import Item, Reservation


def reserve(desk: Desk, plan: int, wanted: Mapping[str, int]) -> None:
    """Keeps things for a plan, all of them or none.

    Args:
        desk: A transaction that writes.
        plan: The plan's number in the store.
        wanted: How much of each, by label, in its unit.

    Raises:
        FaultsError: With everything that somebody else was quicker to take or keep.
    """
    items = locked(desk, wanted)
    faults: list[Fault] = []
    for label, amount in wanted.items():
        item = items.get(label)
        if item is None:
            faults.append(
                Fault("no-such-thing", f"{label} is no longer in the rack.", "Plan the batch again.")
            )
            continue
        try:
            apply(desk, item, "reservation", amount, plan=plan)
        except CannotError as error:
            faults.append(cannot(desk, item, str(error)))
    if faults:
        raise FaultsError(faults)


def release(desk: Desk, plan: int, *, note: str = "") -> list[str]:
    """Lets everything go that a plan keeps.

    Returns:
        Labels of what is free again.
    """
    asked = (
        select(Item.label)
        .join(Reservation, Reservation.item_id == Item.id)
        .where(Reservation.plan_id == plan)
    )
    labels = list(desk.session.scalars(asked))
    items = locked(desk, labels)
    for label in labels:
        row = desk.session.get(Reservation, (plan, items[label].id))
        if row is not None:
            apply(desk, items[label], "release", row.amount, plan=plan, note=note)
    return labels


def kept_by(desk: Desk, plan: int) -> dict[str, int]:
    """What a plan keeps: amount by label."""
    asked = (
        select(Item.label, Reservation.amount)
        .join(Reservation, Reservation.item_id == Item.id)
        .where(Reservation.plan_id == plan)
        .order_by(Item.id)
    )
    return dict(desk.session.execute(asked).all())
