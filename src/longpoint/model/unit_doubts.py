"""Measures that look as if they were meant in another unit: asked about before anything else is said.

Only bare numbers are doubted. What is written with its unit, ``"12 m"``, is taken at its word, so that a person with
a mural says so once and is not asked again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from longpoint.errors import Fault, Where
from longpoint.model.batch import Batch
from longpoint.model.timber import YardLength
from longpoint.units import MILLIMETRES, LengthStyle

_WORDS = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}

_Range = tuple[float, float]

FACES: _Range = (80, 8000)
"""Longest side of a face that is not asked about. [mm] Estimate: smaller is a miniature, larger a mural."""

_USUAL_FACES: _Range = (150, 4000)

SECTIONS: _Range = (4, 250)
"""Sides of timber that are not asked about. [mm] Estimate."""

_USUAL_SECTIONS: _Range = (10, 120)

BOARDS: _Range = (400, 9000)
"""Longest board of a timber that is not asked about. [mm] Estimate; the longest in the table of lengths
sold is 7.3 m."""

_USUAL_BOARDS: _Range = (1500, 7300)

SCREWS: _Range = (6, 300)
"""Lengths of screws that are not asked about. [mm] Estimate."""

_USUAL_SCREWS: _Range = (12, 120)

MUCH_SMALLER = 8
"""A work this many times smaller than every one of at least three others is asked about. Estimate."""


@dataclass(frozen=True, slots=True)
class _Bare:
    """A measure written without a unit.

    Attributes:
        key: Where.
        written: The number as it stands.
        value: As it was read. [mm]
    """

    key: str
    written: str
    value: Fraction


def unit_doubts(batch: Batch, data: Mapping[str, Any]) -> tuple[Fault, ...]:
    """Questions about measures that another unit would make ordinary.

    Args:
        batch: What is stated, as it was read.
        data: The same as it stands in the file.
    """
    return (*_faces(batch, data), *_timber(batch, data), *_screws(batch, data))


def _bare(data: Any, path: Sequence[str | int], value: Fraction) -> _Bare | None:
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    if isinstance(data, bool) or not isinstance(data, (int, float, str)):
        return None
    text = str(data).strip()
    if re.search(r"[^\d\s.,/⁄½¼¾⅛⅜⅝⅞-]", text):
        return None
    key = "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path).removeprefix(".")
    return _Bare(key, text, value)


def _question(batch: Batch, one: _Bare, what: str, *, usual: _Range, why: str = "") -> Fault:
    """The question, with the units in which the number would be ordinary."""
    per = one.value / MILLIMETRES[batch.unit]
    others = [
        unit
        for unit, size in MILLIMETRES.items()
        if unit != batch.unit and usual[0] <= per * size <= usual[1]
    ]
    shown = _shown(batch, one.value)
    if not others:
        tenth = usual[0] <= one.value / 10 <= usual[1]
        asked = "is that a digit too many?" if tenth else "is that meant?"
    else:
        words = [_WORDS[batch.unit], *(_WORDS[unit] for unit in others)]
        asked = f"{', '.join(words[:-1])} or {words[-1]}?"
    instead = (
        f', or the length that is meant, such as "{one.written} {others[0]}"' if others else ", or correct it"
    )
    return Fault(
        "which-unit",
        f"{what} {shown}{why}: {asked}",
        f'Write it with its unit, "{one.written} {batch.unit}" if it is so{instead}.',
        Where(one.key),
    )


def _shown(batch: Batch, value: Fraction) -> str:
    if batch.unit in ("in", "ft"):
        return LengthStyle("in", 16).show(value)
    if value >= 10_000:
        return f"{float(value / 1000):g} m"
    return f"{float(value):g} mm"


def _faces(batch: Batch, data: Any) -> Iterator[Fault]:
    longest = [max(work.width, work.height) for work in batch.work]
    for index, work in enumerate(batch.work):
        side = "width" if work.width >= work.height else "height"
        one = _bare(data, ("work", index, side), longest[index])
        if one is None:
            continue
        rest = [size for at, size in enumerate(longest) if at != index]
        why = ""
        if FACES[0] <= longest[index] <= FACES[1]:
            tenfold = any(
                {other.width, other.height} == {work.width * many, work.height * many}
                for place, other in enumerate(batch.work)
                if _bare(data, ("work", place, "width"), other.width) is not None
                for many in (10, 100, 1000)
            )
            far = len(rest) >= 3 and all(size >= MUCH_SMALLER * longest[index] for size in rest)
            if not (tenfold or far):
                continue
            nearest = min(size for size in rest if size > longest[index])
            why = f" among works of {_shown(batch, nearest)}"
        yield _question(batch, one, f"{work.name}: a face of", usual=_USUAL_FACES, why=why)


def _timber(batch: Batch, data: Any) -> Iterator[Fault]:
    smallest = min(min(work.width, work.height) for work in batch.work)
    for index, timber in enumerate(batch.yard):
        lengths = [item.length if isinstance(item, YardLength) else item for item in timber.lengths]
        longest = max(lengths)
        at = lengths.index(longest)
        path: tuple[str | int, ...] = ("yard", index, "lengths", at)
        one = _bare(data, path, longest) or _bare(data, (*path, "length"), longest)
        odd = not BOARDS[0] <= longest <= BOARDS[1] or longest < smallest / 2
        if one is not None and odd:
            why = ", shorter than any side of a work" if longest < smallest else ""
            yield _question(batch, one, f"{timber.name}: boards of", usual=_USUAL_BOARDS, why=why)
        for key, side in (("thickness", timber.thickness), ("depth", timber.depth)):
            one = _bare(data, ("yard", index, key), side)
            if one is not None and not SECTIONS[0] <= side <= SECTIONS[1]:
                yield _question(batch, one, f"{timber.name}: timber of", usual=_USUAL_SECTIONS)
                break


def _screws(batch: Batch, data: Any) -> Iterator[Fault]:
    for index, screw in enumerate(batch.screw):
        one = _bare(data, ("screw", index, "length"), screw.length)
        if one is not None and not SCREWS[0] <= screw.length <= SCREWS[1]:
            yield _question(batch, one, "a screw of", usual=_USUAL_SCREWS)
