"""Results on disk: written beside, then moved into place, so that nothing is ever half written."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from longpoint.errors import refuse


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


def check_folder(folder: Path) -> None:
    """Refuses a folder that cannot be written, before any work is done; nothing is left behind.

    Raises:
        FaultsError: If it is a file, or cannot be made or written.
    """
    if folder.exists() and not folder.is_dir():
        raise refuse("cannot-write", f"{folder} is a file, not a folder.", "Name another folder with -o.")
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    try:
        if not there.is_dir():
            raise NotADirectoryError(f"{there} is a file")
        with tempfile.TemporaryFile(dir=there):
            pass
    except OSError as error:
        raise _cannot_write(folder, error) from None


def check_file(path: Path) -> None:
    """Refuses a file that cannot be written, before any work is done.

    Raises:
        FaultsError: If it is a folder, or its folder cannot be made or written.
    """
    if path.is_dir():
        raise refuse("cannot-write", f"{path} is a folder.", "Name a file.")
    check_folder(path.parent)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Writes files into a folder, all or none.

    Everything is first written into a hidden folder beside, then moved. Subfolders named in ``files`` are
    replaced whole, so that drawings of a work that is no longer there do not stay behind; other files in the
    folder are left alone.

    Args:
        folder: The folder; made if it is not there.
        files: Contents by path inside the folder, with ``/``.

    Raises:
        FaultsError: If it cannot be written.
    """
    check_folder(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    beside = Path(tempfile.mkdtemp(prefix=".longpoint-", dir=folder))
    try:
        for name, contents in files.items():
            target = beside / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(contents)
        for entry in sorted(beside.iterdir()):
            place = folder / entry.name
            if entry.is_dir() and place.exists():
                aside = beside / f".{entry.name}.before"
                place.rename(aside)
            entry.replace(place)
    except OSError as error:
        raise _cannot_write(folder, error) from None
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def write_file(path: Path, contents: bytes) -> None:
    """Writes one file, whole or not at all.

    Args:
        path: The file; its folder is made if it is not there.
        contents: What is in it.

    Raises:
        FaultsError: If it cannot be written.
    """
    if path.is_dir():
        raise refuse("cannot-write", f"{path} is a folder.", "Name a file.")
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_bytes(contents)
        beside.replace(path)
    except OSError as error:
        raise _cannot_write(path, error) from None


def _cannot_write(folder: Path, error: OSError) -> Exception:
    return refuse(
        "cannot-write",
        f"{folder} cannot be written: {_reason(error)}. Nothing was written.",
        "Name another folder with -o, or make room.",
    )


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
