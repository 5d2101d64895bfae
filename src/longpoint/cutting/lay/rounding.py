"""From sizes as people state them to whole ticks, and back.

A tick is the largest length of which all stated sizes are whole multiples, never finer than a nanometre.
Sizes that are no whole number of nanometres are rounded so that nothing comes out short: wanted pieces up,
rolls down.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor, gcd

NM = 1_000_000  # nanometres in a millimetre
NOISE = Fraction(1, 1000)  # of a nanometre: what binary fractions add to 47.25 in × 25.4


def exact_nm(size: float | Fraction | Decimal) -> Fraction:
    """A size in nanometres, exactly as it is written down (0.1 is a tenth, not its nearest binary fraction).

    Args:
        size: Finite. [mm]

    Returns:
        Nanometres.
    """
    written = Fraction(repr(size)) if isinstance(size, float) else Fraction(size)
    return written * NM


def nm_up(size: float | Fraction | Decimal) -> int:
    """Whole nanometres, rounded up: for what is wanted.

    Returns:
        Nanometres.
    """
    size_nm = exact_nm(size)
    near = round(size_nm)
    return near if abs(size_nm - near) <= NOISE else ceil(size_nm)


def nm_down(size: float | Fraction | Decimal) -> int:
    """Whole nanometres, rounded down: for what there is.

    Returns:
        Nanometres.
    """
    size_nm = exact_nm(size)
    near = round(size_nm)
    return near if abs(size_nm - near) <= NOISE else floor(size_nm)


def tick_of(sizes: Iterable[int]) -> int:
    """The largest common measure.

    Args:
        sizes: Whole nanometres; zeros do not matter.

    Returns:
        Nanometres in a tick, at least 1.
    """
    return gcd(*sizes) or 1


def mm(nanometres: int) -> float:
    """Millimetres as the nearest float.

    Returns:
        Millimetres.
    """
    return nanometres / NM
