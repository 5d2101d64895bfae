"""A batch file's text becomes a `Batch`, or every fault in it with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from longpoint.errors import Fault, FaultsError, Where, refuse
from longpoint.model.batch import Batch
from longpoint.model.contradictions import contradictions
from longpoint.model.mending import read_data
from longpoint.model.places import Path, key_lines, line_of, path_of, written
from longpoint.model.quantities import Stated, shown
from longpoint.model.unit_doubts import unit_doubts
from longpoint.units import MILLIMETRES

DEEPEST = 12
"""Nothing that can be stated lies deeper."""

AnyStated = TypeVar("AnyStated", bound=Stated)


@dataclass(frozen=True, slots=True)
class Reading(Generic[AnyStated]):
    """What a file states, as far as it can be read.

    Attributes:
        stated: What is stated; where something could not be read, with a stand-in: good for checking the rest only.
            None where nothing is left to check.
        faults: Every fault found, each with file and line.
        unread: Places that could not be read, or that stand against others: nothing may rest on them.
        source: The text.
    """

    stated: AnyStated | None
    faults: tuple[Fault, ...]
    unread: frozenset[Path]
    source: str

    def whole(self) -> AnyStated:
        """What is stated, where nothing is wrong with it.

        Raises:
            FaultsError: With every fault.
        """
        if self.faults or self.stated is None:
            raise FaultsError(self.faults)
        return self.stated


def parse_batch(text: str | bytes, *, file: str = "") -> Batch:
    """Reads a batch file.

    Args:
        text: The file's contents.
        file: Its name, for messages.

    Returns:
        The batch.

    Raises:
        FaultsError: With every fault that can be found.
    """
    return read_batch_text(text, file=file).whole()


def read_batch_text(text: str | bytes, *, file: str = "") -> Reading[Batch]:
    """Reads a batch file as far as it can be read, and holds what was read against itself.

    Args:
        text: The file's contents.
        file: Its name, for messages.

    Raises:
        FaultsError: If it is not a TOML text at all; or with questions alone, where measures look as if they were
            meant in another unit: nothing else is said before those are answered.
    """
    found = read_text(Batch, text, file=file)
    if found.stated is None:
        return found
    if not found.faults:
        doubts = unit_doubts(found.stated, tomllib.loads(found.source))
        if doubts:
            raise FaultsError(in_order(placed(doubts, found.source, file=file)))
    clashes = contradictions(found.stated, unread=found.unread)
    faults = in_order((*found.faults, *placed(clashes, found.source, file=file)))
    unsure = {path_of(fault.where.key) for fault in clashes}
    return Reading(found.stated, faults, found.unread | unsure, found.source)


def parse_stated(model: type[AnyStated], text: str | bytes, *, file: str = "", unit: str = "mm") -> AnyStated:
    """Reads a TOML file of any kind.

    Args:
        model: What it states.
        text: The file's contents.
        file: Its name, for messages.
        unit: Unit of bare lengths where the file names none under ``unit``.

    Returns:
        What is stated.

    Raises:
        FaultsError: With every fault that can be found.
    """
    return read_text(model, text, file=file, unit=unit).whole()


def read_text(
    model: type[AnyStated], text: str | bytes, *, file: str = "", unit: str = "mm"
) -> Reading[AnyStated]:
    """Reads a TOML file of any kind as far as it can be read.

    Args:
        model: What it states.
        text: The file's contents.
        file: Its name, for messages.
        unit: Unit of bare lengths where the file names none under ``unit``.

    Raises:
        FaultsError: If it is not a TOML text at all.
    """
    source = _decoded(text, file)
    data = _toml(source, file)
    if _is_deeper(data, DEEPEST):
        what = f"tables are nested more than {DEEPEST} deep."
        raise refuse("too-deep", what, "Take brackets, or points between names, away.", Where("", file))
    named = data.get("unit", unit)
    known = isinstance(named, str) and named in MILLIMETRES
    found = read_data(model, data, unit=named if known else "mm")
    if not found.said:
        return Reading(found.stated, (), frozenset(), source)
    lines = key_lines(source)
    faults = in_order(
        Fault(code, what, remedy, Where(written(path), file, line_of(path, lines)))
        for path, code, what, remedy in found.said
    )
    return Reading(found.stated, faults, found.unread, source)


def _is_deeper(data: Any, most: int) -> bool:
    level = [data]
    for _ in range(most + 1):
        level = [
            inner
            for each in level
            if isinstance(each, dict | list)
            for inner in (each.values() if isinstance(each, dict) else each)
            if isinstance(inner, dict | list)
        ]
    return bool(level)


def in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults in the order of the file, each once."""
    return tuple(
        sorted(dict.fromkeys(faults), key=lambda fault: (fault.where.line or 0, fault.where.key, fault.code))
    )


