"""What pydantic found, said to a person: what is wrong and what to write instead."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel

from longpoint.model.places import Path
from longpoint.model.quantities import shown

Said = tuple[str, str, str]
"""Code, what is wrong, what to do instead."""

_RANGES = ("greater_than_equal", "greater_than", "less_than_equal", "less_than")


def explain(path: Path, items: list[Any], data: Any, model: type[BaseModel]) -> Said:
    """One fault of a file.

    Args:
        path: Where.
        items: Everything that pydantic says of that place; several where it may be one thing or another.
        data: The file as read.
        model: What it should state.

    Returns:
        Code, what is wrong, what to do instead.
    """
    kinds = {item["type"]: item for item in items}
    last = path[-1] if path else ""
    given = _value(path, data)
    words = _words(items)
    if "extra_forbidden" in kinds:
        if path[0] == "yard" and last in _OF_BOARDS:
            return "unknown-key", f"{last!r} is not a key of this table.", _OF_BOARDS[str(last)]
        near, known = nearest_key(path, model)
        homes = [] if near and _alike(str(last), near) else homes_of(str(last), path, model)
        if homes:
            return (
                "unknown-key",
                f"{last!r} is not a key of this table.",
                f"It belongs under {' or '.join(homes)}.",
            )
        remedy = f"Did you mean {near!r}?" if near else f"Known here: {', '.join(known)}."
        return "unknown-key", f"the key {last!r} is not known here.", remedy
    if "missing" in kinds and path == ("work",):
        return "no-work", "the batch has no work.", "Add [[work]] with name, width and height."
    if "missing" in kinds:
        return "key-missing", f"the key {last!r} is missing.", f"Add {last} = …"
    if "too_short" in kinds and path == ("work",):
        return "no-work", "the batch has no work.", "Add [[work]] with name, width and height."
    if "too_short" in kinds:
        least = kinds["too_short"]["ctx"]["min_length"]
        return "too-few", f"{last!r} has too few entries.", f"Give at least {least}."
    if "too_long" in kinds:
        most = kinds["too_long"]["ctx"]["max_length"]
        return "too-many", f"{last!r} has too many entries.", f"Give at most {most}."
    for kind in _RANGES:
        if kind in kinds:
            return _out_of_range(last, given, kinds[kind])
    shape = _shape(path, given, kinds)
    if shape is not None:
        return shape
    for kind, (what, remedy) in _PLAIN_KINDS.items():
        if kind in kinds:
            also = f", or {' or '.join(words)}" if words else ""
            also = f", a list in [ ]{also}" if "tuple_type" in kinds else also
            return "bad-value", f"{shown(given)} is {what}.", f"{remedy}{also}."
    if "quantity" in kinds:
        reason, _, mend = kinds["quantity"]["msg"].partition("; ")
        also = f", or {' or '.join(words)}" if words else ""
        if "tuple_type" in kinds:
            also = f", a list in [ ]{also}"
        code = "bad-price" if "price" in mend or "money" in f"{reason}{mend}" else "bad-quantity"
        return code, f"{reason}.", f"{mend[:1].upper()}{mend[1:]}{also}."
    if words:
        plain = [word.strip("'\"") for word in words]
        near_words = difflib.get_close_matches(str(given), plain, n=1, cutoff=0.5)
        hint = f" Did you mean {near_words[0]!r}?" if near_words else ""
        return (
            "bad-word",
            f"{shown(given)} is not one of the words for {last!r}.",
            f"Use {', '.join(words)}.{hint}",
        )
    return _plain(last, given, items[0])


_OF_BOARDS = {
    "price": "Boards cost by their length: lengths = [{ length = …, price = … }], or per_metre or per_foot for all.",
    "how_many": "Boards are counted by their length: lengths = [{ length = …, how_many = … }].",
}
"""Keys of a board that are written at the timber, and where they belong."""

_PLAIN_KINDS = {
    "bool_type": ("neither true nor false", "Write true or false, without quotes"),
    "int_type": ("not a whole number", "Write one such as 3, without quotes"),
    "float_type": ("not a number", "Write one such as 1.5, without quotes"),
    "finite_number": ("not a number that can be reckoned with", "Check its digits"),
    "string_type": ("not text", 'Write it in "quotes"'),
}


def _words(items: Iterable[Any]) -> list[str]:
    return [
        option
        for item in items
        if item["type"] == "literal_error"
        for option in item["ctx"]["expected"].replace(" or ", ", ").split(", ")
    ]


_LIMIT = {"greater_than_equal": "ge", "greater_than": "gt", "less_than_equal": "le", "less_than": "lt"}
_LIMIT_WORDS = {"ge": "at least", "gt": "more than", "le": "at most", "lt": "less than"}


def _out_of_range(key: str | int, given: Any, item: Any) -> Said:
    limit = _LIMIT[item["type"]]
    bound = item["ctx"][limit]
    return (
        "bad-value",
        f"{shown(given)} is not a value for {key!r}.",
        f"It should be {_LIMIT_WORDS[limit]} {bound:g}.",
    )


def _shape(path: Path, given: Any, kinds: Mapping[str, Any]) -> Said | None:
    """A table where a list is wanted, or the other way round."""
    last = path[-1] if path else ""
    head = ".".join(str(part) for part in path if isinstance(part, str))
    if "tuple_type" in kinds and isinstance(given, dict):
        return (
            "bad-shape",
            f"{last!r} is stated as one table.",
            f"Write [[{head}]], with two brackets, for each one.",
        )
    if "tuple_type" in kinds and len(kinds) == 1:
        return (
            "bad-shape",
            f"{shown(given)} is not a list for {last!r}.",
            "Write it in [ ], with commas between.",
        )
    if "model_type" in kinds and len(kinds) == 1:
        one = isinstance(last, str)
        remedy = f"Write [{head}], with one bracket, and its keys below." if one else "Write it in { }."
        return "bad-shape", f"{shown(given)} is not a table for {head!r}.", remedy
    return None


def _plain(key: str | int, given: Any, item: Any) -> Said:
    if item["type"] == "string_too_short":
        return "bad-value", f"the text of {key!r} is empty.", "Write one."
    if item["type"] == "string_too_long":
        most = item["ctx"]["max_length"]
        return "bad-value", f"the text of {key!r} is too long.", f"Use at most {most} letters."
    reason = item["msg"].removeprefix("Value error, ")
    if reason.startswith("Input should be "):
        reason = reason.removeprefix("Input should be ")
        return "bad-value", f"{shown(given)} is not a value for {key!r}.", f"It should be {reason}."
    what, _, mend = reason.partition("; ")
    if not mend:
        return (
            "bad-value",
            f"{shown(given)} is not a value for {key!r}.",
            "Check its digits, or leave it out.",
        )
    return "bad-value", f"{what[:1].lower()}{what[1:]}.", f"{mend[:1].upper()}{mend[1:]}."


def nearest_key(path: Path, model: type[BaseModel]) -> tuple[str, list[str]]:
    """The known key that an unknown one comes nearest to, "" where none does, and all that are known there."""
    known = _known_keys(model, path[:-1])
    near = difflib.get_close_matches(str(path[-1]), known, n=1, cutoff=0.5)
    return (near[0] if near else ""), known


def _alike(one: str, other: str) -> bool:
    return difflib.SequenceMatcher(None, one, other).ratio() > 0.75


def homes_of(key: str, path: Path, model: type[BaseModel]) -> list[str]:
    """The tables of a file that know a key, as a person writes them; none where more than two do."""
    found = []
    for name, field in model.model_fields.items():
        inner = _model_in(field.annotation)
        if inner is not None and name != path[0] and key in inner.model_fields:
            found.append(f"[[{name}]]" if "tuple" in str(field.annotation) else f"[{name}]")
    return found if len(found) <= 2 else []


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
