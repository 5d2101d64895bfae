"""Ticks: what people have done, bought, spoiled or measured; kept in the build book, none lost, none counted twice.

A tick carries a name of its own that the page made, so that one that is sent again, after the wireless was gone, is
known. Of two ticks about the same thing the later one holds. The first tick of a plan brings the plan into the book.
"""

from __future__ import annotations

import json
import re
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from longpoint.errors import FaultsError, refuse
from longpoint.store import Desk as StoreDesk
from longpoint.store import Store
from longpoint.store.book.on_desk import batch_named, plan_named, tick_there, ticked_there
from longpoint.store.book.plans import add_plan
from longpoint.web.desk import Desk, read_json, rests

KINDS = ("cut", "buy", "step", "run", "measure", "place", "cloth")

OLDEST = timedelta(days=60)
"""A tick that says it is older is taken for one of a wrong clock. Estimate."""

_OF_PLAN = re.compile(r"^([0-9a-f]{4,40})(?:\.([0-9]{1,2}))?/(.+)$")
"""What a page's key begins with: the revision, and of a cut which rest of the plan."""


class Tick(BaseModel):
    """One thing that somebody said of the work.

    Attributes:
        id: Made by the page, unique.
        kind: What it is about: a cut, a thing to buy, a step, a run, a measure.
        key: Which one.
        state: What is so now: "done", "spoiled", "split", or what was measured; "" takes it back.
        at: When it was said, where that was before it could be sent: seconds since 1970.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Field(pattern=r"^[A-Za-z0-9-]{8,64}$")
    kind: str = Field(pattern=r"^(cut|buy|step|run|measure|place|cloth)$")
    key: str = Field(min_length=1, max_length=200)
    state: str = Field(max_length=80)
    at: float | None = Field(default=None, ge=0, le=1e11, allow_inf_nan=False)


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of ticks that were sent together.

    Attributes:
        new: How many were not known yet.
        refused: Names of those that are about nothing that a plan of the batch has.
    """

    new: int
    refused: tuple[str, ...]


class Ticks:
    """Ticks of the batches on a desk, in a store.

    Args:
        desk: Where the plans lie.
        store: Where ticks are kept.
    """

    def __init__(self, desk: Desk, store: Store) -> None:
        self._desk, self._store = desk, store
        self._turn = (
            threading.Lock()
        )  # whoever waits for a file's lock asks again and again; here each waits once

    def add(self, ident: str, ticks: Sequence[Tick], *, who: str) -> Kept:
        """Keeps ticks of a batch, all together; those that are known already are not counted again.

        Args:
            ident: The batch.
            ticks: The ticks, in the order in which they were made.
            who: Who made them.

        Raises:
            FaultsError: If the store cannot be written; then none is kept, and all can be sent again.
        """
        new, refused, newest = 0, [], self._newest(ident)
        with self._turn, self._store.writing(who) as desk:
            for tick in ticks:
                plan, key = self._plan_of(desk, ident, tick, newest)
                at = _time_of(tick, desk.now)
                try:
                    if plan is None:
                        raise refuse("no-such-plan", "no plan has this.", "Load the page again.")
                    found = tick_there(desk, plan, tick.kind, key, state=tick.state, uid=tick.id, at=at)
                except FaultsError:
                    refused.append(tick.id)
                else:
                    new += found.new
        return Kept(new, tuple(refused))

    def now(self, ident: str, *kinds: str) -> dict[str, dict[str, str]]:
        """What is so of everything of some kinds: by kind, then by key."""
        with self._store.reading() as desk:
            return {kind: ticked_there(desk, ident, kind) for kind in kinds}

    def keep(self, ident: str, *, who: str) -> None:
        """Keeps the newest plan of a batch in the book, where there is one."""
        newest = self._newest(ident)
        if newest:
            with self._turn, self._store.writing(who) as desk:
                self._kept(desk, ident, newest, newest)

    def _plan_of(self, desk: StoreDesk, ident: str, tick: Tick, newest: str) -> tuple[int | None, str]:
        """Number of the plan that a tick is about, and its key there."""
        read = _OF_PLAN.match(tick.key) if tick.kind in ("cut", "step", "run") else None
        wanted = f"{read[1]}.{read[2] or 0}" if read else newest
        plan = self._kept(desk, ident, wanted, newest) if wanted else None
        return plan, read[3] if read and tick.kind in ("cut", "step") else tick.key

    def _kept(self, desk: StoreDesk, ident: str, wanted: str, newest: str) -> int | None:
        """Number in the store of a plan on the desk, which is put there where it is not yet."""
        there = plan_named(desk, f"{ident}/{wanted}")
        if there is not None:
            return there.id
        document = self._document(ident, wanted)
        if document is None:
            return None
        if (
            wanted != newest and newest
        ):  # said of an old plan, and sent only now: the new one stays the one that holds
            self._kept(desk, ident, newest, newest)
        batch = batch_named(desk, ident)
        stands = wanted == newest or batch is None
        return add_plan(desk, document, batch=batch, on_desk=f"{ident}/{wanted}", stands=stands).id

    def _newest(self, ident: str) -> str:
        """The plan in hand: revision and rest; "" for none."""
        for run in reversed(self._desk.runs(ident)):
            folder = self._desk.run_home(ident, run)
            end = read_json(folder / "end.json", {})
            if end.get("state") == "done":
                return f"{end['revision']}.{len(rests(folder))}"
        return ""

    def _document(self, ident: str, wanted: str) -> dict[str, Any] | None:
        revision, _, rest = wanted.partition(".")
        for run in reversed(self._desk.runs(ident)):
            folder = self._desk.run_home(ident, run)
            end = read_json(folder / "end.json", {})
            if end.get("state") == "done" and end.get("revision") == revision:
                path = (
                    folder / "out" / "plan.json" if rest == "0" else folder / f"rest-{rest}" / "replan.json"
                )
                if path.is_file():
                    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
                    return found
        return None


def _time_of(tick: Tick, now: datetime) -> datetime | None:
    """When it was said; None where the page does not say, or its clock is wrong."""
    if tick.at is None:
        return None
    said = datetime.fromtimestamp(min(tick.at, 4e9), UTC)
    return said if now - OLDEST < said <= now else None
