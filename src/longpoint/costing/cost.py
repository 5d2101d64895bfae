"""What each work costs and what to ask for it.

Costs are what is used, not what is bought: a box of screws bought for twelve belongs to the shelf, not to the
work. Timber is the exception that proves it: a board is cut for this batch, so its whole cost is shared out,
less what is left of use.

The price follows (material × (1 + waste + overhead) + labour × (1 + overhead)) over (1 − margin); margin is a
share of the price, markup would be a share of cost (University of Missouri Extension MP598 for the parts of a
price).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from longpoint.units import CENT


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCost:
    """Cost of all pieces of one work.

    Attributes:
        work: Its name.
        how_many: How many are made.
        timber: Of its parts.
        cloth: Of its pieces.
        sundries: Screws, glue, staples, primer, hangers.
        hours: Time. [h]
        labour: The time's cost.
        overhead: The shop's share.
        waste: Added to material for what is spoiled.
    """

    work: str
    how_many: int
    timber: Decimal
    cloth: Decimal
    sundries: Decimal
    hours: float
    labour: Decimal
    overhead: Decimal
    waste: Decimal

    @property
    def material(self) -> Decimal:
        """Timber, cloth and sundries."""
        return self.timber + self.cloth + self.sundries

    @property
    def total(self) -> Decimal:
        """Everything but profit."""
        return self.material + self.waste + self.labour + self.overhead

    @property
    def each(self) -> Decimal:
        """Of one piece, rounded to cents."""
        return (self.total / self.how_many).quantize(CENT)


@dataclass(frozen=True, slots=True)
class CostSheet:
    """Cost of the batch.

    Attributes:
        works: Work by work.
        margin: Share of the price that is profit.
        complete: Whether everything has a price.
        missing: What has none.
    """

    works: tuple[WorkCost, ...]
    margin: float
    complete: bool
    missing: tuple[str, ...]

    @property
    def total(self) -> Decimal:
        """Of all works."""
        return sum((work.total for work in self.works), Decimal(0))

    def price_of(self, work: WorkCost) -> Decimal:
        """What to ask for one piece."""
        return price_with_margin(work.total / work.how_many, margin=self.margin)

    @property
    def asked(self) -> Decimal:
        """What all pieces come to at the prices asked."""
        return sum((self.price_of(work) * work.how_many for work in self.works), Decimal(0))

    @property
    def hours(self) -> float:
        """Time for all works. [h]"""
        return sum(work.hours for work in self.works)

    def earned_per_hour(self, asked: Decimal) -> Decimal | None:
        """What an hour of work earns where all works together bring a sum; None where no time is counted.

        All that is paid out (material, what is spoiled, the shop's share) goes off first.

        Args:
            asked: What they bring.
        """
        if self.hours <= 0:
            return None
        paid = self.total - sum((work.labour for work in self.works), Decimal(0))
        return ((asked - paid) / Decimal(str(self.hours))).quantize(CENT)


def markup_of(margin: float) -> float:
    """The same profit as a share of cost: a margin of 0.25 is a markup of 0.3333.

    Args:
        margin: Profit as a share of the price, 0 to below 1.
    """
    return margin / (1 - margin)


def price_with_margin(cost: Decimal, *, margin: float) -> Decimal:
    """The price of which ``margin`` is profit.

    Args:
        cost: Everything but profit.
        margin: Share of the price, 0 to below 1.
    """
    return (cost / (1 - Decimal(str(margin)))).quantize(CENT)


def shared_out(total: Decimal, weights: Mapping[str, float]) -> dict[str, Decimal]:
    """Shares a sum in cents so that the shares add up exactly.

    Args:
        total: The sum.
        weights: What each share is in proportion to; zero or more, by name.

    Returns:
        Shares by name, in the order given; largest remainders get the left-over cents.
    """
    if not weights:
        return {}
    whole = sum(weights.values())
    if whole <= 0:
        weights, whole = dict.fromkeys(weights, 1.0), float(len(weights))
    cents = int((total / CENT).to_integral_value())
    exact = {name: Decimal(str(weight)) / Decimal(str(whole)) * cents for name, weight in weights.items()}
    floors = {name: int(value.to_integral_value(rounding=ROUND_DOWN)) for name, value in exact.items()}
    left = cents - sum(floors.values())
    by_rest = sorted(exact, key=lambda name: (floors[name] - exact[name], name))
    for name in by_rest[:left]:
        floors[name] += 1
    return {name: floors[name] * CENT for name in weights}


def work_cost(
    *,
    work: str,
    how_many: int,
    timber: Decimal,
    cloth: Decimal,
    sundries: Decimal,
    hours: float,
    per_hour: float,
    overhead: float,
    waste: float,
) -> WorkCost:
    """Cost of all pieces of one work.

    Args:
        work: Its name.
        how_many: How many are made.
        timber: Its share of the boards.
        cloth: Its share of the rolls.
        sundries: What it uses of screws, glue, staples, primer, hangers.
        hours: Time for all pieces. [h]
        per_hour: Price of an hour.
        overhead: Share of material and labour added for the shop.
        waste: Share of material added for what is spoiled.
    """
    labour = (Decimal(str(hours)) * Decimal(str(per_hour))).quantize(CENT)
    material = timber + cloth + sundries
    return WorkCost(
        work=work,
        how_many=how_many,
        timber=timber,
        cloth=cloth,
        sundries=sundries,
        hours=hours,
        labour=labour,
        overhead=((material + labour) * Decimal(str(overhead))).quantize(CENT),
        waste=(material * Decimal(str(waste))).quantize(CENT),
    )


def cost_sheet(works: Sequence[WorkCost], *, margin: float, missing: Sequence[str]) -> CostSheet:
    """The cost of the batch from that of its works."""
    return CostSheet(tuple(works), margin, not missing, tuple(missing))
