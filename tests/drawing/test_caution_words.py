"""Every caution of the engine is known to the other language, so that no sheet falls back to English."""

from __future__ import annotations

import ast
import tomllib
from fractions import Fraction
from pathlib import Path

import longpoint
from longpoint.drawing.words.own_words import order_words, sentence_of, source_words
from longpoint.drawing.words.voice import catalogue, languages, placeholders, voice_of
from longpoint.errors import Caution, gathered
from longpoint.model.order import USUAL_ORDERS
from longpoint.stretching.rehearsal.outward_ways import NAMED, improved_name
from longpoint.works.assumed import AssumedDesign

Found = dict[str, frozenset[str] | None]


def said_in_source() -> Found:
    """Every caution of the source by its code, with the names of its figures; None where its words are made of more."""
    found: Found = {}
    for path in Path(longpoint.__file__).parent.rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(call, ast.Call) and getattr(call.func, "id", "") == "Caution"):
                continue
            code, given = call.args[0], {word.arg: word.value for word in call.keywords}
            if not isinstance(code, ast.Constant) or "of" in given or "what" in given:
                continue
            assert code.value not in found, f"{code.value} is said in two places"
            facts = given.get("facts")
            names = [one for one in ast.walk(facts) if isinstance(one, ast.Tuple)] if facts else []
            firsts = [one.elts[0] for one in names if one.elts and isinstance(one.elts[0], ast.Constant)]
            found[code.value] = (
                None if isinstance(facts, ast.Name) else frozenset(str(one.value) for one in firsts)
            )
    return found


def test_every_caution_is_said_in_every_language_with_its_figures() -> None:
    found = said_in_source()
    assert {"glue-carries", "short-thread", "bare-mitre"} <= set(found)
    assert len(found) > 50
    for language in languages():
        texts = catalogue(language)
        for code, figures in found.items():
            assert f"caution.{code}" in texts, (language, code)
            asked = placeholders(texts[f"caution.{code}"])
            if figures is not None:
                assert asked <= figures, (language, code)
                assert figures - asked <= WORDS.get(code, frozenset()), (language, code)


WORDS = {
    "glue-carries": frozenset({"short"}),
}
"""Figures that another language may leave out, for they are English words of the engine."""


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
        "as open-source",
        "close to the body",
    )
    for source in (row["source"] for row in _read_limits()):
        said = source_words(source, say)
        assert not any(word in said for word in words), said
    kept = source_words("Iaccarino Idelson 2009, quoted in Conserving Canvas ch. 59", say)
    assert kept == "Iaccarino Idelson 2009, zitiert in Conserving Canvas ch. 59"  # titles stay


def _read_limits() -> list[dict[str, str]]:
    """Limits whose source is printed below the table of verdicts: those that were read."""
    path = Path(longpoint.__file__).parent / "tables" / "published" / "limits.toml"
    rows = tomllib.loads(path.read_text(encoding="utf-8"))["data"]["limits"]
    shown = ("tension left", "least tension")
    return [row for row in rows if row["tag"] == "read" and row["name"].startswith(shown)]


def test_works_of_which_the_same_was_assumed_are_told_together_and_others_apart() -> None:
    def assumed(work: str, thickness: int) -> Caution:
        return Caution(
            "design-assumed", about=work, of=AssumedDesign((("thickness", Fraction(thickness)),), "")
        )

    told = gathered([assumed("A", 21), assumed("B", 28), assumed("C", 21)])
    assert [caution.about for caution in told] == ["A, C", "B"]


def test_every_order_that_is_tried_or_improved_has_a_german_name() -> None:
    german = voice_of("de")
    for name in (*USUAL_ORDERS, *NAMED):
        assert order_words(name, voice_of("en")) == name
        said = order_words(name, german)
        assert said != name
        assert not any(word in said for word in ("outward", "corner", "held", "first", "one by one", "in t"))
        assert order_words(improved_name(name), german) == f"{said}, verbessert"
    assert order_words("my own, twice", german) == "my own, twice"  # a name that a person gave
    torn = "middles outward, even pull (35 N); pinwheel, improved (34 N)"
    caution = Caution("staple-tear-order", facts=(("most", "33 N"), ("orders", torn)))
    assert "von den Mitten, gleich gezogen (35 N); reihum, verbessert (34 N)" in sentence_of(caution, german)
