"""Ticks: what people have done, bought, spoiled or measured; none lost, none counted twice.

A tick carries a name of its own that the page made, so that one that is sent again, after the wireless was gone, is
known. Of two ticks about the same thing the later one holds.
"""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Iterable
from pathlib import Path
from typing import Protocol

from pydantic import BaseModel, ConfigDict, Field

MOST_TICKS = 20_000
"""Of one batch. Estimate: sixty works have some two thousand things to tick."""


class Tick(BaseModel):
    """One thing that somebody said of the work.

    Attributes:
        id: Made by the page, unique.
        kind: What it is about: a cut, a thing to buy, a step, a run, a measure.
        key: Which one.
        state: What is so now: "done", "spoiled", "split", or what was measured; "" takes it back.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str = Field(pattern=r"^[A-Za-z0-9-]{8,64}$")
    kind: str = Field(pattern=r"^(cut|buy|step|run|measure|place)$")
    key: str = Field(min_length=1, max_length=200)
    state: str = Field(max_length=80)


class Ticks(Protocol):
    """Where ticks are kept."""

    def add(self, home: Path, ticks: Iterable[Tick]) -> int:
        """Keeps ticks of a batch; those that are known already are not counted again.

        Returns:
            How many were new.
        """

    def now(self, home: Path, kind: str) -> dict[str, str]:
        """What is so of everything of a kind."""


class TicksOnDisk:
    """Ticks in a file of a batch's folder, one a line, written before they are said to be kept."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._known: dict[Path, tuple[int, list[Tick], set[str]]] = {}

    def add(self, home: Path, ticks: Iterable[Tick]) -> int:
        """Keeps ticks of a batch; those that are known already are not counted again."""
        with self._lock:
            listed, names = self._read(home)
            fresh: list[Tick] = []
            for tick in ticks:
                if tick.id not in names and len(listed) + len(fresh) < MOST_TICKS:
                    fresh.append(tick)
                    names.add(tick.id)
            if fresh:
                path = home / "ticks.jsonl"
                with path.open("ab") as file:
                    file.write(b"".join(tick.model_dump_json().encode() + b"\n" for tick in fresh))
                    file.flush()
                    os.fsync(file.fileno())
                listed += fresh
                self._known[home] = (path.stat().st_size, listed, names)
            return len(fresh)

    def now(self, home: Path, kind: str) -> dict[str, str]:
        """What is so of everything of a kind."""
        with self._lock:
            listed, _ = self._read(home)
        found: dict[str, str] = {}
        for tick in listed:
            if tick.kind == kind:
                found.pop(tick.key, None)
                if tick.state:
                    found[tick.key] = tick.state
        return found

    def _read(self, home: Path) -> tuple[list[Tick], set[str]]:
        path = home / "ticks.jsonl"
        size = path.stat().st_size if path.exists() else 0
        known = self._known.get(home)
        if known is not None and known[0] == size:
            return known[1], known[2]
        listed: list[Tick] = []
        if size:
            for line in path.read_bytes().splitlines():
                try:
                    listed.append(Tick.model_validate(json.loads(line)))
                except ValueError:  # the last line of a kill
                    continue
        names = {tick.id for tick in listed}
        self._known[home] = (size, listed, names)
        if len(self._known) > 50:
            self._known.pop(next(iter(self._known)))
        return listed, names
