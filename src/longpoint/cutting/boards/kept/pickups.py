"""Least sorting: at no more than some share above the least cost, the plan that picks boards up least often.

Each round is worked length by length over all boards, so the stop is set once for every length of a round, whatever
the plan. What a plan can lessen is how often a board is picked up and put aside: once for every length that it
gives. Whoever works board by board instead sets the stop just as often: one number says both.

Patterns are priced with one off for every length, so the relaxation bounds what any plan within the cost can reach.
Whole boards come from sharing parts anew between two boards at a time, from an integer program over the patterns met,
and, where every pattern that a better plan could contain can be listed, from one over all of them: then it is a proof.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import without_surplus, worth_of_column, worth_of_offcuts
from longpoint.cutting.boards.kept.pickup_patterns import Key, PickupPricer, pickups_of
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.gains import GainMaster, Priced, prove
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.boards.search.reshare import Gain, reshare
from longpoint.cutting.quiet import SolverStopped

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

ORDINARY_LOAD = 400.0
MOST_ROUNDS = 120
MOST_POOL = 1_500
CHOICES = 4_000_000
MOST_NODES = 400
NODE_WORK = 600_000  # nodes × items × patterns of an integer program
LARGEST_MASTER = 8_000  # items × patterns of an integer program that ends soon
LARGEST_LISTED = 20_000  # the same where the answer is a proof
LARGEST_GAP = 3  # pick-ups; a wider gap is hardly ever closed by listing, unless the list is short
SHORT_LIST = 300
MOST_LISTED = 12_000
STEPS = 4_000_000
HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Sorted:
    """What seeking least sorting came to.

    Attributes:
        columns: A pattern per board.
        pickups: How often a board is picked up.
        at_least: No plan within the cost needs fewer.
        proof: "bound" or "enumeration" where that is reached, else "".
        rounds: Rounds of pricing.
        tried: Ways tried of sharing parts between two boards.
        listed: Patterns listed for a complete proof.
    """

    columns: tuple[Column, ...]
    pickups: int
    at_least: int
    proof: str
    rounds: int
    tried: int
    listed: int


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
    search = _Search(core, plan, most_cost, effort)
    search.improve(search.best)
    if search.at_least < search.pickups:
        for column in pool[:MOST_POOL]:
            search.add(column)
        with suppress(SolverStopped):  # what is found by then stands
            search.settle()
    search.leave_more()
    # The search's own bound is a floating one: it says when to stop. Only what lengths alone show is certain.
    at_least = min(_plainly(core), search.pickups)
    proof = "bound" if at_least == search.pickups else ""
    return Sorted(
        tuple(search.best), search.pickups, at_least, proof, search.rounds, search.tried, search.listed
    )


class _Search:
    """The best plan so far, the bound, and what has been spent."""

    def __init__(self, core: Core, plan: Sequence[Column], most_cost: int, effort: int) -> None:
        self.core, self.effort, self.most_cost = core, effort, most_cost
        self.best = without_surplus(core, list(plan))
        self.rounds = self.tried = self.listed = 0
        self.at_least, self.proof = _plainly(core), "bound"
        self.master = GainMaster(core, least=0, most=most_cost)
        for column in self.best:
            self.add(column)

    @property
    def pickups(self) -> int:
        return sum(pickups_of(self.core, column) for column in self.best)

    def add(self, column: Column) -> bool:
        return self.master.add(column, -float(pickups_of(self.core, column)))

    def improve(self, candidate: Sequence[Column]) -> None:
        """Share parts anew in a plan and keep it where it is picked up less."""
        mine = without_surplus(self.core, list(candidate))
        spare = max(0, self.most_cost - _cost(self.core, mine))
        mine, tried = reshare(
            self.core,
            mine,
            gain=_gain(self.core, leaving=0.0),
            budget=CHOICES * self.effort // 3,
            spare=spare,
        )
        self.tried += tried
        for column in mine:
            self.add(column)
        self._keep(mine)

    def leave_more(self) -> None:
        """At the same pick-ups and cost, let boards leave more that serves again."""
        if any(bin_.worth.at_least for bin_ in self.core.bins):
            most = max(
                rate * sum(length for length, _ in bin_.sticks)
                for bin_ in self.core.bins
                for rate in (*bin_.worth.rates, 0.0)
            )
            mine, tried = reshare(
                self.core,
                list(self.best),
                gain=_gain(self.core, leaving=0.25 / (1.0 + most)),
                budget=CHOICES * self.effort // 3,
            )
            self.tried += tried
            self._keep(mine)

    def _keep(self, plan: Sequence[Column]) -> None:
        if _cost(self.core, plan) <= self.most_cost and _rank(self.core, plan) < _rank(self.core, self.best):
            self.best = list(plan)

    def settle(self) -> None:
        """Bound the pick-ups, and close the gap as far as the work limit goes."""
        core, master = self.core, self.master
        load = len(core.items) * len(core.bins)
        rounds = max(6, int(MOST_ROUNDS * self.effort * min(1.0, ORDINARY_LOAD / load)))
        priced, bound = self._price_out(rounds)
        if not math.isfinite(bound):
            return
        self._lift(bound)
        if self.at_least >= self.pickups:
            return
        gap = self.pickups - 1 + bound + HAIR
        chosen = sorted(master.close_to(priced, gap), key=lambda k: (-_excess(core, master, priced, k), k))
        chosen = chosen[: LARGEST_MASTER * self.effort // len(core.items)]
        found, _ = master.whole(
            above=-(self.pickups - 1) - HAIR, nodes=self._nodes(len(chosen)), columns=sorted(chosen)
        )
        if found is not None:
            self.improve(found)
        if self.at_least < self.pickups:
            self._by_listing(priced, bound)

    def _by_listing(self, priced: Priced, bound: float) -> None:
        """Every pattern that a better plan could contain; an integer program over them settles it."""
        core = self.core
        pricer = PickupPricer(core)
        gap = self.pickups - 1 + bound + HAIR
        most = min(MOST_LISTED, LARGEST_LISTED * self.effort // len(core.items))
        if self.pickups - self.at_least > LARGEST_GAP:
            most = min(most, SHORT_LIST * self.effort)
        patterns = pricer.list_all(
            priced.prices, priced.needs(core) - gap, most=most, steps=STEPS * self.effort
        )
        if patterns is None:
            return
        self.listed += len(patterns)
        pool = GainMaster(core, least=0, most=self.most_cost)
        for column in patterns:
            pool.add(column, -float(pickups_of(core, column)))
        found, certain = pool.whole(above=-(self.pickups - 1) - HAIR, nodes=self._nodes(len(patterns)))
        if found is not None:
            self.improve(found)
        if certain:
            self.at_least, self.proof = self.pickups, "enumeration"

    def _nodes(self, patterns: int) -> int:
        """How many nodes an integer program over so many patterns may take."""
        return min(MOST_NODES, max(20, NODE_WORK // (len(self.core.items) * max(1, patterns)))) * self.effort

    def _lift(self, bound: float) -> None:
        self.at_least = max(self.at_least, math.ceil(-bound - HAIR))

    def _price_out(self, most: int) -> tuple[Priced, float]:
        """Column generation until nothing is gained or the rounds are used up: the prices and the bound."""
        core, master = self.core, self.master
        pricer = PickupPricer(core)
        demand = np.array([item.demand for item in core.items], dtype=np.int64)
        best: tuple[float, Priced] | None = None
        while True:
            priced = master.relax()
            priced = replace(priced, money=max(0.0, priced.money))
            self.rounds += 1
            found, bounds = pricer.price(priced.prices, priced.needs(core))
            shifted, bound = prove(core, priced, bounds, None, most=master.most, demand=demand)
            if best is None or bound < best[0]:
                best = (bound, shifted)
            added = False
            for column in found:
                added |= self.add(column)
            met = best[0] - priced.value <= HAIR * (1.0 + abs(priced.value))
            if met or not added or self.rounds >= most or -best[0] > self.pickups - 1 + HAIR:
                return best[1], best[0]


def _cost(core: Core, plan: Sequence[Column]) -> int:
    return sum(core.bins[column.bin].cost for column in plan)


def _rank(core: Core, plan: Sequence[Column]) -> tuple[int, int, float]:
    """Pick-ups first, then cost, then what is left."""
    return (
        sum(pickups_of(core, column) for column in plan),
        _cost(core, plan),
        -math.fsum(worth_of_column(core, column) for column in plan),
    )


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


def _excess(core: Core, master: GainMaster, priced: Priced, k: int) -> float:
    """What a pooled pattern is worth above what its bin needs."""
    column = master.columns[k]
    worth = master.gains[k] + sum(float(priced.prices[i]) * count for i, count in column.takes)
    return worth - float(priced.needs(core)[column.bin])
