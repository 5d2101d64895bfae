"""The slice relaxation: what rolls must give when every rectangle may be cut into slices one tick long.

Cut a lay right across at any height: the rectangles met there fit side by side in the width. So every lay is a mix
of *slices* (sets of rectangles side by side), each kept for some length; a rectangle lies in slices that together
are as long as it is. Dropping the demand that its slices be neighbours leaves a linear program, the fractional
one-dimensional cutting of widths, whose value no lay can beat, by straight cuts or free.

The program is solved by column generation in floats, but its answer is only used for the weights: `proof` turns them
into whole numbers and finds the worst slice again in whole numbers, so that the bound is exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled
from longpoint.cutting.lay.ground import UNLIMITED
from longpoint.cutting.quiet import SolverStopped, quiet_highs, run_linear

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

FINEST = 20_000  # widths are counted in at most so many steps
WHOLE = 1 << 40  # weights as whole numbers: the worst slice comes to about this
ROUNDS = 40_000  # programs solved at most, times the number of kinds
PRIMAL = 4  # how HiGHS numbers this simplex method


@dataclass(frozen=True, slots=True)
class Bar:
    """A way a kind may lie in a slice.

    Attributes:
        kind: Which kind.
        width: How wide it lies. [ticks]
        length: How long its slices are together. [ticks]
        most: How many may lie side by side at most.
    """

    kind: int
    width: int
    length: int
    most: int


@dataclass(frozen=True, slots=True)
class Reel:
    """A roll as the relaxation sees it.

    Attributes:
        width: Usable width. [ticks]
        length: Usable length; `UNLIMITED` where there is no limit. [ticks]
        rate: Least cost of a tick.
        bars: Ways the kinds may lie on it.
    """

    width: int
    length: int
    rate: Fraction
    bars: tuple[Bar, ...]


@compiled
def best_mix(widths: Ints, values: Floats, most: Ints, capacity: int) -> tuple[float, Ints]:
    """The slice worth most: a knapsack with limited copies.

    Returns:
        Its worth, and how many of every bar.
    """
    bars = widths.shape[0]
    best = np.zeros(capacity + 1)
    took = np.zeros((bars, capacity + 1), np.int32)
    for b in range(bars):
        w = widths[b]
        v = values[b]
        if v <= 0.0 or w > capacity:
            continue
        if w == 0:
            for c in range(capacity + 1):
                best[c] += v * most[b]
                took[b, c] = most[b]
            continue
        old = best.copy()
        for c in range(w, capacity + 1):
            copies = min(most[b], c // w)
            gain = old[c]
            chosen = 0
            for n in range(1, copies + 1):
                trial = old[c - n * w] + v * n
                if trial > gain:
                    gain = trial
                    chosen = n
            best[c] = gain
            took[b, c] = chosen
    mix = np.zeros(bars, np.int64)
    c = capacity
    for b in range(bars - 1, -1, -1):
        n = took[b, c]
        mix[b] = n
        c -= n * widths[b]
    return best[capacity], mix


@compiled
def worst_mix(widths: Ints, values: Ints, most: Ints, capacity: int) -> int:
    """The greatest worth of a slice in whole numbers.

    Returns:
        Its worth.
    """
    best = np.zeros(capacity + 1, np.int64)
    for b in range(widths.shape[0]):
        w = widths[b]
        v = values[b]
        if v <= 0 or w > capacity:
            continue
        if w == 0:
            for c in range(capacity + 1):
                best[c] += v * most[b]
            continue
        for c in range(capacity, w - 1, -1):
            gain = best[c]
            for n in range(1, min(most[b], c // w) + 1):
                trial = best[c - n * w] + v * n
                if trial > gain:
                    gain = trial
            best[c] = gain
    return int(best[capacity])


@dataclass(frozen=True, slots=True)
class Stepped:
    """Widths of a reel in steps: rounded down, as the capacity is, so that what fits still fits."""

    widths: Ints
    most: Ints
    capacity: int


def stepped(reel: Reel) -> Stepped:
    """A reel's widths for the knapsack.

    Returns:
        Whole steps, at most `FINEST` of them.
    """
    step = Fraction(min(FINEST, reel.width), reel.width)
    widths = np.array([int(bar.width * step) for bar in reel.bars], np.int64)
    most = np.array([bar.most for bar in reel.bars], np.int64)
    return Stepped(widths, most, int(reel.width * step))


def slice_weights(counts: Sequence[int], reels: Sequence[Reel]) -> Floats:
    """Weights of the kinds for which the slice bound is greatest, nearly.

    Args:
        counts: Wanted of every kind.
        reels: The rolls.

    Returns:
        A weight per kind, shape (kinds,), not negative.
    """
    kinds = len(counts)
    unit = float(np.mean([bar.length for reel in reels for bar in reel.bars]))
    ready = [stepped(reel) for reel in reels]
    dearest = float(max(reel.rate for reel in reels)) or 1.0
    program = _Program(counts, reels, unit, dearest)
    for at, reel in enumerate(reels):
        for b, bar in enumerate(reel.bars):
            mix = np.zeros(len(reel.bars), np.int64)
            mix[b] = min(bar.most, reel.width // bar.width)
            program.add(at, mix)
    weights = np.zeros(kinds)
    for _ in range(max(1, ROUNDS // kinds)):
        try:
            duals = program.solved()
        except SolverStopped:
            break
        weights = np.maximum(duals[:kinds], 0.0)
        grew = False
        for at, (reel, steps) in enumerate(zip(reels, ready, strict=True)):
            scarce = -duals[kinds + program.limited.index(at)] if at in program.limited else 0.0
            values = np.array([weights[bar.kind] * unit / bar.length for bar in reel.bars])
            worth, mix = best_mix(steps.widths, values, steps.most, steps.capacity)
            if worth > float(reel.rate) / dearest + scarce + 1e-9:
                program.add(at, mix)
                grew = True
        if not grew:
            break
    return weights


class _Program:
    """The linear program over the slices met, kept between solutions: it grows and goes on from where it stood."""

    def __init__(self, counts: Sequence[int], reels: Sequence[Reel], unit: float, dearest: float) -> None:
        self.reels, self.unit, self.dearest = reels, unit, dearest
        self.kinds = len(counts)
        self.limited = [at for at, reel in enumerate(reels) if reel.length < UNLIMITED]
        self.model = model = quiet_highs()
        model.setOptionValue("presolve", "off")
        model.setOptionValue("solver", "simplex")
        model.setOptionValue("simplex_strategy", PRIMAL)
        infinity = float(model.getInfinity())
        none = np.zeros(0, np.int32)
        for count in counts:
            model.addRow(float(count), infinity, 0, none, np.zeros(0))
        for at in self.limited:
            model.addRow(-infinity, reels[at].length / unit, 0, none, np.zeros(0))
        # What cannot be had at any price keeps the first programs solvable.
        for kind in range(self.kinds):
            cost = 1e3 * sum(bar.length for reel in reels for bar in reel.bars if bar.kind == kind) / unit
            model.addCol(cost, 0.0, infinity, 1, np.array([kind], np.int32), np.ones(1))
        self.infinity = infinity

    def add(self, at: int, mix: Ints) -> None:
        """Add a slice of a reel."""
        column = np.zeros(self.kinds + len(self.limited))
        for copies, bar in zip(mix, self.reels[at].bars, strict=True):
            column[bar.kind] += copies * self.unit / bar.length
        if at in self.limited:
            column[self.kinds + self.limited.index(at)] = 1.0
        index = np.flatnonzero(column).astype(np.int32)
        cost = float(self.reels[at].rate) / self.dearest
        self.model.addCol(cost, 0.0, self.infinity, len(index), index, column[index])

    def solved(self) -> Floats:
        """Prices of kinds and of limited reels."""
        run_linear(self.model)
        return np.array(self.model.getSolution().row_dual)


def whole_worths(counts: Sequence[int], reels: Sequence[Reel], weights: Floats) -> tuple[int, ...]:
    """Weights as whole numbers, so large that a tick of the densest comes to `WHOLE`.

    Args:
        counts: Wanted of every kind.
        reels: The rolls.
        weights: Any weights, not negative.

    Returns:
        What a piece of every kind counts.
    """
    exact = [Fraction(float(weight)) for weight in weights]
    top = max((exact[bar.kind] / bar.length for reel in reels for bar in reel.bars), default=None)
    return tuple(int(weight * WHOLE / top) if top else 0 for weight in exact)


def proof(counts: Sequence[int], reels: Sequence[Reel], worths: Sequence[int]) -> Fraction:
    """The cost that whole worths prove, exactly.

    A tick of a piece that is ℓ long counts its worth / ℓ, rounded up. Every tick of a slice on a reel then counts at
    most ``K`` (found in whole numbers), so all worths together are at most the sum of ``K`` times the length used, over
    the reels.

    Args:
        counts: Wanted of every kind.
        reels: The rolls.
        worths: Any worths, not negative.

    Returns:
        A cost that no lay can be below.
    """
    slices = []
    for reel in reels:
        values = [-(-worths[bar.kind] // bar.length) for bar in reel.bars]
        steps = stepped(reel)
        slices.append(worst_mix(steps.widths, np.array(values, np.int64), steps.most, steps.capacity))
    total = sum(count * worth for count, worth in zip(counts, worths, strict=True))
    # Scale the worths so that no endless reel's slice counts more than its rate; pay for what is scarce.
    fractions = [
        reel.rate / K for reel, K in zip(reels, slices, strict=True) if reel.length >= UNLIMITED and K > 0
    ]
    ends = [(reel, K) for reel, K in zip(reels, slices, strict=True) if reel.length < UNLIMITED and K > 0]
    most = min(fractions, default=None)
    best = Fraction(0)
    for share in {*fractions, *(reel.rate / K for reel, K in ends)}:
        if most is None or share <= most:
            paid = sum(
                (max(Fraction(0), share * K - reel.rate) * reel.length for reel, K in ends), Fraction(0)
            )
            best = max(best, share * total - paid)
    return best
