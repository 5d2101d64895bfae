"""Changes to a batch file's text that leave its comments and everything else in it as they were."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT

from longpoint.errors import Fault, FaultsError, refuse
from longpoint.model.batch import Batch
from longpoint.model.places import path_of
from longpoint.model.reading import read_batch_text

MOST_TEXT = 400_000
"""Signs in a batch file that is taken in. Estimate: sixty works take 20 000."""

MOST_WORKS = 200
"""Works that pages plan together. Estimate."""

_WHOLE = re.compile(r"^[+-]?\d{1,15}$")
_POINTED = re.compile(r"^[+-]?\d{1,12}[.,]\d{1,12}$")
_LIST_KEYS = frozenset({"lengths", "cross_rails", "members"})


def read(text: str) -> Batch:
    """A batch's text as a batch, held against itself and against what every yard could give.

    Raises:
        FaultsError: With everything that stands against it.
    """
    if len(text) > MOST_TEXT:
        raise refuse("too-long", "the file is longer than any batch.", "Split it into several batches.")
    reading = read_batch_text(text, file="")
    batch = reading.whole()
    if len(batch.work) > MOST_WORKS:
        what = f"the batch has {len(batch.work)} works."
        raise refuse("too-many-works", what, f"Plan at most {MOST_WORKS} together; split it.")
    return batch


def value_of(text: str, key: str = "") -> Any:
    """What a person typed, as it stands in a file: a number, several values, or text."""
    bare = text.strip()
    if key in _LIST_KEYS and bare != "auto" and not (key == "cross_rails" and _WHOLE.match(bare)):
        parts = [part.strip() for part in re.split(r";|,\s+|,$", bare) if part.strip()]
        if parts:
            return [value_of(part) for part in parts]
    if _WHOLE.match(bare):
        return int(bare)
    if _POINTED.match(bare):
        return float(bare.replace(",", "."))
    if bare in ("true", "false"):
        return bare == "true"
    return bare


def shown(value: Any) -> str:
    """A value of a file as it stands in a field."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list | tuple):
        return ", ".join(shown(each) for each in value)
    if isinstance(value, Mapping):
        price = value.get("price")
        return f"{value.get('length', '')}" + (f" @ {price}" if price is not None else "")
    return str(value)


def with_values(text: str, changes: Mapping[str, str | None]) -> str:
    """The text with values put in; an empty value takes its key away.

    Args:
        text: The batch file.
        changes: Values by the key as faults name it, e.g. ``work[2].width``.

    Raises:
        FaultsError: If a key is in a table that is not there.
    """
    document = tomlkit.parse(text)
    for key, value in changes.items():
        path = path_of(key)
        table = _table(document, path[:-1], make=value not in (None, ""))
        name = str(path[-1])
        if table is None:
            continue
        if value is None or value.strip() == "":
            if name in table:
                del table[name]
            continue
        made = value_of(value, name)
        if name in table and shown(_plain(table[name])) == shown(made):
            continue
        if (
            isinstance(_plain(table.get(name)), str)
            and not isinstance(made, str)
            and name in ("name", "title")
        ):
            made = value.strip()
        if name in ("name", "title", "notes", "currency") and not isinstance(made, str):
            made = value.strip()
        table[name] = made
    return tomlkit.dumps(document)


def with_entry(text: str, kind: str, values: Mapping[str, Any]) -> str:
    """The text with one more table of a kind that repeats, e.g. a work, behind those that are there."""
    document = tomlkit.parse(text)
    table = tomlkit.table()
    for key, value in values.items():
        table[key] = value
    if isinstance(document.get(kind), AoT):
        document[kind].append(table)
    else:
        rows = tomlkit.aot()
        rows.append(table)
        document[kind] = rows
    return tomlkit.dumps(document)


def without_entry(text: str, kind: str, number: int) -> str:
    """The text without one table of a kind that repeats.

    Args:
        text: The batch file.
        kind: The kind.
        number: Which, from 1.
    """
    document = tomlkit.parse(text)
    rows = document.get(kind)
    if isinstance(rows, AoT) and 0 < number <= len(rows):
        del rows[number - 1]
        if len(rows) == 0:
            del document[kind]
    return tomlkit.dumps(document)


def fields_of(text: str) -> dict[str, Any]:
    """What the text states, as plain values."""
    return tomllib.loads(text)


def by_field(faults: Iterable[Fault]) -> dict[str, list[str]]:
    """Faults by the key they belong to, each as one message; "" for those without."""
    found: dict[str, list[str]] = {}
    for fault in faults:
        words = f"{fault.what} {fault.remedy}".strip()
        found.setdefault(fault.where.key, []).append(words[:1].upper() + words[1:])
    return found


def faults_in(text: str) -> tuple[Fault, ...]:
    """Everything that stands against a text; () where nothing does."""
    try:
        read(text)
    except FaultsError as error:
        return error.faults
    return ()


def _table(document: Any, path: tuple[Any, ...], *, make: bool) -> Any:
    """The table at a path, made where it is one of names only."""
    at = document
    for step in path:
        if isinstance(step, int):
            if not isinstance(at, AoT | list) or not 0 <= step < len(at):
                raise refuse(
                    "no-such-table", "this work or timber is not there any more.", "Load the page again."
                )
            at = at[step]
            continue
        if step not in at:
            if not make:
                return None
            at[step] = tomlkit.table() if at is document else tomlkit.inline_table()
        at = at[step]
    return at


def _plain(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item
