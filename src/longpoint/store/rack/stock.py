"""The rack: things come in, are taken, come back, are counted and corrected; each is an event."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, insert, select, update

from longpoint.errors import Fault, FaultsError, Where, refuse
from longpoint.store.faults import ConflictError
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import (
    MODELS,
    NM,
    AnyStated,
    Board,
    amount_of,
    amount_words,
    columns_of,
    facts_of,
    kind_of,
)
from longpoint.store.rack.journal import CannotError, Standing, after
from longpoint.store.rack.words import holds, words_of
from longpoint.store.tables import Event, Item, Number, PlanRow, Reservation, Words

LETTERS = {"board": "B", "offcut": "O", "roll": "R", "supply": "S", "copy": "W"}
"""What numbers that the rack gives begin with."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing in the rack as it is now.

    Attributes:
        label: What is written on it.
        kind: ``board``, ``offcut``, ``roll`` or ``supply``.
        amount: How much is there, in its unit.
        reserved: How much of that is kept for plans.
        facts: What is stated of it; lengths in mm.
        version: Counted up by every change; name it to change only what you saw.
    """

    label: str
    kind: str
    amount: int
    reserved: int
    facts: Mapping[str, Any]
    version: int

    @property
    def free(self) -> int:
        """How much nobody has a claim on."""
        return self.amount - self.reserved

    @property
    def words(self) -> str:
        """What it is, in one line."""
        facts = self.facts
        much = amount_words(self.kind, facts, self.amount)
        if self.kind == "supply":
            what = f"{facts['what']}, {much}"
        elif self.kind == "roll":
            what = f"{facts.get('cloth') or facts.get('fibre', 'cotton')}, {facts['width']:g} mm wide, {much}"
        else:
            serves = f", for {facts['serves']}" if facts.get("serves") else ""
            size = f"{facts['thickness']:g} × {facts['depth']:g}, {facts['length']:g} mm"
            what = f"{facts.get('timber', 'C16')} {size}{serves}{', gone' if not self.amount else ''}"
        return f"{what}{', kept for a plan' if self.reserved else ''}"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the journal."""

    at: datetime
    who: str
    happened: str
    label: str
    kind: str
    amount: int
    plan: int | None
    facts: Mapping[str, Any]
    note: str


def put(desk: Desk, stated: Sequence[AnyStated], *, note: str = "") -> list[str]:
    """Things come into the rack.

    Args:
        desk: A transaction that writes.
        stated: The things.
        note: Remark.

    Returns:
        Their labels, in order; several where ``how_many`` says so.

    Raises:
        FaultsError: With every label that is taken already.
    """
    wanted = [
        (kind_of(one), _label_wished(one, number, of), one)
        for one in stated
        for of in (one.how_many if isinstance(one, Board) else 1,)
        for number in range(1, of + 1)
    ]
    own = [label for _, label, _ in wanted if label]
    _refuse_taken(desk, own)
    given: dict[str, list[str]] = {}
    for kind in LETTERS:
        count = sum(1 for each, label, _ in wanted if each == kind and not label)
        if count:
            given[kind] = new_labels(desk, kind, count, beside=own)[::-1]
    labels: list[str] = []
    rows: list[dict[str, Any]] = []
    for kind, label, one in wanted:
        facts = facts_of(one)
        columns = columns_of(kind, facts)
        labels.append(label or given[kind].pop())
        rows.append(
            {name: getattr(columns, name) for name in columns.__slots__}
            | {"label": labels[-1], "kind": kind, "facts": facts, "amount": amount_of(one)}
            | {"reserved": 0, "version": 1}
        )
    if not rows:
        return []
    ids = desk.session.scalars(insert(Item).returning(Item.id, sort_by_parameter_order=True), rows).all()
    happened = [
        {"at": desk.now, "who": desk.who, "kind": "receipt", "item_id": item, "plan_id": None}
        | {"amount": row["amount"], "facts": row["facts"], "note": note}
        for item, row in zip(ids, rows, strict=True)
    ]
    desk.session.execute(insert(Event), happened)
    desk.session.execute(
        insert(Words),
        [
            {"item_id": item, "text": words_of(row["label"], row["name"], row["timber"], row["place"])}
            for item, row in zip(ids, rows, strict=True)
        ],
    )
    return labels


def take(
    desk: Desk, label: str, amount: int | None = None, *, plan: int | None = None, note: str = "",
    seen: int | None = None,
) -> Thing:  # fmt: skip
    """Something is taken out of the rack: a board, or an amount of a roll or supply; None takes all that is free.

    Raises:
        FaultsError: If there is not so much, or it is kept for a plan.
        ConflictError: If it was changed since it was seen.
    """
    return _happens(desk, label, "taking", amount, plan=plan, note=note, seen=seen)


