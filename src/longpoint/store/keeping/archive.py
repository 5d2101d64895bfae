"""Everything in a store as one file: a backup, and the way from one database to another.

A ZIP file of ``store.json`` (shape, counts, fingerprints), ``tables/NAME.jsonl`` (a row a line, as it stands in the
database) and ``photographs/…``. It is written from one transaction that sees one moment of the store; others may go on
meanwhile. What is read in is held against its fingerprints first, and against its own journal after.
"""

from __future__ import annotations

import base64
import hashlib
import io
import itertools
import json
import zipfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, Any, Protocol

from sqlalchemy import Connection, LargeBinary, Table, func, insert, inspect, select, text
from sqlalchemy.engine import RowMapping

from longpoint.errors import Fault, FaultsError, refuse
from longpoint.store.book.photographs import FOLDER
from longpoint.store.faults import NOT_WRITTEN, plainly
from longpoint.store.opening import Store
from longpoint.store.rack.days import differences
from longpoint.store.rack.words import written_anew
from longpoint.store.tables import CHAIN, Base, Moment, Photograph, Words

FORMAT = "longpoint store"

_PORTION = 2000
_LARGEST_ROW = 64_000_000


def write_archive(store: Store, out: IO[bytes]) -> dict[str, int]:
    """Writes everything into an archive.

    Args:
        store: The store; others may go on writing.
        out: Where to.

    Returns:
        How many rows of each table, and photographs.
    """
    counts: dict[str, int] = {}
    prints: dict[str, str] = {}
    with one_moment(store) as connection, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for table in kept_tables():
            path = f"tables/{table.name}.jsonl"
            seen = hashlib.sha256()
            counts[table.name] = 0
            with archive.open(path, "w", force_zip64=True) as file:
                for line in _lines(connection, table):
                    file.write(line)
                    seen.update(line)
                    counts[table.name] += 1
            prints[path] = seen.hexdigest()
        missing: list[str] = []
        for name in photographs_of(connection):
            try:
                picture = (store.place.folder / FOLDER / name).read_bytes()
            except OSError:
                missing.append(name)
                continue
            archive.writestr(f"{FOLDER}/{name}", picture, zipfile.ZIP_STORED)
            prints[f"{FOLDER}/{name}"] = hashlib.sha256(picture).hexdigest()
        head = {"format": FORMAT, "shape": CHAIN[-1], "rows": counts, "files": prints, "missing": missing}
        archive.writestr("store.json", json.dumps(head, indent=1, sort_keys=True))
    return counts | {"photographs": len(prints) - len(counts)}


@contextmanager
def one_moment(store: Store) -> Iterator[Connection]:
    """A look at everything as it was at one moment, though others go on writing."""
    with plainly(store.place), store.engine.execution_options(longpoint_writes=False).connect() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY"))
        yield connection


def read_archive(store: Store, contents: IO[bytes], *, file: str) -> dict[str, int]:
    """Reads everything from an archive into a store that holds nothing yet; whole or not at all.

    Args:
        store: An empty store.
        contents: The archive.
        file: Its name, for messages.

    Returns:
        How many rows of each table.

    Raises:
        FaultsError: If the store is not empty, or the archive is damaged, of a newer program, or tells no true story.
    """
    try:
        archive = zipfile.ZipFile(contents)
    except zipfile.BadZipFile as error:
        raise _damaged(file, f"it is no backup of a store ({type(error).__name__})") from None
    return read_in(store, archive, rows=lambda table: _rows_of(archive, table), file=file)


class Files(Protocol):
    """Where what is read in lies."""

    def namelist(self) -> list[str]:
        """Paths of all files."""

    def open(self, name: str) -> IO[bytes]:
        """A file to be read."""

    def read(self, name: str) -> bytes:
        """All of a file."""


def read_in(
    store: Store, files: Files, *, rows: Callable[[Table], Iterator[dict[str, Any]] | None], file: str
) -> dict[str, int]:
    """Reads everything into a store that holds nothing yet; whole or not at all.

    Args:
        store: An empty store.
        files: ``store.json`` and what it names.
        rows: The rows of a table; None where there are none of it. What cannot be is a `ValueError`.
        file: Name of all of it, for messages.

    Returns:
        How many rows of each table.

    Raises:
        FaultsError: See `read_archive`.
    """
    try:
        head = json.loads(files.read("store.json"))
        if head["format"] != FORMAT:
            raise KeyError(FORMAT)
        counts = {str(name): int(number) for name, number in head["rows"].items()}
        prints: dict[str, str] = dict(head["files"])
    except (zipfile.BadZipFile, OSError, KeyError, ValueError, TypeError) as error:
        raise _damaged(file, f"it is no backup of a store ({type(error).__name__})") from None
    if head.get("shape") not in CHAIN:
        raise refuse(
            "store-too-new",
            f"{file} was written by a newer longpoint (its shape is {head.get('shape')}).",
            "Read it with that one.",
        )
    _check_prints(files, prints, file)
    for name in prints:
        if name.startswith(f"{FOLDER}/"):
            _put_file(store.place.folder, name, files.read(name))
    with plainly(store.place), store.engine.begin() as connection:
        if full := _not_empty(connection):
            raise refuse(
                "store-not-empty",
                f"The store {store.place} holds something already ({', '.join(full)}). {NOT_WRITTEN}",
                "Read it into another one: --data ANOTHER-FOLDER.",
            )
        for table in kept_tables():
            if table.name == "number":
                connection.execute(table.delete())
            _insert(connection, table, rows(table) or iter(()), file)
        _numbers_go_on(connection)
        written_anew(connection)
    with store.reading() as desk:
        faults = [
            Fault("archive-untrue", f"{file}: {what}.", "Use another backup.") for what in differences(desk)
        ]
    if faults:
        _empty(store)
        raise FaultsError(faults)
    return counts


