"""How sheets speak: every text from a catalogue, every length in the reader's system.

A `Voice` is handed to every page function as ``say``::

    say("bevel.title")                       a text
    say("bevel.high-edge", depth=say.length(44))   a text with values put in
    say.length(1234.5)                       a length, rounded to the nearest step
    say.part(1234.5)                         a part's length, rounded up so that it never comes out short
    say.fine(5.3)                            a small length with a finer step

The catalogue of a language is a folder of TOML files, ``words/<two letters>/*.toml``, whose tables give the
keys: the text ``title`` in the table ``[bevel]`` is ``bevel.title``. How the texts are split into files does not
matter; a translator may send one file with all of them. What a language lacks is said in English.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from math import ceil
from string import Formatter
from types import MappingProxyType

from longpoint.errors import Fault, FaultsError
from longpoint.units import LengthStyle, show_money

FIRST_LANGUAGE = "en"


class MissingWordsError(KeyError):
    """A text that is in no catalogue: a fault of the program, not of the user."""


@dataclass(frozen=True, slots=True)
class Voice:
    """A language together with a way of writing lengths.

    Attributes:
        language: Two letters.
        lengths: How lengths are written.
        texts: Every text by its key.
    """

    language: str
    lengths: LengthStyle
    texts: Mapping[str, str] = field(repr=False)

    def __call__(self, key: str, /, **values: object) -> str:
        """The text of this key with the values put in."""
        try:
            text = self.texts[key]
        except KeyError:
            raise MissingWordsError(key) from None
        return text.format_map(values) if "{" in text else text

    def has(self, key: str) -> bool:
        """Whether there is a text of this key."""
        return key in self.texts

    def length(self, length: Fraction | float, *, unit: bool = False) -> str:
        """A length to the nearest step; drawings leave the unit to the title."""
        return self._sign(self.lengths.show(length, with_unit=unit))

    def part(self, length: Fraction | float, *, unit: bool = False) -> str:
        """A part's length, rounded up."""
        return self._sign(self.lengths.show(length, rounding="up", with_unit=unit))

    def place(self, length: Fraction | float, *, unit: bool = False) -> str:
        """A place along a part or a face: whole millimetres, only a true half stays one; fractions as everywhere."""
        if self.lengths.system != "mm" or abs(float(length) * 2 % 2 - 1) < 0.02:
            return self.length(length, unit=unit)
        return self.length(round(float(length)), unit=unit)

    def whole(self, length: Fraction | float, *, unit: bool = False) -> str:
        """A length that nothing is cut to, rounded up to whole millimetres; fractions as everywhere."""
        if self.lengths.system == "mm":
            return self.length(ceil(float(length) - 1e-6), unit=unit)
        return self.length(length, unit=unit)

    def fine(self, length: Fraction | float, *, unit: bool = False) -> str:
        """A small length: sections, gaps, drops."""
        return self._sign(self.lengths.finer().show(length, with_unit=unit))

    def limit(self, length: Fraction | float, *, unit: bool = False) -> str:
        """What a measure may be off: in inches to the sixteenth below, as a tape shows it, finer only below that."""
        if self.lengths.system == "in" and length >= 25.4 / 16:
            return self.kept(length, unit=unit)
        return self.fine(length, unit=unit)

    def small(self, length: float) -> str:
        """What is less than a fraction can say: tenths of a millimetre, thousandths of an inch; without the unit."""
        per, places = {"mm": (1.0, 1), "cm": (10.0, 2), "in": (25.4, 3)}[self.lengths.system]
        return self.number(length / per, places=places)

    def kept(self, length: Fraction | float, *, unit: bool = False) -> str:
        """What remains of a board or a roll, rounded down."""
        whole = math.floor(float(length) + 1e-6) if self.lengths.system == "mm" else length
        return self._sign(self.lengths.show(whole, rounding="down", with_unit=unit))

    def run(self, length: float, *, cloth: bool = False) -> str:
        """A length of timber or cloth in all, with its unit: metres; feet of timber and yards of cloth in inches.

        Args:
            length: The length. [mm]
            cloth: Whether it is cloth.
        """
        if self.lengths.system != "in":
            return f"{self.number(length / 1000, places=1)} m"
        unit, size = ("yd", 914.4) if cloth else ("ft", 304.8)
        return f"{self.number(length / size, places=1)} {unit}"

    def mass(self, kilograms: float, *, places: int = 1, unit: bool = False) -> str:
        """A mass: kilograms; pounds for readers of inches."""
        value = kilograms / 0.45359237 if self.lengths.system == "in" else kilograms
        return self.number(value, places=places) + (f" {self.mass_unit}" if unit else "")

    def volume(self, litres: float) -> str:
        """A volume: litres; US quarts for readers of inches."""
        return self.number(litres / 0.94635295 if self.lengths.system == "in" else litres, places=2)

    def money(self, amount: Decimal, currency: str = "") -> str:
        """An amount with two decimals and its currency."""
        return self._sign(show_money(amount)) + (f" {currency}" if currency else "")

    def _sign(self, text: str) -> str:
        return text.replace(".", self.texts.get("sheet.decimal-sign", "."))

    def face(self, width: Fraction | float, height: Fraction | float) -> str:
        """Width × height with the unit behind."""
        return f"{self.length(width)} × {self.length(height, unit=True)}"

    def number(self, value: float, *, places: int = 0) -> str:
        """A number with this many decimals, in the language's own decimal sign."""
        text = f"{value:z,.{places}f}".replace(",", "\N{NARROW NO-BREAK SPACE}").replace("-", "−")
        return self._sign(text)

    @property
    def mass_unit(self) -> str:
        """The unit of masses, as it stands in the head of a column."""
        return "lb" if self.lengths.system == "in" else "kg"

    @property
    def volume_unit(self) -> str:
        """The unit of volumes, as it stands in the head of a column."""
        return "qt" if self.lengths.system == "in" else "l"

    @property
    def unit(self) -> str:
        """The unit of lengths, as it stands in the head of a column."""
        return self.lengths.unit_word


