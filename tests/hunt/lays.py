"""Lays as workshops have them: every answer against the referee, against brute force where small, against a complete
listing of our own or a constraint solver where middle-sized, against the way the case was made, and against itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from functools import cache

import numpy as np

from hunt.kinds import Checked, Kind, register
from longpoint.cutting.cloth.case import case_of, problem_of_case
from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.confirm import confirm_cloth
from longpoint.cutting.cloth.problem import ClothPiece, ClothPlan, ClothProblem, ClothRoll, Flaw
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.cutting.lay.case import case_of as case_of_lay
from longpoint.cutting.lay.problem import LayPiece, LayPlan, LayProblem
from longpoint.cutting.lay.referee.check import check_lay, confirm_lay
from longpoint.cutting.lay.strip import lay_pieces
from longpoint.errors import FaultsError

Random = np.random.Generator
Sides = list[tuple[int, int]]
MM = 10**6


def cut_apart(random: Random, width: int, length: int, times: int, step: int) -> Sides:
    """A sheet cut straight through again and again: the pieces fill it again without waste."""
    sheets: Sides = [(width, length)]
    for _ in range(times):
        at = int(np.argmax([w * h * random.uniform(0.3, 1) for w, h in sheets]))
        w, h = sheets.pop(at)
        along = random.random() < (h / (w + h))
        side = h if along else w
        if side < 4 * step:
            sheets.append((w, h))
            continue
        cut = step * int(random.integers(1, side // step))
        sheets += [(w, cut), (w, h - cut)] if along else [(cut, h), (w - cut, h)]
    return sheets


def drawn(random: Random, width: int, count: int, step: int) -> Sides:
    """Sizes of pieces for works: sides from 200 to 2000 and a turnover."""
    top = min(width, 2000)
    return [
        (
            step * int(random.integers(200 // step, top // step + 1)),
            step * int(random.integers(200 // step, 2000 // step)),
        )
        for _ in range(count)
    ]


def pieces_of(random: Random, sides: Sides, turning: float) -> tuple[LayPiece, ...]:
    """Wanted pieces; equal ones stay apart, so that they have to be found equal."""
    return tuple(
        LayPiece(f"p{at}", w, h, 1, bool(random.random() < turning)) for at, (w, h) in enumerate(sides)
    )


def perfect(seed: int) -> tuple[LayProblem, int]:
    """A sheet cut apart, and how long it was. [mm]"""
    random = np.random.default_rng([seed, 11])
    step = int(random.choice([1, 5, 10, 50]))
    width = 50 * int(random.integers(12, 44))
    length = step * int(random.integers(800 // step, 6000 // step))
    spacing = int(random.choice([0, 0, 0, 3]))
    sides = cut_apart(random, width, length, int(random.integers(2, 26)), step)
    if spacing:  # a sheet and its pieces with the space beyond them, so that it comes out
        sides = [(w - spacing, h - spacing) for w, h in sides if min(w, h) > spacing]
    problem = LayProblem(pieces_of(random, sides, 0.0), width - spacing, spacing, bool(random.random() < 0.2))
    return problem, length - spacing


def thinned(seed: int) -> LayProblem:
    """A sheet cut apart, some pieces gone, some that may be turned; or sizes at random."""
    random = np.random.default_rng([seed, 12])
    step = int(random.choice([1, 5, 10, 50]))
    width = 50 * int(random.integers(16, 44))
    if random.random() < 0.5:
        sides = cut_apart(random, width, step * (4000 // step), int(random.integers(4, 30)), step)
        sides = [side for side in sides if random.random() < 0.8] or sides[:1]
    else:
        sides = drawn(random, width, int(3 * 10 ** random.random()), step)
    turning = float(random.choice([0, 0.5, 1]))
    sides += [side for side in sides if random.random() < 0.2]
    return LayProblem(
        pieces_of(random, sides, turning), width, int(random.choice([0, 0, 2])), bool(random.random() < 0.15)
    )


def few(seed: int, least: int, most: int) -> LayProblem:
    """So many pieces on a narrow roll."""
    random = np.random.default_rng([seed, 13, most])
    width = int(random.integers(9, 60))
    count = int(random.integers(least, most + 1))
    sides = [(int(random.integers(2, width + 1)), int(random.integers(2, width + 1))) for _ in range(count)]
    return LayProblem(pieces_of(random, sides, 0.4), width)


def shortest(problem: LayProblem) -> int:
    """The least length by straight cuts: the boxes of every set of pieces, none beaten both ways. [mm]"""
    sides = [(int(p.across), int(p.along), p.may_turn) for p in problem.pieces]

    @cache
    def boxes(chosen: int) -> list[tuple[int, int]]:
        found: set[tuple[int, int]] = set()
        if chosen & (chosen - 1) == 0:
            w, h, turn = sides[chosen.bit_length() - 1]
            found = {(w, h), (h, w)} if turn else {(w, h)}
        some = (chosen - 1) & chosen
        while some > chosen ^ some:
            for w, h in boxes(some):
                for v, k in boxes(chosen ^ some):
                    found.add((w + v, max(h, k)))
                    found.add((max(w, v), h + k))
            some = (some - 1) & chosen
        kept: list[tuple[int, int]] = []
        for w, h in sorted(box for box in found if box[0] <= problem.roll_width):
            if not kept or h < kept[-1][1]:
                kept.append((w, h))
        return kept

    return min(h for _, h in boxes((1 << len(sides)) - 1))


def laid(problem: LayProblem, effort: int) -> tuple[LayPlan, list[str]]:
    """The lay, and what the referee says when it is asked again."""
    plan = lay_pieces(problem, effort=effort)
    wrong = [f"referee: {fault}" for fault in check_lay(problem, plan)]
    assert plan.refereed is not None
    wrong += [f"refused in the product: {fault}" for fault in plan.refereed.faults]
    if confirm_lay(problem, plan).at_least < plan.at_least:
        wrong.append("the bound is not confirmed again")
    return plan, wrong


def counts_of(plan: LayPlan | ClothPlan) -> tuple[str, ...]:
    """What is counted of every lay."""
    return (f"{'proven' if plan.proven else 'bound'} by {plan.bound_by}",)


def within(name: str, at_least: float, least: float, reach: float, *, proven: bool) -> list[str]:
    """What is wrong between a bound, the truth and an answer."""
    if at_least > least or reach < least or (proven and reach != least):
        return [f"{name}: at least {at_least}, answer {reach}, proven {proven}; truly {least}"]
    return []


def check_perfect(seed: int) -> Checked:
    """Against the sheet that was cut apart."""
    problem, length = perfect(seed)
    plan, wrong = laid(problem, 4_000)
    if problem.spacing and any(min(p.across, p.along) <= 0 for p in problem.pieces):
        return Checked(())
    if plan.at_least > length * MM:
        wrong.append(f"at least {plan.at_least / MM}, but the sheet was {length}")
    if plan.proven and plan.length > length * MM:
        wrong.append(f"proven {plan.length / MM}, but the sheet was {length}")
    met = ("sheet met",) if plan.length <= length * MM else ()
    return Checked(tuple(wrong), (*counts_of(plan), *met))


def check_few(least: int, most: int) -> Callable[[int], Checked]:
    """Against every way to cut straight through."""

    def check(seed: int) -> Checked:
        problem = few(seed, least, most)
        plan, wrong = laid(problem, 2_000)
        true = shortest(problem) * MM
        wrong += within("straight cuts", plan.at_least, true, plan.length, proven=plan.proven)
        free, more = laid(replace(problem, any_cut=True), 2_000)
        wrong += more
        if free.at_least > true or free.length > plan.length:
            wrong.append(f"any cut: at least {free.at_least}, answer {free.length}; by straight cuts {true}")
        return Checked(tuple(wrong), counts_of(plan))

    return check


def check_thinned(seed: int) -> Checked:
    """Against itself: in another order, doubled, a piece less, the first again."""
    problem = thinned(seed)
    effort = (1_000, 4_000, 20_000)[seed % 3] if len(problem.pieces) <= 15 else 1_000
    plan, wrong = laid(problem, effort)
    which = seed % 4
    pieces = problem.pieces
    other, factor = problem, 1
    if which == 0:
        other = replace(problem, pieces=pieces[::-1])
    elif which == 1:
        twice = tuple(replace(p, across=2 * float(p.across), along=2 * float(p.along)) for p in pieces)
        other, factor = (
            replace(
                problem,
                pieces=twice,
                roll_width=2 * float(problem.roll_width),
                spacing=2 * float(problem.spacing),
            ),
            2,
        )
    elif which == 2 and len(pieces) > 1:
        other = replace(problem, pieces=pieces[:-1])
    elif which == 3:
        other = replace(problem, pieces=tuple(replace(p, may_turn=True) for p in pieces))
    again, more = laid(other, effort)
    wrong += more
    if again.at_least > factor * plan.length or (which < 2 and factor * plan.at_least > again.length):
        wrong.append(
            f"asked another way ({which}): {again.at_least} to {again.length}, "
            f"before {factor} times {plan.at_least} to {plan.length}"
        )
    return Checked(tuple(wrong), counts_of(plan))


def rolls_of(random: Random, tens: int) -> tuple[ClothRoll, ...]:
    """One to three rolls: by the metre, in steps, at hand, whole; with flaws, selvedges, warp across, a squared end."""

    def flaws(width: int, length: int) -> tuple[Flaw, ...]:
        found = []
        for _ in range(int(random.choice([0, 0, 1, 2, 3]))):
            y, x = (
                tens * int(random.integers(0, length // tens)),
                tens * int(random.integers(0, width // tens - 5)),
            )
            left = 0 if random.random() < 0.4 else x
            right = None if random.random() < 0.4 else min(width, x + tens * int(random.integers(2, 40)))
            if right is not None and right <= left:
                right = None
            found.append(Flaw(y, y + tens * int(random.integers(1, 12)), left, right))
        return tuple(found)

    def price(low: int, high: int) -> Decimal:
        if random.random() < 0.6:
            return Decimal(int(random.integers(low, high)))
        return Decimal(int(random.integers(100 * low, 100 * high))).scaleb(-2)

    free = random.random() < 0.15
    rolls = []
    for at in range(int(random.choice([1, 2, 2, 3]))):
        width = tens * int(random.integers(1200 // tens, 2200 // tens))
        style = int(random.integers(0, 4)) if at else int(random.integers(0, 2))
        flawed = flaws(width, 3000) if random.random() < 0.5 else ()
        base = ClothRoll(
            f"r{at}", float(width), price=Decimal(0) if free else price(6, 25), flaws=flawed,
            selvedge=float(random.choice([0, 0, tens])), square_up=float(random.choice([0, 0, 2 * tens])),
            warp_along=bool(random.random() < 0.85),
        )  # fmt: skip
        if style == 1:
            base = replace(base, step=float(random.choice([100, 250, 500])))
        elif style == 2:
            base = replace(
                base, length=float(tens * int(random.integers(600 // tens, 4000 // tens))), at_hand=True,
                price=Decimal(0), worth=Decimal(0) if free else price(0, 12),
                shortest_kept=float(random.choice([0, 400])),
            )  # fmt: skip
        elif style == 3:
            long = float(tens * int(random.integers(4000 // tens, 9000 // tens)))
            base = replace(
                base, length=long, whole=True, worth=base.price * Decimal("0.5"), shortest_kept=500.0
            )
        if base.length is not None:
            base = replace(base, flaws=tuple(flaw for flaw in base.flaws if flaw.y_from < base.length))
        rolls.append(base)
    return tuple(rolls)


def cloth(seed: int, most: int) -> ClothProblem:
    """Pieces on rolls of every kind; with few of them sizes are in whole tens of millimetres."""
    random = np.random.default_rng([seed, 14, most])
    tens = 10
    rolls = rolls_of(random, tens)
    widest = int(max(roll.width - 2 * roll.selvedge for roll in rolls))
    count = int(random.integers(2, most + 1))
    pieces = []
    for at in range(count):
        across = tens * int(random.integers(30, widest // tens))
        along = tens * int(random.integers(30, 150))
        pieces.append(
            ClothPiece(
                f"p{at}", float(across), float(along), int(random.choice([1, 1, 1, 2])) if most > 6 else 1,
                bool(random.random() < 0.4),
            )
        )  # fmt: skip
    if random.random() < 0.1:
        pieces[0] = replace(
            pieces[0], across_warp=float(widest + tens * int(random.integers(1, 20))), may_seam=True
        )
    longest = float(tens * int(random.integers(200, 300))) if random.random() < 0.1 else None
    return ClothProblem(tuple(pieces), rolls, float(random.choice([0, 5])), 15.0, longest)


def planned(problem: ClothProblem, effort: int) -> tuple[ClothPlan | None, list[str]]:
    """The plan, and what the referee says when it is asked again; None where the rolls do not hold the pieces."""
    try:
        plan = plan_cloth(problem, effort=effort)
    except FaultsError as error:
        codes = {fault.code for fault in error.faults}
        if codes <= {"not-enough-cloth", "piece-wider-than-rolls"}:
            return None, []
        return None, [str(error)]
    wrong = [f"referee: {fault}" for fault in check_cloth_plan(problem, plan)]
    assert plan.refereed is not None
    wrong += [f"refused in the product: {fault}" for fault in plan.refereed.faults]
    again = confirm_cloth(problem, plan)
    if again.at_least < plan.at_least or again.used_at_least < plan.used_at_least:
        wrong.append("the bound is not confirmed again")
    return plan, wrong


def measure(plan: ClothPlan) -> tuple[float, float]:
    """Bound and value of what was made least."""
    if plan.cost > 0:
        return float(plan.at_least), float(plan.cost)
    return plan.used_at_least, plan.used


def check_rolls(seed: int) -> Checked:
    """Few rectangles against a constraint solver with free places.

    Three can always be parted by straight cuts; four unless they lie as a pinwheel, so there it only is a bound.
    """
    problem = replace(cloth(seed, 4), longest_length=None)
    plan, wrong = planned(problem, 4_000)
    if plan is None:
        return Checked(tuple(wrong), ("no room",))
    counts = counts_of(plan)
    simple = len(plan.laid) <= 4 and not any(
        roll.whole or (not roll.at_hand and roll.length is not None) or roll.price % 1 or roll.worth % 1
        for roll in problem.rolls
    )
    # A wide piece that may be turned is turned rather than sewn, dearer or not; the solver would sew it.
    if simple and plan.cost > 0 and not any(piece.may_seam for piece in problem.pieces):
        from cutting.test_cloth_constraints import cheapest

        least = cheapest(problem)
        at_least, cost = measure(plan)
        if least is not None and (len(plan.laid) < 4 or round(100 * cost) <= least):
            wrong += within(
                "constraint solver", round(100 * at_least), least, round(100 * cost), proven=plan.proven
            )
            counts += ("by constraints",)
    return Checked(tuple(wrong), counts)


def check_batch(seed: int) -> Checked:
    """Against itself: in another order, doubled, a roll too dear, a piece less."""
    problem = cloth(seed, 14)
    plan, wrong = planned(problem, 1_500)
    if problem_of_case(case_of(problem)) != problem:
        wrong.append("the case file holds another problem")
    if plan is None:
        return Checked(tuple(wrong), ("no room",))
    which, factor, pieces = seed % 4, 1, problem.pieces
    other = problem
    if which == 0:
        other = replace(problem, pieces=pieces[::-1], rolls=problem.rolls[::-1])
    elif which == 1 and plan.cost == 0:
        other, factor = doubled(problem), 2
    elif which == 2 and plan.cost > 0:
        dear = ClothRoll("dear", problem.rolls[0].width, price=Decimal(900))
        other = replace(problem, rolls=(*problem.rolls, dear))
    elif which == 3 and len(pieces) > 1:
        other = replace(problem, pieces=pieces[:-1])
    again, more = planned(other, 1_500)
    wrong += more
    if again is not None and not (plan.sewn or again.sewn):
        (low, high), (least, most) = measure(again), measure(plan)
        slack = 0.0 if plan.cost > 0 else 1e-3
        if low > factor * most + slack or (which < 3 and factor * least > high + slack):
            wrong.append(
                f"asked another way ({which}): {low} to {high}, before {factor} times {least} to {most}"
            )
    return Checked(tuple(wrong), counts_of(plan))


def doubled(problem: ClothProblem) -> ClothProblem:
    """Every size twice as large."""
    rolls = tuple(
        replace(
            roll, width=2 * roll.width, length=None if roll.length is None else 2 * roll.length, step=2 * roll.step,
            shortest_kept=2 * roll.shortest_kept, selvedge=2 * roll.selvedge, square_up=2 * roll.square_up,
            flaws=tuple(
                Flaw(2 * f.y_from, 2 * f.y_to, 2 * f.x_from, None if f.x_to is None else 2 * f.x_to)
                for f in roll.flaws
            ),
        )
        for roll in problem.rolls
    )  # fmt: skip
    pieces = tuple(
        replace(p, across_warp=2 * p.across_warp, along_warp=2 * p.along_warp) for p in problem.pieces
    )
    longest = None if problem.longest_length is None else 2 * problem.longest_length
    return ClothProblem(pieces, rolls, 2 * problem.allowance, 2 * problem.seam_allowance, longest)


register(Kind("lays-perfect", lambda seed: case_of_lay(perfect(seed)[0]), check_perfect, 15))
register(Kind("lays-few", lambda seed: case_of_lay(few(seed, 1, 6)), check_few(1, 6), 75))
register(Kind("lays-middle", lambda seed: case_of_lay(few(seed, 7, 9)), check_few(7, 9), 15))
register(Kind("lays", lambda seed: case_of_lay(thinned(seed)), check_thinned, 4))
register(Kind("rolls", lambda seed: case_of(replace(cloth(seed, 4), longest_length=None)), check_rolls, 50))
register(Kind("cloth", lambda seed: case_of(cloth(seed, 14)), check_batch, 15))
