"""How long words are on paper, and what to do with signs that no font has.

Widths come from the fonts themselves, so that a label's box is known before it is placed. Sheets are lettered
in one sans typeface; signs that it lacks come from a second one with more scripts. What neither has is
replaced by a sign that everybody sees, never dropped.

The fonts are installed packages. They are read once, like the tables of published values.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import font_source_sans_pro
import fontpkg_noto_sans
from fontTools.ttLib import TTFont

from longpoint.drawing.paper.marks import Weight
from longpoint.errors import LongpointError

FAMILIES = ("Source Sans Pro", "Noto Sans")
"""Typefaces in the order they are asked for a sign."""

CAPITAL = 0.660
"""Height of a capital letter in parts of the type size (OS/2 table of the first typeface: 660/1000)."""

DEPTH = 0.21
"""How far letters reach below the foot, in parts of the type size (g, p, y; brackets reach 0.22)."""

RISE = 0.735
"""How far letters and accents reach above the foot, in parts of the type size (b, d, l; Ä reaches 0.86)."""

MISSING = "\N{REPLACEMENT CHARACTER}"
"""Stands for a sign that no font has."""

WEIGHTS: dict[Weight, int] = {"regular": 400, "semibold": 600, "bold": 700}


class FontMissingError(LongpointError):
    """A font that the sheets are lettered with is not installed."""


@dataclass(frozen=True, slots=True)
class Face:
    """One font: which signs it has and how wide they are.

    Attributes:
        advances: Width of each sign by its code point, in parts of the type size.
    """

    advances: dict[int, float]

    def has(self, sign: str) -> bool:
        """Whether the font can draw the sign."""
        return ord(sign) in self.advances


def font_files() -> dict[str, Path]:
    """The font files that sheets are lettered with, by the name of the weight; ``other`` has more scripts.

    Raises:
        FontMissingError: If one is not there.
    """
    first = Path(font_source_sans_pro.__file__).parent / "files"
    second = Path(fontpkg_noto_sans.__file__).parent / "files"
    files = {
        "regular": first / "SourceSansPro-Regular.ttf",
        "semibold": first / "SourceSansPro-Semibold.ttf",
        "bold": first / "SourceSansPro-Bold.ttf",
        "other": second / "NotoSans[wdth,wght].ttf",
    }
    gone = sorted(path.name for path in files.values() if not path.is_file())
    if gone:
        msg = (
            f"The fonts for the sheets are not complete: {', '.join(gone)} cannot be found. "
            "Install the packages font-source-sans-pro and fontpkg-noto-sans again."
        )
        raise FontMissingError(msg)
    return files


@cache
def face(name: str) -> Face:
    """A font by its name in `font_files`."""
    with TTFont(font_files()[name], lazy=True) as font:
        size = font["head"].unitsPerEm
        widths = font["hmtx"].metrics
        return Face({code: widths[glyph][0] / size for code, glyph in font.getBestCmap().items()})


_GAPS = re.compile(r"(?![\u00a0\u202f])\s+")
"""Gaps at which a line may be broken; the gap between thousands is none."""


@cache
def shown(words: str) -> str:
    """The words as they can be drawn: one line, composed accents, unknown signs replaced visibly."""
    first, other = face("regular"), face("other")
    flat = _GAPS.sub(" ", unicodedata.normalize("NFC", words)).strip(" ").replace("\u202f", "\u00a0")
    flat = "".join(sign for sign in flat if unicodedata.category(sign) not in ("Cf", "Cc"))
    return "".join(sign if first.has(sign) or other.has(sign) else MISSING for sign in flat)


def unknown_signs(words: str) -> tuple[str, ...]:
    """The signs in the words that no font has, each once."""
    first, other = face("regular"), face("other")
    flat = unicodedata.normalize("NFC", words)
    return tuple(
        dict.fromkeys(
            sign for sign in flat if sign.isprintable() and not first.has(sign) and not other.has(sign)
        )
    )


@cache
def _width_in_sizes(words: str, weight: Weight) -> float:
    first, other = face(weight), face("other")
    fallback = other.advances[ord(MISSING)]
    total = 0.0
    for sign in shown(words):
        code = ord(sign)
        total += first.advances.get(code, other.advances.get(code, fallback))
    return total


def type_size(height: float) -> float:
    """The type size whose capitals have this height [mm → mm]."""
    return height / CAPITAL


def width_of(words: str, *, height: float, weight: Weight = "regular") -> float:
    """Length of a line of lettering, without kerning [mm].

    Args:
        words: The line.
        height: Height of a capital letter. [mm]
        weight: How heavy.
    """
    return _width_in_sizes(words, weight) * type_size(height)


def fitted(words: str, *, width: float, height: float, weight: Weight = "regular") -> str:
    """The words if they fit, else as many of their first letters as do, with an ellipsis."""
    if width_of(words, height=height, weight=weight) <= width:
        return words
    for count in range(len(words) - 1, 0, -1):
        short = words[:count].rstrip() + "…"
        if width_of(short, height=height, weight=weight) <= width:
            return short
    return "…"


def broken(words: str, *, width: float, height: float, weight: Weight = "regular") -> tuple[str, ...]:
    """The words in lines of at most this width; a single longer word stays whole."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and width_of(longer, height=height, weight=weight) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return (*lines, line) if line else tuple(lines)
