"""Inputs that almost make sense: files and calls of ours, changed where it hurts, the same for the same seed."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable
from typing import Any

NUMBERS = (
    "0",
    "-0",
    "1",
    "-1",
    "0.1",
    "1e300",
    "-1e300",
    "1e-300",
    "1e308",
    "5e-324",
    "nan",
    "inf",
    "9" * 400,
    "1" + "0" * 30,
    "1_000",
    "0x7fffffffffffffff",
    "9223372036854775807",
    "9223372036854775808",
    "0.30000000000000004",
    "1200.5",
    "3.3333333333333335",
    "1000000",
    "25000",
    "0.000001",
    "2.0",
)
WORDS = (
    '""',
    '" "',
    '"auto"',
    '"2x4"',
    '"1,200"',
    '"1/0"',
    '"1 1/2 in"',
    '"3\' 11 1/4\\""',
    '"-5 mm"',
    '"½"',
    '"1e5"',
    "true",
    "false",
    "[]",
    "{}",
    "[[]]",
    "[{}]",
    "1979-05-27",
    "07:32:00",
    '"\\u202e"',
    '"\\u0000"',
    '"\\ud7ff"',
    '"漢"',
    "'''x'''",
    '"' + "long" * 300 + '"',
    '"=1+1"',
    '"../../x"',
    '"#set page()"',
    '"<script>"',
    '"%s%n"',
    '"[bold]"',
    '"{0}"',
    "null",
)
JSON_VALUES = (
    0,
    -1,
    1,
    2,
    0.5,
    1e300,
    1e-300,
    10**25,
    10**18,
    True,
    False,
    None,
    [],
    {},
    "",
    " ",
    "1200",
    "1/2 in",
    "\ud800",
    "\x1b",
    "漢",
    [1],
    {"a": 1},
    float("nan"),
    float("inf"),
    "=1",
    "x" * 3000,
    2**63,
    0.1 + 0.2,
    3.3000000000000003,
)


def changed_toml(text: str, luck: random.Random) -> str:
    """A TOML text with one to four changes: values, keys, lines, brackets, bytes."""
    lines = text.split("\n")
    for _ in range(luck.choice((1, 1, 1, 2, 3, 4))):
        lines = luck.choice(_TOML_CHANGES)(lines, luck) or lines
    return "\n".join(lines)


def changed_json(value: Any, luck: random.Random) -> Any:
    """JSON values with one to four changes anywhere in them."""
    for _ in range(luck.choice((1, 1, 2, 3, 4))):
        value = _json_once(value, luck)
    return value


def changed_bytes(text: bytes, luck: random.Random) -> bytes:
    """A text with some bytes written over, left out or put in."""
    held = bytearray(text)
    for _ in range(luck.choice((1, 2, 8))):
        at = luck.randrange(len(held) + 1) if held else 0
        match luck.randrange(4):
            case 0:
                held[at : at + luck.randrange(1, 40)] = b""
            case 1:
                held[at:at] = bytes(luck.randrange(256) for _ in range(luck.randrange(1, 4)))
            case 2:
                held[at : at + 1] = bytes([luck.randrange(256)])
            case _:
                other = luck.randrange(len(held) + 1)
                held[at:at] = held[other : other + luck.randrange(1, 80)]
    return bytes(held)


def _json_once(value: Any, luck: random.Random) -> Any:
    if isinstance(value, dict) and value and luck.random() < 0.85:
        key = luck.choice([*value])
        match luck.randrange(8):
            case 0:
                return {other: each for other, each in value.items() if other != key}
            case 1:
                return {**value, f"{key}x": value[key]}
            case 2:
                return {**value, luck.choice([*value]): value[key]}
            case _:
                return {**value, key: _json_once(value[key], luck)}
    if isinstance(value, list) and value and luck.random() < 0.85:
        at = luck.randrange(len(value))
        match luck.randrange(6):
            case 0:
                return value[:at] + value[at + 1 :]
            case 1:
                return [*value, value[at]]
            case _:
                return [*value[:at], _json_once(value[at], luck), *value[at + 1 :]]
    if isinstance(value, int | float) and not isinstance(value, bool) and luck.random() < 0.5:
        return luck.choice(
            (value + 1, -value, value * 1000, value / 3, value * (1 + 1e-12), value * 1e9, str(value))
        )
    return luck.choice(JSON_VALUES)


def json_text(value: Any) -> str:
    """As a file may hold it; some readers take NaN and lone halves of signs."""
    return json.dumps(value, ensure_ascii=True)


_STATED = re.compile(r"^(\s*[\w.\"-]+\s*=\s*)(.*)$")


def _value(lines: list[str], luck: random.Random) -> list[str] | None:
    at = luck.randrange(len(lines))
    found = _STATED.match(lines[at])
    if found is None:
        return None
    new = luck.choice(NUMBERS + WORDS)
    return [*lines[:at], found[1] + new, *lines[at + 1 :]]


def _within(lines: list[str], luck: random.Random) -> list[str] | None:
    """One number inside a line becomes another."""
    at = luck.randrange(len(lines))
    spots = list(re.finditer(r"\d+(?:\.\d+)?", lines[at]))
    if not spots:
        return None
    spot = luck.choice(spots)
    new = luck.choice((*NUMBERS[:12], str(float(spot[0]) * 1000), str(float(spot[0]) / 7), f"-{spot[0]}"))
    return [*lines[:at], lines[at][: spot.start()] + new + lines[at][spot.end() :], *lines[at + 1 :]]


def _key(lines: list[str], luck: random.Random) -> list[str]:
    at = luck.randrange(len(lines))
    line = lines[at]
    if not line:
        return [
            *lines[:at],
            luck.choice(("x = 1", "[x]", "[[work]]", "a.b.c = 2", "]", '"""', "# [[")),
            *lines[at:],
        ]
    spot = luck.randrange(len(line))
    return [
        *lines[:at],
        line[:spot] + luck.choice("abz=\"[]{}.,#'\\ 0-") + line[spot + 1 :],
        *lines[at + 1 :],
    ]


