"""A folder of results: what longpoint wrote there may be replaced, all else is somebody's and stays.

A reader sees the old results whole or the new ones whole. They are written into a hidden folder beside, the
somebody's files are linked into it, and the two folders change places in one step; then the old one is cleared.
Where that step cannot be had (a mount point, a folder that one stands in, thousands of foreign files, a file system
without it), files are moved one by one, the ledger out first and in last: then a reader sees one whole plan or none.
What a kill leaves behind is put right by the next run.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import json
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any, TypeVar

from longpoint.cli.exchange import CannotExchangeError, exchange, onto_disk
from longpoint.errors import Fault, FaultsError, refuse
from longpoint.export.manifest import sha256

MOST_LINKED = 5000
"""Foreign files and folders up to which they are linked across; more are left where they are."""

Made = TypeVar("Made")

_MOST_NAMED = 5
_HIDDEN = ".longpoint-"
_NOTE = "note.json"


@dataclass(frozen=True, slots=True)
class Results:
    """What a command writes into a folder.

    Attributes:
        ledger: The JSON file among them that names all others, by path inside the folder.
        names: Patterns of every path that it may write.
    """

    ledger: str
    names: tuple[str, ...]

    def may_write(self, path: str) -> bool:
        """Whether a file of that path can be among the results."""
        return any(fnmatchcase(path, name) for name in self.names)

    @property
    def tops(self) -> frozenset[str]:
        """First parts of all paths."""
        return frozenset(name.split("/")[0] for name in self.names)

    @property
    def folders(self) -> frozenset[str]:
        """Folders that results lie in."""
        return frozenset(parent for name in self.names for parent in _parents(name))


PLANNED = Results(
    "plan.json",
    (
        *(f"{stem}{more}.pdf" for stem in ("pack", "reasons", "sheets") for more in ("", "-[0-9]*")),
        "offer.pdf",
        "prices.pdf",
        "handouts/*.pdf",
        "plan.json",
        *(
            f"{folder}/{letters}-*.{kind}"
            for folder, kinds in (("drawings", ("svg", "dxf")), ("solids", ("glb", "step")))
            for kind in kinds
            for letters in ("[A-Z]", "[A-Z][A-Z]", "[A-Z][A-Z][A-Z]")
        ),
        "cases/[0-9][0-9]*-*.json",
        "drawings/parts/*.dxf",
        *(f"drawings/{folder}/[0-9][0-9][0-9]*-*.svg" for folder in ("sheets", "reasons")),
        *(f"tables/{name}" for name in ("parts.csv", "cuts.csv", "buying.csv", "tables.xlsx")),
    ),
)
"""Of ``longpoint plan``."""

REPLANNED = Results("replan.json", ("replan.json", "replan.pdf"))
"""Of ``longpoint replan``."""


def rehearsed(stem: str) -> Results:
    """Of ``longpoint rehearse``, which writes into a folder of the work."""
    return Results(
        f"{stem}/rehearsal.json", (f"{stem}/rehearsal.json", f"{stem}/*.svg", f"{stem}/order.toml")
    )


def check_folder(folder: Path, results: Results | None = None) -> None:
    """Refuses a folder that cannot be written, before any work is done; puts right what a kill left.

    Args:
        folder: The folder, there or not.
        results: What shall be written into it; None asks only whether anything can.

    Raises:
        FaultsError: If it is a file, cannot be made or written, or holds files that are not ours and in the way.
    """
    try:
        if folder.exists() and not folder.is_dir():
            raise refuse("cannot-write", f"{folder} is a file, not a folder.", "Name another folder with -o.")
        there = folder
        while not there.exists() and there != there.parent:
            there = there.parent
        if not there.is_dir():
            raise NotADirectoryError(f"{there} is a file")
        with tempfile.TemporaryFile(dir=there):
            pass
        if results is not None:
            real = _resolved(folder)
            with _alone(real):
                _put_right(real)
            _refuse_in_the_way(folder, real, results)
    except OSError as error:
        raise _cannot_write(folder, error) from None


def write_folder(
    folder: Path,
    results: Results,
    files: Iterable[tuple[str, bytes]],
    *,
    last: AbstractContextManager[Made | None] | None = None,
) -> Made | None:
    """Writes results into a folder, all or none.

    Args:
        folder: The folder; made if it is not there.
        results: What they are.
        files: Path inside the folder, with ``/``, and contents, the ledger last; written as they come.
        last: What is done together with putting them in place, once all are on the disk.

    Returns:
        What ``last`` made.

    Raises:
        FaultsError: If it cannot be written, or something that is not ours has come into the way.
    """
    real = _resolved(folder)
    made = [parent for parent in real.parents if not parent.exists()]
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
        with _staged(real, results) as stage:
            for path, contents in files:
                target = stage / path
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(contents)
            onto_disk(stage)
            with _alone(real):
                _refuse_in_the_way(folder, real, results)
                with last or contextlib.nullcontext() as made_last:
                    _replace(stage, real, results)
        return made_last
    except OSError as error:
        raise _cannot_write(folder, error) from None
    finally:
        for parent in made:  # only what is empty goes
            with contextlib.suppress(OSError):
                parent.rmdir()


@contextlib.contextmanager
def _staged(real: Path, results: Results) -> Iterator[Path]:
    """A hidden folder to write into: beside, so that the two can change places, or inside where they cannot."""
    inside = real.exists() and (
        os.path.ismount(real)
        or Path.cwd().is_relative_to(real)
        or not os.access(real.parent, os.W_OK | os.X_OK)
    )
    hidden = Path(
        tempfile.mkdtemp(prefix=_HIDDEN if inside else _beside(real), dir=real if inside else real.parent)
    )
    held = os.open(hidden, os.O_RDONLY)
    _lock(held)
    try:
        stage = hidden / "new"
        stage.mkdir()
        note = {"folder": real.name, "ledger": results.ledger, "inode": stage.stat().st_ino}
        (hidden / _NOTE).write_text(json.dumps(note), encoding="utf-8")
        yield stage
    finally:
        # What is left is cleared by the rule that also clears what a kill leaves.
        for left in (hidden, _inside(hidden, real)):
            with contextlib.suppress(OSError):
                _finish(left, real)
        os.close(held)


def _replace(stage: Path, real: Path, results: Results) -> None:
    hidden = stage.parent
    if not real.exists():
        stage.rename(real)
    elif hidden.parent == real:
        _move_one_by_one(hidden, real, results.ledger)
    else:
        try:
            _link_foreign(real, stage, results)
            exchange(stage, real)
        except CannotExchangeError:
            inside = _inside(hidden, real)
            hidden.rename(inside)
            _move_one_by_one(inside, real, results.ledger)


def _link_foreign(real: Path, stage: Path, results: Results) -> None:
    """Everything in the folder that is not ours gets a second name in the folder that takes its place."""
    ours = {*_unchanged(real, results.ledger), results.ledger}
    ours_lie_in = {parent for path in ours for parent in _parents(path)}
    try:
        for number, (path, is_folder) in enumerate(_walk(real)):
            if number > MOST_LINKED:
                raise CannotExchangeError(errno.EMLINK, "too many foreign files")
            if path in ours or (is_folder and path in ours_lie_in):
                continue
            target = stage / path
            target.parent.mkdir(parents=True, exist_ok=True)
            if is_folder:
                target.mkdir(exist_ok=True)
                shutil.copystat(real / path, target)
            else:
                os.link(real / path, target, follow_symlinks=False)
    except OSError as error:  # unreadable, without links, on another disk
        raise CannotExchangeError(error.errno, str(error)) from None
    about = real.stat()
    with contextlib.suppress(OSError):
        shutil.copystat(real, stage)
        os.chown(stage, about.st_uid, about.st_gid)


def _move_one_by_one(hidden: Path, real: Path, ledger: str) -> None:
    """Old files out, the ledger first; new ones in, the ledger last."""
    new, old = hidden / "new", hidden / "old"
    leaving = _unchanged(real, ledger)
    if (real / ledger).exists():
        _move(real / ledger, old / ledger)
    for path in leaving:
        _move(real / path, old / path)
    for path in _listed(new / ledger):
        _move(new / path, real / path)
    _move(new / ledger, real / ledger)
    _clear_folders(real, leaving)


def _put_right(real: Path) -> None:
    """Clears what earlier runs left when they were killed; the plan that was there is whole afterwards."""
    for where, prefix in ((real, _HIDDEN), (real.parent, _beside(real))):
        if not where.is_dir():
            continue
        for hidden in sorted(path for path in where.iterdir() if path.name.startswith(prefix)):
            if hidden.is_symlink() or not hidden.is_dir():
                continue
            held = os.open(hidden, os.O_RDONLY)
            try:
                if _lock(held, wait=False):  # else its run is still at work
                    _finish(hidden, real)
            finally:
                os.close(held)


def _finish(hidden: Path, real: Path) -> None:
    """Clears a hidden folder, wherever its run ended; one without our note is somebody's, or empty."""
    if not hidden.is_dir():
        return
    note = _json(hidden / _NOTE)
    new, ledger = hidden / "new", str(note.get("ledger", ""))
    if note.get("folder") != real.name or not ledger:
        if {entry.name for entry in hidden.iterdir()} <= {"new", _NOTE} and not note:
            with contextlib.suppress(OSError):  # only just begun
                if new.is_dir():
                    new.rmdir()
                (hidden / _NOTE).unlink(missing_ok=True)
                hidden.rmdir()
        return
    if hidden.parent == real:
        _move_back(hidden, real, ledger)
    elif new.is_dir() and new.stat().st_ino != note.get("inode"):
        _keep_foreign(new, real, ledger)
    if new.exists():
        new.rename(hidden / "done")  # half of it taken away must not be read as a plan
    for name in ("done", "old"):
        shutil.rmtree(hidden / name, ignore_errors=True)
    (hidden / _NOTE).unlink()
    hidden.rmdir()


