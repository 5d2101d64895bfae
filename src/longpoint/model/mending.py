"""What is left of a file when its unreadable values are taken out, so that the rest can be checked in the same round.

Nothing made here is ever planned: it only lets names and measures that can be read be held against one another,
so that a person meets those faults together with the unreadable values. Whoever uses it must ask `touches` first
whether an answer rests on something that was not read.
"""

from __future__ import annotations

import copy
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from longpoint.model.explaining import explain, nearest_key
from longpoint.model.places import Path

AnyModel = TypeVar("AnyModel", bound=BaseModel)

Rest = tuple[str | int | None, ...]
"""A path that an answer rests on; None stands for every element of a list."""

_STAND_INS: tuple[Any, ...] = (1000, "nothing read", [1000], ["nothing read", "nothing more"], {}, [])
_MOST_ROUNDS = 200

MOST_SAID = 100
"""Faults of one file that are said; nobody reads more."""


@dataclass(frozen=True, slots=True)
class Found(Generic[AnyModel]):
    """What a file states, as far as it can be read.

    Attributes:
        stated: What is stated; where something could not be read, with a stand-in. None where nothing is left.
        said: Place, code, what and remedy of each fault.
        unread: Places that could not be read.
    """

    stated: AnyModel | None
    said: tuple[tuple[Path, str, str, str], ...]
    unread: frozenset[Path]


def read_data(model: type[AnyModel], data: Mapping[str, Any], *, unit: str) -> Found[AnyModel]:
    """Reads data, and what is left of them where something cannot be read.

    Args:
        model: What they state.
        data: As read from a file.
        unit: Unit of bare lengths.
    """
    context = {"unit": unit}
    try:
        return Found(model.model_validate(data, context=context), (), frozenset())
    except ValidationError as error:
        grouped = _grouped(error, data)
    all_deepest = _deepest(grouped)
    unread = set(all_deepest)
    deepest = all_deepest[:MOST_SAID]
    misspelt = {
        (*path[:-1], near)
        for path in deepest
        if any(item["type"] == "extra_forbidden" for item in grouped[path])
        and (near := nearest_key(path, model)[0])
    }
    said = [
        (path, *explain(path, grouped[path], data, model))
        for path in deepest
        # a key that is missing because it is misspelt is said once
        if not (path in misspelt and all(item["type"] == "missing" for item in grouped[path]))
    ]
    if more := len(all_deepest) - len(deepest):
        place = all_deepest[MOST_SAID]
        said.append((place, "many-more", f"{more} more places from here on.", "Mend the others first."))
    return Found(_mended(model, data, context), tuple(said), frozenset(unread | misspelt))


def touches(rests: Rest, unread: Collection[Path]) -> bool:
    """Whether something that could not be read lies at, under or above a path."""
    return any(all(a is None or a == b for a, b in zip(rests, path, strict=False)) for path in unread)


def _grouped(error: ValidationError, data: Any) -> dict[Path, list[Any]]:
    grouped: dict[Path, list[Any]] = {}
    for item in error.errors():
        grouped.setdefault(_real_path(item["loc"], data, item["type"]), []).append(item)
    return grouped


def _deepest(grouped: Mapping[Path, Any]) -> list[Path]:
    """What is wrong inside a thing explains why the thing itself was refused."""
    above = {path[:length] for path in grouped for length in range(len(path))}
    return [path for path in grouped if path not in above]


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


def _mended(model: type[AnyModel], data: Mapping[str, Any], context: dict[str, str]) -> AnyModel | None:
    """What is left once every unreadable value is left out, or, where it must be there, stood in for."""
    left: Any = copy.deepcopy(dict(data))
    tried: dict[Path, int] = {}
    for _round in range(_MOST_ROUNDS):
        try:
            return model.model_validate(left, context=context)
        except ValidationError as error:
            grouped = _grouped(error, left)
        for path in sorted(_deepest(grouped), key=len, reverse=True):
            _try_again(left, path, grouped[path], tried)
    return None


def _try_again(left: Any, path: Path, items: list[Any], tried: dict[Path, int]) -> None:
    """The next thing to put at a place: nothing, a word that is allowed there, a stand-in, or nothing further up."""
    while path:
        words = [
            item["ctx"]["expected"].split("'")[1::2] for item in items if item["type"] == "literal_error"
        ]
        stand_ins = (*(word for group in words for word in group[:1]), *_STAND_INS)
        step = tried.get(path, -1)
        tried[path] = step + 1
        if step < 0 and _taken_out(left, path):
            return
        step = max(step, 0)
        tried[path] = step + 1
        if step < len(stand_ins):
            _put(left, path, stand_ins[step])
            return
        path, items = path[:-1], []


def _holder(left: Any, path: Path) -> Any:
    for part in path[:-1]:
        try:
            left = left[part]
        except (KeyError, IndexError, TypeError):
            return None
    return left


def _taken_out(left: Any, path: Path) -> bool:
    holder = _holder(left, path)
    if isinstance(holder, dict) and path[-1] in holder:
        del holder[path[-1]]
        return True
    return False


def _put(left: Any, path: Path, value: Any) -> None:
    holder: Any = _holder(left, path)
    last: Any = path[-1]
    if isinstance(holder, dict) or (
        isinstance(holder, list) and isinstance(last, int) and last < len(holder)
    ):
        holder[last] = copy.deepcopy(value)
