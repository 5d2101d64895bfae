"""The best of a board whose spoiled spans make several sticks of it.

A part taken from one stick cannot be taken from another, which the tables do not know.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.chains import Asked, Chain
from longpoint.cutting.boards.search.core import Core

MOST_JOINT = 400

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


class SingleSticks(Protocol):
    """What the pricer knows of single sticks."""

    core: Core
    search_limits: tuple[int, ...]

    def best_on_stick(
        self, chain: Chain, b: int, stick: int, asked: Asked, floor: float, bound: float, *, keeps: bool
    ) -> tuple[float, Integers | None, float]:
        """The best of one stick: value, counts or None, and a bound."""

    def stick_bounds(self, b: int, prices: Floats, most_of: Integers) -> list[float]:
        """What each stick of a bin is worth at most."""

    def list_stick(
        self, b: int, stick: int, prices: Floats, most_of: Integers, need: float, *, most: int, steps: int
    ) -> list[tuple[float, tuple[tuple[int, int], ...]]] | None:
        """Everything one stick could hold that is worth more; None where that is too much."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What several sticks of a board give.

    Attributes:
        value: What it is worth.
        counts: How many of each item of the chain, shape (n,).
        sticks: The same for each stick.
        worth: The share of the value that what is left makes.
    """

    value: float
    counts: Integers
    sticks: tuple[Integers, ...]
    worth: float


def one_after_another(
    pricer: SingleSticks, chain: Chain, b: int, asked: Asked, stick_bounds: Floats, order: Sequence[int]
) -> Shared:
    """Fill the sticks of a bin in turn, each with the best of what the ones before left over.

    Args:
        pricer: The pricer.
        chain: The chain of the bin.
        b: The bin.
        asked: Values, amounts and tables.
        stick_bounds: What each stick is worth at most.
        order: In which order the sticks are filled.

    Returns:
        What they give.
    """
    nothing = np.zeros(len(chain.order), dtype=np.int64)
    counts = nothing.copy()
    sticks = [nothing] * len(stick_bounds)
    total = worth = 0.0
    for s in order:
        left = Asked(asked.values, asked.most - counts, asked.tables, asked.level)
        value, found, _ = pricer.best_on_stick(
            chain, b, s, left, 0.0, float(stick_bounds[s]), keeps=s == len(stick_bounds) - 1
        )
        if found is not None:
            sticks[s] = found
            counts = counts + found
            total += value
            worth += max(value - float(asked.values @ found), 0.0)
    return Shared(total, counts, tuple(sticks), worth)


def best_jointly(pricer: SingleSticks, chain: Chain, b: int, asked: Asked, need: float) -> Shared | None:
    """The best of a bin of several sticks, by listing what each could hold.

    Args:
        pricer: The pricer.
        chain: The chain of the bin.
        b: The bin.
        asked: Values and amounts.
        need: Only what is worth more is of interest.

    Returns:
        The best, worth the need and empty where nothing is worth more; None where there is too much to list.
    """
    n_items = len(pricer.core.items)
    prices, limits = np.zeros(n_items), np.zeros(n_items, dtype=np.int64)
    prices[chain.order], limits[chain.order] = asked.values, asked.most
    bounds = pricer.stick_bounds(b, prices, limits)
    total, reach = sum(bounds), sum(bounds)
    nothing = np.zeros(len(chain.order), dtype=np.int64)
    partial: list[tuple[float, Integers, tuple[Integers, ...]]] = [(0.0, nothing, ())]
    place = {int(item): k for k, item in enumerate(chain.order)}
    for s, bound in enumerate(bounds):
        listed = pricer.list_stick(
            b, s, prices, limits, need - (total - bound), most=MOST_JOINT, steps=pricer.search_limits[1]
        )
        if listed is None:
            return None
        choices = [nothing]
        for _, takes in listed:
            row = nothing.copy()
            for i, count in takes:
                row[place[i]] = count
            choices.append(row)
        reach -= bound
        grown = []
        for _value, counts, sticks in partial:
            for row in choices:
                added = np.minimum(row, asked.most - counts)
                together = counts + added
                worth_it = float(asked.values @ together)
                if worth_it + reach > need:
                    grown.append((worth_it, together, (*sticks, added)))
        if len(grown) > 50 * MOST_JOINT:
            return None
        partial = grown
    if not partial:
        return Shared(need, nothing, (nothing,) * len(bounds), 0.0)
    value, counts, sticks = max(partial, key=lambda entry: entry[0])
    return Shared(value, counts, sticks, 0.0)
