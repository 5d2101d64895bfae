"""Batches and their plans: each plan is kept as it was made; a new one replaces the old, which lets its boards go."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from sqlalchemy import func, select, update

from longpoint.errors import refuse
from longpoint.store.book.document import (
    Document,
    boards_of,
    kind_of,
    packed,
    rolls_used,
    unpacked,
    works_of,
)
from longpoint.store.book.using import needed_by, to_keep
from longpoint.store.faults import ConflictError
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import NM
from longpoint.store.rack.reserving import kept_by, release, reserve
from longpoint.store.rack.stock import new_labels
from longpoint.store.tables import Batch, Copy, Item, PlanRow


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLine:
    """One plan of a batch.

    Attributes:
        id: Its number in the store.
        batch: Number of its batch in the store.
        number: Which of the batch's plans, from 1.
        revision: As on the sheets.
        kind: ``plan`` or ``replan``.
        state: ``standing``, ``replaced``, ``done`` or ``dropped``.
        at: When it was kept.
        who: By whom.
        note: Remark.
    """

    id: int
    batch: int
    number: int
    revision: str
    kind: str
    state: str
    at: datetime
    who: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchLine:
    """A batch.

    Attributes:
        id: Its number in the store.
        title: What it is called.
        state: ``open``, ``done`` or ``dropped``.
        at: When its first plan was kept.
        plans: How many plans it has.
        copies: How many copies of works it makes, by their state.
    """

    id: int
    title: str
    state: str
    at: datetime
    plans: int
    copies: Mapping[str, int]


def add_plan(
    desk: Desk,
    document: Document,
    *,
    batch: int | None = None,
    from_rack: bool = False,
    note: str = "",
    on_desk: str = "",
    stands: bool = True,
) -> PlanLine:
    """Keeps a plan: the next one of its batch, which lets go what the one before kept.

    Args:
        desk: A transaction that writes.
        document: A ``plan.json`` or ``replan.json`` as plain values.
        batch: Number of its batch; None: the open batch of the same title, else a new one.
        from_rack: Whether its boards and rolls at hand are those of the rack, which are then kept for it.
        note: Remark.
        on_desk: Its name on the desk of the pages, whose batch is never one of the same title that is not theirs.
        stands: Whether it is the one that holds; False where another has come after it already.

    Raises:
        FaultsError: If it is no plan, or what it takes from the rack is no longer free.
    """
    kind = kind_of(document)
    row = _batch_for(desk, str(document["title"]), batch, new=bool(on_desk))
    before = _standing(desk, row.id) if stands else None
    kept = packed(document)
    if before is not None and before.document == kept:
        return line_of(before)
    held: dict[str, int] = {}
    if before is not None:
        held = kept_by(desk, before.id)
        before.state = "replaced"
        release(desk, before.id, note="replaced")
    number = desk.session.scalar(
        select(func.coalesce(func.max(PlanRow.number), 0)).where(PlanRow.batch_id == row.id)
    )
    plan = PlanRow(
        batch_id=row.id, number=(number or 0) + 1, revision=str(document["revision"]), kind=kind, at=desk.now,
        who=desk.who, note=note, document=kept, state="standing" if stands else "replaced", on_desk=on_desk,
    )  # fmt: skip
    desk.session.add(plan)
    desk.session.flush()
    if stands:
        wanted = _kept_on(document, held) if kind == "replan" else {}
        if from_rack:
            wanted |= uses_of(desk, document)
            wanted |= to_keep(desk, needed_by(desk, row.id, document))
        reserve(desk, plan.id, wanted)
        # last, since whoever takes new labels keeps all others from theirs until it is done
        _copies_for(desk, row.id, document)
    return line_of(plan)


def uses_of(desk: Desk, document: Document) -> dict[str, int]:
    """What a plan takes of the rack: amounts by label, of what is labelled so there."""
    strips: Counter[tuple[str, int]] = Counter()
    new = None
    if kind_of(document) == "replan":
        new = {row["board"] for section in document["sections"] for row in section.get("to_take", ())}
    for board in boards_of(document):
        if board.at_hand and (new is None or board.board in new):
            strips[board.board, board.strips] += 1
    wanted = {name: -(-count // per) for (name, per), count in strips.items()}
    wanted |= {name: round(used * NM) for name, used in rolls_used(document).items() if used > 0}
    known = set(desk.session.scalars(select(Item.label).where(Item.label.in_(list(wanted)))))
    return {label: amount for label, amount in wanted.items() if label in known}


def _kept_on(document: Document, held: Mapping[str, int]) -> dict[str, int]:
    """What the rest of a plan goes on keeping of what the plan before kept; cloth is not planned anew."""
    needed = {board.board for board in boards_of(document)}
    boards = {row["name"] for section in document["sections"] for row in section.get("here", ())}
    boards |= {row["board"] for section in document["sections"] for row in section.get("here", ())}
    return {label: amount for label, amount in held.items() if label in needed or label not in boards}


def batches(desk: Desk, *, words: str = "", state: str = "", limit: int = 50) -> list[BatchLine]:
    """Batches, the newest first.

    Args:
        desk: A transaction.
        words: Part of the title, or of the name of a work.
        state: Only those in this state.
        limit: How many at most.
    """
    asked = select(Batch)
    if words:
        works = select(Copy.batch_id).where(Copy.work.icontains(words, autoescape=True))
        asked = asked.where(Batch.title.icontains(words, autoescape=True) | Batch.id.in_(works))
    if state:
        asked = asked.where(Batch.state == state)
    rows = desk.session.scalars(asked.order_by(Batch.id.desc()).limit(limit)).all()
    ids = [row.id for row in rows]
    plans = dict(
        desk.session.execute(
            select(PlanRow.batch_id, func.count()).where(PlanRow.batch_id.in_(ids)).group_by(PlanRow.batch_id)
        ).all()
    )
    states: dict[int, dict[str, int]] = {}
    counted = (
        select(Copy.batch_id, Copy.state, func.count())
        .where(Copy.batch_id.in_(ids), Copy.number <= Copy.of)
        .group_by(Copy.batch_id, Copy.state)
    )
    for batch, name, number in desk.session.execute(counted).all():
        states.setdefault(batch, {})[name] = number
    return [
        BatchLine(
            id=row.id, title=row.title, state=row.state, at=row.at, plans=plans.get(row.id, 0),
            copies=states.get(row.id, {}),
        )
        for row in rows
    ]  # fmt: skip


def batch(desk: Desk, number: int) -> BatchLine:
    """One batch.

    Raises:
        FaultsError: If there is none of that number.
    """
    title = _batch(desk, number).title
    return next(one for one in batches(desk, words=title, limit=10_000) if one.id == number)


def plans(desk: Desk, batch: int) -> list[PlanLine]:
    """The plans of a batch, oldest first."""
    rows = desk.session.scalars(
        select(PlanRow).where(PlanRow.batch_id == batch).order_by(PlanRow.number)
    ).all()
    return [line_of(row) for row in rows]


def plan(desk: Desk, number: int) -> PlanLine:
    """A plan by its number in the store.

    Raises:
        FaultsError: If there is none.
    """
    return line_of(plan_row(desk, number))


def standing(desk: Desk, batch: int) -> PlanLine | None:
    """The plan of a batch that holds now; None where it was dropped or done."""
    row = _standing(desk, batch)
    return None if row is None else line_of(row)


def document(desk: Desk, plan: int) -> Document:
    """What was kept of a plan."""
    where = str(desk.session.get_bind().engine.url)
    return _document(where, plan, plan_row(desk, plan).document)


@lru_cache(maxsize=16)
def _document(_where: str, _plan: int, kept: bytes) -> Document:
    return unpacked(kept)


def begun(desk: Desk, batch: int) -> Document | None:
    """The last whole plan of a batch, which says more than the rest of one; None where there is none."""
    asked = (
        select(PlanRow.id)
        .where(PlanRow.batch_id == batch, PlanRow.kind == "plan")
        .order_by(PlanRow.number.desc())
        .limit(1)
    )
    found = desk.session.scalar(asked)
    return None if found is None else document(desk, found)


def close_batch(desk: Desk, number: int, state: str, *, seen: int | None = None) -> list[str]:
    """A batch is done or dropped; what its plan kept and did not use is free again.

    Args:
        desk: A transaction that writes.
        number: Of the batch.
        state: ``done`` or ``dropped``.
        seen: Version that the person saw.

    Returns:
        Labels of what is free again.

    Raises:
        ConflictError: If it was changed since it was seen.
    """
    row = _batch(desk, number)
    if seen is not None and row.version != seen:
        raise ConflictError(f"batch {row.title}", now=row.state, version=row.version)
    row.state = state
    last = _standing(desk, number)
    if last is None:
        return []
    last.state = state
    freed = release(desk, last.id, note=state)
    desk.session.flush()
    return freed


def line_of(row: PlanRow) -> PlanLine:
    """A plan as a value."""
    return PlanLine(
        id=row.id, batch=row.batch_id, number=row.number, revision=row.revision, kind=row.kind, state=row.state,
        at=row.at, who=row.who, note=row.note,
    )  # fmt: skip


def plan_row(desk: Desk, number: int, *, for_change: bool = False) -> PlanRow:
    """A plan's row.

    Raises:
        FaultsError: If there is none.
    """
    asked = select(PlanRow).where(PlanRow.id == number)
    if for_change:
        asked = asked.with_for_update()
    row = desk.session.scalar(asked)
    if row is None:
        raise refuse(
            "no-such-plan", f"there is no plan {number}.", "longpoint book list shows what there is."
        )
    return row


def _batch(desk: Desk, number: int) -> Batch:
    row = desk.session.scalar(select(Batch).where(Batch.id == number).with_for_update())
    if row is None:
        raise refuse(
            "no-such-batch", f"there is no batch {number}.", "longpoint book list shows what there is."
        )
    return row


def _batch_for(desk: Desk, title: str, number: int | None, *, new: bool) -> Batch:
    if number is not None:
        return _batch(desk, number)
    asked = (
        select(Batch).where(Batch.title == title, Batch.state == "open").order_by(Batch.id.desc()).limit(1)
    )
    row = None if new else desk.session.scalar(asked.with_for_update())
    if row is None:
        row = Batch(title=title, at=desk.now, state="open")
        desk.session.add(row)
        desk.session.flush()
    return row


def _standing(desk: Desk, batch: int) -> PlanRow | None:
    asked = select(PlanRow).where(PlanRow.batch_id == batch, PlanRow.state == "standing")
    return desk.session.scalar(asked.with_for_update())


def _copies_for(desk: Desk, batch: int, document: Document) -> None:
    """A row for each copy that a plan makes; those of an older plan stay, with what was ticked of them."""
    there = {
        (row.work, row.number): row
        for row in desk.session.scalars(select(Copy).where(Copy.batch_id == batch))
    }
    works = works_of(document)
    for work in works:
        desk.session.execute(
            update(Copy)
            .where(Copy.batch_id == batch, Copy.work == work.name)
            .values(of=work.how_many, code=work.code)
        )
    gone = {name for name, _ in there} - {work.name for work in works}
    for name in gone:
        desk.session.execute(update(Copy).where(Copy.batch_id == batch, Copy.work == name).values(of=0))
    missing = [
        (work, number)
        for work in works
        for number in range(1, work.how_many + 1)
        if (work.name, number) not in there
    ]
    labels = new_labels(desk, "copy", len(missing)) if missing else []
    desk.session.add_all(
        Copy(
            batch_id=batch, work=work.name, code=work.code, number=number, of=work.how_many, label=label,
            state="planned",
        )
        for (work, number), label in zip(missing, labels, strict=True)
    )  # fmt: skip
    desk.session.flush()
