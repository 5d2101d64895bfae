"""Pages say the same in both languages, and every word that a page asks for is there."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from string import Formatter

from longpoint.web.pages.wanted import OPTIONS
from longpoint.web.words import texts

TEMPLATES = {
    item.name: item.read_text(encoding="utf-8") for item in (files("longpoint.web") / "templates").iterdir()
}


BEGUN = ("base.", "side.", "prime.", "wall.")
"""Beginnings of words that pages put together from what is chosen elsewhere."""


def _holes(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_both_languages_have_the_same_words_with_the_same_figures() -> None:
    english, german = texts("en"), texts("de")
    assert english.keys() == german.keys()
    assert [key for key in english if _holes(english[key]) != _holes(german[key])] == []


def test_every_word_that_a_page_asks_for_is_there_and_none_is_for_nothing() -> None:
    asked = {
        key for text in TEMPLATES.values() for key in re.findall(r'\bt\(["\']([a-z0-9.-]+)["\'][,)]', text)
    }
    pages = "".join(
        item.read_text(encoding="utf-8") for item in (files("longpoint.web") / "pages").glob("*.py")
    )
    together = "".join(TEMPLATES.values())
    begun = {key for key in asked if key.endswith((".", "-"))} | set(BEGUN)
    begun |= set(re.findall(r"""\bt\(["']([a-z.-]+)["'] ~""", together))
    begun |= set(re.findall(r'"((?:[a-z]+\.)[a-z-]*)\{', pages)) | set(
        re.findall(r'p\.choice\([^)]*"([a-z]+\.[a-z-]*)"\)', "".join(TEMPLATES.values()))
    )
    whole = asked - begun
    whole |= {key for key in re.findall(r'"([a-z]+\.[a-z0-9-]+)"', pages) if key in texts("en")}
    assert whole - texts("en").keys() == set()
    unasked = {key for key in texts("en") if key not in whole and not key.startswith(tuple(begun))}
    assert unasked == set()


def test_every_choice_of_a_field_has_its_word() -> None:
    for some in OPTIONS.values():
        for one in some:
            assert f"option.{re.sub(r'[^a-z0-9]+', '-', one.lower())}" in texts("en")


def test_no_page_says_a_word_that_is_in_one_language_only() -> None:
    """Outside the two files of words a template holds marks and units alone, and names that programs read."""
    alike = {"openapi", "json", "longpoint", "kB", "h", "x-longpoint-key", "at-saw"}
    for name, text in TEMPLATES.items():
        plain = re.sub(r"\{\{.*?\}\}|\{%.*?%\}|\{#.*?#\}", " ", text, flags=re.DOTALL)
        # what readers aloud are told counts, too
        said = re.findall(r'(?:aria-label|placeholder|alt|title)="([^"]*)"', plain)
        without = re.sub(r"""[\w-]+=("[^"]*"|'[^']*')""", " ", plain)
        said.append(re.sub(r"<[^>]*>", " ", without, flags=re.DOTALL))
        words = {
            word for one in said for word in re.findall(r"[A-Za-z][A-Za-z-]+", re.sub(r"&\w+;", " ", one))
        }
        assert words - alike == set(), name


def test_the_browser_code_says_nothing_of_its_own() -> None:
    source = Path(__file__).parents[2] / "browser" / "src"
    for path in source.glob("*.ts"):
        said = re.findall(
            r'(?:textContent|innerText|title|alt|placeholder) = "([^"]+)"', path.read_text(encoding="utf-8")
        )
        assert said == [], path.name
