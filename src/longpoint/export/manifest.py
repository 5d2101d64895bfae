"""Which files were written: path and fingerprint of each, kept in the results themselves.

A later run may replace what is named here and unchanged since; everything else in the folder belongs to somebody.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from pydantic import Field

from longpoint.export.rows.row import Row


class FileRow(Row):
    """A file that was written."""

    path: str = Field(description="Inside the folder of results, with /.")
    sha256: str


def sha256(contents: bytes) -> str:
    """The fingerprint of a file's contents."""
    return hashlib.sha256(contents).hexdigest()


def manifest_of(files: Iterable[tuple[str, bytes]]) -> list[FileRow]:
    """A row for each file, in the order of their paths."""
    return sorted((FileRow(path=path, sha256=sha256(contents)) for path, contents in files), key=_path)


def _path(row: FileRow) -> str:
    return row.path