def _move_back(hidden: Path, real: Path, ledger: str) -> None:
    """Undoes moving one by one, unless it had not begun or was done."""
    new, old = hidden / "new", hidden / "old"
    if (real / ledger).exists() or not (new / ledger).exists():
        return
    placed = [
        path for path in _unchanged(real, ledger, listed=_listed(new / ledger)) if not (new / path).exists()
    ]
    for path in placed:
        _move(real / path, new / path)
    _clear_folders(real, placed)
    if not old.is_dir():
        return
    for path, is_folder in _walk(old):
        if not is_folder and path != ledger and not (real / path).exists():
            _move(old / path, real / path)
    if (old / ledger).exists():
        _move(old / ledger, real / ledger)


def _keep_foreign(old: Path, real: Path, ledger: str) -> None:
    """What somebody put or changed in the old folder at the last moment comes along."""
    ours = {*_unchanged(old, ledger), ledger}
    new = {*_listed(real / ledger), ledger}
    for path, is_folder in _walk(old):
        here, there = old / path, real / path
        if is_folder or path in ours:
            continue
        if path in new:
            _move(here, there.with_name(f"{there.name}.kept"))
        elif not os.path.lexists(there) or here.lstat().st_mtime_ns > there.lstat().st_mtime_ns:
            _move(here, there)


