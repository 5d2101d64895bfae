"""Ticks at the bench: cuts, steps and states, with who and when; the last of each holds, none is ever changed.

When the last cut of a board is ticked the board leaves the rack, and what is left of it comes back as an offcut.
"""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from sqlalchemy import func, select

from longpoint.errors import refuse
from longpoint.store.book.document import BoardToCut, Document, batch_of, boards_of, sides_of_part, wood_of
from longpoint.store.book.plans import begun, document, plan_row
from longpoint.store.book.using import use_up
from longpoint.store.faults import ConflictError
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import Board
from longpoint.store.rack.reserving import kept_by
from longpoint.store.rack.stock import put, take
from longpoint.store.tables import Batch, Copy, Item, PlanRow, Tick

State = Literal["planned", "cut", "assembled", "stretched", "primed", "hung", "gone"]

STATES: tuple[State, ...] = ("planned", "cut", "assembled", "stretched", "primed", "hung", "gone")
"""Of a copy of a work, in the order in which they come."""

SERVES = {"bar": "bar", "rail": "rail", "middle piece": "middle piece", "block": "block"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyLine:
    """One copy of a work.

    Attributes:
        label: What its label's square code says.
        batch: Number of its batch.
        title: Title of its batch.
        work: Name of the work.
        code: Letters of the work.
        number: Which copy, from 1.
        of: How many are made.
        state: See `STATES`.
        version: Counted up by every change; name it to change only what you saw.
        used: What just left the rack for it, in words.
        short: What it needed and was not there, in words.
    """

    label: str
    batch: int
    title: str
    work: str
    code: str
    number: int
    of: int
    state: str
    version: int
    used: tuple[str, ...] = ()
    short: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TickLine:
    """A tick as it holds now."""

    kind: str
    key: str
    done: bool
    at: datetime
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked:
    """What came of a tick.

    Attributes:
        new: Whether it was not known yet; False where the same tick was sent before.
        taken: Label of the board that left the rack; "" for none.
        offcuts: Labels of what came back.
    """

    new: bool
    taken: str = ""
    offcuts: tuple[str, ...] = ()


def new_uid() -> str:
    """A mark for a tick or a measured value, made where it is set, so that it counts once however often it is sent."""
    return uuid.uuid4().hex


def tick_cut(
    desk: Desk,
    plan: int,
    key: str,
    *,
    done: bool = True,
    state: str = "",
    uid: str = "",
    at: datetime | None = None,
) -> Ticked:
    """A cut is ticked, or the tick is taken back.

    Args:
        desk: A transaction that writes.
        plan: Number of the plan in the store.
        key: `BoardToCut.cut_key` of the cut.
        done: Whether it is done.
        state: What is more than that: its part spoiled, or its board split and it cannot be done.
        uid: Mark made where it was ticked; "" makes one.
        at: When it was ticked, where that was before it could be sent.

    Raises:
        FaultsError: If the plan has no such cut.
    """
    plan_row(desk, plan, for_change=True)  # one tick of a plan at a time, so that the last of a board is seen
    boards = {board.key: board for board in boards_of(document(desk, plan))}
    board = boards.get(key.rpartition("|")[0])
    number = key.rpartition("|")[2]
    if board is None or not number.isdigit() or not 1 <= int(number) <= len(board.parts):
        raise refuse("no-such-cut", f"the plan has no cut {key}.", "Look at the plan again.")
    if not _add(desk, plan, "cut", key, done, uid, at, state=state):
        return Ticked(new=False)
    ticked = {one.key for one in ticks(desk, plan, "cut") if one.done}
    if done and all(board.cut_key(n) in ticked for n in range(1, len(board.parts) + 1)):
        return _cut_up(desk, plan, board)
    return Ticked(new=True)


def tick_board(desk: Desk, plan: int, board: BoardToCut) -> Ticked:
    """Every cut of a board is ticked.

    Args:
        desk: A transaction that writes.
        plan: Number of the plan in the store.
        board: One of its boards.
    """
    last = Ticked(new=False)
    for number in range(1, len(board.parts) + 1):
        found = tick_cut(desk, plan, board.cut_key(number))
        last = found if found.taken or found.offcuts or not last.taken else last
    return last


def tick_roll(desk: Desk, plan: int, roll: str) -> Ticked:
    """The pieces that a plan lays on a roll of the rack are cut off it: what they take leaves the rack, once.

    Args:
        desk: A transaction that writes.
        plan: Number of the plan in the store.
        roll: Label of the roll.

    Raises:
        FaultsError: If the plan keeps nothing of that roll.
    """
    plan_row(desk, plan, for_change=True)
    if any(one.key == roll for one in ticks(desk, plan, "roll")):
        return Ticked(new=False)
    kept = kept_by(desk, plan).get(roll, 0)
    if not kept:
        raise refuse("no-such-roll", f"the plan keeps nothing of {roll}.", "Look at the plan again.")
    _add(desk, plan, "roll", roll, True, "", None)
    take(desk, roll, kept, plan=plan, note="cut")
    return Ticked(new=True, taken=roll)


def tick_step(
    desk: Desk,
    label: str,
    step: int,
    *,
    plan: int | None = None,
    done: bool = True,
    uid: str = "",
    at: datetime | None = None,
) -> Ticked:
    """A step of building one copy is ticked, or the tick is taken back.

    Args:
        desk: A transaction that writes.
        label: Of the copy.
        step: Number of the step, as on the sheets.
        plan: Number of the plan in the store whose step it is; None: the last of the copy's batch.
        done: Whether it is done.
        uid: Mark made where it was ticked; "" makes one.
        at: When it was ticked, where that was before it could be sent.
    """
    row = copy_row(desk, label)
    of = plan if plan is not None else _last_plan(desk, row.batch_id)
    return Ticked(new=_add(desk, of, "step", str(step), done, uid, at, copy=row.id))


def tick_other(
    desk: Desk, plan: int, kind: str, key: str, *, state: str, uid: str = "", at: datetime | None = None
) -> Ticked:
    """Something else is ticked of a plan: a thing bought, a run of staples, where something stands.

    Args:
        desk: A transaction that writes.
        plan: Number of the plan in the store.
        kind: What it is about.
        key: Which one.
        state: What is so now; "" takes it back.
        uid: Mark made where it was ticked; "" makes one.
        at: When it was ticked, where that was before it could be sent.
    """
    plan_row(desk, plan, for_change=True)
    return Ticked(new=_add(desk, plan, kind, key, bool(state), uid, at, state=state))


def set_state(
    desk: Desk,
    label: str,
    state: State,
    *,
    seen: int | None = None,
    uid: str = "",
    at: datetime | None = None,
) -> CopyLine:
    """A copy comes to a state; one may go back, which is kept too.

    Args:
        desk: A transaction that writes.
        label: Of the copy.
        state: See `STATES`.
        seen: Version that the person saw; None writes whatever is there.
        uid: Mark made where it was set; "" makes one.
        at: When it was set, where that was before it could be sent.

    Raises:
        ConflictError: If somebody else changed it since it was seen.
        FaultsError: If it is no state.
    """
    if state not in STATES:
        raise refuse("no-such-state", f"{state} is no state of a work.", f"Use one of: {', '.join(STATES)}.")
    row = copy_row(desk, label)
    if uid and _known(desk, uid):
        return copy(desk, label)
    if seen is not None and row.version != seen:
        last = [one for one in ticks_of_copy(desk, label) if one.kind == "state"]
        who = max(last, key=lambda one: one.at).who if last else ""
        raise ConflictError(f"{row.work} {row.number}", now=row.state, who=who, version=row.version)
    if row.state != state:
        _add(desk, _last_plan(desk, row.batch_id), "state", state, True, uid, at, copy=row.id)
        row.state = state
        desk.session.flush()
        return _built(desk, row, state)
    return copy(desk, label)


def _built(desk: Desk, row: Copy, state: State) -> CopyLine:
    """A copy, and what building it so far takes of supplies."""
    line = copy(desk, row.label)
    said = begun(desk, row.batch_id)
    if said is None:
        return line
    reached = STATES[1 : STATES.index(state) + 1] if state != "gone" else ()
    used, short = use_up(desk, row, _last_plan(desk, row.batch_id), said, reached)
    return replace(line, used=tuple(used), short=tuple(one.words for one in short))


def copies(
    desk: Desk, *, batch: int | None = None, words: str = "", state: str = "", limit: int = 200
) -> list[CopyLine]:
    """Copies of works that are planned or made.

    Args:
        desk: A transaction.
        batch: Only of this batch.
        words: Part of the work's name, or a whole label.
        state: Only those in this state.
        limit: How many at most.
    """
    asked = select(Copy, Batch.title).join(Batch, Copy.batch_id == Batch.id)
    asked = asked.where((Copy.number <= Copy.of) | (Copy.state != "planned"))
    if batch is not None:
        asked = asked.where(Copy.batch_id == batch)
    if words:
        asked = asked.where(Copy.work.icontains(words, autoescape=True) | (Copy.label == words))
    if state:
        asked = asked.where(Copy.state == state)
    rows = desk.session.execute(asked.order_by(Copy.id).limit(limit)).all()
    return [_line(row, title) for row, title in rows]


def copy(desk: Desk, label: str) -> CopyLine:
    """A copy by its label.

    Raises:
        FaultsError: If there is none.
    """
    row = copy_row(desk, label)
    title = desk.session.scalar(select(Batch.title).where(Batch.id == row.batch_id))
    return _line(row, title or "")


def ticks(desk: Desk, plan: int, kind: str) -> list[TickLine]:
    """The ticks of a plan as they hold now."""
    return _last(desk, Tick.plan_id == plan, Tick.kind == kind)


def ticks_of_copy(desk: Desk, label: str) -> list[TickLine]:
    """Steps and states of a copy as they hold now, over all plans of its batch."""
    return _last(desk, Tick.copy_id == copy_row(desk, label).id)


def _last(desk: Desk, *which: object) -> list[TickLine]:
    newest = select(func.max(Tick.id)).where(*which).group_by(Tick.kind, Tick.key)  # type: ignore[arg-type]
    rows = desk.session.scalars(select(Tick).where(Tick.id.in_(newest)).order_by(Tick.id)).all()
    return [TickLine(kind=row.kind, key=row.key, done=row.done, at=row.at, who=row.who) for row in rows]


def copy_row(desk: Desk, label: str) -> Copy:
    """A copy's row.

    Raises:
        FaultsError: If there is none.
    """
    row = desk.session.scalar(select(Copy).where(Copy.label == label).with_for_update())
    if row is None:
        raise refuse(
            "no-such-copy", f"no work is labelled {label}.", "longpoint book list shows what there is."
        )
    return row


def _line(row: Copy, title: str) -> CopyLine:
    return CopyLine(
        label=row.label, batch=row.batch_id, title=title, work=row.work, code=row.code, number=row.number, of=row.of,
        state=row.state, version=row.version,
    )  # fmt: skip


def _last_plan(desk: Desk, batch: int) -> int:
    asked = select(PlanRow.id).where(PlanRow.batch_id == batch).order_by(PlanRow.number.desc()).limit(1)
    found = desk.session.scalar(asked)
    assert found is not None
    return found


def _known(desk: Desk, uid: str) -> bool:
    return desk.session.scalar(select(Tick.id).where(Tick.uid == uid)) is not None


def _add(
    desk: Desk, plan: int, kind: str, key: str, done: bool, uid: str, at: datetime | None, *,
    copy: int | None = None, state: str = "",
) -> bool:  # fmt: skip
    """Adds a tick; False where it is known already."""
    if uid and _known(desk, uid):
        return False
    desk.session.add(
        Tick(
            uid=uid or new_uid(),
            plan_id=plan,
            copy_id=copy,
            kind=kind,
            key=key,
            done=done,
            state=state,
            at=at or desk.now,
            who=desk.who,
        )
    )
    desk.session.flush()
    return True


def _cut_up(desk: Desk, plan: int, board: BoardToCut) -> Ticked:
    """A board whose last cut is ticked leaves the rack; once."""
    if not _add(desk, plan, "board", board.key, True, _board_uid(plan, board), None):
        return Ticked(new=True)
    taken = ""
    kept = kept_by(desk, plan)
    if board.at_hand and kept.get(board.board):
        take(desk, board.board, 1, plan=plan, note="cut")
        taken = board.board
    made = offcut_of(desk, plan, board)
    labels = put(desk, [made], note=f"cut from {board.board}") if made is not None else []
    return Ticked(new=True, taken=taken, offcuts=tuple(labels))


def _board_uid(plan: int, board: BoardToCut) -> str:
    """The same whoever ticks its last cut, so that a board is cut up once."""
    return hashlib.sha256(f"{plan}|{board.key}".encode()).hexdigest()


def offcut_of(desk: Desk, plan: int, board: BoardToCut) -> Board | None:
    """What is left of a board of a plan as a thing for the rack; None where it serves for nothing."""
    serves = SERVES.get(board.good_for, "")
    if not serves or not board.parts:
        return None
    said = document(desk, plan)
    thickness, depth, bevel = sides_of_part(said, board.parts[0])
    wood = wood_of(said, thickness, depth)
    from_rack = desk.session.scalar(select(Item).where(Item.label == board.board)) if board.at_hand else None
    grade = str(from_rack.facts.get("grade", "bars")) if from_rack is not None else "bars"
    if from_rack is not None:
        wood = str(from_rack.facts.get("timber", wood))
    bevelled = bool(bevel) and board.use == "bars" and _bevel_first(said)
    if serves == "bar" and bevelled:
        serves = "bevelled bar"
    stated = {
        "thickness": thickness, "depth": depth, "length": board.remains, "timber": wood, "grade": grade,
        "bevelled": bevelled, "serves": serves, "cut_from": board.board,
    }  # fmt: skip
    return Board.model_validate(stated, context={"unit": "mm"})


def _bevel_first(said: Document) -> bool:
    bars = batch_of(said).get("bars", {})
    return bool(bars.get("bevel_when", "before cutting") == "before cutting")
