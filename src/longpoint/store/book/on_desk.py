"""Plans that pages made: found by their name on the desk of the pages, with what is ticked of them there.

A plan's name there is the batch's, the revision and which rest of it: ``1f2e3d4c5b6a/9f8e7d6.0``.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import datetime

from sqlalchemy import func, select

from longpoint.errors import refuse
from longpoint.store.book.document import steps_of, works_of
from longpoint.store.book.plans import PlanLine, document, line_of, plan_row
from longpoint.store.book.ticks import Ticked, copies, tick_cut, tick_other, tick_step
from longpoint.store.opening import Desk
from longpoint.store.tables import Copy, PlanRow, Tick


def plan_named(desk: Desk, name: str) -> PlanLine | None:
    """The plan of a name on the desk; None where it is not kept."""
    row = desk.session.scalar(select(PlanRow).where(PlanRow.on_desk == name).order_by(PlanRow.id).limit(1))
    return None if row is None else line_of(row)


def batch_named(desk: Desk, ident: str) -> int | None:
    """Number of the batch that a batch on the desk is; None where none of its plans is kept."""
    asked = select(PlanRow.batch_id).where(PlanRow.on_desk.startswith(f"{ident}/", autoescape=True))
    return desk.session.scalar(asked.order_by(PlanRow.id).limit(1))


def tick_there(
    desk: Desk, plan: int, kind: str, key: str, *, state: str, uid: str, at: datetime | None = None
) -> Ticked:
    """Something of a plan is ticked.

    Args:
        desk: A transaction that writes.
        plan: Number of the plan in the store.
        kind: ``cut``, ``step`` or another.
        key: Of a cut `BoardToCut.cut_key`; of a step letters of the work and its number, ``A/3``, done for every
            copy; of another whatever the page calls it.
        state: What is so now: ``done``, ``spoiled``, ``split`` or what was measured; "" takes it back.
        uid: Mark made where it was ticked.
        at: When, where that was before it could be sent.

    Raises:
        FaultsError: If the plan has no such cut or step.
    """
    if kind == "cut":
        more = "" if state == "done" else state
        return tick_cut(desk, plan, key, done=state in ("done", "spoiled"), state=more, uid=uid, at=at)
    if kind != "step":
        return tick_other(desk, plan, kind, key, state=state, uid=uid, at=at)
    code, _, number = key.partition("/")
    work = next((one for one in works_of(document(desk, plan)) if one.code == code), None)
    if work is None or number not in {str(step.number) for step in steps_of(work)}:
        raise refuse("no-such-step", f"the plan has no step {key}.", "Look at the plan again.")
    batch = plan_row(desk, plan, for_change=True).batch_id
    there = [one for one in copies(desk, batch=batch, limit=10_000) if one.work == work.name]
    new = [
        tick_step(
            desk, one.label, int(number), plan=plan, done=bool(state), uid=_of_copy(uid, one.number), at=at
        ).new
        for one in there
    ]
    return Ticked(new=any(new))


def ticked_there(desk: Desk, ident: str, kind: str) -> dict[str, str]:
    """What is so of everything of a kind, over all plans of a batch on the desk.

    Args:
        desk: A transaction.
        ident: The batch on the desk.
        kind: ``cut``, ``step`` or another.

    Returns:
        State by key. Of a cut the key begins with revision and rest, of a step with the revision: it is done
        once it is done for every copy.
    """
    mine = PlanRow.on_desk.startswith(f"{ident}/", autoescape=True)
    same = (Tick.plan_id, Tick.copy_id, Tick.key) if kind in ("cut", "step") else (Tick.key,)
    newest = (
        select(func.max(Tick.id)).join(PlanRow, Tick.plan_id == PlanRow.id).where(mine, Tick.kind == kind)
    ).group_by(*same)
    rows = desk.session.execute(
        select(PlanRow.on_desk, Tick.key, Tick.done, Tick.state, Tick.copy_id)
        .join(PlanRow, Tick.plan_id == PlanRow.id)
        .where(Tick.id.in_(newest))
        .order_by(Tick.id)
    ).all()
    if kind == "step":
        return _steps(desk, [(name, key, done, copy) for name, key, done, _, copy in rows])
    found = {}
    for name, key, done, state, _ in rows:
        if done or state:
            found[f"{name.partition('/')[2]}/{key}" if kind == "cut" else key] = state or "done"
    return found


def _steps(desk: Desk, rows: list[tuple[str, str, bool, int | None]]) -> dict[str, str]:
    labelled = {
        row.id: (row.code, row.of)
        for row in desk.session.scalars(select(Copy).where(Copy.id.in_({copy for *_, copy in rows})))
    }
    last: dict[tuple[str, str, int], bool] = {}
    for name, key, done, copy in rows:
        if copy in labelled:
            last[name.partition("/")[2].partition(".")[0], key, copy] = done
    count: Counter[tuple[str, str, str, int]] = Counter()
    for (revision, key, copy), done in last.items():
        code, of = labelled[copy]
        count[revision, code, key, of] += done
    return {
        f"{revision}/{code}/{key}": "done" for (revision, code, key, of), n in count.items() if n >= of > 0
    }


def _of_copy(uid: str, number: int) -> str:
    """A mark of its own for each copy, the same however often the tick is sent."""
    return uid if number == 1 else hashlib.sha256(f"{uid}|{number}".encode()).hexdigest()
