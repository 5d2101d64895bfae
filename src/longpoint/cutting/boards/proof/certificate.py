"""The lower bound proved again, by a knapsack of another kind on whole-number prices.

For every whole-number value v, the least room that parts worth v take is found by going through values, not
through rooms: exact whole nanometres, no grid, no rounding. If no value above what a board costs (plus its
charge) fits on the board, the prices prove their bound.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.values import Certificate

Integers = npt.NDArray[np.int64]

NEVER = np.int64(2**62)
MOST_VALUES = 1_000_000
MOST_CELLS = 400_000_000  # values × items of the finest table


def whole_prices(
    core: Core, prices: npt.NDArray[np.float64], charges: npt.NDArray[np.float64], scale: int
) -> tuple[list[int], list[int]]:
    """Prices rounded down and charges rounded up to whole units.

    Args:
        core: The problem.
        prices: Price of each item, cost units, shape (n_items,).
        charges: Charge of each bin, cost units, shape (n_bins,).
        scale: Whole units per cost unit.

    Returns:
        Whole prices and whole charges.
    """
    whole = [max(0, math.floor(float(price) * scale * (1 - 1e-12) + 1e-9)) for price in prices]
    due = [
        max(0, math.ceil(float(charge) * scale - 1e-9)) if bin_.limit is not None else 0
        for charge, bin_ in zip(charges, core.bins, strict=True)
    ]
    return whole, due


def least_rooms(entries: list[tuple[int, int, int]], highest: int, rooms: Integers | None = None) -> Integers:
    """Least room that parts worth exactly v take, for every whole v up to a highest.

    Args:
        entries: (value, size, how many) of each kind of part.
        highest: Highest value of interest.
        rooms: Start from what other parts already reach; changed in place.

    Returns:
        Least rooms, shape (highest + 1,). [nm]
    """
    if rooms is None:
        rooms = np.full(highest + 1, NEVER, dtype=np.int64)
        rooms[0] = 0
    for value, size, how_many in entries:
        left, bundle = how_many, 1
        while left > 0 and value > 0:
            take = min(bundle, left)
            if take * value > highest:
                # One more of these passes the highest value: single pieces reach all there is.
                if value > highest:
                    break
                take = 1
                left = min(left, highest // value)
                for _ in range(left):
                    np.minimum(rooms[value:], rooms[:-value] + size, out=rooms[value:])
                break
            shift = take * value
            np.minimum(rooms[shift:], rooms[:-shift] + take * size, out=rooms[shift:])
            left -= take
            bundle *= 2
    return rooms


def most_worth(core: Core, whole: list[int], highest: int) -> list[int]:
    """What a pattern of each bin is worth at most at whole prices.

    Args:
        core: The problem.
        whole: Whole price of each item.
        highest: Worths above this are not told apart.

    Returns:
        The most for each bin. Where it could be above `highest`, what is given is above `highest` less the dearest
        price: a pattern worth more holds one that is worth that.
    """
    most = [0] * len(core.bins)
    for family_set in core.family_sets:
        members = frozenset(i for i, item in enumerate(core.items) if item.family in family_set.families)
        sets = {b: members.intersection(bin_.allowed) for b, bin_ in enumerate(core.bins)}
        rest = sorted(sets, key=lambda b: (len(sets[b]), b))
        while rest:
            done: frozenset[int] = frozenset()
            rooms = least_rooms([], highest)
            least = rooms
            skipped: list[int] = []
            for b in rest:
                if not done <= sets[b]:
                    skipped.append(b)
                    continue
                if sets[b] != done:
                    entries = [
                        (whole[i], core.items[i].size, core.items[i].demand) for i in sorted(sets[b] - done)
                    ]
                    rooms = least_rooms(entries, highest, rooms)
                    # The least room for a worth or more rises with the worth, so it can be looked up.
                    least = np.minimum.accumulate(rooms[::-1])[::-1]
                    done = sets[b]
                lengths = np.array([length + family_set.bare for length in core.bins[b].bare], dtype=np.int64)
                found = np.searchsorted(least, lengths, side="right") - 1
                most[b] = max(most[b], int(found[lengths >= 0].sum()))
            rest = skipped
    return most


def charged(
    core: Core, whole: list[int], due: list[int], scale: int, *, settle: bool = False
) -> list[int] | None:
    """Charges under which whole prices prove their bound: no pattern is worth more than its bin's cost and charge.

    Args:
        core: The problem.
        whole: Whole price of each item.
        due: Whole charge of each bin.
        scale: Whole units per cost unit.
        settle: Whether bins of limited number may be charged anew, as little as will do.

    Returns:
        The charges; None where the prices prove nothing with such charges.
    """
    needs = [bin_.cost * scale + due[b] for b, bin_ in enumerate(core.bins)]
    highest = max(needs, default=0) + max(whole, default=0)
    dearest = max(whole, default=0)
    if settle:
        highest += highest // 64
    most = most_worth(core, whole, highest)
    charges = list(due)
    for b, bin_ in enumerate(core.bins):
        if settle and bin_.limit is not None and most[b] <= highest - dearest:
            charges[b] = max(0, most[b] - bin_.cost * scale)
        elif most[b] > needs[b]:
            return None
    return charges


def proves(core: Core, whole: list[int], due: list[int], scale: int) -> bool:
    """Whether whole prices prove their bound with the charges as they are.

    Args:
        core: The problem.
        whole: Whole price of each item.
        due: Whole charge of each bin.
        scale: Whole units per cost unit.

    Returns:
        True where they do.
    """
    return charged(core, whole, due, scale) is not None


def bound_of(core: Core, whole: list[int], due: list[int], scale: int) -> Fraction:
    """The bound that whole prices prove, in cost units."""
    earned = sum(price * item.demand for price, item in zip(whole, core.items, strict=True))
    paid = sum(charge * (bin_.limit or 0) for charge, bin_ in zip(due, core.bins, strict=True))
    return Fraction(earned - paid, scale)


def certify(
    core: Core, prices: npt.NDArray[np.float64], charges: npt.NDArray[np.float64], *, aim: int
) -> tuple[list[int], list[int], int, Fraction]:
    """Whole prices that are proved, fine enough to reach an aim where they can be.

    Args:
        core: The problem.
        prices: Price of each item, cost units, shape (n_items,).
        charges: Charge of each bin, cost units, shape (n_bins,).
        aim: The attainable cost that the bound should round up to.

    Returns:
        Whole prices, whole charges, scale, and the bound they prove, cost units (0 where nothing is proved).
    """
    dearest = max(bin_.cost for bin_ in core.bins) + max((float(c) for c in charges), default=0.0)
    dearest = max(dearest, float(max(prices, default=1.0)), 1e-9)
    best: tuple[list[int], list[int], int, Fraction] = (
        [0] * len(core.items),
        [0] * len(core.bins),
        1,
        Fraction(0),
    )
    scale = max(1, math.ceil(20_000 / dearest))
    while True:
        for shrink in (1.0, 1 - 1e-5, 1 - 1e-3):
            whole, due = whole_prices(core, prices * shrink, charges, scale)
            whole = _fitted(core, whole, scale)
            settled = charged(core, whole, due, scale, settle=True)
            if settled is not None:
                bound = bound_of(core, whole, settled, scale)
                if bound > best[3]:
                    best = (whole, settled, scale, bound)
                break
        if core.totals.at_least(float(best[3])) >= aim or scale * 8 * dearest > min(
            MOST_VALUES, MOST_CELLS / len(core.items)
        ):
            return best
        scale *= 8


def _fitted(core: Core, whole: list[int], scale: int) -> list[int]:
    """Whole prices lowered in proportion as far as boards without limit need: rounded down, they prove a bound."""
    needs = [bin_.cost * scale for bin_ in core.bins]
    highest = max(needs) + max(needs) // 64 + max(whole, default=0)
    most = most_worth(core, whole, highest)
    over = [
        (Fraction(need, worth))
        for need, worth, bin_ in zip(needs, most, core.bins, strict=True)
        if bin_.limit is None and worth > need and worth <= highest - max(whole)
    ]
    share = min(over, default=Fraction(1))
    return [price * share.numerator // share.denominator for price in whole]


def as_certificate(
    core: Core, names: list[list[str]], bins: list[list[str]], whole: list[int], due: list[int], scale: int
) -> Certificate:
    """The certificate in the names of the problem.

    Args:
        core: The problem.
        names: Names of the parts of each item.
        bins: Names of the boards of each bin.
        whole: Whole price of each item.
        due: Whole charge of each bin.
        scale: Whole units per cost unit.

    Returns:
        The certificate.
    """
    return Certificate(
        Fraction(scale) / core.cost_unit,
        tuple((name, price) for group, price in zip(names, whole, strict=True) for name in group),
        tuple((name, charge) for group, charge in zip(bins, due, strict=True) if charge for name in group),
    )
