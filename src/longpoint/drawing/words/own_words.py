"""Engines' keys and figures said in the reader's language: cautions, joints, things to buy.

An engine hands over a code with its figures; the texts stand in the catalogues. A figure that is a word of the engine
is a key, too, and its table is named here. Figures keep their digits and get the language's decimal sign.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from longpoint.costing.buying import Told
from longpoint.drawing.words.choice import told
from longpoint.drawing.words.members import member_words
from longpoint.drawing.words.voice import Voice
from longpoint.errors import Caution
from longpoint.frame.joins import SCARF_SLOPE
from longpoint.joinery import Hardware, Joint
from longpoint.stretching.rehearsal.outward_ways import NAMED, before_improving


def caution_words(caution: Caution, say: Voice) -> str:
    """A caution with what it is about."""
    about = _about(caution.about, say)
    words = sentence_of(caution, say)
    return f"{about}: {words}" if about else words


def remarks_words(cautions: Iterable[Caution], say: Voice) -> list[str]:
    """Cautions in words, those that read alike said once with all they are about."""
    found: dict[str, dict[str, None]] = {}
    for caution in cautions:
        names = found.setdefault(sentence_of(caution, say), {})
        if caution.about:
            names[_about(caution.about, say)] = None
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


def figures(text: str, say: Voice) -> str:
    """Figures of an engine with the language's decimal sign; where that is the comma, lists have semicolons."""
    sign = say.texts["sheet.decimal-sign"]
    if sign == ".":
        return text
    return _MEASURES.sub(lambda found: found[0].replace(", ", "; ").replace(".", sign), text)


_NUMBER = r"(?<![\d.])\d+(?:\.\d+)?"
_MEASURES = re.compile(rf"{_NUMBER}(?:, {_NUMBER})*(?= (?:×|mm|cm|g|kg|l|m)(?!\w))")
"""Numbers before a unit or a times sign, alone or in a list; sections of a standard have neither."""


def section_words(section: str, say: Voice) -> str:
    """The name of a list of boards, its use and its section: ``bars and rails 21 × 44 mm``."""
    found = _SECTION.fullmatch(section)
    if found is None:
        return section
    return f"{say('use.' + found[1].replace(' ', '-'))} {figures(found[2], say)}"


_SECTION = re.compile(r"(bars and rails|bars|rails) (\d.*)")


def screw_words(name: str, say: Voice) -> str:
    """A screw with its size, by its name: ``screw 4 × 60 mm``."""
    return say("thing.screw", size=figures(name.removeprefix("screw "), say))


def screw_size(name: str, say: Voice) -> str:
    """A screw's size as it stands in tables: its name without the word, and without a unit that the sheet is in."""
    size = figures(name.removeprefix("screw "), say).removesuffix(" in")
    return size.removesuffix(" mm") if say.lengths.system == "mm" else size


def hardware_words(line: Hardware, say: Voice) -> str:
    """Bolts, washers, nuts, dowels with their size."""
    return say(f"thing.{line.kind}", size=figures(line.size, say))


def note_words(joint: Joint, say: Voice) -> str:
    """What a person should know at a joint."""
    return say(f"joint-note.{joint.note}", slope=SCARF_SLOPE)


def order_words(order: str, say: Voice) -> str:
    """The name of an order of stapling: in the reader's language, but for the user's own, which stays as written."""
    before = before_improving(order)
    if before:
        return say("order-name.improved", order=order_words(before, say))
    way = NAMED.get(order)
    if way is None:
        return _known("order-name", order, say)
    told = [
        f"{say('order-way.corners' if way.corners else 'order-way.middles')} {say(f'order-way.run-{way.run}')}"
    ]
    if way.holding:
        told.append(say(f"order-way.held-{way.holding}"))
    if way.short_first:
        told.append(say("order-way.short-first"))
    return ", ".join(told)


def source_words(source: str, say: Voice) -> str:
    """Where a limit comes from; citations stay as they are, words are said."""
    return _known("source", source, say)


def product_words(name: str, say: Voice) -> str:
    """A thing by its name: as it was stated, or the usual one in the reader's language."""
    first, _, rest = name.partition(" ")
    if rest[:1].isdigit():  # timber of an ordinary yard, with its section
        return f"{_known('product', first, say)} {figures(rest, say)}"
    return _known("product", name, say)


def thing_words(thing: Told, say: Voice) -> str:
    """A thing of the buying list."""
    return say(f"thing.{thing.key}", **_told(thing, say))


def pack_words(pack: Told, say: Voice, *, many: bool = False) -> str:
    """What a pack is: ``box of 200``; boards, pieces and sheets by themselves, one or many."""
    key = f"pack.{pack.key}"
    return say(f"{key}s" if many and say.has(f"{key}s") else key, **_told(pack, say))


def remark_words(note: Told, say: Voice) -> str:
    """A remark of the buying list."""
    return say(f"bought.{note.key}", **_told(note, say))


def _told(thing: Told, say: Voice) -> dict[str, str]:
    return {name: _fact(name, text, say) for name, text in thing.facts}


def _about(about: str, say: Voice) -> str:
    if about == "all works":
        return say("use.all-works")
    return ", ".join(section_words(one, say) for one in about.split(", "))


_TABLES = {
    "joint": "joint-kind",
    "fibre": "fibre",
    "air": "year",
    "at": "year",
    "layer": "layer",
    "tag": "tag",
    "region": "region",
    "side": "side-of",
    "edge": "side",
    "metal": "metal",
    "piece": "piece",
}
"""Tables of words that facts of these names are looked up in."""

_STATED = ("mine", "other", "name", "work")
"""Names that a person gave: never read as anything else."""


def _fact(name: str, text: str, say: Voice) -> str:
    if name in _STATED:
        return text
    if name in ("screw", "screws"):
        return ", ".join(screw_words(one, say) for one in text.split(", "))
    if name in ("litres", "grams"):
        return text.replace(".", say.texts["sheet.decimal-sign"])
    if name in ("product", "timber", "roll"):
        return product_words(text, say)
    if name == "into":
        return ", ".join(member_words(one, say) for one in text.split(", "))
    if name == "order":
        return order_words(text, say)
    if name == "orders":  # each with its load behind it
        return "; ".join(
            f"{order_words(order, say)}{figures(bracket + load, say)}"
            for order, bracket, load in (one.partition(" (") for one in text.split("; "))
        )
    if name in _TABLES:
        return ", ".join(_known(_TABLES[name], one, say) for one in text.split(", "))
    return figures(text, say)


def _known(table: str, text: str, say: Voice) -> str:
    """A word of the engine from its table; what does not stand there is said as it is."""
    key = f"{table}.{text.lower().replace(' ', '-')}"
    return say(key) if say.has(key) else text
