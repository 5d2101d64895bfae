"""Several batches side by side: what one costs, weighs, takes and holds, beside the others."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from longpoint.costing.buying import bought
from longpoint.jobs.plan import Plan
from longpoint.needs.days import days_of
from longpoint.needs.planned import PlannedWork
from longpoint.strength.verdicts.verdict import Answer
from longpoint.stretching.ranges import Range

MOST = 5
"""So many stand side by side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSide:
    """One work of a batch, for comparison.

    Attributes:
        name: Its name.
        pieces: How many are made.
        cost: Of one.
        price: Of one, before discount and tax.
        mass: Of one. [kg]
        hours: For one, likely. [h]
        pulled_in: Most that a bar is pulled in once primed [mm]; None where nothing was computed.
        answer: Whether it holds; None where nothing was computed.
    """

    name: str
    pieces: int
    cost: Decimal
    price: Decimal
    mass: float
    hours: float
    pulled_in: float | None
    answer: Answer | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One batch, for comparison.

    Attributes:
        name: What it is called.
        currency: Word behind amounts.
        works: Its works.
        cost: Of everything.
        price: Of everything, the discount off, before tax.
        paid: What is bought for it.
        hours: At work. [h]
        boards: Boards that are bought.
        from_rack: Boards that are taken from the rack.
        cloth: Cloth that is used. [mm]
        ready: The day from which everything can be painted.
    """

    name: str
    currency: str
    works: tuple[WorkSide, ...]
    cost: Decimal
    price: Decimal
    paid: Decimal | None
    hours: Range
    boards: int
    from_rack: int
    cloth: float
    ready: int

    @property
    def pieces(self) -> int:
        """How many works are made."""
        return sum(work.pieces for work in self.works)

    @property
    def mass(self) -> float:
        """Of all together. [kg]"""
        return sum(work.mass * work.pieces for work in self.works)

    @property
    def pulled_in(self) -> float | None:
        """Most of any work [mm]; None where nothing was computed."""
        return max((work.pulled_in for work in self.works if work.pulled_in is not None), default=None)

    @property
    def holding(self) -> tuple[int, int, int]:
        """How many works hold, hold unless, do not."""
        answers = [work.answer for work in self.works for _ in range(work.pieces)]
        return answers.count("holds"), answers.count("unless"), answers.count("not")


def side_of(plan: Plan, name: str) -> Side:
    """A plan, for comparison.

    Args:
        plan: The plan.
        name: What it is called.
    """
    taken = sum(sum(cut.boards_taken.values()) for cut in plan.boards)
    new = sum(cut.to_buy for cut in plan.boards)
    return Side(
        name=name,
        currency=plan.batch.currency,
        works=tuple(
            WorkSide(
                name=work.name,
                pieces=work.how_many,
                cost=cost.each,
                price=price.each,
                mass=work.mass,
                hours=cost.hours.middle / work.how_many,
                pulled_in=_pulled_in(work),
                answer=None if work.strength is None else work.strength.answer,
            )
            for work, cost, price in zip(plan.works, plan.cost.works, plan.prices.works, strict=True)
        ),
        cost=plan.cost.total,
        price=plan.prices.sums.net,
        paid=bought(plan.buying),
        hours=plan.cost.hours,
        boards=new,
        from_rack=taken - new,
        cloth=sum(use.used for cloth in plan.cloths for use in cloth.plan.uses),
        ready=days_of(plan.batch, plan.works).ready,
    )


def _pulled_in(work: PlannedWork) -> float | None:
    if work.strength is None:
        return None
    return next((one.value for one in work.strength.verdicts if one.key == "pulled-in-now"), None)
