"""Everything in a store as a folder that a person can read: tables as CSV, plans as JSON, photographs, an index.

``README.md`` says what each file is; ``store.json`` holds its shape, counts and fingerprints. Lengths stand in mm,
amounts in the unit of the thing. Columns that are only there to be read (a label beside a number) are left out when
it is read in again: the store is then what it was, row for row, on either database.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import shutil
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import IO, Any

from sqlalchemy import JSON, BigInteger, Boolean, Connection, Double, Integer, LargeBinary, Table, select
from sqlalchemy.engine import RowMapping

from longpoint.errors import refuse
from longpoint.store.book.document import packed, unpacked
from longpoint.store.book.photographs import FOLDER
from longpoint.store.faults import NOT_WRITTEN
from longpoint.store.keeping.archive import FORMAT, kept_tables, moment, one_moment, photographs_of, read_in
from longpoint.store.opening import Store
from longpoint.store.rack.facts import NM, THOUSANDTHS, amount_words
from longpoint.store.tables import CHAIN, Base, Moment

NAMES = {
    "item": "things",
    "event": "journal",
    "reservation": "kept",
    "batch": "batches",
    "plan": "plans",
    "copy": "works",
    "tick": "ticks",
    "measured": "measured",
    "photograph": "photographs",
    "person": "people",
    "signed_in": "sessions",
    "audit": "audit",
    "long_work": "queue",
    "number": "numbers",
}
"""What the file of each table is called."""

_IN_NM = {("item", name) for name in ("thickness", "depth", "length")}
_AMOUNTS = {("item", "amount"), ("item", "reserved"), ("event", "amount"), ("reservation", "amount")}
_TO_READ = {"item": ("is",), "event": ("label",), "reservation": ("label",), "copy": ("title",), "tick": ("label",),
            "measured": ("label",), "photograph": ("label", "file")}  # fmt: skip
"""Columns that are only there to be read, behind those of the table."""

_RUN = ("=", "+", "-", "@", "'", "\t")
"""What a program for tables might run when a cell begins with it; such a cell gets a sign before it."""


@dataclass
class _Seen:
    """What rows of one table need to know of others, gathered as they are written."""

    kinds: dict[int, str] = field(default_factory=dict)
    labels: dict[int, str] = field(default_factory=dict)
    copies: dict[int, str] = field(default_factory=dict)
    titles: dict[int, str] = field(default_factory=dict)


def write_readable(store: Store, folder: Path) -> dict[str, int]:
    """Writes everything into a folder that is not there yet; whole or not at all.

    Args:
        store: The store; others may go on writing.
        folder: Where to.

    Returns:
        How many rows of each table, and photographs.

    Raises:
        FaultsError: If the folder is there already or cannot be written.
    """
    if folder.exists():
        raise refuse("in-the-way", f"{folder} is there already.", "Name a new folder.")
    stage = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=".longpoint-", dir=folder.parent))
        counts = _written(store, stage)
        stage.chmod(0o755)
        stage.rename(folder)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-write", f"{folder} cannot be written: {why}. {NOT_WRITTEN}", "Make room."
        ) from None
    finally:
        if stage is not None:
            shutil.rmtree(stage, ignore_errors=True)
    return counts


def _written(store: Store, stage: Path) -> dict[str, int]:
    counts: dict[str, int] = {}
    prints: dict[str, str] = {}
    missing: list[str] = []

    def put(name: str, contents: bytes) -> None:
        file = stage / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(contents)
        prints[name] = hashlib.sha256(contents).hexdigest()

    with one_moment(store) as connection:
        seen = _Seen()
        for table in kept_tables():
            out = io.StringIO()
            writer = csv.writer(out, lineterminator="\r\n")  # either sign in a note is then put in quotes
            columns = [column.name for column in table.columns]
            writer.writerow([*columns, *_TO_READ.get(table.name, ())])
            counts[table.name] = 0
            for row in _rows(connection, table):
                if table.name == "plan":
                    put(_plan_file(row), _json(unpacked(row["document"]), indent=1))
                cells = [_cell(table, name, row, seen) for name in columns]
                writer.writerow([*cells, *(_guarded(cell) for cell in _to_read(table.name, row, seen))])
                counts[table.name] += 1
            put(f"{NAMES[table.name]}.csv", out.getvalue().encode())
        for name in photographs_of(connection):
            try:
                put(f"{FOLDER}/{name}", (store.place.folder / FOLDER / name).read_bytes())
            except OSError:
                missing.append(name)
    pictures = sum(name.startswith(f"{FOLDER}/") for name in prints)
    put("README.md", _readme(counts, pictures).encode())
    head = {"format": FORMAT, "shape": CHAIN[-1], "rows": counts, "files": prints, "missing": missing}
    (stage / "store.json").write_bytes(_json(head, indent=1))
    return counts | {"photographs": pictures}


def read_readable(store: Store, folder: Path) -> dict[str, int]:
    """Reads such a folder into a store that holds nothing yet; whole or not at all.

    Returns:
        How many rows of each table.

    Raises:
        FaultsError: If the store is not empty, or the folder is damaged, of a newer program, or tells no true story.
    """
    files = _Folder(folder)
    return read_in(store, files, rows=lambda table: _read_rows(files, table), file=folder.name)


class _Folder:
    """The files of a folder, as an archive gives its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._names = [path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()]

    def namelist(self) -> list[str]:
        """Paths of all files."""
        return self._names

    def open(self, name: str) -> IO[bytes]:
        """A file to be read."""
        return (self.folder / name).open("rb")

    def read(self, name: str) -> bytes:
        """All of a file."""
        return (self.folder / name).read_bytes()


