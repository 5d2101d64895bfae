"""The engine's English said in the reader's language, where the catalogue knows how.

Cautions are known by their code and said with their figures. Lines of the buying list and notes are put together from
known phrases; what is not known stays English.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from longpoint.drawing.words.choice import told
from longpoint.drawing.words.voice import FIRST_LANGUAGE, Voice, catalogue
from longpoint.errors import Caution


def caution_words(caution: Caution, say: Voice) -> str:
    """A caution with what it is about."""
    about = in_own_words(caution.about, say)
    words = sentence_of(caution, say)
    return f"{about}: {words}" if about else words


def remarks_words(cautions: Iterable[Caution], say: Voice) -> list[str]:
    """Cautions in words, those that read alike said once with all they are about."""
    found: dict[str, dict[str, None]] = {}
    for caution in cautions:
        names = found.setdefault(sentence_of(caution, say), {})
        if caution.about:
            names[in_own_words(caution.about, say)] = None
    said = (f"{', '.join(names)}: {words}" if names else words for words, names in found.items())
    return [words[:1].upper() + words[1:] for words in said]


def sentence_of(caution: Caution, say: Voice) -> str:
    """What a caution says, but for what it is about."""
    if caution.of is not None:
        return told(caution, say)
    key = f"caution.{caution.code}"
    if not say.has(key):
        return caution.what
    return say(key, **{name: _fact(name, text, say) for name, text in caution.facts})


_TABLES = {"joint": "joint-kind", "fibre": "fibre"}
"""Tables of words that facts of these names are looked up in."""


def _fact(name: str, text: str, say: Voice) -> str:
    key = f"{_TABLES.get(name, '')}.{text.replace(' ', '-')}"
    return say(key) if say.has(key) else in_own_words(text, say)


def screw_size(name: str, say: Voice) -> str:
    """A screw's size as it stands in tables: its name without the word and the unit."""
    return in_own_words(name, say).split(" ", 1)[-1].removesuffix(" mm").removesuffix(" in")


def in_own_words(text: str, say: Voice) -> str:
    """A text of the engine with every phrase the catalogue knows exchanged."""
    if say.language == FIRST_LANGUAGE:
        return text
    for key, pattern in _phrases():
        text = pattern.sub(lambda _found, key=key: say.texts[key], text)  # type: ignore[misc]
    return _MEASURE.sub(lambda found: found[0].replace(".", say.texts.get("sheet.decimal-sign", ".")), text)


_MEASURE = re.compile(r"(?<![\d.])\d+\.\d+(?= (?:×|mm|g|kg|l|m)(?!\w))")
"""A number with decimals before a unit or a times sign; sections of a standard have neither."""


@cache
def _phrases() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """English phrases, the longest first, so that a sentence is found before its words."""
    found = [(key, text) for key, text in catalogue(FIRST_LANGUAGE).items() if key.startswith("phrase.")]
    found.sort(key=lambda item: -len(item[1]))
    return tuple((key, re.compile(rf"(?<!\w){re.escape(text)}(?!\w)")) for key, text in found)
