"""Least sorting: at no more than some share above the least cost, the plan that picks boards up least often.

Each round is worked length by length over all boards, so the stop is set once for every length of a round, whatever
the plan. What a plan can lessen is how often a board is picked up and put aside: once for every length that it
gives. Whoever works board by board instead sets the stop just as often: one number says both.

Patterns are priced with one off for every length.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.gaining import HAIR, Aim, Gained, Gaining
from longpoint.cutting.boards.kept.offcuts import worth_of_column, worth_of_offcuts
from longpoint.cutting.boards.kept.pickup_patterns import Key, PickupPricer, pickups_of
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.gains import Priced
from longpoint.cutting.boards.search.pricing import FINE, Column
from longpoint.cutting.boards.search.reshare import Gain
from longpoint.cutting.quiet import SolverStopped

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

MOST_POOL = 1_500
MOST_NODES = 400
NODE_WORK = 600_000  # nodes × items × patterns of an integer program
LARGEST_LISTED = 20_000  # items × patterns of an integer program where the answer is a proof
LARGEST_GAP = 3  # pick-ups; a wider gap is hardly ever closed by listing, unless the list is short
SHORT_LIST = 300
MOST_LISTED = 12_000
STEPS = 4_000_000


@dataclass(frozen=True, slots=True)
class Sorted:
    """What seeking least sorting came to.

    Attributes:
        kept: The plan, and what was done.
        pickups: How often a board is picked up.
        at_least: No plan within the cost needs fewer.
    """

    kept: Gained
    pickups: int
    at_least: int


def sort_least(
    core: Core, plan: Sequence[Column], pool: Sequence[Column], *, most_cost: int, effort: int = 1
) -> Sorted:
    """The plan with the fewest pick-ups that the work limit finds, at no more than a cost.

    Args:
        core: The problem.
        plan: A plan that costs no more.
        pool: Patterns met on the way to it.
        most_cost: Most that a plan may cost, cost units.
        effort: Work limit; 1 is the ordinary one.

    Returns:
        The plan, never one with more pick-ups than the given one, and a bound. Of plans with as many pick-ups the
        cheaper one is taken, then the one that leaves more.
    """
    aim = _Sorting(core, least=0, most=most_cost, effort=effort)
    at_least = _plainly(core)
    search = Gaining(aim, plan, at_most=-float(at_least))
    for column in search.best:
        search.add(column)
    search.improve(search.best)
    if not search.is_met(search.at_most):
        for column in pool[:MOST_POOL]:
            search.add(column)
        with suppress(SolverStopped):  # what is found by then stands
            search.settle()
    _leave_more(search)
    # The search's own bound is a floating one: it says when to stop. Only what lengths alone show is certain.
    pickups = sum(pickups_of(core, column) for column in search.best)
    return Sorted(search.kept(), pickups, min(at_least, pickups))


def _leave_more(search: Gaining) -> None:
    """At the same pick-ups and cost, let boards leave more that serves again."""
    bins = search.aim.core.bins
    if any(bin_.worth.at_least for bin_ in bins):
        most = max(
            rate * sum(length for length, _ in bin_.sticks)
            for bin_ in bins
            for rate in (*bin_.worth.rates, 0.0)
        )
        search.share(search.best, _gain(search.aim.core, leaving=0.25 / (1.0 + most)), spare=0)


class _Sorting(Aim):
    """Every length that a board gives counts against it."""

    step, first_level = 1.0, FINE
    choices, largest = 4_000_000, 8_000

    @cached_property
    def pricer(self) -> PickupPricer:
        """Finds patterns; laid out where it is asked for, not before."""
        return PickupPricer(self.core)

    def of(self, column: Column) -> float:
        return -float(pickups_of(self.core, column))

    def gain(self) -> Gain:
        return _gain(self.core, leaving=0.0)

    def is_better(self, plan: Sequence[Column], best: Sequence[Column]) -> bool:
        return self._rank(plan) < self._rank(best)

    def _rank(self, plan: Sequence[Column]) -> tuple[float, int, float]:
        """Pick-ups first, then cost, then what is left."""
        left = math.fsum(worth_of_column(self.core, column) for column in plan)
        return -self.total(plan), self.cost(plan), -left

    def price(self, priced: Priced, level: int) -> tuple[list[Column], Floats]:
        return self.pricer.price(priced.prices, priced.needs(self.core))

    def list_all(self, priced: Priced, *, gap: float, short: float) -> list[Column] | None:
        most = min(MOST_LISTED, LARGEST_LISTED * self.effort // len(self.core.items))
        if math.floor(short + HAIR) > LARGEST_GAP:
            most = min(most, SHORT_LIST * self.effort)
        needs = priced.needs(self.core) - gap
        return self.pricer.list_all(priced.prices, needs, most=most, steps=STEPS * self.effort)

    def nodes(self, patterns: int) -> int:
        most = NODE_WORK // (len(self.core.items) * max(1, patterns))
        return min(MOST_NODES, max(20, most)) * self.effort


def _plainly(core: Core) -> int:
    """A bound from single lengths: as many pick-ups as boards full of nothing else would need."""
    wanted: dict[Key, int] = {}
    most: dict[Key, int] = {}
    widest = max(fs.offset for fs in core.family_sets)
    for i, item in enumerate(core.items):
        key = (item.round, item.length)
        wanted[key] = wanted.get(key, 0) + item.demand
        fits = [
            sum(max(0, length + widest) // item.size for length, _ in bin_.sticks)
            for bin_ in core.bins
            if i in bin_.allowed
        ]
        most[key] = max(most.get(key, 0), *fits)
    return sum(-(-count // max(1, most[key])) for key, count in wanted.items())


def _gain(core: Core, *, leaving: float) -> Gain:
    """Of one stick: one off for every length, and what it leaves is worth times a factor."""

    def gain(b: int, stick: int, items: Integers, counts: Integers, offcuts: Integers) -> Floats:
        bin_ = core.bins[b]
        lengths: dict[Key, list[int]] = {}
        for k, i in enumerate(items):
            lengths.setdefault((core.items[int(i)].round, core.items[int(i)].length), []).append(k)
        total = np.zeros(len(counts))
        for columns in lengths.values():
            total -= counts[:, columns].sum(axis=1) > 0
        empty = counts.sum(axis=1) == 0
        if leaving and stick == len(bin_.sticks) - 1:
            total += np.where(empty, 0.0, leaving * worth_of_offcuts(bin_.worth, offcuts))
        # Of two ways alike the one that leaves a board unused is better.
        return total + np.where(empty, 1e-3, 0.0)

    return gain