def _rows(connection: Connection, table: Table) -> Iterator[RowMapping]:
    yield from connection.execute(select(table).order_by(*table.primary_key.columns)).mappings().all()


def _plan_file(row: RowMapping) -> str:
    return f"plans/batch-{row['batch_id']}-plan-{row['number']}.json"


def _cell(table: Table, name: str, row: RowMapping, seen: _Seen) -> str:
    value = row[name]
    kind = table.columns[name].type
    if table.name == "item" and name == "kind":
        seen.kinds[row["id"]], seen.labels[row["id"]] = row["kind"], row["label"]
    if table.name == "batch" and name == "title":
        seen.titles[row["id"]] = value
    if table.name == "copy" and name == "label":
        seen.copies[row["id"]] = value
    if isinstance(kind, LargeBinary):
        return _plan_file(row)
    if isinstance(kind, JSON):
        return _guarded("" if value is None else _json(value).decode())
    if value is None:
        return ""
    if (table.name, name) in _IN_NM:
        return _over(value, NM)
    if (table.name, name) in _AMOUNTS:
        of = row["kind"] if table.name == "item" else seen.kinds[row["item_id"]]
        return _over(value, _UNIT.get(of, 1))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat()
    return repr(value) if isinstance(value, float) else _guarded(str(value))


_UNIT = {"roll": NM, "supply": THOUSANDTHS}
"""Into what an amount is parted; boards are whole."""


def _to_read(table: str, row: RowMapping, seen: _Seen) -> list[str]:
    match table:
        case "item":
            return [amount_words(row["kind"], row["facts"], row["amount"])]
        case "event" | "reservation":
            return [seen.labels[row["item_id"]]]
        case "copy":
            return [seen.titles[row["batch_id"]]]
        case "tick" | "measured":
            return [seen.copies.get(row["copy_id"], "")]
        case "photograph":
            sha = row["sha256"]
            return [seen.copies[row["copy_id"]], f"{FOLDER}/{sha[:2]}/{sha}.{row['kind']}"]
    return []


