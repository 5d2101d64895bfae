"""Quantities as people write them, kept exact.

Lengths are read into millimetres as `fractions.Fraction`: 1/64 in is 396.875 µm, and a third of a bay stays a
third. The engine rooms take floats in mm, N, MPa and rad; conversion happens once, at their door.

What could be read two ways is refused with the reason, never guessed: ``2x4`` (a name, not a length), ``1,200``
(twelve hundred or one and a fifth?), ``1.200,5``.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Literal

System = Literal["mm", "cm", "in"]

MILLIMETRES: dict[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
"""Millimetres in one unit; the inch is 25.4 mm exactly (international yard and pound agreement, 1959)."""

_NAMES = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "mm": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm", "cm": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "m": "m",
    "inch": "in", "inches": "in", "in": "in", "in.": "in", '"': "in", "″": "in", "”": "in", "''": "in",
    "foot": "ft", "feet": "ft", "ft": "ft", "ft.": "ft", "'": "ft", "′": "ft", "’": "ft",
}  # fmt: skip

_NUMBER = r"\d+(?:[.,]\d+)?"
_VALUE = (
    r"(?:(?P<whole>\d+)(?:\s+|\s*-\s*)(?P<num>\d+)\s*/\s*(?P<den>\d+)"
    r"|(?P<onlynum>\d+)\s*/\s*(?P<onlyden>\d+)"
    rf"|(?P<dec>{_NUMBER}))"
)
_UNITS = r"(?P<unit>[a-zA-Z]+\.?|''|[\"″”'′’])?"
_ONE = re.compile(rf"^\s*{_VALUE}\s*{_UNITS}\s*$")
_FEET = re.compile(r"^\s*(?P<feet>\d+)\s*(?:ft\.?|feet|foot|['′’])\s*-?\s*(?P<rest>\S.*)$", re.IGNORECASE)


LONGEST_TEXT = 80
"""Letters of the longest text that is read as a quantity."""

LARGEST = 10**40
"""No number that is read as a quantity is larger."""

SMALLEST = 15
"""Digits behind the point up to which a number is told from nothing."""


def shortened(value: object) -> str:
    """What was written, as it stands in a message, cut where it is long."""
    if isinstance(value, int) and not -LARGEST < value < LARGEST:
        return "a number of many digits"
    text = repr(value)
    return text if len(text) <= LONGEST_TEXT else f"{text[: LONGEST_TEXT - 2]}…{text[-1]}"


class QuantityError(ValueError):
    """A text that is not the quantity it should be; the message says why and what to write."""


N_PER_METRE = 1000.0
"""N/m in one N/mm: batch files, commands and sheets say N/m, everything inside counts in N/mm."""

CENT = Decimal("0.01")
"""The smallest coin, to which every amount of money is rounded."""


def parse_length(text: str | int | float | Decimal | Fraction, *, unit: str = "mm") -> Fraction:
    """Reads a length as people write it.

    Accepts ``1200``, ``1.2 m``, ``1,2 m``, ``47 1/4 in``, ``47-1/4"``, ``47¼"`` and ``3' 11 1/4"``.

    Args:
        text: What was written; a bare number counts in ``unit``.
        unit: The unit of a bare number: mm, cm, m, in or ft.

    Returns:
        The length, exact. [mm]

    Raises:
        QuantityError: If the text is not a length, could be read two ways, or is negative.
    """
    if isinstance(text, bool):
        msg = "true or false is not a length; write a number such as 1200"
        raise QuantityError(msg)
    if isinstance(text, (int, Fraction)):
        return _not_negative(Fraction(text) * _millimetres(unit), shortened(text))
    if isinstance(text, float):
        if not math.isfinite(text):
            msg = f"{text} is not a length; write a number such as 1200"
            raise QuantityError(msg)
        return _not_negative(Fraction(repr(text)) * _millimetres(unit), repr(text))
    if isinstance(text, Decimal):
        if not text.is_finite() or abs(text) > LARGEST or (text and text.adjusted() < -SMALLEST):
            msg = "this number is far too large or too small for a length; check it and its unit"
            raise QuantityError(msg)
        return _not_negative(Fraction(text) * _millimetres(unit), str(text))
    if len(text) > LONGEST_TEXT:
        msg = f"{shortened(text)} is too long for a length; write a number such as 1200"
        raise QuantityError(msg)
    written = _spell_fractions(text.strip())
    if not written:
        msg = "the length is empty; write a number such as 1200"
        raise QuantityError(msg)
    if written[0] in "-−–":
        msg = f"{text!r} is negative; a length is zero or more"
        raise QuantityError(msg)
    if re.search(r"\d\s*[x×*]\s*\d", written):
        msg = f"{text!r} is the name of a section, not one length; give thickness and depth each on its own"
        raise QuantityError(msg)
    feet = _FEET.match(written)
    if feet is not None:
        inches = _one(feet["rest"], unit="in", shown=text)
        if inches >= MILLIMETRES["ft"]:
            msg = f"{text!r} has twelve inches or more beside the feet; write the inches below 12"
            raise QuantityError(msg)
        return int(feet["feet"]) * MILLIMETRES["ft"] + inches
    return _one(written, unit=unit, shown=text)


def parse_angle(text: str | int | float) -> float:
    """Reads an angle in degrees, ``6``, ``"6°"`` or ``"6.5 deg"``.

    Returns:
        The angle. [rad]

    Raises:
        QuantityError: If the text is not an angle of 0° to below 90°.
    """
    if isinstance(text, str) and len(text) > LONGEST_TEXT:
        msg = f"{shortened(text)} is not an angle; write degrees such as 6° (0 to below 90)"
        raise QuantityError(msg)
    written = str(text).strip().replace(",", ".")
    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(?:°|deg|degrees?)?", written)
    if isinstance(text, bool) or match is None or not 0 <= float(match[1]) < 90:
        msg = f"{text!r} is not an angle; write degrees such as 6° (0 to below 90)"
        raise QuantityError(msg)
    return math.radians(float(match[1]))


def parse_money(value: str | int | float | Decimal) -> Decimal:
    """Reads an amount of money without a currency sign, zero or more.

    Raises:
        QuantityError: If it is not an amount, or negative.
    """
    try:
        # A whole number of thousands of digits cannot even be written down.
        readable = not isinstance(value, bool) and not (isinstance(value, int) and abs(value) > LARGEST)
        amount = Decimal(str(value).strip()) if readable else Decimal("nan")
    except InvalidOperation:
        amount = Decimal("nan")
    if not amount.is_finite() or (amount and not -SMALLEST <= amount.adjusted() <= SMALLEST):
        msg = f"{shortened(value)} is not an amount of money; write a number such as 4.80"
        raise QuantityError(msg)
    if amount < 0:
        msg = f"{value} is negative; a price is zero or more"
        raise QuantityError(msg)
    return amount


_OUNCE_PER_SQUARE_YARD = 28.349523125 / 0.83612736  # g/m², exact definitions of ounce and yard


def parse_area_mass(value: str | int | float) -> float:
    """Reads the mass of cloth per area: a bare number is g/m²; ``"10 oz/yd2"`` is read too.

    A bare "oz" is refused: sellers mean it per square yard, per running yard or per piece.

    Returns:
        Mass per area. [g/m²]

    Raises:
        QuantityError: If it is not a positive mass per area.
    """
    if (isinstance(value, str) and len(value) > LONGEST_TEXT) or (isinstance(value, int) and value > LARGEST):
        msg = f"{shortened(value)} is not a mass per area; write g/m² such as 320, or 10 oz/yd2"
        raise QuantityError(msg)
    written = str(value).strip().lower().replace("²", "2").replace(",", ".").replace("^", "")
    match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(g/m2|gsm|oz/yd2|oz/sq yd|kg/m2|oz)?", written)
    if isinstance(value, bool) or match is None or float(match[1]) <= 0:
        msg = f"{value!r} is not a mass per area; write g/m² such as 320, or 10 oz/yd2"
        raise QuantityError(msg)
    if match[2] == "oz":
        msg = f"{value!r}: an ounce of cloth may be per square or per running yard; write oz/yd2 or g/m²"
        raise QuantityError(msg)
    factor = {"oz/yd2": _OUNCE_PER_SQUARE_YARD, "oz/sq yd": _OUNCE_PER_SQUARE_YARD, "kg/m2": 1000.0}
    return float(match[1]) * factor.get(match[2] or "", 1.0)


@dataclass(frozen=True, slots=True)
class LengthStyle:
    """How lengths are shown to the user.

    Attributes:
        system: mm, cm or in.
        fraction: Finest fraction of an inch, a power of two from 2 to 64.
        step: Finest step of a metric length. [mm]
    """

    system: System = "mm"
    fraction: int = 16
    step: Fraction = Fraction(1, 2)

    @property
    def grain(self) -> Fraction:
        """The smallest difference that is shown. [mm]"""
        return MILLIMETRES["in"] / self.fraction if self.system == "in" else self.step

    @property
    def unit_word(self) -> str:
        """The unit as it stands at the head of a column."""
        return self.system

    def finer(self) -> LengthStyle:
        """The same system with a finer step, for sections and gaps."""
        return LengthStyle(self.system, max(self.fraction, 32), Fraction(1, 10))

    def show(
        self,
        length: Fraction | float | int,
        *,
        rounding: Literal["nearest", "up", "down"] = "nearest",
        with_unit: bool = True,
    ) -> str:
        """A length as text.

        Args:
            length: The length; may be negative. [mm]
            rounding: ``up`` for parts, so that none comes out short; ``down`` for what remains of a board.
            with_unit: Whether the unit stands behind it.
        """
        steps = self.steps(length, rounding=rounding)
        sign = "−" if steps < 0 else ""
        steps = abs(steps)
        if self.system == "in":
            whole, part = divmod(Fraction(steps, self.fraction), 1)
            words = []
            if whole or not part:
                words.append(str(int(whole)))
            if part:
                words.append(f"{part.numerator}/{part.denominator}")
            return sign + " ".join(words) + (" in" if with_unit else "")
        value = steps * self.step / (10 if self.system == "cm" else 1)
        return sign + _decimal(value) + (f" {self.system}" if with_unit else "")

    def steps(
        self, length: Fraction | float | int, *, rounding: Literal["nearest", "up", "down"] = "nearest"
    ) -> int:
        """The length in whole grains; a hair (a thousandth of a grain) is forgiven before rounding up or down."""
        exact = Fraction(length) / self.grain
        hair = Fraction(1, 1000)
        if rounding == "up":
            return math.ceil(exact - hair)
        if rounding == "down":
            return math.floor(exact + hair)
        return math.floor(exact + Fraction(1, 2))


def show_money(amount: Decimal, currency: str = "") -> str:
    """An amount with two decimals and its currency."""
    text = f"{amount.quantize(Decimal('0.01')):,.2f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    return f"{text} {currency}".strip()


def _millimetres(unit: str) -> Fraction:
    try:
        return MILLIMETRES[unit]
    except KeyError:
        msg = f"{unit!r} is not a unit of length; use mm, cm, m, in or ft"
        raise QuantityError(msg) from None


def _not_negative(length: Fraction, shown: str) -> Fraction:
    if length < 0:
        msg = f"{shown} is negative; a length is zero or more"
        raise QuantityError(msg)
    return length


def _spell_fractions(text: str) -> str:
    spelt = []
    for sign in text:
        plain = unicodedata.normalize("NFKC", sign)
        if "⁄" in plain:
            spelt.append(" " + plain.replace("⁄", "/"))
        else:
            spelt.append(sign.replace("⁄", "/"))
    return "".join(spelt).strip()


def _one(written: str, *, unit: str, shown: str) -> Fraction:
    match = _ONE.match(written)
    if match is None:
        msg = f"{shown!r} is not a length: {_why_not(written)}"
        raise QuantityError(msg)
    name = match["unit"]
    key = _NAMES.get(name.lower()) if name else unit
    if key is None:
        msg = f"{shown!r}: {name!r} is not a unit of length; use mm, cm, m, in or ft"
        raise QuantityError(msg)
    if match["dec"] is not None:
        return _plain_number(match["dec"], unit=key, shown=shown) * _millimetres(key)
    numerator, denominator = int(match["num"] or match["onlynum"]), int(match["den"] or match["onlyden"])
    if denominator == 0:
        msg = f"{shown!r} divides by zero; write a fraction such as 1/2"
        raise QuantityError(msg)
    if match["whole"] is not None and numerator >= denominator:
        msg = f"{shown!r} has a fraction of one or more beside a whole number; write it below one, e.g. 1/4"
        raise QuantityError(msg)
    if key in ("mm", "cm", "m") and match["num"] is not None and denominator not in (2, 4, 5, 8, 10):
        msg = f"{shown!r} mixes fractions with a metric unit; write decimals, or say in for inches"
        raise QuantityError(msg)
    return (int(match["whole"] or 0) + Fraction(numerator, denominator)) * _millimetres(key)


def _plain_number(digits: str, *, unit: str, shown: str) -> Fraction:
    for sign in ",.":
        head, found, tail = digits.partition(sign)
        grouped = len(tail) == 3 and head not in ("", "0") and len(head) <= 3
        if found and grouped and (sign == "," or unit in ("mm", "cm")):
            msg = (
                f"{shown!r} could mean {head}{tail} or {head}.{tail.rstrip('0') or '0'}; "
                "write it without a sign between thousands"
            )
            raise QuantityError(msg)
    return Fraction(digits.replace(",", "."))


def _why_not(written: str) -> str:
    if re.search(r"\d[.,]\d+[.,]\d", written):
        return "it has two signs between digits; write 1200.5"
    if re.search(r"\d\s+\d", written) and "/" not in written:
        return "it has a gap between digits; write 1200"
    if not re.search(r"\d", written):
        return "it has no number; write one, with a unit if it is not the file's own"
    return "it cannot be read; write it like 1200, 1.2 m, 47 1/4 in or 3' 11 1/4\""


def _decimal(value: Fraction) -> str:
    text = f"{float(value):.3f}"
    return text.rstrip("0").rstrip(".")
