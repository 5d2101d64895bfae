"""Rows of ``plan.json``: the base of all of them, and how numbers are written."""

from __future__ import annotations

from fractions import Fraction

from pydantic import BaseModel, ConfigDict


class Row(BaseModel):
    """A row of the document: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class RangeRow(Row):
    """An uncertain number: from, most likely, to."""

    low: float
    middle: float
    high: float


def mm(length: Fraction | float) -> float:
    """To a tenth of a micrometre: finer than any tape, coarse enough to read."""
    return round(float(length), 4)


def range_row(value: object, *, scale: float = 1.0, digits: int = 4) -> RangeRow:
    """A range with its numbers on another scale.

    Args:
        value: Anything with ``low``, ``middle`` and ``high``.
        scale: Factor.
        digits: Decimals kept.
    """
    low, middle, high = (round(getattr(value, name) * scale, digits) for name in ("low", "middle", "high"))
    return RangeRow(low=low, middle=middle, high=high)
