"""What each work costs.

Costs are what is used, not what is bought: a box of screws bought for twelve belongs to the shelf, not to the
work. Boards are cut for this batch, so their whole cost is shared out, less what is left of use: an offcut is taken
off once, here; a later batch that takes it from the rack pays for it there.

Cost = material × (1 + waste) + labour + overhead. Overhead is a share of material and labour, or of one of them; what
is spoiled is not in it (University of Missouri Extension MP598 for the parts of a price).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from longpoint.costing.buying import Group, Told
from longpoint.needs.hours import Operation
from longpoint.stretching.ranges import Range
from longpoint.units import CENT


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialUse:
    """One kind of material: bought + from the rack − kept = used, to the cent.

    Attributes:
        group: What.
        bought: What is paid for it now, as the buying list has it.
        rack: What is taken from the rack, by its worth.
        kept: What is left for later: offcuts, remnants, what stays in boxes.
        used: What the works cost of it.
    """

    group: Group
    bought: Decimal
    rack: Decimal
    used: Decimal

    @property
    def kept(self) -> Decimal:
        """What is left for later: offcuts, remnants, spares, what stays in boxes."""
        return self.bought + self.rack - self.used


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCost:
    """Cost of all pieces of one work.

    Attributes:
        work: Its name.
        how_many: How many are made.
        timber: Of its parts.
        cloth: Of its pieces.
        sundries: Screws, glue, staples, primer, hangers.
        operations: What is done for it.
        hours: Time for all of that, its share of setting up, and painting. [h]
        labour: The likely time's cost.
        overhead: The shop's share.
        waste: Added to material for what is spoiled.
    """

    work: str
    how_many: int
    timber: Decimal
    cloth: Decimal
    sundries: Decimal
    operations: tuple[Operation, ...]
    hours: Range
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CostSheet:
    """Cost of the batch.

    Attributes:
        works: Work by work.
        materials: What is bought, taken, kept and used, kind by kind.
        set_up: Setting up, once.
        missing: What has no price.
    """

    works: tuple[WorkCost, ...]
    materials: tuple[MaterialUse, ...]
    set_up: Operation
    missing: tuple[Told, ...]

    @property
    def total(self) -> Decimal:
        """Of all works."""
        return sum((work.total for work in self.works), Decimal(0))

    @property
    def hours(self) -> Range:
        """Time for all works. [h]"""
        low, middle, high = (
            round(sum(getattr(work.hours, end) for work in self.works), 2)
            for end in ("low", "middle", "high")
        )
        return Range(low, middle, high)


def shared_out(total: Decimal, weights: Mapping[str, float | Decimal]) -> dict[str, Decimal]:
    """Shares a sum in cents so that the shares add up exactly.

    Args:
        total: The sum, in whole cents.
        weights: What each share is in proportion to; zero or more, by name.

    Returns:
        Shares by name, in the order given; largest remainders get the left-over cents.
    """
    if not weights:
        return {}
    exact = {name: Fraction(weight) for name, weight in weights.items()}
    whole = sum(exact.values())
    if whole <= 0:
        exact, whole = dict.fromkeys(weights, Fraction(1)), Fraction(len(weights))
    cents = int((total / CENT).to_integral_value())
    exact = {name: weight * cents / whole for name, weight in exact.items()}
    floors = {name: value.__floor__() for name, value in exact.items()}
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
    operations: Sequence[Operation],
    hours: Range,
    per_hour: float,
    overhead: float,
    overhead_on: str,
    waste: float,
) -> WorkCost:
    """Cost of all pieces of one work.

    Args:
        work: Its name.
        how_many: How many are made.
        timber: Its share of the boards.
        cloth: Its share of the rolls.
        sundries: What it uses of screws, glue, staples, primer, hangers.
        operations: What is done for it.
        hours: Time for all pieces. [h]
        per_hour: Price of an hour.
        overhead: Share added for the shop.
        overhead_on: Of what: "material and labour", "labour" or "material".
        waste: Share of material added for what is spoiled.
    """
    labour = (Decimal(str(hours.middle)) * Decimal(str(per_hour))).quantize(CENT)
    material = timber + cloth + sundries
    base = sum(
        (cost for name, cost in (("material", material), ("labour", labour)) if name in overhead_on),
        Decimal(0),
    )
    return WorkCost(
        work=work,
        how_many=how_many,
        timber=timber,
        cloth=cloth,
        sundries=sundries,
        operations=tuple(operations),
        hours=hours,
        labour=labour,
        overhead=(base * Decimal(str(overhead))).quantize(CENT),
        waste=(material * Decimal(str(waste))).quantize(CENT),
    )