def voice_of(language: str = FIRST_LANGUAGE, lengths: LengthStyle | None = None, *, own: str = "") -> Voice:
    """The voice of a language.

    Args:
        language: Two letters, e.g. ``en``.
        lengths: How lengths are written; millimetres if not said.
        own: Text of a TOML file with further or other texts, for a language that is not shipped.

    Raises:
        FaultsError: If the language is not known, or the file of texts is unusable.
    """
    known = languages()
    if language not in known and not own:
        what = f"There are no texts in the language {language!r}."
        fault = Fault("unknown-language", what, f"Choose one of {', '.join(known)}, or give a file of texts.")
        raise FaultsError([fault])
    texts = dict(catalogue(FIRST_LANGUAGE))
    if language in known:
        texts |= catalogue(language)
    if own:
        texts |= _checked(own, texts)
    return Voice(language, lengths or LengthStyle(), MappingProxyType(texts))


def languages() -> tuple[str, ...]:
    """The languages that are shipped."""
    return tuple(
        sorted(f.name for f in files(__package__).iterdir() if f.is_dir() and not f.name.startswith("_"))
    )


@cache
def catalogue(language: str) -> Mapping[str, str]:
    """Every text of a shipped language by its key."""
    texts: dict[str, str] = {}
    folder = files(__package__) / language
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".toml"):
            continue
        for key, text in _flat(tomllib.loads(file.read_text(encoding="utf-8"))).items():
            if key in texts:
                msg = f"{key} is said twice in the texts of {language}; the second time in {file.name}"
                raise ValueError(msg)
            texts[key] = text
    return MappingProxyType(texts)


def placeholders(text: str) -> frozenset[str]:
    """The names of the values that a text wants."""
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)


def _flat(table: Mapping[str, object], head: str = "") -> dict[str, str]:
    texts: dict[str, str] = {}
    for key, value in table.items():
        name = f"{head}.{key}" if head else key
        if isinstance(value, Mapping):
            texts |= _flat(value, name)
        else:
            texts[name] = str(value)
    return texts


def _checked(own: str, texts: Mapping[str, str]) -> dict[str, str]:
    try:
        given = _flat(tomllib.loads(own))
    except tomllib.TOMLDecodeError as error:
        fault = Fault("texts-not-toml", f"The file of texts is not TOML: {error}.", "Mend the line named.")
        raise FaultsError([fault]) from None
    faults = []
    for key, text in given.items():
        if key not in texts:
            faults.append(
                Fault(
                    "unknown-text", f"No sheet says {key!r}.", "Remove it, or mend the spelling of the key."
                )
            )
            continue
        try:
            strange = placeholders(text) - placeholders(texts[key])
        except ValueError as error:
            faults.append(
                Fault("bad-text", f"The text {key!r} cannot be filled in: {error}.", "Mend its braces.")
            )
            continue
        if strange:
            wanted = ", ".join(sorted(placeholders(texts[key]))) or "none"
            faults.append(
                Fault(
                    "bad-text",
                    f"The text {key!r} asks for {', '.join(sorted(strange))}, which is not given.",
                    f"The values it can have: {wanted}.",
                )
            )
    if faults:
        raise FaultsError(faults)
    return given


def frame_words(say: Voice) -> tuple[tuple[str, str], ...]:
    """The fixed words round the pages, for `longpoint.drawing.paper.pages.Pack`."""
    keys = ("contents", "page-of", "revision", "full-size", "caution", "before", "after")
    return tuple((key, say.texts[f"sheet.{key}"]) for key in keys)
