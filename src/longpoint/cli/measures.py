"""Measures given as options: read one by one, what cannot be read is collected."""

from __future__ import annotations

from fractions import Fraction

from longpoint.errors import Fault, Where
from longpoint.units import MILLIMETRES, LengthStyle, QuantityError, parse_length

FARTHEST = 100_000
"""No measure taken at a frame is longer. [mm] Estimate."""


class Reader:
    """Reads lengths in one unit and keeps the faults.

    Attributes:
        faults: Every fault found so far.
    """

    def __init__(self, unit: str) -> None:
        self.faults: list[Fault] = []
        self._unit = unit if unit in MILLIMETRES else "mm"
        if unit not in MILLIMETRES:
            self.fault("unit", f"{unit!r} is not a unit of length.", f"Use one of: {', '.join(MILLIMETRES)}.")

    @property
    def style(self) -> LengthStyle:
        """How lengths are said back: in the unit they came in, finely."""
        if self._unit in ("in", "ft"):
            return LengthStyle("in", 32)
        return LengthStyle("cm", step=Fraction(1, 10)) if self._unit == "cm" else LengthStyle().finer()

    @property
    def reading(self) -> float:
        """How far one reading may be out: a millimetre, or a sixteenth of an inch; estimate. [mm]"""
        return float(MILLIMETRES["in"] / 16) if self._unit in ("in", "ft") else 1.0

    def fault(self, key: str, what: str, remedy: str) -> None:
        """Keeps a fault."""
        self.faults.append(Fault("measure", what, remedy, Where(f"--{key}")))

    def needed(self, text: str, key: str, *, zero: bool = False) -> float:
        """A length that must be there; a fault and 1 mm where it cannot be read. [mm]"""
        try:
            length = parse_length(text, unit=self._unit)
        except QuantityError as error:
            what, _, remedy = str(error).partition("; ")
            self.fault(key, f"{what}.", f"{remedy[:1].upper()}{remedy[1:]}." if remedy else "")
            return 1.0
        if length > FARTHEST:
            self.fault(
                key,
                "no tape at the bench reaches so far.",
                f"Check the number; up to {FARTHEST // 1000} m is read.",
            )
            return 1.0
        if length == 0 and not zero:
            self.fault(key, "a measure of 0 cannot be.", "Measure it again.")
            return 1.0
        return float(length)

    def wished(self, text: str, key: str) -> float | None:
        """A length that may be left out. [mm]"""
        return self.needed(text, key, zero=True) if text else None
