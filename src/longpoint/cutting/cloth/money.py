"""What a used length of a roll costs, in decimals."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from longpoint.cutting.cloth.problem import ClothRoll, RollUse
from longpoint.cutting.lay.rounding import exact_nm, mm, nm_down, nm_up

CENT = Decimal("0.01")
NM_IN_METRE = Decimal(10**9)


def cents(money: Decimal) -> Decimal:
    """Money to the hundredth, halves up.

    Returns:
        Money.
    """
    return money.quantize(CENT, ROUND_HALF_UP)


def cents_up(money: Decimal) -> Decimal:
    """Money to the hundredth, never less.

    Returns:
        Money.
    """
    return money.quantize(CENT, ROUND_CEILING)


def rounding(rolls: Sequence[ClothRoll]) -> Decimal:
    """How much less than its exact cost a plan can be said to cost, since every roll is rounded to the hundredth.

    Returns:
        Money.
    """
    return sum((_rounding(roll) for roll in rolls), Decimal(0))


def _rounding(roll: ClothRoll) -> Decimal:
    if roll.length is not None and (roll.at_hand or roll.whole):
        return CENT  # two numbers are rounded, and taken from each other
    each = roll.price * nm_up(roll.step) / NM_IN_METRE
    if not roll.at_hand and roll.length is None and each > 0 and each == cents(each):
        return Decimal(0)  # sold in steps that cost whole hundredths
    return CENT / 2


def roll_use(roll: ClothRoll, used: int, lengths: tuple[int, ...]) -> RollUse:
    """What the plan takes from a roll, with its cost.

    Args:
        roll: The roll.
        used: Length that leaves it, above 0. [nm]
        lengths: Where it is cut right across. [nm]

    Returns:
        The use.
    """
    whole = None if roll.length is None else nm_down(roll.length)
    remains = None if whole is None else whole - used
    bought = 0
    if not roll.at_hand:
        step = nm_up(roll.step)
        if roll.whole and whole is not None:
            bought = whole
        else:
            bought = -(-used // step) * step if step else used
            bought = bought if whole is None else min(bought, whole)
    paid = cents(roll.price * bought / NM_IN_METRE)
    kept = remains is not None and remains > 0 and remains >= exact_nm(roll.shortest_kept)
    worth = cents(roll.worth * remains / NM_IN_METRE) if kept and remains is not None else Decimal("0.00")
    if roll.at_hand:
        cost = cents(roll.worth * (used if whole is None else whole) / NM_IN_METRE) - worth
    elif roll.whole:
        cost = paid - worth
    else:
        cost, worth = paid, Decimal("0.00")
    return RollUse(
        roll=roll.name,
        used=mm(used),
        bought=mm(bought),
        paid=paid,
        remains=None if remains is None else mm(remains),
        remnant_worth=worth,
        cost=cost,
        lengths=tuple(map(mm, lengths)),
    )
