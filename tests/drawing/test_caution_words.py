"""Every caution of the engine is known to the other language, so that no sheet falls back to English."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import longpoint
from longpoint.drawing.own_words import in_own_words
from longpoint.drawing.voice import catalogue, voice_of

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


def test_sources_of_limits_are_said_in_german_where_they_are_words() -> None:
    say = voice_of("de")
    words = (
        "others",
        "top of what",
        "quoted",
        "read",
        "common practice",
        "from memory",
        "judgement",
        "estimate",
    )
    for source in (row["source"] for row in _read_limits()):
        said = in_own_words(source, say)
        assert not any(word in said for word in words), said
    kept = in_own_words("Iaccarino Idelson 2009, quoted in Conserving Canvas ch. 59", say)
    assert kept == "Iaccarino Idelson 2009, zitiert in Conserving Canvas ch. 59"  # titles stay


def _read_limits() -> list[dict[str, str]]:
    """Limits whose source is printed below the table of verdicts: those that were read."""
    path = Path(longpoint.__file__).parent / "tables" / "published" / "limits.toml"
    rows = tomllib.loads(path.read_text(encoding="utf-8"))["data"]["limits"]
    shown = ("tension left", "least tension")
    return [row for row in rows if row["tag"] == "read" and row["name"].startswith(shown)]
