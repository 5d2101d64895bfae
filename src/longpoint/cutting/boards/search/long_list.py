"""A long list: most of its boards are filled at the prices of like lengths, and only the rest is searched whole.

Where hundreds of lengths are wanted nearly every board can be filled to its end, and a linear program with a row for
each of them costs more than it gains. So like lengths are priced together, by a relaxation over some tens of them; at
these prices patterns of real lengths that lose hardly anything are settled, until so little is left that the ordinary
search takes it. The prices, spread over the real lengths, prove a bound for the whole list: any prices do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import COARSE, FINE, Column, Pricer, Takes
from longpoint.cutting.boards.search.relaxation import TINY, Relaxation, Relaxed
from longpoint.cutting.boards.search.totals import Totals

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

LONG = 160  # lengths beyond which a list may be long,
LOAD = 1_000  # and so many of them times kinds of boards: with few boards to choose from the ordinary search is quick
CLASSES = 60  # of like lengths that are priced together
REST = 120  # lengths left to the ordinary search
NEAR = 0.0001  # share of its cost that a pattern may lose and be settled
FARTHEST = 0.01  # the same where there are no better ones
WITHIN = 0.0005  # the relaxation over classes stops once its bound is this near
AGAIN = 0.6  # prices are asked for anew when this share of the parts is left,
ANEW = 0.9  # or this one, and nothing good is found at those there are


@dataclass(frozen=True, slots=True)
class Begun:
    """A long list begun.

    Attributes:
        columns: The patterns settled, one per board.
        rest: What is left, as a problem of its own.
        items: Number of each item of the rest in the whole, shape (n_rest,).
        bins: Number of each bin of the rest in the whole, shape (n_bins_rest,).
        root: The bound on the whole list, and the prices that prove it.
        spent: Patterns found and pricings made.
    """

    columns: tuple[Column, ...]
    rest: Core
    items: tuple[int, ...]
    bins: tuple[int, ...]
    root: Relaxed
    spent: tuple[int, int]

    def whole(self, columns: Sequence[Column]) -> tuple[Column, ...]:
        """Patterns of the rest in the numbers of the whole list."""

        def named(takes: Takes) -> Takes:
            return tuple((self.items[i], count) for i, count in takes)

        return tuple(
            Column(self.bins[one.bin], named(one.takes), tuple(map(named, one.sticks))) for one in columns
        )


def is_long(core: Core) -> bool:
    """Whether a list has so many lengths that it is begun with prices of like ones."""
    return len(core.items) > LONG and len(core.items) * len(core.bins) > LOAD


def begin(core: Core) -> Begun | None:
    """Settle the boards of a long list that can be filled to the end, as far as the ordinary search.

    Args:
        core: The problem.

    Returns:
        What is settled and what is left; None where like lengths have no prices, since some cannot be had.
    """
    pricer = Pricer(core)
    left = np.array([item.demand for item in core.items], dtype=np.int64)
    high = [bin_.limit for bin_ in core.bins]
    settled: list[Column] = []
    root: Relaxed | None = None
    found_in_all = 0
    near = NEAR
    prices, charges, asked = np.zeros(0), np.zeros(0), 0
    while np.count_nonzero(left) > REST:
        if asked == 0 or left.sum() <= AGAIN * asked:
            known = _prices(core, left, high)
            if known is None:
                return None
            prices, charges, pricings = known
            pricer.pricings += pricings
            asked, near = int(left.sum()), NEAR
            if root is None:
                root = _bound(core, pricer, prices, charges)
        costs = np.array([float(bin_.cost) for bin_ in core.bins]) + charges
        best = _worth(pricer, prices, left)
        # Prices of classes may be a little high or low: boards are held against the best of them.
        ratios = best / np.maximum(costs, TINY)
        reach = max(
            (float(ratio) for ratio, most in zip(ratios, high, strict=True) if most is None or most),
            default=1.0,
        )
        found, _ = pricer.price(prices, left, costs * reach * (1 - near), level=COARSE)
        found_in_all += len(found)
        taken = _settle(found, left, high, costs)
        settled += taken
        if not taken and left.sum() <= ANEW * asked:
            asked = 0
        elif not taken:
            near *= 2
            if near > FARTHEST:
                break
    assert root is not None
    rest, items, bins = _rest(core, left, high)
    return Begun(tuple(settled), rest, items, bins, root, (found_in_all, pricer.pricings))


def _worth(pricer: Pricer, prices: Floats, left: Integers) -> Floats:
    """What a pattern of each bin is worth at most on the coarse grid, shape (n_bins,)."""
    return pricer.price(prices, left, np.full(len(pricer.core.bins), np.inf), level=COARSE)[1]


def _settle(
    found: Sequence[tuple[float, Column]], left: Integers, high: list[int | None], costs: Floats
) -> list[Column]:
    """The best of some patterns as often as there are parts and boards for them; both are taken off."""
    taken: list[Column] = []
    for _, column in sorted(
        found, key=lambda one: (-one[0] / max(costs[one[1].bin], TINY), one[1].bin, one[1].takes)
    ):
        times = min(int(left[i]) // count for i, count in column.takes)
        most = high[column.bin]
        if most is not None:
            times = min(times, most)
            high[column.bin] = most - times
        for i, count in column.takes:
            left[i] -= times * count
        taken += [column] * times
    return taken


def _prices(core: Core, left: Integers, high: Sequence[int | None]) -> tuple[Floats, Floats, int] | None:
    """Prices of all items from a relaxation over classes of like lengths, charges of bins, and pricings made."""
    classes = _classes(core, left)
    of = {i: number for number, alike in enumerate(classes) for i in alike}
    items = []
    for alike in classes:
        middle = core.items[alike[len(alike) // 2]]
        items.append(replace(middle, demand=int(left[alike].sum())))
    bins = tuple(
        replace(bin_, limit=most, allowed=tuple(sorted({of[i] for i in bin_.allowed if i in of})))
        for bin_, most in zip(core.bins, high, strict=True)
    )
    few = replace(core, items=tuple(items), bins=bins)
    pricer = Pricer(few)
    relaxed = Relaxation(few, pricer).solve(within=WITHIN)
    if relaxed.unmet > TINY:
        return None
    prices = np.zeros(len(core.items))
    for i, number in of.items():
        prices[i] = relaxed.prices[number] * core.items[i].size / items[number].size
    return prices, relaxed.charges, pricer.pricings


def _classes(core: Core, left: Integers) -> list[list[int]]:
    """Items of like lengths that the same boards give in the same round, as many classes as are priced together."""
    takers: dict[int, list[int]] = {}
    for b, bin_ in enumerate(core.bins):
        for i in bin_.allowed:
            takers.setdefault(i, []).append(b)
    alike: dict[object, list[int]] = {}
    wanted = [int(i) for i in np.flatnonzero(left)]
    for i in wanted:
        item = core.items[i]
        alike.setdefault((item.family, item.round, tuple(takers.get(i, ()))), []).append(i)
    each = -(-len(wanted) // CLASSES)
    return [rows[at : at + each] for rows in alike.values() for at in range(0, len(rows), each)]


def _bound(core: Core, pricer: Pricer, prices: Floats, charges: Floats) -> Relaxed:
    """What prices of classes prove for the real lengths; prices in proportion to lengths where those prove more."""
    relaxation = Relaxation(core, pricer)
    best: Relaxed | None = None
    for tried in (prices, np.array([float(item.size) for item in core.items])):
        needs = np.full(len(core.bins), np.inf)
        _, worth = pricer.price(tried, relaxation.demand, needs, level=FINE)
        bound, scaled, charged = relaxation.bound(tried, worth)
        if best is None or bound > best.bound:
            best = Relaxed(bound, bound, np.zeros(0), scaled, charged, 0.0)
    assert best is not None
    return best


def _rest(
    core: Core, left: Integers, high: Sequence[int | None]
) -> tuple[Core, tuple[int, ...], tuple[int, ...]]:
    """What is left as a problem of its own, and the numbers of its items and bins in the whole."""
    items = tuple(int(i) for i in np.flatnonzero(left))
    number = {i: k for k, i in enumerate(items)}
    bins = tuple(b for b, most in enumerate(high) if most is None or most > 0)
    fewer = tuple(
        replace(
            core.bins[b], limit=high[b], allowed=tuple(number[i] for i in core.bins[b].allowed if i in number)
        )
        for b in bins
    )
    kept = tuple(b for b, bin_ in zip(bins, fewer, strict=True) if bin_.allowed)
    fewer = tuple(bin_ for bin_ in fewer if bin_.allowed)
    return (
        replace(
            core,
            items=tuple(replace(core.items[i], demand=int(left[i])) for i in items),
            bins=fewer,
            totals=Totals((bin_.cost, bin_.limit) for bin_ in fewer),
        ),
        items,
        kept,
    )