def _read_rows(files: _Folder, table: Table) -> Iterator[dict[str, Any]] | None:
    """Rows of a table; None where the folder has no such file.

    Raises:
        ValueError: If a row cannot be.
    """
    name = f"{NAMES[table.name]}.csv"
    if name not in files.namelist():
        return None
    kinds: dict[int, str] = {}
    if table.name in ("event", "reservation"):
        kinds = {int(row["id"]): row["kind"] for row in _dicts(files, "things.csv")}
    return (_row(files, table, row, kinds) for row in _dicts(files, name))


def _dicts(files: _Folder, name: str) -> Iterator[dict[str, str]]:
    csv.field_size_limit(64_000_000)
    return csv.DictReader(io.StringIO(files.read(name).decode(), newline=""))


def _row(files: _Folder, table: Table, cells: Mapping[str, str], kinds: Mapping[int, str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for column in table.columns:
        cell = cells.get(column.name)
        if cell is None:
            continue  # an older shape had no such column
        found[column.name] = _value(files, table, column.name, cell, cells, kinds)
    return found


def _value(
    files: _Folder, table: Table, name: str, cell: str, cells: Mapping[str, str], kinds: Mapping[int, str]
) -> Any:
    column = table.columns[name]
    kind = column.type
    if cell == "" and (column.nullable or isinstance(kind, JSON)):
        return None
    if isinstance(kind, LargeBinary):
        if cell not in files.namelist():
            raise KeyError(cell)
        return packed(json.loads(files.read(cell)))
    if isinstance(kind, JSON):
        return json.loads(_plain(cell))
    if isinstance(kind, Moment):
        return moment(cell)
    if (table.name, name) in _IN_NM:
        return int(Decimal(cell) * NM)
    if (table.name, name) in _AMOUNTS:
        of = cells["kind"] if table.name == "item" else kinds[int(cells["item_id"])]
        return int(Decimal(cell) * _UNIT.get(of, 1))
    if isinstance(kind, Boolean):
        return {"yes": True, "no": False}[cell]
    if isinstance(kind, Double) or kind.python_type is float:
        return float(cell)
    if isinstance(kind, BigInteger | Integer) or kind.python_type is int:
        return int(cell)
    return _plain(cell)


def _over(value: int, unit: int) -> str:
    found = Decimal(value) / unit
    return f"{found.normalize():f}" if found else "0"


def _guarded(text: str) -> str:
    return f"'{text}" if text.startswith(_RUN) else text


def _plain(cell: str) -> str:
    return cell[1:] if cell.startswith("'") else cell


def _json(value: Any, indent: int | None = None) -> bytes:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, indent=indent).encode()


_ABOUT = """# What the shop keeps in longpoint

Everything of the rack and the build book, to be read by anybody. Tables are CSV in UTF-8, their first row names the
columns; lengths are in mm, amounts in the unit of the thing (boards by number, cloth in mm, glue in g, size and primer
in l, all else by number), times in UTC. A cell that begins with =, +, -, @ or ' has a ' before it, which does not
belong to it. `longpoint store import FOLDER` reads all of it into a store that holds nothing yet.
"""


def _readme(counts: Mapping[str, int], pictures: int) -> str:
    lines = [_ABOUT]
    docs = {
        str(mapper.local_table): (mapper.class_.__doc__ or "").strip() for mapper in Base.registry.mappers
    }
    for name in (name for name in NAMES if name in counts):
        doc = docs[name]
        first, _, rest = doc.partition("\n\n")
        lines += [f"## {NAMES[name]}.csv", "", f"{' '.join(first.split())} {counts[name]} rows.", ""]
        for line in rest.partition("Attributes:")[2].splitlines():
            if line.strip():
                lines.append(
                    f"- {line.strip()}"
                    if line.startswith("        ") and ": " in line
                    else f"  {line.strip()}"
                )
        more = _TO_READ.get(name, ())
        if more:
            lines.append(f"- {', '.join(more)}: only to be read.")
        lines.append("")
    lines += ["## plans/", "", "Every plan as it was kept, as `plan.json` or `replan.json`.", ""]
    lines += [f"## {FOLDER}/", "", f"{pictures} photographs, named by their fingerprints (SHA-256).", ""]
    return "\n".join(lines)
