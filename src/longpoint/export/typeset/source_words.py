"""Words as typeset source: drawable signs only, strong stretches marked, nothing read as a command."""

from __future__ import annotations

import re
from collections.abc import Sequence

from longpoint.drawing.paper.lettering import shown


def list_of(items: Sequence[str]) -> str:
    """Words one after another, as arguments."""
    return ", ".join(words_of(item) for item in items)


def words_of(words: str) -> str:
    """Running text as a content expression; ``**`` turns strong on and off."""
    pieces = words.split("**")
    if len(pieces) % 2 == 0:  # a lone pair of stars is just two stars
        pieces = [words]
    if len(pieces) == 1:
        return f"text({string_of(words)})"
    made = [
        f"#strong({string_of(piece)})" if i % 2 else f"#{string_of(piece)}" for i, piece in enumerate(pieces)
    ]
    return "[" + "".join(made) + "]"


def string_of(words: str, *, flat: bool = True) -> str:
    """A string literal; words are first made drawable."""
    text = _kept_ends(words) if flat else words.replace("\n", "")
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


_ONE_NUMBER = re.compile(r"(?<=\d) (?=\d+/\d)|(?<=No\.) (?=\d)")
"""Spaces inside a number, at which no line may be broken: whole inches and their fraction, a screw's size."""


def together(words: str) -> str:
    """Drawable words, the spaces inside a number made such that no line is broken there."""
    return _ONE_NUMBER.sub("\u00a0", shown(words))


def _kept_ends(words: str) -> str:
    """Drawable words that keep a space at either end, so that strong stretches do not stick to their neighbours."""
    if not words.strip():
        return " " if words else ""
    return (" " if words[0].isspace() else "") + together(words) + (" " if words[-1].isspace() else "")
