"""Reads the published values: every row of every table comes with its source.

A table is a TOML file in ``published``; its ``[data]`` holds lists of rows, its ``[columns.<list>]`` says what each
column means. Rows become frozen dataclasses, one class per list. A row that does not fit its class is a bug of the
table and raises at once.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache, lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Protocol, TypeVar, cast, get_type_hints

from longpoint.errors import Where, refuse


class Tag(StrEnum):
    """How far a value can be trusted."""

    READ = "read"
    TRANSCRIBED = "transcribed"  # read in somebody's copy of it, which the row names
    MEMORY = "from memory"
    COMPUTED = "computed"
    ESTIMATE = "estimate"
    PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value comes from.

    Attributes:
        text: The book, standard or page, as one would cite it.
        tag: How it was obtained.
    """

    text: str
    tag: Tag

    @property
    def is_cited(self) -> bool:
        """Whether the value may be quoted as its source's; otherwise it is a default that a person may change."""
        return self.tag in (Tag.READ, Tag.TRANSCRIBED, Tag.COMPUTED)

    def __str__(self) -> str:
        return self.text if self.tag in (Tag.READ, Tag.TRANSCRIBED) else f"{self.text} ({self.tag})"


class Named(Protocol):
    """A row with a name."""

    @property
    def name(self) -> str:
        """The name a person would write."""
        ...


Row = TypeVar("Row")
NamedRow = TypeVar("NamedRow", bound=Named)

TABLES = (
    "wood",
    "timber_classes",
    "sizes",
    "fasteners",
    "shops",
    "canvas",
    "stretching",
    "finishing",
    "climates",
    "limits",
    "cautions",
)


@cache
def table(name: str) -> Mapping[str, Any]:
    """One table as read: ``title``, ``about``, ``columns`` and ``data``.

    Args:
        name: One of ``TABLES``.

    Returns:
        The parsed file, not to be changed.
    """
    text = files("longpoint.tables").joinpath("published", f"{name}.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


def rows(name: str, part: str, kind: type[Row]) -> tuple[Row, ...]:
    """The rows of one list of a table, as values.

    Args:
        name: Table, one of ``TABLES``.
        part: List inside it.
        kind: Frozen dataclass whose fields are the columns, with ``source: Source``.

    Returns:
        The rows in the order of the file.

    Raises:
        TypeError: If a row does not fit ``kind``: the table is wrong.
    """
    return cast(tuple[Row, ...], _rows(name, part, cast(Any, kind)))


@cache
def _rows(name: str, part: str, kind: type[Any]) -> tuple[Any, ...]:
    hints = get_type_hints(kind)
    names = {field.name for field in fields(kind)}
    found = []
    for row in table(name)["data"][part]:
        values = dict(row)
        values["source"] = Source(values["source"], Tag(values.pop("tag")))
        unknown = set(values) - names
        if unknown:
            msg = f"{name}.{part}: column {sorted(unknown)} is not in {kind.__name__}"
            raise TypeError(msg)
        found.append(kind(**{key: _fitted(value, hints[key]) for key, value in values.items()}))
    return tuple(found)


def _fitted(value: Any, hint: Any) -> Any:
    """Whole numbers become floats where the field is a float, lists become tuples."""
    if isinstance(value, list):
        inner = float if hint == tuple[float, ...] else None
        return tuple(inner(item) if inner else item for item in value)
    if isinstance(value, int) and not isinstance(value, bool) and hint in (float, float | None):
        return float(value)
    return value


@dataclass(frozen=True, slots=True)
class Constant:
    """A single figure: about canvas, or for making up size or thinning primer.

    Attributes:
        name: Which.
        value: The number.
        unit: Its unit.
        source: Where it comes from.
    """

    name: str
    value: float
    unit: str
    source: Source


@lru_cache(maxsize=1024)
def plain(name: str) -> str:
    """A name as it is compared: case, spaces and hyphens do not matter.

    Args:
        name: As a person wrote it.

    Returns:
        Lower case, single spaces.
    """
    return " ".join(name.lower().replace("-", " ").replace("_", " ").split())


def pick(
    candidates: Iterable[NamedRow],
    name: str,
    *,
    what: str,
    also: Mapping[str, str] | None = None,
    where: Where | None = None,
) -> NamedRow:
    """The row of that name.

    Args:
        candidates: Rows to choose from.
        name: Name as a person wrote it; case, hyphens and spaces do not matter.
        what: What is being looked for, for the message: "species of wood".
        also: Other names, plain form, to the row's name.
        where: Place the name was written, for the message.

    Returns:
        The row.

    Raises:
        FaultsError: If there is none; the nearest known names are given.
    """
    known = {plain(row.name): row for row in candidates}
    wanted = plain(name)
    if also and wanted not in known:
        wanted = plain(also.get(wanted, wanted))
    if wanted in known:
        return known[wanted]
    every = [*known, *(also or {})]
    near = difflib.get_close_matches(plain(name), every, n=3, cutoff=0.5)
    listed = [known[key].name if key in known else key for key in near]
    remedy = (
        f"Nearest known: {', '.join(listed)}."
        if listed
        else f"Known: {', '.join(row.name for row in known.values())}."
    )
    code = "unknown-" + "-".join(what.split())
    raise refuse(code, f"The tables know no {what} called “{name}”.", remedy, where)
