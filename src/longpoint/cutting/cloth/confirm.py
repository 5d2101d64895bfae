"""The referee for what is claimed of a cloth plan: its least cost or length, from the statement and the evidence alone.

It shares no code with what finds plans and their bounds.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil, floor

from longpoint.cutting.cloth.case import case_of
from longpoint.cutting.cloth.problem import ClothPlan, ClothProblem, ClothRoll
from longpoint.cutting.lay.referee.certain import Rectangle, Strip, in_units, least_cost
from longpoint.cutting.lay.referee.check_bound import ROUNDED, Price, certain_length, is_least_charge
from longpoint.errors import Fault
from longpoint.refereed import Refereed, cautions_of

NM = 10**6  # nanometres in a millimetre
METRE = 10**9  # nanometres in a metre
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class _Certain:
    """What is certain.

    Attributes:
        cost: No lay costs less.
        length: No lay takes less length, where that is claimed, else 0. [nm]
        by: What confirms it.
        refuted: What was claimed beyond it without reason; "" for nothing.
    """

    cost: Decimal
    length: int
    by: str
    refuted: str = ""


def confirm_cloth(problem: ClothProblem, plan: ClothPlan, *, refused: tuple[str, ...] = ()) -> ClothPlan:
    """A plan with the bound that is certain of it.

    Args:
        problem: What was stated.
        plan: The plan with what is claimed of it; the lay itself has passed its check.
        refused: What was wrong with another lay that this one, in rows, stands for.

    Returns:
        The plan; its bound is what was claimed where that is confirmed, else what is certain.
    """
    rolls = [roll for roll in problem.rolls if _usable(roll).width > 0]
    strips = [_usable(roll) for roll in rolls]
    rectangles = _rectangles(problem, plan)
    priced = any((roll.worth if roll.at_hand else roll.price) > 0 for roll in problem.rolls)
    if len(rolls) == 1:
        found = _on_one(problem, plan, rectangles, rolls[0], strips[0], priced=priced)
    elif priced:
        found = _in_money(problem, plan, rectangles, rolls, strips)
    else:
        found = _in_length(problem, plan, rectangles, rolls, strips)
    used = _nm(plan.used, up=False)
    length = min(found.length, used)
    cost = min(plan.cost, found.cost)
    if priced:
        proven = cost >= plan.cost
        gap = 0.0 if proven or plan.cost <= 0 else float((plan.cost - cost) / plan.cost)
    else:
        proven = length >= used
        gap = 0.0 if proven or used <= 0 else (used - length) / used
    faults = (*refused, found.refuted) if found.refuted else refused
    refereed = Refereed("cloth", ", ".join(roll.name for roll in problem.rolls))
    if faults:
        refereed = replace(
            refereed,
            faults=tuple(Fault("lay-refused", what) for what in faults),
            instead="by-hand" if refused else "claims-dropped",
            case=case_of(problem),
        )
    return replace(
        plan,
        at_least=cost if priced else Decimal("0.00"),
        used_at_least=min(plan.used, length / NM),
        proven=proven,
        gap=gap,
        bound_by=found.by,
        refereed=refereed,
        cautions=(*plan.cautions, *cautions_of([refereed])),
    )


def _nm(size: float, *, up: bool) -> int:
    exact = Fraction(repr(float(size))) * NM
    return ceil(exact - Fraction(1, 1000)) if up else floor(exact + Fraction(1, 1000))


def _rectangles(problem: ClothProblem, plan: ClothPlan) -> list[Rectangle]:
    edge = _nm(problem.allowance, up=True)
    sewn = {each.piece: each.breadths for each in plan.sewn}
    found: Counter[tuple[int, int, bool]] = Counter()
    for piece in problem.pieces:
        along = _nm(piece.along_warp, up=True) + 2 * edge
        if piece.name in sewn:
            breadths = sewn[piece.name]
            for at, breadth in enumerate(breadths):
                outer = (at == 0) + (at == len(breadths) - 1)
                found[_nm(breadth, up=True) + outer * edge, along, False] += piece.count
        else:
            found[_nm(piece.across_warp, up=True) + 2 * edge, along, piece.may_turn] += piece.count
    return [Rectangle(w, h, count, turn) for (w, h, turn), count in found.items()]


def _usable(roll: ClothRoll) -> Strip:
    """A roll without selvedges and squared end; a unit of length costs at least its price, or the worth it loses."""
    selvedge, square = _nm(roll.selvedge, up=True), _nm(roll.square_up, up=True)
    width = _nm(roll.width, up=False) - 2 * selvedge
    flaws = []
    for flaw in roll.flaws:
        left = max(0, _nm(flaw.x_from, up=False) - selvedge)
        right = min(width, _nm(roll.width if flaw.x_to is None else flaw.x_to, up=False) - selvedge)
        near, far = max(0, _nm(flaw.y_from, up=False) - square), _nm(flaw.y_to, up=True) - square
        if left < right and near < far:
            flaws.append((left, near, right, far))
    length = None if roll.length is None else _nm(roll.length, up=False) - square
    rate = Fraction(roll.worth if roll.at_hand else roll.price) / METRE
    return Strip(width, length, tuple(flaws), not roll.warp_along, rate)


def _cents(money: Fraction) -> Decimal:
    return (Decimal(money.numerator) / Decimal(money.denominator)).quantize(CENT, ROUND_HALF_UP)


def charge(roll: ClothRoll, reach: int) -> Decimal:
    """What a plan says a roll costs that is used as far as a place.

    Args:
        roll: The roll.
        reach: The place, above 0, from its free end. [nm]

    Returns:
        Money, every sum in it rounded to the hundredth.
    """
    whole = None if roll.length is None else _nm(roll.length, up=False)
    remains = 0 if whole is None else whole - reach
    keeps = remains > 0 and Fraction(remains, NM) >= Fraction(repr(float(roll.shortest_kept)))
    kept = _cents(Fraction(roll.worth) * remains / METRE) if keeps else Decimal("0.00")
    if roll.at_hand:
        return _cents(Fraction(roll.worth) * (reach if whole is None else whole) / METRE) - kept
    if roll.whole and whole is not None:
        return _cents(Fraction(roll.price) * whole / METRE) - kept
    step = _nm(roll.step, up=True)
    bought = -(-reach // step) * step if step else reach
    return _cents(Fraction(roll.price) * (bought if whole is None else min(bought, whole)) / METRE)


def _on_one(
    problem: ClothProblem,
    plan: ClothPlan,
    rectangles: list[Rectangle],
    roll: ClothRoll,
    strip: Strip,
    *,
    priced: bool,
) -> _Certain:
    square = _nm(roll.square_up, up=True)
    certain = certain_length(
        rectangles,
        strip,
        plan.evidence,
        claimed=_nm(plan.used_at_least, up=True) - square,
        straight=True,
        longest=problem.longest_length is not None,
    )
    length = certain.length + square
    refuted = (
        f"No lay is said to take less than {plan.used_at_least:g} mm; only {length / NM:g} mm is certain."
        if certain.is_refuted
        else ""
    )
    return _Certain(charge(roll, length) if priced else Decimal("0.00"), length, certain.by, refuted)


def _in_money(
    problem: ClothProblem,
    plan: ClothPlan,
    rectangles: list[Rectangle],
    rolls: list[ClothRoll],
    strips: list[Strip],
) -> _Certain:
    unit, counted, here = in_units(rectangles, strips)
    exact = least_cost(counted, here, plan.evidence, unit) - sum(map(_rounding, rolls), Fraction(0))
    by_arithmetic = Decimal(ceil(exact * 100)).scaleb(-2) if exact > 0 else Decimal("0.00")
    if by_arithmetic >= plan.at_least:
        return _Certain(plan.at_least, 0, "arithmetic")
    claimed = int(plan.at_least.scaleb(2))
    squares = [_nm(roll.square_up, up=True) for roll in rolls]
    price = Price(
        lambda at, used: int(charge(rolls[at], used + squares[at]).scaleb(2)),
        Fraction(claimed + len(rolls), 100),
    )
    holds = None
    if problem.longest_length is None:
        holds = is_least_charge(rectangles, strips, price=price, claimed=claimed)
    if holds:
        return _Certain(plan.at_least, 0, "shares")
    refuted = f"No lay is said to cost less than {plan.at_least}; only {by_arithmetic} is certain."
    beyond = holds is False or problem.longest_length is not None
    return _Certain(by_arithmetic, 0, "arithmetic", refuted if beyond else "")


def _rounding(roll: ClothRoll) -> Fraction:
    """How much less than its exact cost a roll can be said to cost."""
    if roll.length is not None and (roll.at_hand or roll.whole):
        return Fraction(1, 100)  # two sums, each rounded
    step = Fraction(roll.price) * _nm(roll.step, up=True) / METRE
    is_whole = not roll.at_hand and roll.length is None and step > 0 and (step * 100).denominator == 1
    return Fraction(0) if is_whole else Fraction(1, 200)


def _in_length(
    problem: ClothProblem,
    plan: ClothPlan,
    rectangles: list[Rectangle],
    rolls: list[ClothRoll],
    strips: list[Strip],
) -> _Certain:
    strips = [replace(strip, rate=Fraction(1)) for strip in strips]
    squares = [_nm(roll.square_up, up=True) for roll in rolls]
    unit, counted, here = in_units(rectangles, strips)
    least = ceil(least_cost(counted, here, plan.evidence, unit))
    claimed = _nm(plan.used_at_least, up=True)
    if least >= claimed - ROUNDED:
        return _Certain(Decimal("0.00"), min(least, claimed), "arithmetic")
    price = Price(lambda at, used: used + squares[at], Fraction(claimed))
    holds = None
    if problem.longest_length is None:
        holds = is_least_charge(rectangles, strips, price=price, claimed=claimed)
    if holds:
        return _Certain(Decimal("0.00"), claimed, "shares")
    refuted = (
        f"No lay is said to take less than {plan.used_at_least:g} mm; only {least / NM:g} mm is certain."
    )
    beyond = holds is False or problem.longest_length is not None
    return _Certain(Decimal("0.00"), least, "arithmetic", refuted if beyond else "")