def check_store(store: Store) -> list[str]:
    """Everything that is wrong with a store; nothing where it is sound."""
    found: list[str] = []
    with plainly(store.place), store.engine.execution_options(longpoint_writes=False).connect() as connection:
        if connection.dialect.name == "sqlite":
            said = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
            found += [f"the file: {line}" for line in said if line != "ok"]
            broken = connection.execute(text("PRAGMA foreign_key_check")).all()
            found += [f"a row of {row[0]} belongs to nothing" for row in broken]
        names = photographs_of(connection)
    with store.reading() as desk:
        found += differences(desk)
    for name in names:
        try:
            picture = (store.place.folder / FOLDER / name).read_bytes()
        except OSError:
            found.append(f"photograph {name} is missing")
            continue
        if hashlib.sha256(picture).hexdigest() != PurePosixPath(name).stem:
            found.append(f"photograph {name} was changed")
    return found


def kept_tables() -> list[Table]:
    """All tables, those that others rest on first; without words, which are written anew from the things."""
    return [table for table in Base.metadata.sorted_tables if table.name != Words.__tablename__]


def _lines(connection: Connection, table: Table) -> Iterator[bytes]:
    asked = select(table).order_by(*table.primary_key.columns)
    rows = connection.execution_options(yield_per=_PORTION).execute(asked).mappings()
    for row in rows:
        yield json.dumps(_plain(row), ensure_ascii=False, sort_keys=True).encode() + b"\n"


def _plain(row: RowMapping) -> dict[str, Any]:
    return {key: _value(value) for key, value in row.items()}


def _value(value: Any) -> Any:
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    return value.isoformat() if hasattr(value, "isoformat") else value


def _insert(connection: Connection, table: Table, rows: Iterator[dict[str, Any]], file: str) -> None:
    while True:
        try:
            portion = list(itertools.islice(rows, _PORTION))
        except (ValueError, TypeError, AttributeError, KeyError, ArithmeticError) as error:
            raise _damaged(file, f"a row of {table.name} cannot be read ({type(error).__name__})") from None
        if not portion:
            return
        connection.execute(insert(table), portion)


def _rows_of(archive: zipfile.ZipFile, table: Table) -> Iterator[dict[str, Any]] | None:
    path = f"tables/{table.name}.jsonl"
    return _read_lines(archive.read(path), table) if path in archive.namelist() else None


def _read_lines(lines: bytes, table: Table) -> Iterator[dict[str, Any]]:
    columns = {column.name: column.type for column in table.columns}
    for line in io.BytesIO(lines):
        if len(line) > _LARGEST_ROW:
            msg = "too long"
            raise ValueError(msg)
        row = json.loads(line)
        made = {name: row[name] for name in columns if name in row}
        for name, kind in columns.items():
            if made.get(name) is not None and isinstance(kind, LargeBinary):
                made[name] = base64.b64decode(made[name])
            elif made.get(name) is not None and isinstance(kind, Moment):
                made[name] = moment(made[name])
        yield made


def moment(told: str) -> datetime:
    """A time as it was written.

    Raises:
        ValueError: If it is none.
    """
    return datetime.fromisoformat(told)


def _numbers_go_on(connection: Connection) -> None:
    """On a server, the next row gets a number after the last that was read in."""
    if connection.dialect.name != "postgresql":
        return
    for table in kept_tables():
        if "id" in table.columns:
            connection.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                    f"(SELECT max(id) FROM {table.name})) WHERE EXISTS (SELECT 1 FROM {table.name})"
                )
            )


def _not_empty(connection: Connection) -> list[str]:
    return [
        table.name
        for table in kept_tables()
        if table.name not in ("number", "audit")
        and connection.scalar(select(func.count()).select_from(table))
    ]


def _empty(store: Store) -> None:
    """Takes everything out of a store that was just filled with what turned out untrue: its tables are made anew."""
    from longpoint.store.opening import to_shape

    to_shape(store.engine, "base")
    to_shape(store.engine, CHAIN[-1])


def photographs_of(connection: Connection) -> list[str]:
    """Paths of all photographs in their folder."""
    if "photograph" not in inspect(connection).get_table_names():
        return []
    asked = select(Photograph.sha256, Photograph.kind).distinct().order_by(Photograph.sha256)
    return [f"{sha[:2]}/{sha}.{kind}" for sha, kind in connection.execute(asked)]


def _check_prints(archive: Files, prints: dict[str, str], file: str) -> None:
    named = set(archive.namelist())
    for name, told in prints.items():
        if name not in named or ".." in PurePosixPath(name).parts or PurePosixPath(name).is_absolute():
            raise _damaged(file, f"{name} is missing")
        seen = hashlib.sha256()
        try:
            with archive.open(name) as part:
                for piece in _pieces(part):
                    seen.update(piece)
        except (zipfile.BadZipFile, OSError, EOFError) as error:
            raise _damaged(file, f"{name} cannot be read ({type(error).__name__})") from None
        if seen.hexdigest() != told:
            raise _damaged(file, f"{name} is not as it was written")


def _pieces(part: IO[bytes]) -> Iterable[bytes]:
    while piece := part.read(1 << 20):
        yield piece


def _put_file(folder: Path, name: str, picture: bytes) -> None:
    file = folder / name
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(picture)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-write", f"{file} cannot be written: {why}. {NOT_WRITTEN}", "Make room."
        ) from None


def _damaged(file: str, why: str) -> FaultsError:
    return refuse("archive-damaged", f"{file}: {why}. {NOT_WRITTEN}", "Use another backup.")
