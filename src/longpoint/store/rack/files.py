"""The rack as a table: rows of CSV and XLSX, read with all faults at once, written so that they can be read again."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from longpoint.errors import Fault, Where, refuse
from longpoint.model.mending import read_data
from longpoint.store.opening import Desk
from longpoint.store.rack.facts import MODELS, NM, THOUSANDTHS, AnyStated, Board, Cloth, Kind, Supply
from longpoint.store.rack.stock import Thing, Wish, listed
from longpoint.store.tables import Item

HEAD = (
    "label", "kind", "thickness", "depth", "length", "timber", "grade", "serves", "bevelled", "bow", "crook", "twist",
    "avoid", "width", "cloth", "fibre", "state", "mass", "water_tension", "stiffness", "selvedge", "flaws", "what",
    "supply", "amount", "opened", "place", "yard", "cost", "worth", "came", "cut_from", "how_many",
)  # fmt: skip
"""Columns of a table of the rack; lengths in mm. ``supply`` says which table of the batch file a supply goes with."""

MOST_ROWS = 100_000
LARGEST = 20_000_000
"""Of a file that is read. [bytes]"""

_YES = {"yes": True, "true": True, "no": False, "false": False}
_SPAN = re.compile(r"^([\d.,]+)\s*(?:-|–|to)\s*([\d.,]+)(?:\s+(.*))?$")


@dataclass(frozen=True, slots=True)
class Preview:
    """What a table would bring into the rack.

    Attributes:
        things: What can be read.
        faults: Everything that cannot, with its line; where there is one nothing is taken in.
    """

    things: tuple[AnyStated, ...]
    faults: tuple[Fault, ...]

    @property
    def counts(self) -> dict[str, int]:
        """How many of each kind would come."""
        found: dict[str, int] = {}
        for one in self.things:
            kind = "roll" if isinstance(one, Cloth) else "supply" if isinstance(one, Supply) else "board"
            found[kind] = found.get(kind, 0) + (one.how_many if isinstance(one, Board) else 1)
        return found


def read_table(contents: bytes, *, file: str) -> list[list[Any]]:
    """The cells of a CSV or XLSX file.

    Raises:
        FaultsError: If it is neither, or too large.
    """
    if len(contents) > LARGEST:
        raise refuse("too-large", "the table is too large.", "Give it in parts.", Where("", file))
    if contents.startswith(b"PK"):
        return _xlsx(contents, file)
    try:
        text = contents.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = contents[: error.start].count(b"\n") + 1
        raise refuse(
            "not-utf-8", "the table is not UTF-8 text.", "Save it as CSV UTF-8.", Where("", file, line)
        ) from None
    head = text.splitlines()[0] if text.splitlines() else ""
    part = ";" if head.count(";") > head.count(",") else "\t" if "\t" in head else ","
    try:
        return [list(row) for row in csv.reader(io.StringIO(text), delimiter=part)]
    except csv.Error as error:
        raise refuse(
            "not-csv", f"the table cannot be read: {error}.", "Save it as CSV again.", Where("", file)
        ) from None


def _xlsx(contents: bytes, file: str) -> list[list[Any]]:
    try:
        from openpyxl import load_workbook
    except ImportError:
        raise refuse(
            "no-xlsx", "workbooks cannot be read here.", "Save it as CSV.", Where("", file)
        ) from None
    try:
        book = load_workbook(io.BytesIO(contents), read_only=True, data_only=True)
        rows = [
            list(row)
            for _, row in zip(
                range(MOST_ROWS + 2), book.worksheets[0].iter_rows(values_only=True), strict=False
            )
        ]
    except (zipfile.BadZipFile, KeyError, ValueError, IndexError, OSError) as error:
        raise refuse(
            "not-xlsx", f"the workbook cannot be read: {error}.", "Save it again.", Where("", file)
        ) from None
    book.close()
    return rows


def preview(desk: Desk, rows: Sequence[Sequence[Any]], *, file: str, unit: str = "mm") -> Preview:
    """What a table would bring, and everything that stands against it.

    Args:
        desk: A transaction.
        rows: Cells; the first row names the columns, in any order.
        file: Name of the file, for messages.
        unit: Unit of bare lengths.
    """
    from sqlalchemy import select

    faults: list[Fault] = []
    head = [str(cell or "").strip().lower().replace(" ", "_") for cell in rows[0]] if rows else []
    for name in dict.fromkeys(head):
        if name and (name not in HEAD or head.count(name) > 1):
            what = f"column {name!r} {'stands twice' if name in HEAD else 'is not known'}."
            faults.append(
                Fault("no-such-column", what, f"Columns are: {', '.join(HEAD)}.", Where(name, file, 1))
            )
    if not rows or "kind" not in head:
        faults.append(
            Fault(
                "no-kind",
                "there is no column kind.",
                f"It says: {', '.join(get_args(Kind))}.",
                Where("kind", file, 1),
            )
        )
        return Preview((), tuple(faults))
    if len(rows) > MOST_ROWS + 1:
        faults.append(
            Fault("too-large", f"more than {MOST_ROWS} rows.", "Give it in parts.", Where("", file))
        )
        return Preview((), tuple(faults))
    things: list[AnyStated] = []
    named: dict[str, int] = {}
    for line, row in enumerate(rows[1:], start=2):
        cells = {
            name: cell for name, cell in zip(head, row, strict=False) if name in HEAD and not _is_empty(cell)
        }
        if not cells:
            continue
        stated, wrong = _row(cells, unit)
        faults += [Fault(one.code, one.what, one.remedy, Where(one.where.key, file, line)) for one in wrong]
        if stated is None:
            continue
        things.append(stated)
        if stated.name:
            if stated.name in named:
                what = f"label {stated.name} stands in line {named[stated.name]} too."
                faults.append(Fault("label-taken", what, "Give each its own.", Where("label", file, line)))
            named[stated.name] = line
    names = list(named)
    for first in range(0, len(names), 500):
        part = names[first : first + 500]
        for label in desk.session.scalars(select(Item.label).where(Item.label.in_(part))):
            what = f"{label} is written on something in the rack already."
            faults.append(
                Fault("label-taken", what, "Give it another, or none.", Where("label", file, named[label]))
            )
    return Preview(tuple(things), tuple(sorted(faults, key=lambda one: one.where.line or 0)))


def _is_empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _row(cells: Mapping[str, Any], unit: str) -> tuple[AnyStated | None, list[Fault]]:
    kind = str(cells["kind"]).strip().lower() if "kind" in cells else ""
    if kind not in MODELS:
        return None, [
            Fault(
                "no-kind",
                f"{kind or 'nothing'!r} is no kind.",
                f"Say one of: {', '.join(MODELS)}.",
                Where("kind"),
            )
        ]
    data: dict[str, Any] = {}
    faults: list[Fault] = []
    for name, cell in cells.items():
        if name == "kind":
            continue
        key = {"label": "name", "supply": "kind"}.get(name, name)
        try:
            data[key] = _value(name, cell)
        except ValueError as error:
            faults.append(
                Fault("bad-cell", str(error), "See the page of the rack in the documentation.", Where(name))
            )
    found = read_data(MODELS[kind], data, unit=unit)
    back = {"name": "label", "kind": "supply"}
    for path, code, what, remedy in found.said:
        key = str(path[0]) if path else ""
        faults.append(Fault(code, what, remedy, Where(back.get(key, key))))
    return (None if faults else found.stated), faults


def _value(name: str, cell: Any) -> Any:
    """A cell as the batch file would state it.

    Raises:
        ValueError: If it cannot be that.
    """
    text = cell.strip() if isinstance(cell, str) else cell
    if isinstance(text, str) and text[:1] == "'" and text[1:2] in ("=", "+", "-", "@"):
        text = text[1:]  # as it was kept from being run
    if name in ("bevelled",):
        if isinstance(text, bool):
            return text
        if str(text).lower() not in _YES:
            raise ValueError(f"{text!r} is neither yes nor no.")
        return _YES[str(text).lower()]
    if name in ("how_many", "amount", "mass", "water_tension", "stiffness"):
        number = float(str(text).replace(",", ".")) if isinstance(text, str) else text
        return int(number) if name == "how_many" and float(number).is_integer() else number
    if name in ("avoid", "flaws"):
        return [_span(part.strip()) for part in str(text).split(";") if part.strip()]
    if name in ("opened", "came"):
        return str(text)[:10]
    if name in ("label", "timber", "place", "yard", "cloth", "what", "cut_from", "serves", "grade"):
        return f"{text:g}" if isinstance(text, float) else str(text)
    return text


def _span(text: str) -> dict[str, Any]:
    found = _SPAN.match(text)
    if found is None:
        raise ValueError(f"{text!r} is no stretch; write 100-180 knot; 900-950.")
    span = {"start": found[1], "stop": found[2]}
    return span | ({"why": found[3]} if found[3] else {})


def rows_of(things: Iterable[Thing]) -> list[list[str | int | float]]:
    """Rows of a table, in the order of `HEAD`; read again they bring the same things."""
    return [[_cell(one, name) for name in HEAD] for one in things]


def all_rows(desk: Desk) -> list[list[str | int | float]]:
    """Rows of everything that lies in the rack."""
    return rows_of(listed(desk, Wish(), limit=None))


def _cell(one: Thing, name: str) -> str | int | float:
    facts = one.facts
    if name == "label":
        return one.label
    if name == "kind":
        return one.kind
    if name == "how_many":
        return ""
    if one.kind == "supply" and name in ("supply", "amount"):
        return str(facts.get("kind", "other")) if name == "supply" else one.amount / THOUSANDTHS
    if one.kind == "roll" and name == "length":
        return one.amount / NM
    value = facts.get(name, "")
    if name in ("avoid", "flaws") and value:
        return "; ".join(
            f"{span['start']:g}-{span['stop']:g} {span.get('why', '')}".strip() for span in value
        )
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str | int | float) else str(value)


def values_of(changed: Sequence[str], *, unit: str) -> dict[str, Any]:
    """Facts written as ``key=value``; an empty value takes a fact away.

    Args:
        changed: What was written.
        unit: Unit of bare lengths.

    Raises:
        FaultsError: If something is not written so.
    """
    found: dict[str, Any] = {}
    for text in changed:
        key, sign, value = text.partition("=")
        key = {"supply": "kind"}.get(key.strip(), key.strip())
        if not sign or not key:
            raise refuse(
                "no-value", f"{text!r} says nothing.", "Write key=value, e.g. length=2380 place=door."
            )
        if not value.strip():
            found[key] = None
            continue
        try:
            found[key] = _value(key, value)
        except ValueError as error:
            raise refuse("bad-cell", str(error), "Write it as in a table of the rack.") from None
        if isinstance(found[key], str) and key in _LENGTHS and not re.search(r"[a-z'\"]", found[key]):
            found[key] = f"{found[key]} {unit}"
    return found


_LENGTHS = ("thickness", "depth", "length", "bow", "crook", "twist", "width", "selvedge")
