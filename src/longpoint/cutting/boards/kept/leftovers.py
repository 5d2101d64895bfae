"""The second step of the objective: at exactly the cost found, the plan that leaves most.

Patterns are made as they are needed, as for the cost, but a pattern now gains what its offcut is worth and the money
is fixed by a row of its own. The relaxation bounds what any plan of this cost can leave. Whole boards come from
sharing parts anew between two boards at a time, from an integer program over the patterns met, and, where the gap
that is left lets every pattern be listed, from an integer program over all of them, which is then a proof.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import without_surplus, worth_of_column, worth_of_offcuts
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.counting import most_room, rooms_of, vectors_of
from longpoint.cutting.boards.search.gains import GainMaster, Priced, prove
from longpoint.cutting.boards.search.listing_all import list_all
from longpoint.cutting.boards.search.pricing import COARSE, FINE, Column, Pricer
from longpoint.cutting.boards.search.reshare import Gain, reshare
from longpoint.cutting.quiet import SolverStopped

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

HAIR = 1e-6
"""Two worths closer than this share are taken as equal: the bound is a sum of floating numbers."""
ORDINARY_LOAD = 400.0
MOST_ROUNDS = 120
MOST_POOL = 2_500
CHOICES = 3_000_000
NODES = 200
LARGEST_MASTER = 30_000  # items × patterns of an integer program that ends soon


@dataclass(frozen=True, slots=True)
class Left:
    """What the second step came to.

    Attributes:
        columns: A pattern per board; the given ones where nothing better was found.
        worth: What they leave, cost units.
        bound: No plan of this cost leaves more, cost units; infinite where nothing is proven.
        proof: "bound" or "enumeration" where the bound is reached, else "".
        rounds: Rounds of pricing.
        tried: Ways tried of sharing parts between two boards.
        listed: Patterns listed for a complete proof.
    """

    columns: tuple[Column, ...]
    worth: float
    bound: float
    proof: str
    rounds: int = 0
    tried: int = 0
    listed: int = 0


def leave_most(core: Core, plan: Sequence[Column], pool: Sequence[Column], *, effort: int = 1) -> Left:
    """Among plans of the same cost, one that leaves as much worth as the work limit finds, and a bound.

    Args:
        core: The problem.
        plan: A plan, a pattern per board.
        pool: Patterns met on the way to it.
        effort: Work limit; 1 is the ordinary one.

    Returns:
        The plan with its bound.
    """
    search = _Search(core, plan, effort)
    try:
        return _leave_most(search, pool)
    except SolverStopped:
        return search.answer(search.by_lengths, "")


def _leave_most(search: _Search, pool: Sequence[Column]) -> Left:
    core = search.core
    if not search.is_met(search.by_lengths):
        search.improve(search.best)
    if search.is_met(search.by_lengths):
        return search.answer(search.by_lengths, "bound")
    for column in pool[:MOST_POOL]:
        search.master.add(column, worth_of_column(core, column))
    vectors = vectors_of(core, cost=search.cost, least_room=search.room_for(search.worth))
    cases: list[tuple[int, ...] | None] = [None] if vectors is None else list(vectors)
    bound, how = -math.inf, "bound"
    for number, counts in enumerate(cases):
        here, listed = search.settle(counts, share=1.0 / (len(cases) - number))
        bound = max(bound, here)
        how = "enumeration" if listed else how
    bound = min(search.by_lengths, max(bound, search.worth))
    return search.answer(bound, how if search.is_met(bound) else "")


class _Search:
    """The best plan so far, and what has been spent on it."""

    def __init__(self, core: Core, plan: Sequence[Column], effort: int) -> None:
        self.core, self.effort = core, effort
        self.best = without_surplus(core, list(plan))
        self.worth = _worth(core, self.best)
        self.cost = _cost(core, self.best)
        self.rounds = self.tried = self.listed = 0
        load = len(core.items) * len(core.bins)
        self.rounds_left = max(8, int(MOST_ROUNDS * effort * min(1.0, ORDINARY_LOAD / load)))
        self.nodes_left = NODES * effort
        self.demand = np.array([item.demand for item in core.items], dtype=np.int64)
        self.worths = [bin_.worth for bin_ in core.bins if bin_.worth.at_least]
        self.by_lengths = self._bound_by_lengths()
        self.master = GainMaster(core, least=self.cost, most=self.cost)
        rate = max((max(worth.rates) for worth in self.worths), default=0.0)
        self.master.allow_unmet(
            10.0 * (1.0 + rate * max(sum(n for n, _ in bin_.sticks) for bin_ in core.bins))
        )
        self.pricer: Pricer | None = None

    def is_met(self, bound: float) -> bool:
        """Whether the best plan reaches a bound."""
        return bound - self.worth <= HAIR * (1.0 + abs(self.worth))

    def answer(self, bound: float, proof: str) -> Left:
        """What came of it."""
        return Left(tuple(self.best), self.worth, bound, proof, self.rounds, self.tried, self.listed)

    def _bound_by_lengths(self) -> float:
        """A bound from lengths alone: the most timber that the money buys, less all parts, at the best rate."""
        if not self.worths:
            return 0.0
        offcuts = most_room(self.core, self.cost) - rooms_of(self.core)[1]
        if offcuts < min(min(worth.at_least) for worth in self.worths) - 1.0:
            return 0.0
        rate = max(max(worth.rates) for worth in self.worths)
        return max(0.0, rate * offcuts - min(worth.keeping for worth in self.worths))

    def room_for(self, worth: float) -> float:
        """The room that boards need to leave more than so much. [nm]."""
        rate = max(max(one.rates) for one in self.worths)
        offcuts = max(
            (worth + min(one.keeping for one in self.worths)) / rate,
            min(min(one.at_least) for one in self.worths),
        )
        return rooms_of(self.core)[1] + offcuts - 1.0

    def improve(self, candidate: Sequence[Column]) -> None:
        """Share parts anew in a plan and keep it where it leaves more."""
        mine = without_surplus(self.core, list(candidate))
        mine, tried = reshare(self.core, mine, gain=_gain(self.core), budget=CHOICES * self.effort // 3)
        self.tried += tried
        for column in mine:
            self.master.add(column, worth_of_column(self.core, column))
        worth = _worth(self.core, mine)
        if _cost(self.core, mine) == self.cost and worth > self.worth + HAIR:
            self.best, self.worth = mine, worth

    def settle(self, counts: tuple[int, ...] | None, *, share: float) -> tuple[float, bool]:
        """The bound of the plans with some numbers of boards, improving the best plan on the way.

        Args:
            counts: How many of each bin; None for any.
            share: Share of what is left of the work limit.

        Returns:
            The bound, and whether it is known from listing every pattern.
        """
        self.master.fix_counts(counts)
        priced, bound = self._price_out(max(4, int(self.rounds_left * share)))
        if self.is_met(bound):
            return bound, False
        chosen = self.master.close_to(priced, bound - self.worth)
        if len(self.core.items) * len(chosen) <= LARGEST_MASTER * self.effort:
            found, _ = self._whole(self.master, chosen, share)
            if found is not None:
                self.improve(found)
        if self.is_met(bound) or not math.isfinite(bound):
            return bound, False
        taken = None if counts is None else frozenset(b for b, count in enumerate(counts) if count)
        patterns = list_all(
            self.core,
            prices=priced.prices,
            needs=priced.needs(self.core),
            gap=bound - self.worth + HAIR,
            bins=taken,
        )
        if patterns is None or len(self.core.items) * len(patterns) > LARGEST_MASTER * self.effort:
            return bound, False
        self.listed += len(patterns)
        pool = GainMaster(self.core, least=self.cost, most=self.cost)
        pool.fix_counts(counts)
        for column in patterns:
            pool.add(column, worth_of_column(self.core, column))
        found, certain = self._whole(pool, None, share)
        if found is not None:
            self.improve(found)
        return (self.worth, True) if certain else (bound, False)

    def _whole(
        self, pool: GainMaster, chosen: list[int] | None, share: float
    ) -> tuple[list[Column] | None, bool]:
        return pool.whole(
            above=self.worth + HAIR, nodes=max(20, int(self.nodes_left * share)), columns=chosen
        )

    def _price_out(self, most: int) -> tuple[Priced, float]:
        """Column generation until nothing is gained or the rounds are used up: the prices and the bound."""
        core, master = self.core, self.master
        if self.pricer is None:
            self.pricer = Pricer(core, with_worth=True)
        counts = master.counts
        taken = None if counts is None else frozenset(b for b, count in enumerate(counts) if count)
        over = _missed_by_pricing(core)
        best: tuple[float, Priced] | None = None
        level, rounds = COARSE, 0
        while True:
            priced = master.relax()
            rounds += 1
            found, bounds = self.pricer.price(
                priced.prices, self.demand, priced.needs(core), bins=taken, level=level
            )
            shifted, bound = prove(core, priced, bounds + over, counts, most=master.most, demand=self.demand)
            if best is None or bound < best[0]:
                best = (bound, shifted)
            added = False
            for _, column in found:
                added |= master.add(column, worth_of_column(core, column))
            if self.is_met(best[0]) or best[0] - priced.value <= HAIR * (1.0 + abs(priced.value)):
                break
            if added and rounds < most:
                continue
            if level == FINE:
                break
            level = FINE
        self.rounds += rounds
        self.rounds_left -= rounds
        return best[1], best[0]


def _cost(core: Core, columns: Sequence[Column]) -> int:
    return sum(core.bins[column.bin].cost for column in columns)


def _worth(core: Core, columns: Sequence[Column]) -> float:
    return math.fsum(worth_of_column(core, column) for column in columns)


def _gain(core: Core) -> Gain:
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


def _missed_by_pricing(core: Core) -> Floats:
    """What a board may be worth more than its pricing says, shape (n_bins,): its last stick left whole."""
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
