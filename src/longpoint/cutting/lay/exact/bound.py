"""What a lay needs at least: bounds that hold for every way of laying, each by a short argument.

Area: rectangles do not overlap. Slices: see ``slices``. Columns: the same turned a quarter, for a stated
length. Reach: pushed towards the free end, the last rectangle stands on a chain of others, so the length is a sum
of sizes along the roll.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, isqrt

import numpy as np

from longpoint.cutting.lay.exact.slices import Bar, Reel, proof, slice_weights, whole_worths
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Stock, Want

MOST_SUMS = 4_000_000  # beyond so many ticks the chains are not followed
MOST_KINDS = 150  # of rectangles that are priced each by itself
CLASSES = 100  # of like sizes where there are more


def area_of(ground: Ground) -> int:
    """Area of everything wanted.

    Returns:
        Ticks².
    """
    return sum(want.across * want.along * want.count for want in ground.wants)


def reel_of(ground: Ground, stock: Stock, rate: Fraction) -> Reel:
    """A roll for the slice relaxation.

    Returns:
        The reel, with every way in which a kind fits on it.
    """
    bars = []
    limit = min(stock.length, ground.longest)
    for kind, want in enumerate(ground.wants):
        for turned in (False, True):
            if turned != stock.crossways and not want.may_turn:
                continue
            if turned and want.across == want.along and not stock.crossways:
                continue
            width, length = (want.along, want.across) if turned else (want.across, want.along)
            if width <= stock.width and length <= limit:
                bars.append(Bar(kind, width, length, min(want.count, stock.width // width)))
    return Reel(stock.width, stock.length, rate, tuple(bars))


def area_length(ground: Ground) -> int:
    """Length that the area alone asks for on the single roll of a ground.

    Args:
        ground: With one roll.

    Returns:
        Ticks.
    """
    (stock,) = ground.stocks
    return next_sum(ground, -(-area_of(ground) // stock.width), crossways=stock.crossways)


def least_length(ground: Ground) -> tuple[int, tuple[int, ...]]:
    """Length that a lay on the single roll of a ground needs at least.

    Args:
        ground: With one roll.

    Returns:
        Ticks, and the worths that show it.
    """
    (stock,) = ground.stocks
    counts = [want.count for want in ground.wants]

    def reels_of(wanted: Ground) -> list[Reel]:
        return [reel_of(wanted, Stock(stock.width, crossways=stock.crossways), Fraction(1))]

    (reel,) = reels_of(ground)
    worths = _worths(ground, reels_of)
    bound = max(Fraction(area_of(ground), stock.width), proof(counts, [reel], worths))
    tallest = max(
        min((bar.length for bar in reel.bars if bar.kind == kind), default=0) for kind in range(len(counts))
    )
    return next_sum(ground, max(ceil(bound), tallest), crossways=stock.crossways), worths


def column_length(
    ground: Ground, *, at_least: int, length: int
) -> tuple[int, tuple[int, tuple[int, ...]] | None]:
    """A bound from columns: slices along the roll, as long as a lay may be.

    If a roll of a trial length cannot give all columns within its width, no lay is that short.

    Args:
        ground: With one roll, the warp along it.
        at_least: A bound. [ticks]
        length: Length of a lay at hand. [ticks]

    Returns:
        The better bound, at most ``length`` [ticks]; the longest roll that was too narrow [ticks] with the worths that
        show it, None where none was.
    """
    (stock,) = ground.stocks
    shown = None
    counts = [want.count for want in ground.wants]
    low, high = at_least, length
    trial = at_least  # where that is not too narrow, nothing longer is: most lists end here
    while low < high:
        bars = []
        for kind, want in enumerate(ground.wants):
            for across, along in (
                {(want.across, want.along), (want.along, want.across)}
                if want.may_turn
                else {(want.across, want.along)}
            ):
                if across <= stock.width and along <= trial:
                    bars.append(Bar(kind, along, across, min(want.count, trial // along)))
        if len({bar.kind for bar in bars}) < len(counts):
            low = trial + 1  # some piece is longer than that
            trial = (low + high) // 2
            continue
        reel = Reel(trial, UNLIMITED, Fraction(1), tuple(sorted(bars, key=lambda b: (b.kind, b.width))))
        worths = whole_worths(counts, [reel], slice_weights(counts, [reel]))
        if proof(counts, [reel], worths) > stock.width:
            low, shown = trial + 1, (trial, worths)
        else:
            high = trial
        trial = (low + high) // 2
    return min(length, next_sum(ground, low)), shown


def next_sum(ground: Ground, least: int, *, crossways: bool = False) -> int:
    """The first length not below ``least`` that sizes along the roll add up to.

    Returns:
        Ticks; ``least`` itself where there are too many sums to follow.
    """
    sizes: dict[int, int] = {}
    for want in ground.wants:
        sides = {want.across if crossways else want.along}
        if want.may_turn:
            sides |= {want.across, want.along}
        for side in sides:
            sizes[side] = sizes.get(side, 0) + want.count
    top = least + max(sizes)
    if top > MOST_SUMS:
        return least
    mask = (1 << (top + 1)) - 1
    reach = 1
    for side, count in sizes.items():
        step = 1
        while count > 0:
            take = min(step, count)
            reach |= (reach << (take * side)) & mask
            count -= take
            step *= 2
    above = reach >> least
    return least + (above & -above).bit_length() - 1 if above else least


def least_cost(ground: Ground) -> tuple[float, tuple[tuple[int, ...], ...]]:
    """Cost that a lay on several rolls needs at least, flaws left aside.

    Returns:
        Cost, and the worths that show it.
    """
    return cost_of_reels(
        ground, lambda wants: [reel_of(wants, stock, least_rate(stock)) for stock in ground.stocks]
    )


def cost_of_reels(
    ground: Ground, reels_of: Callable[[Ground], Sequence[Reel]]
) -> tuple[float, tuple[tuple[int, ...], ...]]:
    """Cost that reels prove.

    Returns:
        Cost, and the worths that show it.
    """
    reels = reels_of(ground)
    if any(reel.rate < 0 for reel in reels) or not any(reel.rate for reel in reels):
        return 0.0, ()
    counts = [want.count for want in ground.wants]
    areas = tuple(want.across * want.along for want in ground.wants)
    worths = _worths(ground, reels_of)
    best = max(proof(counts, reels, worths), proof(counts, reels, areas))
    return float(best) * (1 - 1e-12), (worths,)


def _worths(ground: Ground, reels_of: Callable[[Ground], Sequence[Reel]]) -> tuple[int, ...]:
    """Whole worths of the kinds for which the slice bound is greatest, nearly.

    Very many kinds are priced by classes of like sizes, each as the smallest of its class. Any worths prove something,
    so the bound that `proof` makes of them is true either way.
    """
    classes = _classes(ground)
    few = ground if classes is None else replace(ground, wants=tuple(map(_smallest, classes)))
    reels = reels_of(few)
    counts = [want.count for want in few.wants]
    weights = slice_weights(counts, reels)
    if classes is None:
        return whole_worths(counts, reels, weights)
    of_want: dict[Want, float] = {}
    for weight, small, alike in zip(weights, few.wants, classes, strict=True):
        of_want |= {want: weight * _times(want, small) for want in alike}
    spread = np.array([of_want[want] for want in ground.wants])
    return whole_worths([want.count for want in ground.wants], reels_of(ground), spread)


def _classes(ground: Ground) -> list[list[Want]] | None:
    """Kinds of like sizes together; None where the kinds are few enough as they are."""
    if len(ground.wants) <= MOST_KINDS:
        return None
    fixed = sorted((w for w in ground.wants if not w.may_turn), key=lambda w: (w.across, w.along))
    turning = sorted(
        (w for w in ground.wants if w.may_turn), key=lambda w: (max(w.across, w.along), w.across, w.along)
    )
    strips = [
        sorted(strip, key=lambda w: (min(w.across, w.along), w.across))
        for strip in _shared_out(turning, isqrt(CLASSES))
    ]
    return [
        *_shared_out(fixed, CLASSES),
        *(alike for strip in strips for alike in _shared_out(strip, isqrt(CLASSES))),
    ]


def _shared_out(wants: Sequence[Want], parts: int) -> list[list[Want]]:
    """Neighbours in an order together, about as many in each part."""
    each = -(-len(wants) // parts) or 1
    return [list(wants[at : at + each]) for at in range(0, len(wants), each)]


def _smallest(alike: Sequence[Want]) -> Want:
    """A rectangle that fits wherever one of some like ones does, as many times as they come to together."""
    turns = alike[0].may_turn
    sides = [_sides(want) for want in alike]
    across, along = (min(side[way] for side in sides) for way in (0, 1))
    one = Want(across, along, 1, turns)
    return replace(one, count=max(1, round(sum(_times(want, one) * want.count for want in alike))))


def _sides(want: Want) -> tuple[int, int]:
    """Both sides; the shorter one first where it may turn."""
    sides = (want.across, want.along)
    return (min(sides), max(sides)) if want.may_turn else sides


def _times(want: Want, small: Want) -> float:
    """How many times the smaller one it is worth, however it lies: each tick of it no more than one of that."""
    (short, long), (least_short, least_long) = _sides(want), _sides(small)
    return min(short / least_short, long / least_long) if want.may_turn else long / least_long


def least_rate(stock: Stock) -> Fraction:
    """The least that a tick of a roll costs, whatever length of it is used.

    Returns:
        Cost per tick.
    """
    rate = Fraction(stock.rate)
    if stock.length >= UNLIMITED or stock.fixed == 0.0:
        return rate
    return rate + min(Fraction(stock.worth), Fraction(stock.fixed) / (stock.length + stock.start))
