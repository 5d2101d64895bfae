"""A batch file's text becomes a `Batch`, or every fault in it with its line."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.batch import Batch, contradictions
from longpoint.model.places import Path, key_lines, line_of, path_of, written
from longpoint.model.quantities import Stated
from longpoint.units import MILLIMETRES

AnyStated = TypeVar("AnyStated", bound=Stated)


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
    source = _decoded(text, file)
    batch = parse_stated(Batch, source, file=file)
    problems = contradictions(batch)
    if problems:
        raise FaultsError(placed(problems, source, file=file))
    return batch


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
    source = _decoded(text, file)
    data = _toml(source, file)
    named = data.get("unit", unit)
    known = isinstance(named, str) and named in MILLIMETRES
    try:
        return model.model_validate(data, context={"unit": named if known else "mm"})
    except ValidationError as error:
        raise FaultsError(_faults(error, data, key_lines(source), file, model)) from None


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
        if fault.where.key and not fault.where.file
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
        return text
    try:
        return text.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = text[: error.start].count(b"\n") + 1
        raise FaultsError(
            [
                Fault(
                    "not-utf-8",
                    f"the file is not UTF-8 text: byte {error.start + 1} cannot be read.",
                    "Save it as UTF-8 in your editor.",
                    Where("", file, line),
                )
            ]
        ) from None


def _toml(source: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        line = source.count("\n") + 1 if "(at end" in reason else None
        if "(at line " in reason:
            line = int(reason.split("(at line ")[1].split(",")[0])
        reason = reason.split(" (at ")[0]
        raise FaultsError(
            [
                Fault(
                    "not-toml",
                    f"this is not TOML: {reason[:1].lower()}{reason[1:]}.",
                    'Write key = value on each line, text in "quotes", tables as [name] or [[name]].',
                    Where("", file, line),
                )
            ]
        ) from None


def _faults(
    error: ValidationError,
    data: Mapping[str, Any],
    lines: Mapping[Path, int],
    file: str,
    model: type[BaseModel],
) -> tuple[Fault, ...]:
    grouped: dict[Path, list[Any]] = {}
    for item in error.errors():
        grouped.setdefault(_real_path(item["loc"], data, item["type"]), []).append(item)
    faults = []
    # What is wrong inside a thing explains why the thing itself was refused.
    deepest = [
        path for path in grouped if not any(len(o) > len(path) and o[: len(path)] == path for o in grouped)
    ]
    for path in deepest:
        items = grouped[path]
        code, what, remedy = _explain(path, items, data, model)
        faults.append(Fault(code, what, remedy, Where(written(path), file, line_of(path, lines))))
    return tuple(sorted(faults, key=lambda fault: (fault.where.line or 0, fault.where.key)))


def _real_path(loc: tuple[int | str, ...], data: Any, kind: str) -> Path:
    """The location without pydantic's own names for the branches of a union."""
    path: list[str | int] = []
    here: Any = data
    for part in loc:
        if isinstance(here, dict) and part in here:
            here = here[part]
        elif isinstance(here, list) and isinstance(part, int) and part < len(here):
            here = here[part]
        elif not (kind == "missing" and part == loc[-1] and isinstance(part, str)):
            continue
        path.append(part)
    return tuple(path)


def _explain(path: Path, items: list[Any], data: Any, model: type[BaseModel]) -> tuple[str, str, str]:
    kinds = {item["type"]: item for item in items}
    last = path[-1] if path else ""
    shown = repr(_value(path, data))[:60]
    words = [
        option
        for item in items
        if item["type"] == "literal_error"
        for option in item["ctx"]["expected"].replace(" or ", ", ").split(", ")
    ]
    if "extra_forbidden" in kinds:
        known = _known_keys(model, path[:-1])
        near = difflib.get_close_matches(str(last), known, n=1, cutoff=0.5)
        remedy = f"Did you mean {near[0]!r}?" if near else f"Known here: {', '.join(known)}."
        return "unknown-key", f"the key {last!r} is not known here.", remedy
    if "missing" in kinds and path == ("work",):
        return "no-work", "the batch has no work.", "Add [[work]] with name, width and height."
    if "missing" in kinds:
        return "key-missing", f"the key {last!r} is missing.", f"Add {last} = …"
    if "quantity" in kinds:
        reason, _, mend = kinds["quantity"]["msg"].partition("; ")
        also = f", or {' or '.join(words)}" if words else ""
        code = "bad-price" if "price" in mend or "money" in mend else "bad-quantity"
        return code, f"{reason}.", f"{mend[:1].upper()}{mend[1:]}{also}."
    if "too_short" in kinds:
        least = kinds["too_short"]["ctx"]["min_length"]
        return "too-few", f"{last!r} has too few entries.", f"Give at least {least}."
    if words:
        plain = [word.strip("'\"") for word in words]
        near = difflib.get_close_matches(str(_value(path, data)), plain, n=1, cutoff=0.5)
        hint = f" Did you mean {near[0]!r}?" if near else ""
        return "bad-word", f"{shown} is not one of the words for {last!r}.", f"Use {', '.join(words)}.{hint}"
    item = items[0]
    reason = item["msg"].removeprefix("Value error, ").removeprefix("Input should be ")
    if item["msg"].startswith("Input should be "):
        return "bad-value", f"{shown} is not a value for {last!r}.", f"It should be {reason}."
    what, _, mend = reason.partition("; ")
    return "bad-value", f"{what[:1].lower()}{what[1:]}.", f"{mend[:1].upper()}{mend[1:]}." if mend else ""


def _value(path: Path, data: Any) -> Any:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _known_keys(model: type[BaseModel], path: Path) -> list[str]:
    for part in path:
        if isinstance(part, int):
            continue
        field = model.model_fields.get(part)
        found = _model_in(field.annotation) if field is not None else None
        if found is None:
            return []
        model = found
    return list(model.model_fields)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_in(inner)
        if found is not None:
            return found
    return None
