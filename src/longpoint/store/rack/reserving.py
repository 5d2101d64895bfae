"""Plans keep boards, cloth and supplies; what they keep dies with them. Nothing is kept for two."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select

from longpoint.errors import Fault, FaultsError
from longpoint.store.opening import Desk
from longpoint.store.rack.stock import apply_all, cannot, locked
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
    changes: list[tuple[Item, str, int]] = []
    for label, amount in wanted.items():
        item = items.get(label)
        if item is None:
            faults.append(
                Fault("no-such-thing", f"{label} is no longer in the rack.", "Plan the batch again.")
            )
            continue
        changes.append((item, "reservation", amount))
    for label, error in apply_all(desk, changes, plan=plan).items():
        faults.append(cannot(desk, items[label], str(error)))
    if faults:
        raise FaultsError(faults)


def release(desk: Desk, plan: int, *, note: str = "") -> list[str]:
    """Lets everything go that a plan keeps.

    Returns:
        Labels of what is free again.
    """
    items = locked(desk, kept_by(desk, plan))
    # looked at again once nobody else can change it
    kept = [(label, amount) for label, amount in kept_by(desk, plan).items() if label in items]
    apply_all(desk, [(items[label], "release", amount) for label, amount in kept], plan=plan, note=note)
    return [label for label, _ in kept]


def kept_by(desk: Desk, plan: int) -> dict[str, int]:
    """What a plan keeps: amount by label."""
    asked = (
        select(Item.label, Reservation.amount)
        .join(Reservation, Reservation.item_id == Item.id)
        .where(Reservation.plan_id == plan)
        .order_by(Item.id)
    )
    return dict(desk.session.execute(asked).all())
