"""The referee for bounds: what is certain of a length or a cost, confirmed in whole numbers and fractions.

It shares no code with what finds lays and their bounds. From the statement it knows the rectangles and the rolls; from
the evidence it takes worths, which may be any numbers: a *slice*, what lies side by side across a clear width at one
place along the roll, is worth at most what a knapsack says, and all rectangles together are worth their sum. Round
flaws the clear widths are counted stretch by stretch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, product
from math import gcd

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.evidence import Evidence, PieceWorth

Ints = NDArray[np.int64]
Box = tuple[int, int, int, int]  # left, near, right, far
Counts = tuple[int, ...]  # how many of every rectangle

STEPS = 20_000  # widths are counted in so many steps at most, what lies in them rounded down
MOST_SUM = 4_000_000  # beyond so many units sums of sizes are not followed
SAFE = 1 << 62


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle wanted, so many times.

    Attributes:
        across: Size across the warp. [units]
        along: Size along the warp. [units]
        count: How many.
        may_turn: May lie turned.
    """

    across: int
    along: int
    count: int
    may_turn: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """A roll, only its usable part.

    Attributes:
        width: Across. [units]
        length: Along; None for no limit. [units]
        flaws: What nothing may touch. [units]
        crossways: The warp runs across it.
        rate: What a unit of length that is used costs at least.
    """

    width: int
    length: int | None = None
    flaws: tuple[Box, ...] = ()
    crossways: bool = False
    rate: Fraction = Fraction(1)


