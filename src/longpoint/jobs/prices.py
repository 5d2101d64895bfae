"""The painter's own table of prices: what a work of each size costs, and what is asked for it."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.choosing.by_rule import design_of
from longpoint.costing.cost import WorkCost
from longpoint.costing.price import WorkPrice
from longpoint.errors import Fault, FaultsError, Where
from longpoint.jobs.plan import plan_batch
from longpoint.model.batch import Batch
from longpoint.model.price import Price
from longpoint.model.works import Work
from longpoint.units import MILLIMETRES
from longpoint.works.designed import Say

USUAL = (
    (400, 300),
    (500, 400),
    (600, 500),
    (800, 600),
    (1000, 800),
    (1200, 1000),
    (1500, 1200),
    (1800, 1400),
)
"""Faces that are listed where none are stated. [mm] Common practice, no published source."""

USUAL_INCHES = ((16, 12), (20, 16), (24, 18), (30, 24), (40, 30), (48, 36), (60, 48), (72, 56))
"""The same in inches. Common practice, no published source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SizePrice:
    """A size and its price.

    Attributes:
        width: Of the face. [mm]
        height: Of the face. [mm]
        cost: What one costs.
        price: What is asked for it.
    """

    width: Fraction
    height: Fraction
    cost: WorkCost
    price: WorkPrice


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeTable:
    """The table of prices.

    Attributes:
        sizes: Size by size.
        left_out: Sizes that cannot be built from what the batch states, width and height. [mm]
    """

    sizes: tuple[SizePrice, ...]
    left_out: tuple[tuple[Fraction, Fraction], ...]


def sizes_of(batch: Batch) -> tuple[tuple[Fraction, Fraction], ...]:
    """The sizes that are listed: those stated, else usual ones."""
    if batch.price.sizes:
        return tuple((size[0], size[1]) for size in batch.price.sizes)
    if batch.show == "in":
        inch = MILLIMETRES["in"]
        return tuple((width * inch, height * inch) for width, height in USUAL_INCHES)
    return tuple((Fraction(width), Fraction(height)) for width, height in USUAL)


def has_prices(batch: Batch) -> bool:
    """Whether anything is stated that a price can come of."""
    return bool(
        batch.price.rates
        or batch.shop.rates.per_hour
        or any(work.price is not None for work in batch.work)
        or any(timber.per_metre or timber.per_foot for timber in batch.yard)
        or any(getattr(length, "price", None) for timber in batch.yard for length in timber.lengths)
        or any(roll.rate for roll in batch.roll)
    )


def price_table(batch: Batch, *, say: Say = lambda _text: None) -> SizeTable:
    """The table of prices: every size once, designed by rule of thumb, all cut from new boards together.

    Args:
        batch: What is stated.
        say: Told what is being done.

    Raises:
        FaultsError: If no size can be built.
    """
    wanted = list(sizes_of(batch))
    left_out: list[tuple[Fraction, Fraction]] = []
    while wanted:
        try:
            plan = plan_batch(_listed(batch, wanted), choose=design_of, say=say)
        except FaultsError as error:
            bad = {wanted[number] for number in _named(error.faults) if number < len(wanted)}
            if not bad:
                raise
            left_out += [size for size in wanted if size in bad]
            wanted = [size for size in wanted if size not in bad]
            continue
        return SizeTable(
            sizes=tuple(
                SizePrice(width=width, height=height, cost=cost, price=price)
                for (width, height), cost, price in zip(
                    wanted, plan.cost.works, plan.prices.works, strict=True
                )
            ),
            left_out=tuple(left_out),
        )
    raise FaultsError(
        [
            Fault(
                "no-size",
                "none of the sizes of the price table can be built from what is stated.",
                "State sizes under price.sizes that boards and cloth are large enough for.",
                Where("price.sizes"),
            )
        ]
    )


def _listed(batch: Batch, sizes: list[tuple[Fraction, Fraction]]) -> Batch:
    """The batch with a work of each size in place of its own, everything bought new, no discount for several."""
    works = tuple(
        Work.model_construct(
            **{
                **{name: field.default for name, field in Work.model_fields.items()},
                "name": f"{number}",
                "width": width,
                "height": height,
            }
        )
        for number, (width, height) in enumerate(sizes, start=1)
    )
    stated = {name: getattr(batch.price, name) for name in batch.price.model_fields_set - {"several"}}
    rolls = tuple(roll for roll in batch.roll if not roll.at_hand) or batch.roll
    return batch.model_copy(
        update={
            "work": works,
            "set": (),
            "rack": (),
            "roll": rolls,
            "way": (),
            "wall": (),
            "price": Price.model_construct(**{**dict(Price()), **stated}),
        }
    )


def _named(faults: tuple[Fault, ...]) -> set[int]:
    """Numbers, from 0, of the works that faults are about, by their keys or their names."""
    found = set()
    for fault in faults:
        key = fault.where.key
        if key.startswith("work["):
            found.add(int(key[5 : key.index("]")]) - 1)
        else:
            found.update(
                int(name) - 1 for name in fault.what.partition(": ")[0].split(", ") if name.isdigit()
            )
    return found
