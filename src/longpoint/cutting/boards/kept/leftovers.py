"""The second step of the objective: at exactly the cost found, the plan that leaves most."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from functools import cached_property

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.gaining import HAIR, Aim, Gained, Gaining
from longpoint.cutting.boards.kept.offcuts import worth_of_column, worth_of_offcuts
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.gains import Priced
from longpoint.cutting.boards.search.pricing import Column, Pricer
from longpoint.cutting.boards.search.reshare import Gain
from longpoint.cutting.quiet import SolverStopped

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

MOST_POOL = 2_500
NODES = 200


def leave_most(core: Core, plan: Sequence[Column], pool: Sequence[Column], *, effort: int = 1) -> Gained:
    """Among plans of the same cost, one that leaves as much worth as the work limit finds.

    Args:
        core: The problem.
        plan: A plan, a pattern per board.
        pool: Patterns met on the way to it.
        effort: Work limit; 1 is the ordinary one.

    Returns:
        The plan.
    """
    aim = _Leaving(core, plan, effort)
    search = Gaining(aim, plan, at_most=aim.at_most())
    for column in search.best:
        search.add(column)
    if not search.is_met(search.at_most):
        search.improve(search.best)
    if search.is_met(search.at_most):
        return search.kept()
    for column in pool[:MOST_POOL]:
        search.add(column)
    with suppress(SolverStopped):  # what is found by then stands
        search.settle()
    return search.kept()


class _Leaving(Aim):
    """What a board leaves that serves again is gained."""

    choices, largest = 3_000_000, 30_000

    def __init__(self, core: Core, plan: Sequence[Column], effort: int) -> None:
        self.core = core
        cost = self.cost(plan)
        super().__init__(core, least=cost, most=cost, effort=effort)
        self.worths = [bin_.worth for bin_ in core.bins if bin_.worth.at_least]

    @cached_property
    def pricer(self) -> Pricer:
        """Finds patterns; laid out where it is asked for, not before."""
        return Pricer(self.core, with_worth=True)

    def of(self, column: Column) -> float:
        return worth_of_column(self.core, column)

    def is_better(self, plan: Sequence[Column], best: Sequence[Column]) -> bool:
        return self.total(plan) > self.total(best) + HAIR

    def at_most(self) -> float:
        """A bound from lengths alone: the most timber that the money buys, less all parts, at the best rate."""
        if not self.worths:
            return 0.0
        offcuts = _most_room(self.core, self.most) - _rooms_of(self.core)[1]
        if offcuts < min(min(worth.at_least) for worth in self.worths) - 1.0:
            return 0.0
        rate = max(max(worth.rates) for worth in self.worths)
        return max(0.0, rate * offcuts - min(worth.keeping for worth in self.worths))

    def gain(self) -> Gain:
        core = self.core

        def gain(b: int, stick: int, items: Integers, counts: Integers, offcuts: Integers) -> Floats:
            bin_ = core.bins[b]
            if stick < len(bin_.sticks) - 1:
                return np.zeros(len(offcuts))
            worth = worth_of_offcuts(bin_.worth, offcuts)
            if len(bin_.sticks) == 1:
                # A board that gives nothing is not taken: that plan would cost something else.
                worth = np.where(counts.sum(axis=1) == 0, -np.inf if bin_.cost else 0.0, worth)
            return worth

        return gain

    def price(self, priced: Priced, level: int) -> tuple[list[Column], Floats]:
        demand = np.array([item.demand for item in self.core.items], dtype=np.int64)
        found, bounds = self.pricer.price(priced.prices, demand, priced.needs(self.core), level=level)
        return [column for _, column in found], bounds + self._missed_by_pricing()

    def _missed_by_pricing(self) -> Floats:
        """What a board may be worth more than its pricing says, shape (n_bins,): its last stick left whole."""
        core = self.core
        over = np.zeros(len(core.bins))
        for b, bin_ in enumerate(core.bins):
            if len(bin_.sticks) == 1:
                continue
            length = bin_.sticks[-1][0]
            seen = max(length + fs.offset - fs.last_gap for fs in core.family_sets)
            worth = worth_of_offcuts(bin_.worth, np.array([length, max(0, min(length, seen))]))
            over[b] = worth[0] - worth[1]
        if any(fs.bare != fs.offset for fs in core.family_sets):
            over[:] = np.inf
        return over

    def nodes(self, patterns: int) -> int:
        return NODES * self.effort


def _rooms_of(core: Core) -> tuple[list[int], int]:
    """The most that parts and what is left can take of one board of each bin, and what all parts take. [nm].

    A stick that is used up gives its parts a kerf more than it has: the last cut falls beyond its end.
    """
    beyond = max(0, *(fs.offset for fs in core.family_sets))
    rooms = [sum(length + beyond for length, _ in bin_.sticks) for bin_ in core.bins]
    return rooms, sum(item.size * item.demand for item in core.items)


def _most_room(core: Core, cost: int) -> float:
    """The most room that so much money and the boards at hand give, whole boards or not. [nm]."""
    rooms, _ = _rooms_of(core)
    count = sum(item.demand for item in core.items)
    money, room = float(cost), 0.0
    for b in sorted(range(len(rooms)), key=lambda b: core.bins[b].cost / rooms[b]):
        bin_ = core.bins[b]
        most = count if bin_.limit is None else min(count, bin_.limit)
        copies = float(most) if bin_.cost == 0 else min(float(most), money / bin_.cost)
        room += copies * rooms[b]
        money -= copies * bin_.cost
    return room