def give_back(desk: Desk, label: str, amount: int | None = None, *, note: str = "") -> Thing:
    """Something that was taken comes back; a board whole.

    Raises:
        FaultsError: If it lies in the rack already, or no amount is said of a roll or supply.
    """
    return _happens(desk, label, "return", amount, note=note)


def count(
    desk: Desk, label: str, amount: int, *, anyway: bool = False, note: str = "", seen: int | None = None
) -> Thing:
    """What was found when the rack was counted holds from now on.

    Args:
        desk: A transaction that writes.
        label: Of the thing.
        amount: How much was there.
        anyway: Whether plans that keep more than that lose it, the newest first.
        note: Remark.
        seen: Version that the person saw.

    Raises:
        FaultsError: If plans keep more than that and ``anyway`` is not said.
        ConflictError: If it was changed since it was seen.
    """
    if anyway:
        item = _item(desk, label)
        missing = item.reserved - amount
        for plan, kept in sorted(_kept(desk, [item.id]).get(item.id, {}).items(), reverse=True):
            if missing > 0:
                lost = min(kept, missing)
                apply(desk, item, "release", lost, plan=plan, note="counted, and not there")
                missing -= lost
    return _happens(desk, label, "count", amount, note=note, seen=seen)


def correct(
    desk: Desk, label: str, changed: Mapping[str, Any], *, note: str = "", seen: int | None = None
) -> Thing:
    """What is stated of a thing was wrong, or is now other: a length, a place, a place to avoid.

    Args:
        desk: A transaction that writes.
        label: Of the thing.
        changed: Facts as a batch file states them; None takes one away.
        note: Remark.
        seen: Version that the person saw.

    Raises:
        FaultsError: If what is stated then cannot be.
        ConflictError: If it was changed since it was seen.
    """
    item = _item(desk, label)
    whole = {key: value for key, value in {**item.facts, **changed}.items() if value is not None}
    facts = _read_again(item, whole)
    new = {key: facts.get(key) for key in changed}
    return _happens(desk, label, "correction", 0, facts=new, note=note, seen=seen)


def thing(desk: Desk, label: str) -> Thing:
    """A thing by its label.

    Raises:
        FaultsError: If there is none.
    """
    return thing_of(_item(desk, label))


def history(desk: Desk, label: str) -> list[Line]:
    """Everything that happened to a thing, oldest first."""
    return lines(desk, item=_item(desk, label).id)


