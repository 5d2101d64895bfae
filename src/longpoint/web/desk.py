"""Batches, what was before them and runs in one folder on disk; names in it are made here, never taken.

A batch is a folder with ``batch.toml``, the earlier texts of it in ``past`` and its runs. A text is
written whole or not at all.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import shutil
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

IDENT = re.compile(r"^[0-9a-f]{12}$")
"""What a batch or a run is called in an address."""

MOST_PAST = 200
"""Steps that can be undone."""

MOST_RESTS = 60
"""Of one plan. Estimate."""


class NotThereError(KeyError):
    """A batch, run or file that is not there."""


@dataclass(frozen=True, slots=True)
class OnDesk:
    """A batch as it is listed.

    Attributes:
        ident: Its name in addresses.
        title: Its title.
        works: How many works it has.
        run: Its newest run; "" for none.
    """

    ident: str
    title: str
    works: int
    run: str


class Desk:
    """The folder.

    Args:
        folder: Made if it is not there.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        (folder / "batches").mkdir(parents=True, exist_ok=True)
        self._lock = threading.RLock()

    @property
    def secret(self) -> bytes:
        """Bytes that only this desk knows; made once."""
        path = self.folder / "secret"
        with self._lock:
            if not path.exists():
                write_whole(path, secrets.token_hex(32).encode())
                path.chmod(0o600)
        return path.read_bytes()

    def listed(self) -> list[OnDesk]:
        """All batches, the one touched last first."""
        found = [path for path in (self.folder / "batches").iterdir() if IDENT.match(path.name)]
        found.sort(key=lambda path: (path / "batch.toml").stat().st_mtime_ns, reverse=True)
        listed = []
        for path in found:
            about = read_json(path / "about.json", {})
            run = self.newest_run(path.name)
            listed.append(OnDesk(path.name, about.get("title", "?"), about.get("works", 0), run))
        return listed

    def new_batch(self, text: str, *, title: str, works: int) -> str:
        """Keeps a new batch.

        Returns:
            Its name in addresses.
        """
        ident = secrets.token_hex(6)
        made = self.folder / "batches" / f".{ident}"
        (made / "past").mkdir(parents=True)
        (made / "runs").mkdir()
        (made / "batch.toml").write_text(text, encoding="utf-8")
        (made / "about.json").write_text(json.dumps({"title": title, "works": works}), encoding="utf-8")
        made.rename(self.folder / "batches" / ident)
        return ident

    def home(self, ident: str) -> Path:
        """A batch's folder.

        Raises:
            NotThereError: If there is none of that name.
        """
        if not IDENT.match(ident):
            raise NotThereError(ident)
        path = self.folder / "batches" / ident
        if not (path / "batch.toml").is_file():
            raise NotThereError(ident)
        return path

    def about(self, ident: str) -> dict[str, Any]:
        """Title and number of works of a batch."""
        return {"title": "?", "works": 0, **read_json(self.home(ident) / "about.json", {})}

    def text(self, ident: str) -> str:
        """A batch's text."""
        return (self.home(ident) / "batch.toml").read_text(encoding="utf-8")

    def put(self, ident: str, text: str, *, title: str, works: int, step: str) -> None:
        """Keeps a new text of a batch, the old one to go back to.

        Args:
            ident: The batch.
            text: Its new text.
            title: Its title.
            works: How many works it has.
            step: What was changed; steps in a row with one name are one step back.
        """
        with self._lock:
            home = self.home(ident)
            old = self.text(ident)
            if old == text:
                return
            about = read_json(home / "about.json", {})
            past = self._past(home)
            if step != about.get("step") or not past:
                number = int(past[-1].stem) + 1 if past else 1
                write_whole(home / "past" / f"{number:05d}.toml", old.encode())
                for path in past[: len(past) + 1 - MOST_PAST]:
                    path.unlink()
            write_whole(home / "batch.toml", text.encode())
            self._note(home, title=title, works=works, step=step)

    def back(self, ident: str) -> str | None:
        """The text before the last step; it is no longer among the past. None where there is none."""
        with self._lock:
            home = self.home(ident)
            past = self._past(home)
            if not past:
                return None
            text = past[-1].read_text(encoding="utf-8")
            write_whole(home / "batch.toml", text.encode())
            past[-1].unlink()
            return text

    def note_back(self, ident: str, *, title: str, works: int) -> None:
        """Notes what the text that was gone back to says."""
        self._note(self.home(ident), title=title, works=works, step="")

    def has_past(self, ident: str) -> bool:
        """Whether there is a step to undo."""
        return bool(self._past(self.home(ident)))

    def take_off(self, ident: str) -> None:
        """Removes a batch with all that belongs to it."""
        shutil.rmtree(self.home(ident))

    @staticmethod
    def _past(home: Path) -> list[Path]:
        return sorted((home / "past").glob("[0-9]*.toml"))

    @staticmethod
    def _note(home: Path, *, title: str, works: int, step: str) -> None:
        about = {"title": title, "works": works, "step": step}
        write_whole(home / "about.json", json.dumps(about).encode())

    def run_home(self, ident: str, run: str) -> Path:
        """A run's folder.

        Raises:
            NotThereError: If there is none of that name.
        """
        path = self.home(ident) / "runs" / run
        if not IDENT.match(run) or not (path / "run.json").is_file():
            raise NotThereError(run)
        return path

    def runs(self, ident: str) -> list[str]:
        """Runs of a batch, the oldest first."""
        found = [p for p in (self.home(ident) / "runs").iterdir() if (p / "run.json").is_file()]
        found.sort(key=lambda path: read_json(path / "run.json", {}).get("number", 0))
        return [path.name for path in found]

    def newest_run(self, ident: str) -> str:
        """The run begun last; "" for none."""
        runs = self.runs(ident)
        return runs[-1] if runs else ""

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Keeps other threads of this server off the desk."""
        with self._lock:
            yield


def rests(folder: Path) -> list[Path]:
    """Rests planned after a plan, the oldest first.

    Args:
        folder: Of the plan's run.
    """
    found: list[Path] = []
    while (rest := folder / f"rest-{len(found) + 1}").is_dir() and len(found) < MOST_RESTS:
        found.append(rest)
    return found


def write_whole(path: Path, contents: bytes) -> None:
    """Writes a file whole or not at all."""
    handle, name = tempfile.mkstemp(prefix=".new-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(contents)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def read_json(path: Path, otherwise: Any) -> Any:
    """What a JSON file says; something else where it is not there or spoilt."""
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return otherwise
