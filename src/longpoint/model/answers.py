"""Five answers of a person, and the short batch file they make."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import get_args

from longpoint.model.cloth import ClothState, Roll
from longpoint.model.nominal import nominal_in, sides_of
from longpoint.tables.shops import Region, shop_lengths, shop_name, shop_sections
from longpoint.units import MILLIMETRES, LengthStyle, QuantityError, parse_length

USUAL_WORK = {"mm": "1700 x 1200", "cm": "170 x 120", "m": "1.7 x 1.2", "in": "66 x 48", "ft": "5.5 x 4"}
"""The work that stands in the file where none is said."""

_STATES = get_args(ClothState)
_FIBRES = get_args(Roll.model_fields["fibre"].annotation)


@dataclass(frozen=True, slots=True)
class Answers:
    """What was answered; an empty answer leaves it to what is usual.

    Attributes:
        unit: Unit of bare numbers.
        timber: Sections on sale, thickness x depth each, or what they are called.
        lengths: Lengths of boards on sale.
        cloth: Width of the roll, and what cloth it is.
        work: Width x height of the first work, as it hangs.
    """

    unit: str = ""
    timber: str = ""
    lengths: str = ""
    cloth: str = ""
    work: str = ""


QUESTIONS = {
    "unit": "Which unit do you measure in: mm, cm, m, in or ft?",
    "timber": "What timber has your shop? Thickness x depth, or what it is called; several with ', ' between.",
    "lengths": "How long are its boards? Several with ', ' between.",
    "cloth": "Which cloth: width of the roll, raw or primed, cotton, linen or polyester?",
    "work": "How large is the first work, width x height as it hangs? A name may stand before it, with a colon.",
}


def usual(name: str, unit: str) -> str:
    """What stands for an empty answer, in words."""
    return {
        "unit": "mm",
        "timber": "what an ordinary shop has",
        "lengths": "what an ordinary shop has",
        "cloth": "raw cotton, wide enough",
        "work": USUAL_WORK.get(unit, USUAL_WORK["mm"]),
    }[name]


def wrong_answer(name: str, answers: Answers) -> str:
    """What is wrong with one answer and what to write instead; empty where nothing is.

    Args:
        name: Which answer.
        answers: All so far, with it.
    """
    try:
        _CHECKS[name](answers)
    except QuantityError as error:
        return str(error)
    return ""


def answered_lines(answers: Answers) -> dict[str, list[str]]:
    """Lines of a batch file: of its head, its first work, its timber and its roll; no lines for what was left open.

    Raises:
        QuantityError: If an answer cannot be read.
    """
    return {
        "unit": _unit_lines(answers),
        "work": _work_lines(answers),
        "yard": _timber_lines(answers),
        "roll": _cloth_lines(answers),
    }


def region_of_unit(unit: str) -> Region:
    """Whose ordinary shops a file in a unit assumes."""
    return "america" if unit in ("in", "ft") else "europe"


def _unit_lines(answers: Answers) -> list[str]:
    unit = _unit(answers)
    return [f'unit = "{unit}"']


def _unit(answers: Answers) -> str:
    unit = answers.unit.strip() or "mm"
    if unit not in MILLIMETRES:
        msg = f"{unit!r} is not a unit of length; write mm, cm, m, in or ft"
        raise QuantityError(msg)
    return unit


def _work_lines(answers: Answers) -> list[str]:
    unit = _unit(answers)
    name, colon, sides = (answers.work.strip() or USUAL_WORK[unit]).rpartition(":")
    width, height = _two_sides(sides, unit, "width x height")
    return [
        "[[work]]",
        f"name = {_text((name.strip() if colon else '') or 'First work')}",
        f"width = {width}",
        f"height = {height}",
    ]


def _timber_lines(answers: Answers) -> list[str]:
    unit = _unit(answers)
    lengths, sections = _board_lengths(answers), _stated_sections(answers)
    region = region_of_unit(unit)
    if not sections and lengths:  # only the lengths are said: of an ordinary shop's sections
        sections = [
            _section_lines(shop_name(row, region), row.thin, row.wide, unit) for row in shop_sections(region)
        ]
    usual_lengths = [_exact(length, unit) for length in shop_lengths(region)]
    out: list[str] = []
    for rows in sections:
        out += ["[[yard]]", *rows, f"lengths = [{', '.join(lengths or usual_lengths)}]", ""]
    return out[:-1]


def _board_lengths(answers: Answers) -> list[str]:
    return [_length(each, _unit(answers)) for each in _several(answers.lengths)]


def _stated_sections(answers: Answers) -> list[list[str]]:
    return [_section(each, _unit(answers)) for each in _several(answers.timber)]


def _section(text: str, unit: str) -> list[str]:
    """Name and sides of a section."""
    called = _CALLED.search(text) if unit in ("mm", "in", "ft") else None
    nominal = None if called is None else nominal_in(called[0])
    if called is not None and nominal is not None:
        thin, wide = (LengthStyle("in", 16).show(side, with_unit=False) for side in sides_of(nominal))
        name = f"{nominal[0]}x{nominal[1]}" if text == called[0] else text
        return [
            f"name = {_text(name)}",
            f'nominal = "{nominal[0]}x{nominal[1]}"    # measures {thin} x {wide} in',
        ]
    thickness, depth = _two_sides(text, unit, "thickness x depth")
    return [f"name = {_text(text)}", f"thickness = {thickness}", f"depth = {depth}"]


_CALLED = re.compile(r"(?<![\d./])\d\s*[x×X]\s*\d{1,2}(?!\s*\d*[\d./])")
"""A section by its nominal name, as 1x2; not 3 x 1 1/2."""


def _section_lines(name: str, thin: Fraction, wide: Fraction, unit: str) -> list[str]:
    return [f"name = {_text(name)}", f"thickness = {_exact(thin, unit)}", f"depth = {_exact(wide, unit)}"]


def _cloth_lines(answers: Answers) -> list[str]:
    unit = _unit(answers)
    left = answers.cloth.strip()
    if not left:
        return []
    said: dict[str, str] = {}
    for key, words in (("state", _STATES), ("fibre", _FIBRES)):
        for word in sorted(words, key=len, reverse=True):
            left, found = re.subn(rf"(?<![\w-]){word}(?![\w-])", " ", left, flags=re.IGNORECASE)
            if found:
                said[key] = word
                break
    left = re.sub(r"\b(canvas|cloth|duck|roll|wide|of|from|the)\b", " ", left, flags=re.IGNORECASE).strip(
        " ,"
    )
    if not left:
        msg = f"{answers.cloth!r} says no width; write it first, as {_usual_width(unit)} raw cotton"
        raise QuantityError(msg)
    return [
        "[[roll]]",
        f"name = {_text(' '.join(said.values()) or 'canvas')}",
        f"width = {_length(left, unit)}",
        f'state = "{said.get("state", "raw")}"',
        f'fibre = "{said.get("fibre", "cotton")}"',
    ]


def _usual_width(unit: str) -> str:
    return {"mm": "2100", "cm": "210", "m": "2.1", "in": "84", "ft": "7"}[unit]


def _several(text: str) -> list[str]:
    return [part.strip() for part in re.split(r";|,\s+|,$", text) if part.strip()]


def _two_sides(text: str, unit: str, what: str) -> tuple[str, str]:
    parts = re.split(r"\s*(?:[x×X*]|\bby\b)\s*", text.strip())
    if len(parts) != 2:
        msg = f"{text.strip()!r} is not {what}; write two lengths with x between"
        raise QuantityError(msg)
    first, second = parts
    said = _UNIT_BEHIND.search(second)
    if said and re.fullmatch(r"[\d./ ]+", first):  # "120 x 80 cm" are centimetres both
        first = f"{first} {said[0]}"
    return _length(first, unit), _length(second, unit)


_UNIT_BEHIND = re.compile(r"(?:mm|cm|m|in|ft)$")


def _length(text: str, unit: str) -> str:
    """A length as it stands in the file: bare where it was said bare."""
    if parse_length(text, unit=unit) == 0:
        msg = f"{text!r} is nothing; write a length above zero"
        raise QuantityError(msg)
    plain = text.strip()
    return plain if re.fullmatch(r"\d+(\.\d+)?", plain) and not re.match(r"0\d", plain) else _text(plain)


def _exact(length: Fraction, unit: str) -> str:
    """A length of ours in the file: bare in a metric unit, else as it is sold."""
    if unit in ("in", "ft"):
        feet = length / MILLIMETRES["ft"]
        return f'"{feet} ft"' if feet.denominator == 1 else _text(LengthStyle("in", 16).show(length))
    return f"{float(length / MILLIMETRES[unit]):g}"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


_CHECKS: dict[str, Callable[[Answers], object]] = {
    "unit": _unit,
    "timber": _stated_sections,
    "lengths": _board_lengths,
    "cloth": _cloth_lines,
    "work": _work_lines,
}