def _refuse_in_the_way(folder: Path, real: Path, results: Results) -> None:
    """Refuses where something that is not ours, or was changed since, stands where a result may go."""
    if not real.is_dir():
        return
    ledger = real / results.ledger
    ours = {*_unchanged(real, results.ledger)}
    if str(_json(ledger).get("format", "")).startswith("longpoint ") and not ledger.is_symlink():
        ours.add(results.ledger)
    listed = _listed(ledger)
    found: list[tuple[str, bool]] = []
    for top in sorted(results.tops):
        if os.path.lexists(real / top):
            is_folder = (real / top).is_dir() and not (real / top).is_symlink()
            found.append((top, is_folder))
            if is_folder:
                found += [(f"{top}/{path}", inner) for path, inner in _walk(real / top)]
    faults = [
        Fault(
            "in-the-way",
            f"{folder / path} was changed since longpoint wrote it."
            if path in listed
            else f"{folder / path} stands where a result goes, and longpoint did not write it.",
            "Move it elsewhere, or name another folder with -o.",
        )
        for path, is_folder in found
        if path not in ours and (results.may_write(path) or (not is_folder and path in results.folders))
    ]
    if faults:
        more = len(faults) - _MOST_NAMED
        if more > 0:
            rest = Fault(
                "in-the-way",
                f"{more} more files there are in the way.",
                "Move them too, or name another folder.",
            )
            faults = [*faults[:_MOST_NAMED], rest]
        raise FaultsError(faults)


