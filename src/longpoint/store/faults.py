"""What a database says when it cannot, as one message for a person; and what two people who wrote at once are told."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm.exc import StaleDataError

from longpoint.errors import Fault, FaultsError, LongpointError
from longpoint.store.place import Place


class ConflictError(LongpointError):
    """Somebody else wrote meanwhile; nothing was written.

    Attributes:
        about: What it is about, e.g. ``board B17``.
        now: What stands there now.
        who: Who wrote it; "" where that is not known.
        version: Version to name to write over it all the same.
    """

    def __init__(self, about: str, *, now: str = "", who: str = "", version: int | None = None) -> None:
        self.about, self.now, self.who, self.version = about, now, who, version
        by = f" by {who}" if who else ""
        stands = f" It is now: {now}." if now else ""
        super().__init__(
            f"{about} was changed{by} meanwhile; nothing was written.{stands} "
            "Look again and keep what is there, or write yours over it."
        )


@contextmanager
def plainly(place: Place) -> Iterator[None]:
    """Says what a database cannot do in one message.

    Raises:
        FaultsError: In place of what the database raised.
        ConflictError: If a row was changed by somebody else since it was read.
    """
    try:
        yield
    except StaleDataError:
        raise ConflictError("what you changed") from None
    except DBAPIError as error:
        fault = _fault(error, place)
        if fault is None:
            raise
        raise FaultsError([fault]) from None


NOT_WRITTEN = "Nothing was written."

_LITE = {
    "SQLITE_BUSY": ("store-locked", "is locked by another program", "Wait until it is done, then try again."),
    "SQLITE_LOCKED": (
        "store-locked",
        "is locked by another program",
        "Wait until it is done, then try again.",
    ),
    "SQLITE_FULL": ("disk-full", "cannot grow: the disk is full", "Make room, then try again."),
    "SQLITE_READONLY": (
        "store-read-only",
        "cannot be written: it, or its folder, is read-only",
        "Give yourself the right to write there, or name another folder with --data.",
    ),
    "SQLITE_PERM": (
        "store-read-only",
        "cannot be written: it, or its folder, is read-only",
        "Give yourself the right to write there, or name another folder with --data.",
    ),
    "SQLITE_CANTOPEN": (
        "store-closed",
        "cannot be opened or made",
        "Check its folder and your rights there, or name another with --data.",
    ),
    "SQLITE_NOTADB": (
        "not-a-store",
        "is no store of longpoint, or is damaged",
        "Restore a backup with: longpoint store restore FILE, or name another folder with --data.",
    ),
    "SQLITE_CORRUPT": (
        "store-damaged",
        "is damaged",
        "Restore a backup with: longpoint store restore FILE --data ANOTHER-FOLDER.",
    ),
    "SQLITE_IOERR": ("store-io", "cannot be read or written: the disk does not answer", "Check the disk."),
}
_SERVER = {
    "53100": ("disk-full", "cannot grow: the server's disk is full", "Make room there, then try again."),
    "55P03": ("store-locked", "is locked by another program", "Wait until it is done, then try again."),
    "40P01": ("store-busy", "was written by several at once", "Try again."),
    "40001": ("store-busy", "was written by several at once", "Try again."),
    "57014": ("store-busy", "took too long to answer", "Try again when fewer work in it."),
    "53300": ("store-busy", "has no connection left", "Try again when fewer work in it."),
    "25006": ("store-read-only", "may only be read", "Ask who keeps the server for the right to write."),
    "42501": ("store-read-only", "gives you no right to do that", "Ask who keeps the server."),
    "28P01": ("store-closed", "does not take this name and password", "Check the URL given with --data."),
    "28000": ("store-closed", "does not take this name", "Check the URL given with --data."),
    "3D000": ("store-closed", "is not there: no such database", "Make it with createdb, or check --data."),
}


def _fault(error: DBAPIError, place: Place) -> Fault | None:
    """The fault that a database's error is; None where it is a fault of this program."""
    own: Any = error.orig
    name = getattr(own, "sqlite_errorname", None)
    if name is not None:
        known = next((said for key, said in _LITE.items() if name.startswith(key)), None)
        return None if known is None else _said(place, *known)
    state = getattr(own, "sqlstate", None)
    if state in _SERVER:
        return _said(place, *_SERVER[state])
    gone = state is not None and state[:2] in ("08", "57")
    if gone or (state is None and isinstance(error, OperationalError)):
        return _said(
            place, "store-gone", "does not answer", "Try again in a minute; see that the server runs."
        )
    return None


def _said(place: Place, code: str, what: str, remedy: str) -> Fault:
    return Fault(code, f"The store {place} {what}. {NOT_WRITTEN}", remedy)
