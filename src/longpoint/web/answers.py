"""The warm process beside the server, and what it answered: wishes in, the newest answer out, never a wait for long."""

from __future__ import annotations

import contextlib
import hashlib
import json
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field
from typing import Any, Literal

MOST_SECONDS = 90.0
"""Longest one wish may take; then a fresh process takes over. [s]"""

MOST_KEPT = 400
"""Answers that are kept."""


@dataclass
class _Wish:
    number: int
    key: str
    about: str
    body: dict[str, Any]
    first: threading.Event = field(default_factory=threading.Event)
    done: threading.Event = field(default_factory=threading.Event)
    told: dict[str, Any] | None = None
    broken: str = ""


class Answers:
    """Asks the warm process; equal wishes are asked once, and of one work only the newest."""

    def __init__(self) -> None:
        self._lock = threading.Condition()
        self._queue: list[_Wish] = []
        self._known: dict[str, _Wish] = {}
        self._last: dict[str, dict[str, Any]] = {}
        self._number = 0
        self._over = False
        self._process: subprocess.Popen[str] | None = None
        threading.Thread(target=self._run, daemon=True).start()

    def ask(self, key: str, body: dict[str, Any], *, about: str) -> _Wish:
        """Asks for something, unless it is known or asked for already.

        Args:
            key: Equal for equal wishes.
            body: The wish.
            about: What it is about; a newer wish about the same takes the place of one that waits.
        """
        with self._lock:
            known = self._known.get(key)
            if known is not None and not known.broken:
                return known
            self._number += 1
            wish = _Wish(self._number, key, about, {**body, "number": self._number, "about": about})
            for other in [other for other in self._queue if other.about == about]:
                self._queue.remove(other)
                self._known.pop(other.key, None)
            self._known[key] = wish
            while len(self._known) > MOST_KEPT:
                self._known.pop(next(iter(self._known)))
            self._queue.append(wish)
            self._lock.notify_all()
            return wish

    def warm(self) -> None:
        """Begins the process before anybody asks."""
        self.ask("warm", {"wish": "warm"}, about="warm")

    def work(
        self,
        text: str,
        index: int,
        *,
        batch: str,
        language: str,
        system: str,
        wait: float,
        only: Literal["", "look", "fully"] = "",
    ) -> dict[str, Any]:
        """How a work stands.

        Args:
            text: The batch file.
            index: Which work, from 0.
            batch: Name of the batch.
            language: Two letters.
            system: mm, cm or in.
            wait: Longest to wait for a first answer. [s]
            only: Where the design like the last one is all that is asked for: by what one solve tells of it, or judged
                fully.

        Returns:
            ``state``: "whole", "first" or "waiting"; ``told``: the answer; while it waits the last one.
        """
        body = {"wish": "work", "text": text, "index": index, "language": language, "system": system}
        if only:
            body["only"] = only
        key = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
        about = f"{batch}/{index}"
        wish = self.ask(key, body, about=about)
        wish.first.wait(wait)
        if wish.broken:
            return {"state": "broken", "told": None}
        if wish.told is not None and not wish.told["faults"]:
            self._last[about] = wish.told
            while len(self._last) > MOST_KEPT:
                self._last.pop(next(iter(self._last)), None)
        if wish.done.is_set():
            return {"state": "first" if only == "look" else "whole", "told": wish.told}
        if wish.first.is_set():
            return {"state": "first", "told": wish.told}
        return {"state": "waiting", "told": self._last.get(about)}

    def tell(self, folder: str, *, language: str, system: str, wait: float, rest: bool = False) -> bool:
        """Has a run's pages, or those of a rest, written in a language and a unit.

        Returns:
            Whether they are there.
        """
        body = {
            "wish": "tell-rest" if rest else "tell",
            "folder": folder,
            "language": language,
            "system": system,
        }
        key = f"tell {folder} {language} {system}"
        wish = self.ask(key, body, about=key)
        return wish.done.wait(wait) and not wish.broken

    def is_asked(self, key: str) -> bool:
        """Whether a wish is known and not answered yet."""
        with self._lock:
            wish = self._known.get(key)
        return wish is not None and not wish.done.is_set()

    def close(self) -> None:
        """Ends the process."""
        with self._lock:
            self._over = True
            self._lock.notify_all()
        if self._process is not None:
            _end(self._process)

    def _run(self) -> None:
        while True:
            with self._lock:
                while not self._queue and not self._over:
                    self._lock.wait()
                if self._over:
                    return
                wish = self._queue.pop(0)
            try:
                self._serve(wish)
            except (OSError, ValueError) as error:
                wish.broken = str(error) or "ended"
            wish.first.set()
            wish.done.set()

    def _serve(self, wish: _Wish) -> None:
        process = self._alive()
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(json.dumps(wish.body) + "\n")
        process.stdin.flush()
        timer = threading.Timer(wish.body.get("most_seconds", MOST_SECONDS), process.kill)
        timer.start()
        try:
            while True:
                line = process.stdout.readline()
                if not line:
                    wish.broken = "the process ended"
                    return
                answer = json.loads(line)
                if answer.get("broken"):
                    sys.stderr.write(f"a wish went wrong: {answer['broken']}\n")
                    wish.broken = answer["broken"]
                    return
                if "told" in answer:
                    wish.told = answer["told"]
                    wish.first.set()
                if answer["last"]:
                    return
        finally:
            timer.cancel()

    def _alive(self) -> subprocess.Popen[str]:
        if self._process is None or self._process.poll() is not None:
            if self._process is not None:
                _end(self._process)
                time.sleep(0.2)  # a process that cannot begin is not begun without pause
            self._process = subprocess.Popen(
                [sys.executable, "-m", "longpoint.web.apart.worker"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                encoding="utf-8",
            )
        return self._process


def _end(process: subprocess.Popen[str]) -> None:
    """Ends a process and closes what led to it."""
    process.kill()
    process.wait(10)
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