def in_units(
    rectangles: Sequence[Rectangle], strips: Sequence[Strip]
) -> tuple[int, tuple[Rectangle, ...], tuple[Strip, ...]]:
    """The same in the largest unit in which all sizes are whole.

    Returns:
        The unit, the rectangles and the rolls.
    """
    sizes = [size for r in rectangles for size in (r.across, r.along)]
    sizes += [
        size for s in strips for size in (s.width, s.length or 0, *(at for flaw in s.flaws for at in flaw))
    ]
    unit = gcd(*sizes) or 1
    return (
        unit,
        tuple(Rectangle(r.across // unit, r.along // unit, r.count, r.may_turn) for r in rectangles),
        tuple(
            Strip(
                s.width // unit,
                None if s.length is None else s.length // unit,
                tuple((a // unit, b // unit, c // unit, d // unit) for a, b, c, d in s.flaws),
                s.crossways,
                s.rate * unit,
            )
            for s in strips
        ),
    )


def ways(rectangle: Rectangle, strip: Strip) -> list[tuple[int, int]]:
    """Width and length of a rectangle as it may lie on a roll.

    Returns:
        One or two ways; none where it fits on no part of it.
    """
    upright = (rectangle.across, rectangle.along)
    turned = (rectangle.along, rectangle.across)
    found = [turned if strip.crossways else upright]
    if rectangle.may_turn:
        found.append(upright if strip.crossways else turned)
    most = strip.length
    return [way for way in dict.fromkeys(found) if way[0] <= strip.width and (most is None or way[1] <= most)]


def worths_of(rectangles: Sequence[Rectangle], stated: Sequence[PieceWorth], unit: int) -> list[int]:
    """The worth of every rectangle, found by its size; 0 where none is stated.

    Returns:
        Whole numbers, not negative.
    """
    known = {(w.across, w.along, w.may_turn): max(0, w.worth) for w in stated}
    return [known.get((r.across * unit, r.along * unit, r.may_turn), 0) for r in rectangles]


def side_by_side(entries: Sequence[tuple[int, int, int]], width: int) -> int | None:
    """The greatest worth that lies side by side within a width.

    Args:
        entries: Width, worth and how many at most, of every way to lie.
        width: The width.

    Returns:
        The worth; None where the numbers are too large to be counted.
    """
    if sum(worth * most for _, worth, most in entries) >= SAFE:
        return None
    steps = min(STEPS, width)
    best = np.zeros(steps + 1, np.int64)
    for wide, worth, most in entries:
        step, left, bundle = wide * steps // width, most, 1
        while left > 0 and worth > 0:
            take = min(bundle, left)
            shift = take * step
            if shift == 0:
                best += take * worth
            elif shift <= steps:
                best[shift:] = np.maximum(best[shift:], best[:-shift] + take * worth)
            left -= take
            bundle *= 2
    return int(best[steps])


def stretches(strip: Strip) -> list[tuple[int, int | None, tuple[int, ...]]]:
    """Where a roll is clear: from, to (None for the end of an endless roll), and its clear widths there.

    Returns:
        One after the other from the free end.
    """
    marks = sorted({0, *(y for flaw in strip.flaws for y in (flaw[1], flaw[3]) if y > 0)})
    if strip.length is not None:
        marks = [y for y in marks if y < strip.length]
    found = []
    for begin, end in pairwise([*marks, strip.length]):
        assert begin is not None
        widths, at = [], 0
        for left, near, right, far in sorted(strip.flaws):
            if near <= begin < far:
                if left > at:
                    widths.append(left - at)
                at = max(at, right)
        if at < strip.width:
            widths.append(strip.width - at)
        found.append((begin, end, tuple(widths)))
    return found


def slices_worth(
    rectangles: Sequence[Rectangle], strip: Strip, worths: Sequence[int], widths: set[int]
) -> dict[int, int] | None:
    """The greatest worth of a slice one unit long, for clear widths of a roll.

    Returns:
        PieceWorth by width; None where the numbers are too large to be counted.
    """
    found = {}
    for width in widths:
        entries = [
            (wide, -(-worth // long), min(r.count, width // wide))
            for r, worth in zip(rectangles, worths, strict=True)
            for wide, long in ways(r, strip)
            if wide <= width
        ]
        best = side_by_side(entries, width)
        if best is None:
            return None
        found[width] = best
    return found


def next_sum(rectangles: Sequence[Rectangle], least: int, *, crossways: bool) -> int:
    """The first sum of sizes along the roll that is not below a length: pushed together, a lay is as long as one.

    Returns:
        Units; the length itself where there are too many sums.
    """
    sides: dict[int, int] = {}
    for r in rectangles:
        lying = {r.across if crossways else r.along} | ({r.across, r.along} if r.may_turn else set())
        for side in lying:
            sides[side] = sides.get(side, 0) + r.count
    top = least + max(sides)
    if top > MOST_SUM or least <= 0:
        return max(least, 0)
    sums = 1
    for side, count in sides.items():
        done = 1
        while done <= count and done * side <= top:
            sums |= (sums << (done * side)) & ((1 << (top + 1)) - 1)
            count -= done
            done *= 2
        if count > 0 and count * side <= top:
            sums |= (sums << (count * side)) & ((1 << (top + 1)) - 1)
        elif count > 0:
            for _ in range(top // side):
                sums |= (sums << side) & ((1 << (top + 1)) - 1)
    rest = sums >> least
    return least + (rest & -rest).bit_length() - 1 if rest else least


def least_length(rectangles: Sequence[Rectangle], strip: Strip, evidence: Evidence, unit: int) -> int:
    """Length that every lay on one roll takes, by arithmetic.

    Args:
        rectangles: What is wanted. [units]
        strip: The roll; its own length does not matter. [units]
        evidence: Worths. [nm]
        unit: Nanometres in a unit.

    Returns:
        Units.
    """
    endless = Strip(strip.width, None, strip.flaws, strip.crossways)
    areas = [r.across * r.along for r in rectangles]
    bound = max(_alone(r, endless) for r in rectangles)
    for worths in (areas, *(worths_of(rectangles, stated, unit) for stated in evidence.worths)):
        bound = max(bound, _length_for(rectangles, endless, worths))
    if evidence.columns is not None and not strip.flaws:
        bound = max(bound, _by_columns(rectangles, endless, evidence.columns.length // unit, evidence, unit))
    feet = {0, *(flaw[3] for flaw in strip.flaws if flaw[3] > 0)}
    return min(foot + next_sum(rectangles, max(0, bound - foot), crossways=strip.crossways) for foot in feet)


def _length_for(rectangles: Sequence[Rectangle], strip: Strip, worths: Sequence[int]) -> int:
    """The first place at which slices can have given all worths."""
    here = stretches(strip)
    best = slices_worth(rectangles, strip, worths, {width for _, _, widths in here for width in widths})
    due = sum(r.count * worth for r, worth in zip(rectangles, worths, strict=True))
    if best is None or due == 0:
        return 0
    for begin, end, widths in here:
        gives = sum(best[width] for width in widths)
        if gives and (end is None or gives * (end - begin) >= due):
            return begin - (-due // gives)
        if end is not None:
            due -= gives * (end - begin)
    return 0


def _alone(rectangle: Rectangle, strip: Strip) -> int:
    """The nearest that a rectangle by itself can end."""
    lefts = sorted({0, *(flaw[2] for flaw in strip.flaws)})
    feet = sorted({0, *(flaw[3] for flaw in strip.flaws)})
    ends = [
        foot + long
        for wide, long in ways(rectangle, strip)
        for foot in feet
        for left in lefts
        if left + wide <= strip.width
        and not any(
            flaw[0] < left + wide and left < flaw[2] and flaw[1] < foot + long and foot < flaw[3]
            for flaw in strip.flaws
        )
    ]
    return min(ends, default=0)


def _by_columns(
    rectangles: Sequence[Rectangle], strip: Strip, length: int, evidence: Evidence, unit: int
) -> int:
    """One more than a length for which the roll is not wide enough; 0 where that is not shown."""
    assert evidence.columns is not None
    worths = worths_of(rectangles, evidence.columns.worths, unit)
    entries = [
        (long, -(-worth // wide), min(r.count, length // long))
        for r, worth in zip(rectangles, worths, strict=True)
        for wide, long in ways(r, strip)
        if long <= length
    ]
    best = side_by_side(entries, length) if length > 0 else None
    due = sum(r.count * worth for r, worth in zip(rectangles, worths, strict=True))
    return length + 1 if best is not None and due > best * strip.width else 0


def least_cost(
    rectangles: Sequence[Rectangle], strips: Sequence[Strip], evidence: Evidence, unit: int
) -> Fraction:
    """Cost of the lengths used that every lay on several rolls has, by arithmetic, before any rounding.

    Every clear width of a stretch is a strip of its own that shares what the stretch costs by its width. At a price
    of a worth, no slice of an endless strip may be worth more than it costs; what a limited one's slices are worth
    above that is taken off for all its length.

    Returns:
        A cost that no lay is below.
    """
    areas = [r.across * r.along for r in rectangles]
    plain = [Strip(strip.width, strip.length, (), strip.crossways, strip.rate) for strip in strips]
    best = Fraction(0)
    for worths, rolls in product(
        (areas, *(worths_of(rectangles, stated, unit) for stated in evidence.worths)), (strips, plain)
    ):
        parts: list[tuple[Fraction, int, int | None]] = []  # cost of a unit, worth of a slice, length
        for strip in rolls:
            here = stretches(strip)
            gains = slices_worth(rectangles, strip, worths, {w for _, _, widths in here for w in widths})
            if gains is None:
                parts = []
                break
            for begin, end, widths in here:
                useful = [width for width in widths if gains[width] > 0]
                for width in useful:
                    share = strip.rate * Fraction(width, sum(useful))
                    parts.append((share, gains[width], None if end is None else end - begin))
        due = sum(r.count * worth for r, worth in zip(rectangles, worths, strict=True))
        prices = {rate / gain for rate, gain, _ in parts}
        most = min((rate / gain for rate, gain, long in parts if long is None), default=None)
        for price in prices:
            if most is None or price <= most:
                over = sum(
                    (
                        max(Fraction(0), price * gain - rate) * long
                        for rate, gain, long in parts
                        if long is not None
                    ),
                    Fraction(0),
                )
                best = max(best, price * due - over)
    return best
