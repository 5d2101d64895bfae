"""A roll with flaws in clear stretches, and what a lay needs at least on it.

Between one end of a flaw and the next the clear widths beside the flaws are the same: a *stretch*. The slice bound
holds stretch by stretch, since no piece met there is wider than the clear width it lies in. So every stretch is a set
of narrow reels side by side, as long as the stretch, and only beyond the last flaw is the roll whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil

import numpy as np

from longpoint.cutting.lay.exact.bound import cost_of_reels, least_length, least_rate, next_sum, reel_of
from longpoint.cutting.lay.exact.slices import (
    Reel,
    slice_weights,
    stepped,
    whole_worths,
    worst_mix,
)
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Stock


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a roll along which the same widths are clear.

    Attributes:
        begin: Where it begins. [ticks]
        end: Where it ends. [ticks]
        clear: Clear parts of the width, from and to. [ticks]
    """

    begin: int
    end: int
    clear: tuple[tuple[int, int], ...]


def stretches(stock: Stock) -> tuple[Stretch, ...]:
    """The stretches of a roll, from its free end to its other end.

    Returns:
        Stretches that follow each other without a gap.
    """
    marks = {0, stock.length}
    marks |= {y for flaw in stock.blocked for y in (flaw[1], flaw[3]) if 0 < y < stock.length}
    rising = sorted(marks)
    found = []
    for begin, end in pairwise(rising):
        clear = []
        at = 0
        for left, _, right, _ in sorted(f for f in stock.blocked if f[1] < end and begin < f[3]):
            if left > at:
                clear.append((at, left))
            at = max(at, right)
        if at < stock.width:
            clear.append((at, stock.width))
        found.append(Stretch(begin, end, tuple(clear)))
    return tuple(found)


def narrow_reels(ground: Ground, stock: Stock, rate: Fraction) -> list[Reel]:
    """A roll with flaws as reels for the slice relaxation.

    What a stretch costs is shared among its clear widths: together they cost no more than its length does.

    Returns:
        Reels that pieces fit on.
    """
    whole = reel_of(ground, stock, rate)
    reels = []
    for stretch in stretches(stock):
        fitting = []
        for left, right in stretch.clear:
            bars = tuple(bar for bar in whole.bars if bar.width <= right - left)
            if bars:
                fitting.append((right - left, bars))
        total = sum(width for width, _ in fitting)
        length = UNLIMITED if stretch.end >= UNLIMITED else stretch.end - stretch.begin
        reels += [Reel(width, length, rate * Fraction(width, total), bars) for width, bars in fitting]
    return reels


def length_round_flaws(ground: Ground) -> tuple[int, tuple[tuple[int, ...], ...]]:
    """Length that a lay on the single roll of a ground needs at least, its flaws counted.

    Args:
        ground: With one roll.

    Returns:
        Ticks, and the worths that show it.
    """
    (stock,) = ground.stocks
    bound, plainly = least_length(ground)
    if not stock.blocked:
        return bound, (plainly,)
    counts = [want.count for want in ground.wants]
    plain = reel_of(ground, Stock(stock.width, crossways=stock.crossways), Fraction(1))
    endless = Stock(stock.width, blocked=stock.blocked, crossways=stock.crossways)
    narrow = narrow_reels(ground, endless, Fraction(1))
    areas = tuple(want.across * want.along for want in ground.wants)
    narrowly = whole_worths(counts, [plain], slice_weights(counts, narrow))
    for worths in (plainly, narrowly, areas):
        bound = max(bound, _length_for(counts, plain, endless, worths))
    bound = max(bound, _first_places(ground, plain))
    # The last piece stands on a chain of others that reaches the free end or the far side of a flaw.
    feet = {0, *(flaw[3] for flaw in stock.blocked)}
    return (
        min(foot + next_sum(ground, max(0, bound - foot), crossways=stock.crossways) for foot in feet),
        (plainly, narrowly),
    )


def _length_for(counts: Sequence[int], plain: Reel, stock: Stock, worths: Sequence[int]) -> int:
    """Length at which slices can first have given the weight of all pieces, in whole numbers."""
    due = sum(count * worth for count, worth in zip(counts, worths, strict=True))
    if due == 0:
        return 0
    best: dict[int, int] = {}
    for stretch in stretches(stock):
        gives = 0
        for left, right in stretch.clear:
            width = right - left
            if width not in best:
                bars = tuple(bar for bar in plain.bars if bar.width <= width)
                steps = stepped(Reel(width, UNLIMITED, Fraction(1), bars))
                gains = np.array([-(-worths[bar.kind] // bar.length) for bar in bars], np.int64)
                best[width] = worst_mix(steps.widths, gains, steps.most, steps.capacity) if bars else 0
            gives += best[width]
        if gives and gives * (stretch.end - stretch.begin) >= due:
            return stretch.begin + ceil(Fraction(due, gives))
        due -= gives * (stretch.end - stretch.begin)
    return stock.length


def _first_places(ground: Ground, plain: Reel) -> int:
    """The nearest that every piece by itself can come to the free end."""
    (stock,) = ground.stocks
    lefts = {0, *(flaw[2] for flaw in stock.blocked)}
    feet = sorted({0, *(flaw[3] for flaw in stock.blocked)})
    far = 0
    for kind in range(len(ground.wants)):
        ends = [
            next(
                foot + bar.length
                for foot in feet
                for x in lefts
                if x + bar.width <= stock.width and is_clear(stock.blocked, x, foot, bar.width, bar.length)
            )
            for bar in plain.bars
            if bar.kind == kind
        ]
        far = max(far, min(ends, default=0))
    return far


def is_clear(blocked: Sequence[tuple[int, int, int, int]], x: int, y: int, across: int, along: int) -> bool:
    """Whether a rectangle touches no flaw.

    Returns:
        True where it is clear.
    """
    return not any(
        left < x + across and x < right and near < y + along and y < far for left, near, right, far in blocked
    )


def least_cost_round_flaws(ground: Ground) -> tuple[float, tuple[tuple[int, ...], ...]]:
    """Cost that a lay on several rolls needs at least, flaws counted.

    Returns:
        Cost, and the worths that show it.
    """
    rates = [least_rate(stock) for stock in ground.stocks]

    def reels_of(wanted: Ground) -> list[Reel]:
        return [
            reel
            for stock, rate in zip(ground.stocks, rates, strict=True)
            for reel in (
                narrow_reels(wanted, stock, rate) if stock.blocked else [reel_of(wanted, stock, rate)]
            )
        ]

    return cost_of_reels(ground, reels_of)
