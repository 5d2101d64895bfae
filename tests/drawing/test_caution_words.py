"""Every caution of the engine is known to the other language, so that no sheet falls back to English."""

from __future__ import annotations

import re
from pathlib import Path

import longpoint
from longpoint.drawing.voice import catalogue

CODE = re.compile(r'Caution\(\s*"([a-z]+-[a-z-]*[a-z])"')


def codes() -> set[str]:
    root = Path(longpoint.__file__).parent
    return {code for path in root.rglob("*.py") for code in CODE.findall(path.read_text(encoding="utf-8"))}


def test_codes_are_found_in_the_source() -> None:
    assert {"glue-carries", "short-thread", "bare-mitre"} <= codes()
    assert len(codes()) > 30


def test_every_caution_has_german_words() -> None:
    said = {key.removeprefix("caution.") for key in catalogue("de") if key.startswith("caution.")}
    assert codes() - said == set()
