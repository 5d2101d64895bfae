"""What a used length of a roll costs, in decimals."""

from __future__ import annotations

from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

from longpoint.cutting.cloth.problem import ClothRoll, RollUse
from longpoint.cutting.lay.ticks import exact_nm, mm, nm_down, nm_up

CENT = Decimal("0.01")
NM_IN_METRE = Decimal(10**9)


def cents(money: Decimal) -> Decimal:
    """Money to the hundredth, halves up.

    Returns:
        Money.
    """
    return money.quantize(CENT, ROUND_HALF_UP)


def cents_down(money: Decimal) -> Decimal:
    """Money to the hundredth, never more: for what is at least to be paid.

    Returns:
        Money.
    """
    return money.quantize(CENT, ROUND_FLOOR)


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
