"""For readers of inches: newtons and kilograms with pounds behind them, and no millimetres.

Engines and their sentences keep to one system. What they say is read over once, when the sheets or the words on the
screen are made: every figure in newtons, kilograms, grams or litres gets its pounds, ounces or quarts in brackets, and
a round measure in millimetres that belongs to a general rule ("no piece shorter than about 300 mm") is said in inches.
"""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction
from typing import Any

from longpoint.drawing.paper.pages import Column, Pack, Page, Paragraph
from longpoint.drawing.paper.view import View
from longpoint.drawing.words.voice import Voice

_FIGURE = r"\d[\d\u202f]*(?:[.,]\d+)?"
_RANGE = re.compile(
    rf"(?P<figures>{_FIGURE}(?:\s?(?:/|–|-|to|bis)\s?{_FIGURE})*)[ \u00a0](?P<unit>N/m|N·m|mm|kg|N|g|l)(?![\w/·²³])"
    r"(?! \([\d.,/ –-]+ (?:in|lb))"
)

_UNITS = {
    "N/m": ("lb/in", 0.0254 / 4.4482216),
    "N·m": ("lb·ft", 1 / (0.3048 * 4.4482216)),
    "N": ("lb", 1 / 4.4482216),
    "kg": ("lb", 1 / 0.45359237),
    "g": ("oz", 1 / 28.349523),
    "l": ("qt", 1 / 0.94635295),
}
"""What a unit is said in besides, and how many of those it is: international pound and inch, US quart."""


def with_pounds(text: str, say: Voice, *, alone: bool = False) -> str:
    """A sentence with pounds behind every figure in newtons and kilograms, where lengths are said in inches.

    Args:
        text: The sentence.
        say: Whether and how.
        alone: Whether the pounds stand in place of the newtons, where there is little room.
    """
    if say.lengths.system != "in":
        return text
    return _RANGE.sub(lambda found: _said(found, say, alone=alone), text)


def _said(found: re.Match[str], say: Voice, *, alone: bool) -> str:
    unit, figures = found["unit"], found["figures"]
    if unit == "mm":
        return re.sub(_FIGURE, lambda one: _inches(one[0], say), figures) + " in"
    other, each = _UNITS[unit]
    pounds = re.sub(_FIGURE, lambda one: _rounded(each * _value(one[0]), say), figures)
    return f"{pounds} {other}" if alone else f"{found[0]} ({pounds} {other})"


def _value(figure: str) -> float:
    return float(figure.replace("\u202f", "").replace(",", "."))


def _rounded(value: float, say: Voice) -> str:
    return say.number(value, places=0 if value >= 9.95 else 1 if value >= 0.95 else 2)


def _inches(figure: str, say: Voice) -> str:
    """A round measure as a person would say it: to half an inch, small ones to an eighth or a sixteenth.

    A measure with tenths of a millimetre is said in hundredths.
    """
    length = _value(figure)
    if not length.is_integer():
        return say.number(length / 25.4, places=2)
    parts = 2 if length >= 60 else 8 if length >= 25 else 16
    whole, rest = divmod(max(round(length / 25.4 * parts), 1), parts)
    fraction = Fraction(rest, parts)
    return " ".join(bit for bit in (str(whole) if whole else "", str(fraction) if fraction else "") if bit)


def pack_with_pounds(pack: Pack, say: Voice) -> Pack:
    """A document with pounds behind every figure in newtons and kilograms, where lengths are said in inches.

    A page with tables in N/m says once how many pounds those are.
    """
    if say.lengths.system != "in":
        return pack
    return replace(pack, pages=tuple(_page(page, say) for page in pack.pages))


def _page(page: Page, say: Voice) -> Page:
    read: Page = _read_over(page, say, alone=page.key in _TIGHT)
    if _has_column(page.blocks, "N/m") or "[N/m]" in page.title:
        return replace(read, blocks=(*read.blocks, Paragraph(say("sheet.pounds"), "small")))
    return read


_TIGHT = ("work", "canvas-after")
"""Pages on which pounds stand alone: one sheet for each work, and columns headed by a tension each."""


def _read_over(value: Any, say: Voice, *, alone: bool) -> Any:
    if isinstance(value, str):
        return with_pounds(value, say, alone=alone)
    if isinstance(value, tuple):
        return tuple(_read_over(item, say, alone=alone) for item in value)
    if isinstance(value, View):
        return replace(value, title=with_pounds(value.title, say))
    if is_dataclass(value) and not isinstance(value, type):
        read = {each.name: _read_over(getattr(value, each.name), say, alone=alone) for each in fields(value)}
        return replace(value, **read)
    return value


def _has_column(value: Any, unit: str) -> bool:
    if isinstance(value, Column):
        return f"[{unit}]" in value.title
    if isinstance(value, tuple):
        return any(_has_column(item, unit) for item in value)
    if is_dataclass(value) and not isinstance(value, View | type):
        return any(_has_column(getattr(value, each.name), unit) for each in fields(value))
    return False