def _unchanged(real: Path, ledger: str, *, listed: dict[str, str] | None = None) -> list[str]:
    """Files that a ledger names and that are as they were written."""
    named = _listed(real / ledger) if listed is None else listed
    return [path for path, print_ in named.items() if _is_as_written(real, path, print_)]


def _is_as_written(real: Path, path: str, fingerprint: str) -> bool:
    if any((real / parent).is_symlink() for parent in (*_parents(path), path)):
        return False
    try:
        return sha256((real / path).read_bytes()) == fingerprint
    except (OSError, ValueError):
        return False


def _listed(ledger: Path) -> dict[str, str]:
    """Fingerprints by path of the files that a ledger names; nothing outside its folder."""
    rows = _json(ledger).get("files")
    return {
        row["path"]: row["sha256"]
        for row in (rows if isinstance(rows, list) else [])
        if isinstance(row, dict)
        and isinstance(row.get("path"), str)
        and isinstance(row.get("sha256"), str)
        and not {"", ".", ".."} & set(row["path"].split("/"))
        and "\0" not in row["path"]
    }


def _json(file: Path) -> dict[str, Any]:
    try:
        found = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _walk(top: Path) -> Iterator[tuple[str, bool]]:
    """Path inside, and whether it is a folder, of all that lies in a folder; links are not followed."""
    pending = [""]
    while pending:
        here = pending.pop()
        if here == "" and not top.is_dir():
            continue
        for entry in sorted(os.scandir(top / here), key=lambda entry: entry.name):
            path = f"{here}/{entry.name}" if here else entry.name
            is_folder = entry.is_dir(follow_symlinks=False)
            yield path, is_folder
            if is_folder:
                pending.append(path)


def _resolved(folder: Path) -> Path:
    try:
        return folder.resolve()
    except RuntimeError:
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP)) from None


def _beside(real: Path) -> str:
    """How names of hidden folders beside begin; a file system allows 255 bytes."""
    name = real.name if len(os.fsencode(real.name)) < 200 else sha256(os.fsencode(real.name))[:16]
    return f".{name}{_HIDDEN}"


def _inside(hidden: Path, real: Path) -> Path:
    return real / f"{_HIDDEN}{hidden.name.rpartition(_HIDDEN)[2]}"


def _parents(path: str) -> list[str]:
    parts = path.split("/")
    return ["/".join(parts[:count]) for count in range(1, len(parts))]


def _move(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    source.rename(target)


def _clear_folders(real: Path, paths: Iterable[str]) -> None:
    """Takes away folders that held only such files."""
    for parent in sorted({parent for path in paths for parent in _parents(path)}, key=len, reverse=True):
        with contextlib.suppress(OSError):
            (real / parent).rmdir()


@contextlib.contextmanager
def _alone(real: Path) -> Iterator[None]:
    """One run at a time where results are put in place."""
    try:
        held = os.open(real.parent, os.O_RDONLY)
    except OSError:
        yield
        return
    try:
        _lock(held)
        yield
    finally:
        os.close(held)


def _lock(held: int, *, wait: bool = True) -> bool:
    """Locks an open folder until it is closed, however its process ends; False where another holds it."""
    try:
        fcntl.flock(held, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks
        return True
    return True


def _cannot_write(folder: Path, error: OSError) -> FaultsError:
    return refuse(
        "cannot-write",
        f"{folder} cannot be written: {(error.strerror or str(error)).lower()}. Nothing was written.",
        "Name another folder with -o, or make room.",
    )
