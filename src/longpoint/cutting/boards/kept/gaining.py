"""Among plans of a bounded cost the one that gains most: what is left, or what is picked up less.

Patterns are made as they are needed, as for the cost, but a pattern now gains something and the money is a row of its
own. The relaxation bounds what any plan within the money can gain: that says when to stop. Whole boards come from
sharing parts anew between two boards at a time, from an integer program over the patterns met, and, where every
pattern that a better plan could contain can be listed, from one over all of them.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import without_surplus
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.gains import GainMaster, Priced, prove
from longpoint.cutting.boards.search.pricing import COARSE, FINE, Column
from longpoint.cutting.boards.search.reshare import Gain, reshare

Floats = npt.NDArray[np.float64]

HAIR = 1e-6
"""Two gains closer than this share are taken as equal: the bound is a sum of floating numbers."""
ORDINARY_LOAD = 400.0
MOST_ROUNDS = 120


@dataclass(frozen=True, slots=True)
class Gained:
    """What such a search came to.

    Attributes:
        columns: A pattern per board; the given ones where nothing better was found.
        rounds: Rounds of pricing.
        tried: Ways tried of sharing parts between two boards.
        listed: Patterns listed.
    """

    columns: tuple[Column, ...]
    rounds: int
    tried: int
    listed: int


class Aim(ABC):
    """What is gained, and how much may be spent on it.

    Attributes:
        core: The problem.
        least: Least cost of a plan, cost units.
        most: Most cost of a plan, cost units.
        effort: Work limit; 1 is the ordinary one.
        step: Gains are whole multiples of it; 0 where they are not.
        first_level: The grid on which patterns are sought first.
        choices: Ways of sharing parts between two boards that may be tried.
        largest: Items × patterns of an integer program that ends soon.
    """

    step = 0.0
    first_level = COARSE
    choices: int
    largest: int

    def __init__(self, core: Core, *, least: int, most: int, effort: int) -> None:
        self.core, self.least, self.most, self.effort = core, least, most, effort

    @abstractmethod
    def of(self, column: Column) -> float:
        """What a board gains."""

    @abstractmethod
    def gain(self) -> Gain:
        """The same of one stick, for many choices at once."""

    @abstractmethod
    def is_better(self, plan: Sequence[Column], best: Sequence[Column]) -> bool:
        """Whether a plan within the cost is to be kept."""

    @abstractmethod
    def price(self, priced: Priced, level: int) -> tuple[list[Column], Floats]:
        """Patterns worth more than their bins need, and what a pattern of each is worth at most, shape (n_bins,)."""

    def list_all(self, priced: Priced, *, gap: float, short: float) -> list[Column] | None:  # noqa: B027 - may be left
        """Every pattern within a gap of what its bin needs; None where there are too many, or it helps nothing.

        Args:
            priced: The prices.
            gap: How far below that a pattern of a better plan may lie.
            short: How much more than the best known a plan may gain.
        """

    @abstractmethod
    def nodes(self, patterns: int) -> int:
        """How many nodes an integer program over so many patterns may take."""

    def cost(self, plan: Sequence[Column]) -> int:
        """What a plan costs, cost units."""
        return sum(self.core.bins[column.bin].cost for column in plan)

    def total(self, plan: Sequence[Column]) -> float:
        """What a plan gains."""
        return math.fsum(self.of(column) for column in plan)


class Gaining:
    """The best plan so far, and what has been spent on it."""

    def __init__(self, aim: Aim, plan: Sequence[Column], *, at_most: float) -> None:
        """Begin with a plan.

        Args:
            aim: What is gained.
            plan: A pattern per board.
            at_most: No plan gains more, from lengths alone.
        """
        core = aim.core
        self.aim, self.at_most = aim, at_most
        self.best = without_surplus(core, list(plan))
        self.rounds = self.tried = self.listed = 0
        load = len(core.items) * len(core.bins)
        self.most_rounds = max(8, int(MOST_ROUNDS * aim.effort * min(1.0, ORDINARY_LOAD / load)))
        self.demand = np.array([item.demand for item in core.items], dtype=np.int64)
        self.master = GainMaster(core, least=aim.least, most=aim.most)

    @property
    def gained(self) -> float:
        """What the best plan gains."""
        return self.aim.total(self.best)

    @property
    def floor(self) -> float:
        """What a better plan gains more than."""
        return self.gained + (self.aim.step - HAIR if self.aim.step else HAIR)

    def is_met(self, bound: float) -> bool:
        """Whether the best plan reaches a bound."""
        if self.aim.step:
            return bound < self.floor
        return bound - self.gained <= HAIR * (1.0 + abs(self.gained))

    def kept(self) -> Gained:
        """What came of it."""
        return Gained(tuple(self.best), self.rounds, self.tried, self.listed)

    def add(self, column: Column) -> bool:
        """Put a pattern into the pool; whether it was new."""
        return self.master.add(column, self.aim.of(column))

    def improve(self, candidate: Sequence[Column]) -> None:
        """Share parts anew in a plan and keep it where it is better."""
        mine = without_surplus(self.aim.core, list(candidate))
        self.share(mine, self.aim.gain(), spare=max(0, self.aim.most - self.aim.cost(mine)))

    def share(self, plan: Sequence[Column], gain: Gain, *, spare: int) -> None:
        """The same by another gain, for no more than so much money."""
        aim = self.aim
        mine, tried = reshare(aim.core, plan, gain=gain, budget=aim.choices * aim.effort // 3, spare=spare)
        self.tried += tried
        for column in mine:
            self.add(column)
        if aim.least <= aim.cost(mine) <= aim.most and aim.is_better(mine, self.best):
            self.best = mine

    def settle(self) -> None:
        """Bound what plans gain, and close the gap as far as the work limit goes."""
        aim, core, master = self.aim, self.aim.core, self.master
        priced, bound = self._price_out()
        if self.is_met(min(bound, self.at_most)) or not math.isfinite(bound):
            return
        near = master.close_to(priced, self._gap(bound))
        near.sort(key=lambda k: (-self._excess(priced, k), k))
        self._whole(master, sorted(near[: aim.largest * aim.effort // len(core.items)]))
        most = min(bound, self.at_most)
        if self.is_met(most):
            return
        patterns = aim.list_all(priced, gap=self._gap(bound), short=most - self.gained)
        if patterns is None:
            return
        self.listed += len(patterns)
        pool = GainMaster(core, least=aim.least, most=aim.most)
        for column in patterns:
            pool.add(column, aim.of(column))
        self._whole(pool, None)

    def _gap(self, bound: float) -> float:
        """How far below the bound a pattern of a better plan may lie."""
        return bound - self.gained - self.aim.step + HAIR

    def _excess(self, priced: Priced, k: int) -> float:
        """What a pooled pattern is worth above what its bin needs."""
        column = self.master.columns[k]
        worth = self.master.gains[k] + sum(float(priced.prices[i]) * count for i, count in column.takes)
        return worth - float(priced.needs(self.aim.core)[column.bin])

    def _whole(self, pool: GainMaster, chosen: list[int] | None) -> None:
        nodes = self.aim.nodes(len(pool.columns) if chosen is None else len(chosen))
        found, _ = pool.whole(above=self.floor, nodes=nodes, columns=chosen)
        if found is not None:
            self.improve(found)

    def _price_out(self) -> tuple[Priced, float]:
        """Column generation until nothing is gained or the rounds are used up: the prices and the bound."""
        core, master = self.aim.core, self.master
        best: tuple[float, Priced] | None = None
        level = self.aim.first_level
        while True:
            priced = master.relax()
            self.rounds += 1
            found, bounds = self.aim.price(priced, level)
            shifted, bound = prove(core, priced, bounds, most=master.most, demand=self.demand)
            if best is None or bound < best[0]:
                best = (bound, shifted)
            added = False
            for column in found:
                added |= self.add(column)
            if self.is_met(best[0]) or best[0] - priced.value <= HAIR * (1.0 + abs(priced.value)):
                break
            if added and self.rounds < self.most_rounds:
                continue
            if level == FINE:
                break
            level = FINE
        return best[1], best[0]
