"""Long work waits its turn in the store: it survives a restart, runs once, says how far it is, and can be cancelled.

Runners, in any number and on any machine, take the oldest work that waits. A runner gives a sign of life meanwhile; one
that gives none for a while has died, and its work waits again. Whoever lost a work meanwhile cannot finish it.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import or_, select

from longpoint.errors import LongpointError, refuse
from longpoint.store.faults import ConflictError
from longpoint.store.opening import Desk, Store
from longpoint.store.tables import LongWork

LOST = timedelta(seconds=60)
"""A runner that gives no sign for so long is taken for dead. Estimate."""

SIGN = 10.0
"""How often a runner gives a sign. [s]"""

MOST_TRIES = 3
"""A work that took so many runners with it is not begun again. Estimate."""

KEPT = 1000
"""Signs that are kept of what a work says."""


class Cancelled(LongpointError):
    """The work was cancelled, or somebody else has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """A long work as it stands.

    Attributes:
        id: Its number.
        kind: What is done.
        given: With what.
        state: ``waiting``, ``running``, ``done``, ``failed`` or ``cancelled``.
        share: How much is done, 0 to 1.
        says: What it is doing, or why it failed.
        answer: What came of it.
        who: Who asked for it.
        at: When.
        tries: How often it was begun.
    """

    id: int
    kind: str
    given: Mapping[str, Any]
    state: str
    share: float
    says: str
    answer: Mapping[str, Any] | None
    who: str
    at: datetime
    tries: int


Say = Callable[[str, float], None]
"""Told what is being done and how much of it is; raises `Cancelled` where it is no longer wanted."""


def ask(desk: Desk, kind: str, given: Mapping[str, Any]) -> int:
    """Puts a work at the end of the queue.

    Returns:
        Its number.
    """
    row = LongWork(
        kind=kind, given=dict(given), at=desk.now, who=desk.who, state="waiting", share=0.0, says="", cancel=False,
        runner="", tries=0, sign=None, ended=None, answer=None,
    )  # fmt: skip
    desk.session.add(row)
    desk.session.flush()
    return row.id


def take_next(desk: Desk, runner: str, kinds: tuple[str, ...]) -> Work | None:
    """The oldest work that waits, now this runner's; None where there is none.

    Args:
        desk: A transaction that writes.
        runner: Name of the runner, unique.
        kinds: What it can do.
    """
    dead = (LongWork.state == "running") & (LongWork.sign < desk.now - LOST)
    asked = (
        select(LongWork)
        .where(LongWork.kind.in_(kinds), or_(LongWork.state == "waiting", dead))
        .order_by(LongWork.id)
        .with_for_update(skip_locked=True)
    )
    for row in desk.session.scalars(asked):
        if row.cancel or row.tries >= MOST_TRIES:
            row.state, row.ended = ("cancelled", desk.now) if row.cancel else ("failed", desk.now)
            row.says = "" if row.cancel else f"It was begun {row.tries} times, and its runner died each time."
            continue
        row.state, row.runner, row.sign, row.tries = "running", runner, desk.now, row.tries + 1
        desk.session.flush()
        return _work(row)
    return None


def say_on(
    desk: Desk, number: int, runner: str, *, share: float | None = None, says: str | None = None
) -> None:
    """A sign of life, with how far the work is.

    Raises:
        Cancelled: If it is no longer wanted, or somebody else has it.
    """
    row = _row(desk, number)
    if row.cancel or row.state != "running" or row.runner != runner:
        raise Cancelled(f"work {number} is no longer wanted here")
    row.sign = desk.now
    row.share = row.share if share is None else min(max(share, 0.0), 1.0)
    row.says = row.says if says is None else says[:KEPT]


def end(
    desk: Desk, number: int, runner: str, *, answer: Mapping[str, Any] | None = None, failed: str = ""
) -> None:
    """A work is done, or failed.

    Raises:
        ConflictError: If somebody else has it, or it was ended before.
    """
    row = _row(desk, number)
    if row.state != "running" or row.runner != runner:
        raise ConflictError(f"work {number}", now=row.state, who=row.runner)
    row.ended = desk.now
    if row.cancel:
        row.state = "cancelled"
    elif failed:
        row.state, row.says = "failed", failed[:KEPT]
    else:
        row.state, row.share, row.answer = "done", 1.0, dict(answer or {})


def cancel(desk: Desk, number: int) -> Work:
    """A work is no longer wanted: one that waits ends at once, one that runs at its next sign."""
    row = _row(desk, number)
    if row.state == "waiting":
        row.state, row.ended = "cancelled", desk.now
    elif row.state == "running":
        row.cancel = True
    desk.session.flush()
    return _work(row)


def work(desk: Desk, number: int) -> Work:
    """A work by its number.

    Raises:
        FaultsError: If there is none.
    """
    return _work(_row(desk, number, for_change=False))


def works(desk: Desk, *, limit: int = 50) -> list[Work]:
    """The last works, newest first."""
    return [
        _work(row) for row in desk.session.scalars(select(LongWork).order_by(LongWork.id.desc()).limit(limit))
    ]


def run_one(store: Store, runner: str, doers: Mapping[str, Callable[[Mapping[str, Any], Say], Any]]) -> bool:
    """Takes one work and does it.

    Args:
        store: The store.
        runner: Name of the runner, unique.
        doers: What is done, by kind: given what and whom to tell, it returns a plain answer.

    Returns:
        Whether there was one.
    """
    with store.writing(runner) as desk:
        mine = take_next(desk, runner, tuple(doers))
    if mine is None:
        return False
    over = threading.Event()

    def keep_alive() -> None:
        while not over.wait(SIGN):
            try:
                with store.writing(runner) as desk:
                    say_on(desk, mine.id, runner)
            except LongpointError:
                return

    def say(says: str, share: float) -> None:
        with store.writing(runner) as desk:
            say_on(desk, mine.id, runner, share=share, says=says)

    alive = threading.Thread(target=keep_alive, daemon=True)
    alive.start()
    answer: Mapping[str, Any] | None = None
    failed = ""
    try:
        answer = doers[mine.kind](mine.given, say)
    except Cancelled:
        failed = "cancelled"
    except LongpointError as error:
        failed = str(error)
    except Exception as error:  # a work must not take the runner with it
        failed = f"That is a fault of this program: {type(error).__name__}: {error}"
    finally:
        over.set()
        alive.join()
    try:
        with store.writing(runner) as desk:
            end(desk, mine.id, runner, answer=answer, failed=failed)
    except ConflictError:
        pass  # somebody else has it, and will end it
    return True


def _row(desk: Desk, number: int, *, for_change: bool = True) -> LongWork:
    asked = select(LongWork).where(LongWork.id == number)
    row = desk.session.scalar(asked.with_for_update() if for_change else asked)
    if row is None:
        raise refuse("no-such-work", f"there is no work {number}.", "Look at the queue again.")
    return row


def _work(row: LongWork) -> Work:
    return Work(
        id=row.id, kind=row.kind, given=row.given, state=row.state, share=row.share, says=row.says, answer=row.answer,
        who=row.who, at=row.at, tries=row.tries,
    )  # fmt: skip
