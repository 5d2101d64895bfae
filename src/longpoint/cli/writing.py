"""Single files on disk: read, and written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from longpoint.cli.folder import check_folder
from longpoint.errors import FaultsError, refuse


def read_bytes(path: Path) -> bytes:
    """A file's contents.

    Raises:
        FaultsError: If it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise refuse(
            "cannot-read",
            f"{path} cannot be read: {_reason(error)}.",
            "Check the name and the place.",
        ) from None


def check_file(path: Path) -> None:
    """Refuses a file that is there already or cannot be written, before any work is done.

    Raises:
        FaultsError: If it is there, or its folder cannot be made or written.
    """
    if os.path.lexists(path):
        raise refuse("file-exists", f"{path} is there already.", "Name another file; nothing was written.")
    check_folder(path.parent)


def write_file(path: Path, contents: bytes) -> None:
    """Writes a new file, whole or not at all; one that is there stays.

    Args:
        path: The file; its folder is made if it is not there.
        contents: What is in it.

    Raises:
        FaultsError: If it is there already or cannot be written.
    """
    check_file(path)
    beside: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".longpoint-", dir=path.parent)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(contents)
            file.flush()
            os.fsync(file.fileno())
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
        try:
            os.link(beside, path)  # fails where somebody was quicker
        except FileExistsError:
            raise
        except OSError:  # a file system without links
            beside.rename(path)
    except OSError as error:
        raise _cannot_write(path, error) from None
    finally:
        if beside is not None:
            beside.unlink(missing_ok=True)


def _cannot_write(path: Path, error: OSError) -> FaultsError:
    return refuse(
        "cannot-write",
        f"{path} cannot be written: {_reason(error)}. Nothing was written.",
        "Name another place, or make room.",
    )


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
