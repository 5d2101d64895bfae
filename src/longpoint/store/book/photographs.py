"""Photographs of works: files beside the store, named by their fingerprints; the store keeps whose they are."""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import select

from longpoint.errors import FaultsError, refuse
from longpoint.store.book.ticks import copy_row
from longpoint.store.faults import NOT_WRITTEN
from longpoint.store.opening import Desk
from longpoint.store.tables import Photograph

FOLDER = "photographs"

LARGEST = 12_000_000
"""Of a photograph. [bytes] Estimate: a telephone's is 3 to 8 million."""

_SIGNS = {"jpeg": (b"\xff\xd8\xff",), "png": (b"\x89PNG\r\n\x1a\n",), "webp": (b"RIFF",)}
"""How a file of each kind begins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographLine:
    """A photograph.

    Attributes:
        id: Its number in the store.
        label: Of the copy it shows.
        kind: ``jpeg``, ``png`` or ``webp``.
        size: In bytes.
        caption: What is said of it.
        at: When it was attached.
        who: By whom.
        file: Where it lies.
    """

    id: int
    label: str
    kind: str
    size: int
    caption: str
    at: datetime
    who: str
    file: Path


def attach(desk: Desk, label: str, picture: bytes, *, caption: str = "") -> PhotographLine:
    """Attaches a photograph to a copy; the same one twice is kept once.

    Args:
        desk: A transaction that writes.
        label: Of the copy.
        picture: JPEG, PNG or WebP.
        caption: What is said of it.

    Raises:
        FaultsError: If it is no picture of these kinds, too large, or cannot be written.
    """
    kind = picture_kind(picture)
    row = copy_row(desk, label)
    sha = hashlib.sha256(picture).hexdigest()
    there = desk.session.scalar(
        select(Photograph).where(Photograph.copy_id == row.id, Photograph.sha256 == sha)
    )
    if there is None:
        _write(file_of(desk.folder, sha, kind), picture)
        there = Photograph(
            copy_id=row.id,
            sha256=sha,
            kind=kind,
            size=len(picture),
            caption=caption[:600],
            at=desk.now,
            who=desk.who,
        )
        desk.session.add(there)
        desk.session.flush()
    return _line(desk, label, there)


def photographs(desk: Desk, label: str) -> list[PhotographLine]:
    """The photographs of a copy, oldest first."""
    row = copy_row(desk, label)
    rows = desk.session.scalars(
        select(Photograph).where(Photograph.copy_id == row.id).order_by(Photograph.id)
    ).all()
    return [_line(desk, label, one) for one in rows]


def picture_kind(picture: bytes) -> str:
    """Which kind of picture it is.

    Raises:
        FaultsError: If it is none of those that are taken, or too large.
    """
    if len(picture) > LARGEST:
        raise refuse(
            "picture-large",
            f"the photograph has {len(picture) / 1e6:.1f} MB.",
            f"Make it smaller: up to {LARGEST / 1e6:g} MB are kept.",
        )
    for kind, signs in _SIGNS.items():
        if picture.startswith(signs) and (kind != "webp" or picture[8:12] == b"WEBP"):
            return kind
    raise refuse("no-picture", "the file is no photograph.", "Give a JPEG, PNG or WebP file.")


def file_of(folder: Path, sha256: str, kind: str) -> Path:
    """Where a photograph lies."""
    return folder / FOLDER / sha256[:2] / f"{sha256}.{kind}"


def _write(file: Path, picture: bytes) -> None:
    """Whole or not at all; what is there already is the same."""
    if file.exists():
        return
    name = ""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=file.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(picture)
            out.flush()
            os.fsync(out.fileno())
        Path(name).replace(file)
    except OSError as error:
        with contextlib.suppress(OSError):
            Path(name).unlink(missing_ok=True)
        raise _cannot(file, error) from None


def _cannot(file: Path, error: OSError) -> FaultsError:
    why = (error.strerror or str(error)).lower()
    return refuse(
        "cannot-write",
        f"{file.parent} cannot be written: {why}. {NOT_WRITTEN}",
        "Make room, or ask who keeps it.",
    )


def _line(desk: Desk, label: str, row: Photograph) -> PhotographLine:
    return PhotographLine(
        id=row.id, label=label, kind=row.kind, size=row.size, caption=row.caption, at=row.at, who=row.who,
        file=file_of(desk.folder, row.sha256, row.kind),
    )  # fmt: skip
