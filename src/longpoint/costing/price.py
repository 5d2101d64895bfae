"""What to ask: the price of one, of all copies, of a set and of the batch; discount and tax; what an hour then earns.

A margin is a share of the price, a markup a share of the cost: of 343.45 a margin of 30 % makes 490.64, a markup of
30 % makes 446.49. Sums agree to the cent in every direction: the batch's discount and tax are figured once and shared
out to its works, and a work's to its copies, by largest remainders.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from longpoint.costing.cost import CostSheet, WorkCost, shared_out
from longpoint.model.batch import Batch
from longpoint.units import CENT

Basis = Literal["agreed", "size", "cost"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Amounts:
    """A line of money, or a sum of such lines.

    Attributes:
        gross: At the prices of one.
        discount: Off it for several.
        tax: Added on what is left.
        cost: What it costs to make.
        hours: Likely time, painting with it. [h]
        labour: What of the cost is time.
    """

    gross: Decimal
    discount: Decimal
    tax: Decimal
    cost: Decimal
    hours: float
    labour: Decimal

    @property
    def net(self) -> Decimal:
        """What is earned: before tax, the discount off."""
        return self.gross - self.discount

    @property
    def total(self) -> Decimal:
        """What is paid: with tax."""
        return self.net + self.tax

    @property
    def margin(self) -> float | None:
        """Profit as a share of what is earned; None where nothing is."""
        return float((self.net - self.cost) / self.net) if self.net else None

    @property
    def markup(self) -> float | None:
        """The same profit as a share of the cost; None where there is none."""
        return float((self.net - self.cost) / self.cost) if self.cost else None

    @property
    def per_hour(self) -> Decimal | None:
        """What an hour earns once all that is paid out is off; None where no time is counted."""
        if self.hours <= 0:
            return None
        return ((self.net - self.cost + self.labour) / Decimal(str(self.hours))).quantize(CENT)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPrice:
    """All copies of one work.

    Attributes:
        work: Its name.
        how_many: How many are made.
        each: The price of one, before discount and tax.
        basis: Where it comes from.
        sums: Of all copies.
    """

    work: str
    how_many: int
    each: Decimal
    basis: Basis
    sums: Amounts

    @property
    def copies(self) -> tuple[Decimal, ...]:
        """What is paid for each copy; together what is paid for all."""
        shares = shared_out(self.sums.total, {str(number): 1.0 for number in range(self.how_many)})
        return tuple(sorted(shares.values(), reverse=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPrice:
    """The works of one set.

    Attributes:
        name: Its name; "" for works that hang in none.
        works: Names of its works.
        sums: Of all their copies.
    """

    name: str
    works: tuple[str, ...]
    sums: Amounts


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceList:
    """The prices of a batch.

    Attributes:
        works: Work by work.
        sets: Set by set, and last what hangs in none; () where the batch has no sets.
        sums: Of the batch.
        discount: Share taken off.
        tax: Share added.
    """

    works: tuple[WorkPrice, ...]
    sets: tuple[SetPrice, ...]
    sums: Amounts
    discount: float
    tax: float


def price_with_margin(cost: Decimal | Fraction, *, margin: float | Fraction) -> Fraction:
    """The price of which ``margin`` is profit, exact.

    Args:
        cost: Everything but profit.
        margin: Share of the price, 0 to below 1.
    """
    return Fraction(cost) / (1 - (margin if isinstance(margin, Fraction) else Fraction(str(margin))))


def rounded(price: Fraction, *, to: Decimal, up: bool) -> Decimal:
    """A price as a multiple of something, halves up; never nought where something is asked.

    Args:
        price: The price, exact.
        to: What it is a multiple of, above 0.
        up: Whether it is never rounded down.
    """
    steps = price / Fraction(to)
    count = math.ceil(steps) if up else math.floor(steps + Fraction(1, 2))
    return (max(count, 1 if price > 0 else 0) * to).quantize(CENT)


def discount_for(batch: Batch) -> float:
    """The share taken off for so many pieces as the batch has."""
    pieces = sum(work.how_many for work in batch.work)
    return max((one.discount for one in batch.price.several if one.pieces <= pieces), default=0.0)


def price_each(batch: Batch, index: int, cost: WorkCost) -> tuple[Decimal, Basis]:
    """The price of one copy of a work, before discount and tax, and where it comes from.

    Args:
        batch: What is stated.
        index: Which work, from 0.
        cost: What all its copies cost.
    """
    work, price = batch.work[index], batch.price
    if work.price is not None:
        return work.price.quantize(CENT), "agreed"
    by_size = price.by_size(work.width, work.height)
    exact = by_size
    if exact is None:
        exact = price_with_margin(Fraction(cost.total) / cost.how_many, margin=batch.shop.rates.profit)
    return (
        rounded(exact, to=price.round_to, up=price.round == "up"),
        "cost" if by_size is None else "size",
    )


def prices_of(batch: Batch, costs: CostSheet) -> PriceList:
    """The prices of a batch.

    Args:
        batch: What is stated.
        costs: What its works cost, in its order.
    """
    each = {cost.work: price_each(batch, index, cost) for index, cost in enumerate(costs.works)}
    gross = {cost.work: each[cost.work][0] * cost.how_many for cost in costs.works}
    share, tax_share = discount_for(batch), batch.price.tax
    off = _shared(share, gross)
    net = {name: gross[name] - off[name] for name in gross}
    tax = _shared(tax_share, net)
    works = tuple(
        WorkPrice(
            work=cost.work,
            how_many=cost.how_many,
            each=each[cost.work][0],
            basis=each[cost.work][1],
            sums=Amounts(
                gross=gross[cost.work],
                discount=off[cost.work],
                tax=tax[cost.work],
                cost=cost.total,
                hours=cost.hours.middle,
                labour=cost.labour,
            ),
        )
        for cost in costs.works
    )
    return PriceList(
        works=works,
        sets=_sets(batch, works),
        sums=summed([one.sums for one in works]),
        discount=share,
        tax=tax_share,
    )


def summed(lines: Sequence[Amounts]) -> Amounts:
    """Lines of money together."""
    zero = Decimal("0.00")
    return Amounts(
        gross=sum((one.gross for one in lines), zero),
        discount=sum((one.discount for one in lines), zero),
        tax=sum((one.tax for one in lines), zero),
        cost=sum((one.cost for one in lines), zero),
        hours=round(sum(one.hours for one in lines), 2),
        labour=sum((one.labour for one in lines), zero),
    )


def _shared(share: float, amounts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """A share of a sum, figured once and shared out to its parts."""
    whole = (sum(amounts.values(), Decimal(0)) * Decimal(str(share))).quantize(CENT)
    return shared_out(whole, amounts)


def _sets(batch: Batch, works: Sequence[WorkPrice]) -> tuple[SetPrice, ...]:
    if not batch.set:
        return ()
    by_name = {one.work: one for one in works}
    taken: set[str] = set()
    found = []
    for group in batch.set:
        members = tuple(name for name in group.members if name not in taken)  # a work counts in one set only
        taken.update(members)
        found.append((group.name, members))
    found.append(("", tuple(name for name in by_name if name not in taken)))
    return tuple(
        SetPrice(name=name, works=members, sums=summed([by_name[one].sums for one in members]))
        for name, members in found
        if members
    )