def placed(faults: Iterable[Fault], source: str, *, file: str) -> tuple[Fault, ...]:
    """Faults that name a key, with file and line added.

    Args:
        faults: Faults; those without a key stay as they are but for the file.
        source: Text of the batch file.
        file: Its name.
    """
    lines = key_lines(source)
    return tuple(
        Fault(fault.code, fault.what, fault.remedy, _stated_at(fault.where.key, lines, file))
        if fault.where.key and not fault.where.file and not fault.where.key.startswith("--")
        else fault
        for fault in faults
    )


def _stated_at(key: str, lines: Mapping[Path, int], file: str) -> Where:
    """Where a key is stated: under its work, or for all works at the head of the file."""
    path = path_of(key)
    if path[:1] == ("work",) and path not in lines and path[2:] in lines:
        path = path[2:]
    return Where(written(path), file, line_of(path, lines))


def _decoded(text: str | bytes, file: str) -> str:
    if isinstance(text, str):
        return text.removeprefix("\ufeff")
    if text[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise refuse(
            "not-utf-8", "the file is UTF-16 text.", "Save it as UTF-8 in your editor.", Where("", file)
        )
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = text[: error.start].count(b"\n") + 1
        raise refuse(
            "not-utf-8",
            f"the file is not UTF-8 text: byte {error.start + 1} cannot be read.",
            "Save it as UTF-8 in your editor.",
            Where("", file, line),
        ) from None


def _toml(source: str, file: str) -> dict[str, Any]:
    for number, row in enumerate(source.split("\n"), start=1):
        # Thousands of names joined by points would keep the reader busy for long.
        if row.count(".") > 3 * DEEPEST and _KEY_ALONE.match(row) is not None:
            what = f"a key has more than {DEEPEST} names joined by points."
            raise refuse("too-deep", what, "Take points away.", Where("", file, number))
    try:
        return tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
    except (ValueError, RecursionError) as error:
        deep = isinstance(error, RecursionError)
        raise refuse(
            "not-toml",
            "brackets are nested too deeply." if deep else "a number in the file has thousands of digits.",
            "Take the brackets away." if deep else "Shorten it.",
            Where("", file),
        ) from None
    line = source.count("\n") + 1 if "(at end" in reason else None
    if "(at line " in reason:
        line = int(reason.split("(at line ")[1].split(",")[0])
    given = source.split("\n")[line - 1] if line is not None else ""
    unquoted = _unquoted(given) if reason.startswith(("Invalid value", "Expected newline")) else None
    raise refuse("not-toml", *(unquoted or _why_not_toml(reason.split(" (at ")[0])), Where("", file, line))


_KEY_ALONE = re.compile(r"^\s*\[{0,2}[^=#\"'\[]*[=\]]")
_BARE = re.compile(r"^\s*(?P<key>[A-Za-z0-9_.-]+)\s*=\s*(?P<value>[^\s\"'\[{#][^\"'\[\]{}#]*?)\s*(?:#.*)?$")


def _unquoted(line: str) -> tuple[str, str] | None:
    """What to write where a word or a number with its unit stands without quotes."""
    found = _BARE.match(line)
    if found is None:
        return None
    key, value = found["key"], shown(found["value"])[1:-1]
    if value.lower() in ("true", "false", "yes", "no"):
        right = "true" if value.lower() in ("true", "yes") else "false"
        return f"{value} is not written so.", f"Write {key} = {right}, in small letters and without quotes."
    if re.fullmatch(r"[\d.,]+", value):
        right = value.replace(",", ".") if value.count(",") == 1 and "." not in value else "1200.5"
        return f"{value} cannot be read as a number.", f"Write it with one point, as {key} = {right}."
    kind = "a number with its unit" if value[:1].isdigit() else "a word"
    return f"{value} stands without quotes.", f'Write {key} = "{value}": {kind} stands in quotes.'


def _why_not_toml(reason: str) -> tuple[str, str]:
    if "overwrite a value" in reason or re.search(r"[Dd]uplicate", reason):
        return "a key stands twice.", "Keep one of the two."
    if "declare" in reason and "twice" in reason:
        return "a table stands twice.", "Keep one of the two; tables that repeat are written [[name]]."
    return (
        f"this is not TOML: {reason[:1].lower()}{reason[1:]}.",
        'Write key = value on each line, text in "quotes", tables as [name] or [[name]].',
    )
