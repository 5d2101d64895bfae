"""The reference of the batch file, written from the models themselves."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from longpoint.model.batch import Batch


def batch_reference() -> str:
    """Every key of a batch file with its kind, default and meaning, as Markdown."""
    lines = [
        "# The batch file",
        "",
        "TOML, UTF-8. Every key but the works may be left out. A bare length counts in the file's `unit`;",
        "lengths with a unit are read as people write them: `1.2 m`, `47 1/4 in`, `3' 11 1/4\"`. What could be",
        "read two ways is refused. Defaults are given in mm. `longpoint new --all FILE` writes them into a file;",
        "[batch.schema.json](batch.schema.json) serves editors that check while you write.",
        "",
    ]
    _section(Batch, "", lines, title="At the head of the file", seen=set())
    return "\n".join(lines).rstrip() + "\n"


def _section(model: type[BaseModel], path: str, lines: list[str], *, title: str, seen: set[str]) -> None:
    meanings = meanings_of(model)
    rows, below = [], []
    for key, field in model.model_fields.items():
        inner, many = model_of(field.annotation)
        meaning = meanings.get(key, "").replace("|", "\\|")
        if inner is not None:
            inner_path = f"{path}.{key}" if path else key
            below.append((inner, inner_path, many))
            if path:
                rows.append(f"| `{key}` | table | | {meaning} |")
            continue
        rows.append(f"| `{key}` | {_kind(field.annotation)} | {_default(field)} | {meaning} |")
    if rows:
        lines += [f"## {title}", "", "| key | kind | default | meaning |", "|---|---|---|---|", *rows, ""]
    for inner, inner_path, many in below:
        if inner_path in ("work.bars", "work.inside", "work.cloth"):
            continue  # the same keys as the table at the head of the file
        if inner_path in seen:
            continue
        seen.add(inner_path)
        name = f"`[[{inner_path}]]`" if many else f"`[{inner_path}]`"
        _section(inner, inner_path, lines, title=name, seen=seen)


def meanings_of(model: type[BaseModel]) -> dict[str, str]:
    """What each key of a table means, as its model says."""
    found: dict[str, str] = {}
    _, _, attributes = (model.__doc__ or "").partition("Attributes:")
    key = ""
    for line in attributes.splitlines():
        match = re.match(r"\s{8}(\w+): (.*)", line)
        if match:
            key = match[1]
            found[key] = match[2]
        elif key and line.strip():
            found[key] += " " + line.strip()
    return {name: meaning.replace("``", "`") for name, meaning in found.items()}


def model_of(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    """The table that a key holds, if it holds one, and whether it may hold several."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, False
    many = get_origin(annotation) is tuple
    for part in get_args(annotation):
        inner, _ = model_of(part)
        if inner is not None:
            return inner, many
    return None, False


def words_of(annotation: Any) -> str:
    """The words that a key takes, in quotes; empty where it takes none but ``auto``."""
    groups = [word for word in _WORDS.findall(str(annotation)) if word != "'auto'"]
    return "; ".join(group.replace("'", '"') for group in groups)


_WORDS = re.compile(r"Literal\[([^\]]*)\]")


def _kind(annotation: Any) -> str:
    text = str(annotation)
    words = _WORDS.findall(text)
    kinds = []
    if "Fraction" in text:
        kinds.append("lengths" if "tuple" in text else "length")
    elif "Decimal" in text:
        kinds.append("money")
    elif "tuple" in text and "str" in text:
        kinds.append("names")
    elif annotation is bool or "bool" in text:
        kinds.append("true or false")
    elif annotation is int or "int" in text:
        kinds.append("whole number")
    elif annotation is float or "float" in text:
        kinds.append("number")
    elif not words:
        kinds.append("text")
    if "int" in text and "tuple" in text and "Fraction" in text:
        kinds.insert(0, "whole number")
    kinds += [", ".join(f"`{word.strip(chr(39))}`" for word in group.split(", ")) for group in words]
    return " or ".join(kinds)


def _default(field: Any) -> str:
    if field.is_required():
        return "must be said"
    value = field.default
    if value is None or value == () or value == "":
        return "–"
    if isinstance(value, Fraction):
        return f"{float(value):g}"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return ", ".join(str(item) for item in value)
    return f"`{value}`" if isinstance(value, str) else f"{value:g}"