def _left_out(lines: list[str], luck: random.Random) -> list[str]:
    at = luck.randrange(len(lines))
    return lines[:at] + lines[at + luck.randrange(1, 4) :] or [""]


def _twice(lines: list[str], luck: random.Random) -> list[str]:
    at = luck.randrange(len(lines))
    some = lines[at : at + luck.randrange(1, 9)]
    to = luck.randrange(len(lines) + 1)
    return [*lines[:to], *some, *lines[to:]]


def _swapped(lines: list[str], luck: random.Random) -> list[str]:
    one, other = luck.randrange(len(lines)), luck.randrange(len(lines))
    held = list(lines)
    held[one], held[other] = held[other], held[one]
    return held


_TOML_CHANGES: tuple[Callable[[list[str], random.Random], list[str] | None], ...] = (
    _value,
    _value,
    _value,
    _within,
    _within,
    _key,
    _left_out,
    _twice,
    _swapped,
)


def changed_words(words: list[str], luck: random.Random) -> list[str]:
    """A call with some of its words changed, left out or said twice."""
    held = list(words)
    for _ in range(luck.choice((1, 1, 2, 3))):
        at = luck.randrange(len(held)) if held else 0
        new = luck.choice(
            (
                *NUMBERS,
                "",
                " ",
                "-",
                "--",
                "-1",
                "mm",
                "1 1/2 in",
                "½",
                "1200 mm",
                "9" * 5000,
                "\udcff",
                "漢",
                "\x1b[31m",
                "auto",
                "bottom left",
                "set",
                "primed",
                "1/0",
                "1e9 m",
                "--json",
                "--unit",
                "ft",
            )
        )
        match luck.randrange(5):
            case 0 if held:
                del held[at]
            case 1:
                held.insert(at, new)
            case _ if held:
                held[at] = new
    return held
