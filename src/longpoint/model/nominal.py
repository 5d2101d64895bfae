"""Sections called by nominal inches: what is sold as 1x2 measures 3/4 × 1 1/2 in."""

from __future__ import annotations

import re
from fractions import Fraction

from longpoint.tables.shops import INCH, nominal_sides

_NAME = re.compile(r"(?<![\d./])(\d)\s*(?:x|×|by|X)\s*(\d{1,2})(?![\d./])")


def nominal_in(name: str) -> tuple[int, int] | None:
    """The two numbers of a nominal name that stands in a text, e.g. ``1x2`` in ``clear 1x2``; None where none does."""
    found = _NAME.search(name)
    if found is None or nominal_sides(int(found[1]), int(found[2])) is None:
        return None
    return int(found[1]), int(found[2])


def sides_of(nominal: tuple[int, int]) -> tuple[Fraction, Fraction]:
    """What a section of a nominal name measures, dry. [mm]

    Args:
        nominal: Its two numbers, as `nominal_in` finds them.
    """
    sides = nominal_sides(*nominal)
    if sides is None:
        msg = f"{nominal[0]}x{nominal[1]} is no nominal size"
        raise ValueError(msg)
    return sides


def taken_literally(nominal: tuple[int, int], thickness: Fraction, depth: Fraction) -> bool:
    """Whether two sides are the numbers of a nominal name, taken as if they were inches."""
    return {thickness, depth} == {INCH * nominal[0], INCH * nominal[1]}
