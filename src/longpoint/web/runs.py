"""Plans that run apart: begun, watched, cancelled, and found again after the page or the server was gone."""

from __future__ import annotations

import contextlib
import json
import secrets
import shutil
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from longpoint.web.desk import Desk, read_json, write_whole

MOST_SECONDS = 3600.0
"""Longest a plan may take by the clock. [s]"""

MOST_AT_ONCE = 1
"""Plans that run together; others wait their turn."""

MOST_KEPT = 12
"""Runs of one batch that are kept; older ones go."""


@dataclass
class _Going:
    process: subprocess.Popen[bytes]
    began: float
    folder: Path


@dataclass
class Runs:
    """The runs of a desk.

    Attributes:
        desk: The desk.
    """

    desk: Desk
    _going: dict[str, _Going] = field(default_factory=dict)
    _waiting: list[tuple[str, str]] = field(default_factory=list)
    _lock: threading.RLock = field(default_factory=threading.RLock)
    _over: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        for listed in self.desk.listed():
            for run in self.desk.runs(listed.ident):
                folder = self.desk.run_home(listed.ident, run)
                if not (folder / "end.json").exists():  # the server ended before it did
                    self._end(folder, {"state": "stopped", "why": "server"})
        threading.Thread(target=self._watch, daemon=True).start()

    def begin(self, ident: str, *, rehearsing: bool) -> str:
        """Begins to plan a batch as it stands now; one that is being planned already is let go on.

        Returns:
            The run.
        """
        with self._lock:
            newest = self.desk.newest_run(ident)
            text = self.desk.text(ident)
            if newest:
                folder = self.desk.run_home(ident, newest)
                same = (folder / "batch.toml").read_text(encoding="utf-8") == text
                wish = read_json(folder / "run.json", {})
                if same and wish.get("rehearsing") == rehearsing and self.state(ident, newest)["state"] in (
                    "waiting", "working", "done",
                ):  # fmt: skip
                    return newest
                self.cancel(ident, newest)
            run = secrets.token_hex(6)
            folder = self.desk.home(ident) / "runs" / run
            folder.mkdir()
            (folder / "batch.toml").write_text(text, encoding="utf-8")
            number = 1 + max(
                (
                    read_json(self.desk.run_home(ident, r) / "run.json", {}).get("number", 0)
                    for r in self.desk.runs(ident)
                ),
                default=0,
            )
            wish = {"number": number, "rehearsing": rehearsing}
            write_whole(folder / "run.json", json.dumps(wish).encode())
            self._waiting.append((ident, run))
            self._thin_out(ident)
            self._step()
            return run

    def cancel(self, ident: str, run: str) -> None:
        """Ends a run that is not done."""
        with self._lock:
            folder = self.desk.run_home(ident, run)
            if (ident, run) in self._waiting:
                self._waiting.remove((ident, run))
                self._end(folder, {"state": "cancelled"})
            going = self._going.pop(run, None)
            if going is not None:
                _kill(going.process)
                self._end(folder, {"state": "cancelled"})
            self._step()

    def state(self, ident: str, run: str) -> dict[str, Any]:
        """Where a run stands: ``state`` is waiting, working, done, refused, failed, cancelled or stopped."""
        folder = self.desk.run_home(ident, run)
        end = read_json(folder / "end.json", None)
        if end is not None:
            return dict(end)
        doing = read_json(folder / "doing.json", {"number": 0, "text": ""})
        with self._lock:
            going = self._going.get(run)
            if going is None:
                waiting = (ident, run) in self._waiting
                return {"state": "waiting" if waiting else "working", "doing": "", "number": 0, "seconds": 0}
            seconds = int(time.monotonic() - going.began)
        return {"state": "working", "doing": doing["text"], "number": doing["number"], "seconds": seconds}

    def close(self) -> None:
        """Ends all runs; they are found as stopped the next time."""
        self._over.set()
        with self._lock:
            for going in self._going.values():
                _kill(going.process)
            self._going.clear()

    def _watch(self) -> None:
        while not self._over.wait(0.2):
            with contextlib.suppress(Exception), self._lock:
                self._step()

    def _step(self) -> None:
        """Notes what has ended and begins what waits."""
        for run, going in list(self._going.items()):
            code = going.process.poll()
            if code is None and time.monotonic() - going.began > MOST_SECONDS:
                _kill(going.process)
                self._end(going.folder, {"state": "failed", "why": "time"})
                code = going.process.poll()
            if code is not None:
                del self._going[run]
                if going.process.stdin is not None:
                    going.process.stdin.close()
                if not (going.folder / "end.json").exists():
                    why = "time" if code in (-24, -9) else "memory" if code == 1 else "broken"
                    self._end(going.folder, {"state": "failed", "why": why})
        while self._waiting and len(self._going) < MOST_AT_ONCE:
            ident, run = self._waiting.pop(0)
            folder = self.desk.run_home(ident, run)
            with (folder / "log.txt").open("wb") as log:
                process = subprocess.Popen(
                    [sys.executable, "-m", "longpoint.web.apart.plan_run", str(folder)],
                    stdin=subprocess.PIPE,
                    stdout=log,
                    stderr=log,
                )
            self._going[run] = _Going(process, time.monotonic(), folder)

    def _thin_out(self, ident: str) -> None:
        for run in self.desk.runs(ident)[:-MOST_KEPT]:
            shutil.rmtree(self.desk.run_home(ident, run), ignore_errors=True)

    @staticmethod
    def _end(folder: Path, end: dict[str, Any]) -> None:
        if not (folder / "end.json").exists():
            write_whole(folder / "end.json", json.dumps(end).encode())


def _kill(process: subprocess.Popen[bytes]) -> None:
    process.kill()
    process.wait(10)
    if process.stdin is not None:
        process.stdin.close()