def lines(
    desk: Desk, *, item: int | None = None, since: datetime | None = None, until: datetime | None = None,
    limit: int | None = None,
) -> list[Line]:  # fmt: skip
    """Lines of the journal, oldest first; with a limit, the last ones."""
    asked = select(Event, Item.label, Item.kind).join(Item, Event.item_id == Item.id)
    if item is not None:
        asked = asked.where(Event.item_id == item)
    if since is not None:
        asked = asked.where(Event.at >= since)
    if until is not None:
        asked = asked.where(Event.at < until)
    asked = asked.order_by(Event.id.desc())
    if limit is not None:
        asked = asked.limit(limit)
    return [
        Line(row.at, row.who, row.kind, label, kind, row.amount, row.plan_id, row.facts, row.note)
        for row, label, kind in desk.session.execute(asked).all()[::-1]
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is looked for in the rack.

    Attributes:
        kind: One kind; "" for all.
        words: Part of a label, name, timber or place.
        section: Both sides, in any order. [mm]
        at_least: Shortest board. [mm]
        serves: What an offcut must serve for.
        free: Only what no plan keeps.
        gone: What is no longer there, instead of what is.
    """

    kind: str = ""
    words: str = ""
    section: tuple[float, float] | None = None
    at_least: float = 0.0
    serves: str = ""
    free: bool = False
    gone: bool = False


def listed(desk: Desk, wish: Wish | None = None, *, limit: int | None = 50, beyond: int = 0) -> list[Thing]:
    """What lies in the rack, in the order it came.

    Args:
        desk: A transaction.
        wish: What is looked for; None for everything.
        limit: How many at most; None for all.
        beyond: How many are left out before them.
    """
    wish = wish or Wish()
    asked = select(Item).where(Item.amount == 0 if wish.gone else Item.amount > 0)
    if wish.kind:
        asked = asked.where(Item.kind == wish.kind)
    if wish.section is not None:
        thin, wide = sorted(round(side * NM) for side in wish.section)
        asked = asked.where(Item.thickness == thin, Item.depth == wide)
    if wish.at_least:
        asked = asked.where(Item.length >= round(wish.at_least * NM))
    if wish.serves:
        asked = asked.where(Item.serves == wish.serves)
    if wish.free:
        asked = asked.where(Item.reserved < Item.amount)
    if wish.words:
        asked = asked.join(Words, Words.item_id == Item.id).where(holds(desk, wish.words))
    asked = asked.order_by(Words.item_id if wish.words else Item.id).offset(beyond)
    if limit is not None:
        asked = asked.limit(limit)
    return [thing_of(item) for item in desk.session.scalars(asked)]


def counted(desk: Desk) -> dict[str, int]:
    """How many things of each kind lie there."""
    asked = select(Item.kind, func.count()).where(Item.amount > 0).group_by(Item.kind)
    return dict(desk.session.execute(asked).all())


def apply(
    desk: Desk, item: Item, happened: str, amount: int, *, plan: int | None = None,
    facts: Mapping[str, Any] | None = None, note: str = "",
) -> None:  # fmt: skip
    """Writes an event and what follows from it; the item must have been read for change.

    Raises:
        CannotError: If it cannot be.
    """
    for error in apply_all(desk, [(item, happened, amount)], plan=plan, facts=facts, note=note).values():
        raise error


def apply_all(
    desk: Desk, changes: Sequence[tuple[Item, str, int]], *, plan: int | None = None,
    facts: Mapping[str, Any] | None = None, note: str = "",
) -> dict[str, CannotError]:  # fmt: skip
    """Writes events of several items and what follows from them, in as few statements for ten as for one.

    Args:
        desk: A transaction that writes.
        changes: Items that were read for change, each once, with what happened and how much.
        plan: For which plan.
        facts: As `apply`.
        note: Remark.

    Returns:
        What cannot be, by label; whoever is given some raises, so that nothing is kept of the others either.
    """
    asked = [item.id for item, happened, _ in changes if item.reserved or happened in _OF_PLANS]
    kept = _kept(desk, asked)
    wrong: dict[str, CannotError] = {}
    happens: list[dict[str, Any]] = []
    fresh: list[dict[str, Any]] = []
    gone: list[int] = []
    for item, happened, amount in changes:
        before = Standing(item.kind, item.amount, kept.get(item.id, {}), item.facts)
        try:
            now = after(before, happened, amount, plan=plan, facts=facts)
        except CannotError as error:
            wrong[item.label] = error
            continue
        happens.append(
            {"at": desk.now, "who": desk.who, "kind": happened, "item_id": item.id, "plan_id": plan}
            | {"amount": amount, "facts": dict(facts or {}), "note": note}
        )
        item.amount, item.reserved = now.amount, now.reserved
        if happened == "correction":
            _write_facts(desk, item, now.facts)
        if plan is not None and now.kept.get(plan, 0) != before.kept.get(plan, 0):
            gone += [item.id] if plan in before.kept else []
            fresh += [{"item_id": item.id, "amount": now.kept[plan]}] if plan in now.kept else []
    if happens:
        desk.session.execute(insert(Event), happens)
    if gone:
        desk.session.execute(
            delete(Reservation).where(Reservation.plan_id == plan, Reservation.item_id.in_(gone))
        )
    if fresh:
        desk.session.execute(insert(Reservation), [{"plan_id": plan, **row} for row in fresh])
    desk.session.flush()
    return wrong


_OF_PLANS = ("reservation", "release")


def _write_facts(desk: Desk, item: Item, facts: Mapping[str, Any]) -> None:
    item.facts = dict(facts)
    columns = columns_of(item.kind, facts)
    for name in columns.__slots__:
        setattr(item, name, getattr(columns, name))
    text = words_of(item.label, item.name, item.timber, item.place)
    desk.session.execute(update(Words).where(Words.item_id == item.id).values(text=text))


def locked(desk: Desk, labels: Iterable[str]) -> dict[str, Item]:
    """Items by label, read for change, always in the same order so that two never wait for one another."""
    asked = select(Item).where(Item.label.in_(list(labels))).order_by(Item.id).with_for_update()
    return {
        item.label: item for item in desk.session.scalars(asked.execution_options(populate_existing=True))
    }


def thing_of(item: Item) -> Thing:
    """An item as a value."""
    return Thing(item.label, item.kind, item.amount, item.reserved, item.facts, item.version)


def new_labels(desk: Desk, kind: str, count: int, *, beside: Iterable[str] = ()) -> list[str]:
    """Labels that were never given, of the rack's own numbering.

    Args:
        desk: A transaction that writes.
        kind: Key of `LETTERS`.
        count: How many.
        beside: Labels that are about to be given.
    """
    made: list[str] = []
    taken = set(beside)
    while len(made) < count:
        wanted = count - len(made)
        last = desk.session.scalar(
            update(Number).where(Number.kind == kind).values(last=Number.last + wanted).returning(Number.last)
        )
        assert last is not None
        fresh = [f"{LETTERS[kind]}{number}" for number in range(last - wanted + 1, last + 1)]
        if kind != "copy":
            for part in _parts(fresh):
                taken.update(desk.session.scalars(select(Item.label).where(Item.label.in_(part))))
        made += [label for label in fresh if label not in taken]
    return made


def _parts(labels: Sequence[str]) -> list[Sequence[str]]:
    return [labels[first : first + 500] for first in range(0, len(labels), 500)]


def _label_wished(one: AnyStated, number: int, of: int) -> str:
    return f"{one.name}-{number}" if one.name and of > 1 else one.name


def _refuse_taken(desk: Desk, own: Sequence[str]) -> None:
    twice = {label for label in own if own.count(label) > 1} if len(own) < 2000 else set()
    taken: set[str] = set(twice)
    for part in _parts(own):
        taken.update(desk.session.scalars(select(Item.label).where(Item.label.in_(part))))
    if taken:
        raise FaultsError(
            Fault(
                "label-taken",
                f"{label} is written on something already.",
                "Give it another label, or none: the rack then gives a number. A label is never used again.",
            )
            for label in sorted(taken)
        )


def _item(desk: Desk, label: str) -> Item:
    found = locked(desk, [label]).get(label)
    if found is None:
        raise refuse(
            "no-such-thing",
            f"nothing in the rack is labelled {label}.",
            "longpoint rack list shows what is there.",
        )
    return found


def _kept(desk: Desk, items: Sequence[int]) -> dict[int, dict[int, int]]:
    """What plans keep of items: amount by plan by item."""
    found: dict[int, dict[int, int]] = {}
    if items:
        asked = select(Reservation.item_id, Reservation.plan_id, Reservation.amount)
        for item, plan, amount in desk.session.execute(asked.where(Reservation.item_id.in_(items))):
            found.setdefault(item, {})[plan] = amount
    return found


def _happens(
    desk: Desk, label: str, happened: str, amount: int | None, *, plan: int | None = None,
    facts: Mapping[str, Any] | None = None, note: str = "", seen: int | None = None,
) -> Thing:  # fmt: skip
    item = _item(desk, label)
    if seen is not None and seen != item.version:
        last = lines(desk, item=item.id, limit=1)[0]
        raise ConflictError(
            f"{item.kind} {label}", now=thing_of(item).words, who=last.who, version=item.version
        )
    if amount is None:
        if happened == "return" and item.kind in ("roll", "supply"):
            raise refuse("how-much", f"how much of {label} comes back is not said.", "Say an amount.")
        amount = 1 if item.kind in ("board", "offcut") else item.amount - item.reserved
    try:
        apply(desk, item, happened, amount, plan=plan, facts=facts, note=note)
    except CannotError as error:
        raise FaultsError([cannot(desk, item, str(error))]) from None
    return thing_of(item)


def cannot(desk: Desk, item: Item, why: str) -> Fault:
    """Why something cannot be done with an item, with the plans that keep it."""
    asked = (
        select(PlanRow.id, PlanRow.revision)
        .join(Reservation, Reservation.plan_id == PlanRow.id)
        .where(Reservation.item_id == item.id)
    )
    keepers = [f"{number} ({revision})" for number, revision in desk.session.execute(asked).all()]
    by = f" Kept for plan {', '.join(keepers)}." if keepers else ""
    remedy = (
        "Let that plan go (longpoint book drop), plan its batch again, or take another." if keepers else ""
    )
    return Fault(
        "not-free", f"{item.label}: {why}.{by}", remedy or "Look what is there: longpoint rack list."
    )


def _read_again(item: Item, whole: Mapping[str, Any]) -> dict[str, Any]:
    """Facts read anew through the door.

    Raises:
        FaultsError: With everything that cannot be.
    """
    from longpoint.model.mending import read_data
    from longpoint.model.places import written

    model = MODELS[item.kind]  # type: ignore[index]
    data = dict(whole)
    if item.kind == "supply":
        data["amount"] = 1
    if item.kind == "roll":
        data.setdefault("length", 1)
    found = read_data(model, data, unit="mm")
    if found.said:
        raise FaultsError(
            Fault(code, what, remedy, Where(written(path))) for path, code, what, remedy in found.said
        )
    assert found.stated is not None
    return facts_of(found.stated)
