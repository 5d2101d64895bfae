"""The buying list: what is needed, what the rack covers, what is bought in which packs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from longpoint.units import CENT

Group = Literal[
    "timber", "cloth", "screws", "glue", "staples", "primer", "hangers", "packing", "sundries", "advised"
]


@dataclass(frozen=True, slots=True)
class Told:
    """What the sheets put into words: a key, and the names and figures that go into its text.

    Attributes:
        key: Which text.
        facts: Names and texts of its figures.
    """

    key: str
    facts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BuyLine:
    """One line of the buying list.

    Attributes:
        group: What it is under; ``advised`` is not in any sum.
        what: The thing as it is asked for.
        need: How much the batch uses, in ``unit``.
        have: How much the rack covers, in ``unit``.
        unit: What ``need`` and ``have`` count.
        buy: How many packs are bought.
        pack: What one pack is, e.g. a board or a box of 200.
        contents: How much of ``unit`` one pack holds.
        each: Price of a pack; None where no price is stated.
        spare: How much of ``need`` is spare.
        notes: Remarks, e.g. that the quantity is an estimate.
    """

    group: Group
    what: Told
    need: float
    have: float
    unit: str
    buy: float
    pack: Told
    each: Decimal | None
    contents: float = 1.0
    spare: float = 0.0
    notes: tuple[Told, ...] = ()

    @property
    def total(self) -> Decimal | None:
        """Price of what is bought; None where no price is stated."""
        if self.each is None:
            return None
        return (self.each * Decimal(str(self.buy))).quantize(CENT)


def packs(*, need: float, have: float, pack: float) -> int:
    """How many packs cover what is missing.

    Args:
        need: What is used.
        have: What is at hand.
        pack: Contents of a pack, above 0.

    Returns:
        Whole packs, at least 0.
    """
    # A millionth of a pack is not worth another pack.
    return max(0, math.ceil((need - have) / pack - 1e-6))


def bought(lines: Sequence[BuyLine]) -> Decimal | None:
    """Sum of all priced lines but what is only advised; None where no line has a price."""
    totals = [line.total for line in lines if line.total is not None and line.group != "advised"]
    return sum(totals, Decimal(0)) if totals else None


def unpriced(lines: Sequence[BuyLine]) -> tuple[Told, ...]:
    """Things that must be bought and have no price, in order, each once."""
    names = dict.fromkeys(
        line.what for line in lines if line.buy > 0 and line.each is None and line.group != "advised"
    )
    return tuple(names)
