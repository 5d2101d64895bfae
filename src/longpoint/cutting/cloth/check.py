"""The referee for cloth plans: checks everything from the statement alone.

It shares no code with what finds plans: sizes are turned into exact fractions of a millimetre here, pieces are
compared with each other, the cuts are made one after the other on paper, and the money is counted again.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections import Counter
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import islice, pairwise

from longpoint.cutting.cloth.problem import (
    ClothPiece,
    ClothPlan,
    ClothProblem,
    ClothRoll,
    LaidPiece,
    RollUse,
    SewnPiece,
)
from longpoint.errors import Fault

SLACK = Fraction(1, 10**5)  # mm: what floats of nanometres may be off
Box = tuple[Fraction, Fraction, Fraction, Fraction]  # left, near, right, far


def check_cloth_plan(problem: ClothProblem, plan: ClothPlan) -> tuple[Fault, ...]:
    """Everything wrong with a cloth plan.

    Args:
        problem: What was stated.
        plan: What is to be checked.

    Returns:
        The faults; none for a right plan.
    """
    wrong: list[str] = []
    rolls = {roll.name: roll for roll in problem.rolls}
    if {laid.roll for laid in plan.laid} - rolls.keys():
        return (Fault("cloth-plan-wrong", "A piece lies on a roll that was not stated."),)
    wrong += _sewn_wrong(problem, plan)
    wrong += _pieces_wrong(problem, plan)
    by_roll: dict[str, list[LaidPiece]] = {}
    for laid in plan.laid:
        by_roll.setdefault(laid.roll, []).append(laid)
    for name, here in by_roll.items():
        wrong += _roll_wrong(rolls[name], here)
        wrong += _cuts_wrong(problem, rolls[name], here, plan)
    wrong += _money_wrong(rolls, by_roll, plan)
    return tuple(Fault("cloth-plan-wrong", text) for text in wrong)


def _mm(size: float) -> Fraction:
    return Fraction(repr(float(size)))


def _near(one: Fraction, other: Fraction) -> bool:
    return abs(one - other) <= SLACK


def _box(laid: LaidPiece) -> Box:
    x, y = _mm(laid.x), _mm(laid.y)
    return x, y, x + _mm(laid.across), y + _mm(laid.along)


def _title(laid: LaidPiece) -> str:
    return f"{laid.piece} {laid.number}" + (f" breadth {laid.breadth}" if laid.breadth else "")


def _sewn_wrong(problem: ClothProblem, plan: ClothPlan) -> list[str]:
    wrong = []
    pieces = {piece.name: piece for piece in problem.pieces}
    for sewn in plan.sewn:
        piece = pieces.get(sewn.piece)
        if piece is None or not piece.may_seam:
            wrong.append(f"{sewn.piece} is sewn, which was not allowed.")
            continue
        marks = [Fraction(0), *map(_mm, sewn.seams), _mm(piece.across_warp)]
        finished = [b - a for a, b in pairwise(marks)]
        if min(finished) <= 0 or len(finished) != len(sewn.breadths):
            wrong.append(f"The seams of {sewn.piece} do not lie in order inside it.")
            continue
        seam = _mm(problem.seam_allowance)
        last = len(finished) - 1
        for at, (net, cut) in enumerate(zip(finished, map(_mm, sewn.breadths), strict=True)):
            if not _near(cut, net + seam * ((at > 0) + (at < last))):
                wrong.append(
                    f"Breadth {at + 1} of {sewn.piece} is {float(cut)} mm wide; its seams do not come out."
                )
        if piece.seam_at is not None and not any(_near(_mm(piece.seam_at), mark) for mark in marks[1:-1]):
            wrong.append(f"{sewn.piece} has no seam where it was wanted.")
        middle = _mm(piece.across_warp) / 2
        # Out of the middle third; very wide pieces have nearly a whole breadth across the middle instead.
        widest = max(_mm(roll.width) - 2 * _mm(roll.selvedge) for roll in problem.rolls)
        free = min(_mm(piece.across_warp) / 6, widest * 2 / 5)
        if piece.seam_at is None and not piece.seam_in_middle:
            wrong += [
                f"A seam of {sewn.piece} crosses its middle third."
                for mark in marks[1:-1]
                if abs(mark - middle) < free - SLACK
            ]
    return wrong


def _pieces_wrong(problem: ClothProblem, plan: ClothPlan) -> list[str]:
    sewn = {each.piece: each for each in plan.sewn}
    due: Counter[tuple[str, int, int]] = Counter()
    for piece in problem.pieces:
        breadths = range(1, len(sewn[piece.name].breadths) + 1) if piece.name in sewn else (0,)
        due.update(
            (piece.name, number, breadth) for number in range(1, piece.count + 1) for breadth in breadths
        )
    got = Counter((laid.piece, laid.number, laid.breadth) for laid in plan.laid)
    wrong = [
        f"{name} {number} (breadth {b}) is laid {got[name, number, b]} times."
        for name, number, b in due
        if got[name, number, b] != 1
    ]
    wrong += [
        f"{name} {number} (breadth {b}) was not wanted."
        for name, number, b in got
        if not due[name, number, b]
    ]
    pieces = {piece.name: piece for piece in problem.pieces}
    rolls = {roll.name: roll for roll in problem.rolls}
    for laid in plan.laid:
        if laid.piece in pieces:
            wrong += _size_wrong(problem, pieces[laid.piece], rolls[laid.roll], laid, sewn.get(laid.piece))
    return wrong


def _size_wrong(
    problem: ClothProblem, piece: ClothPiece, roll: ClothRoll, laid: LaidPiece, sewn: SewnPiece | None
) -> list[str]:
    edge = _mm(problem.allowance)
    along_warp = _mm(piece.along_warp) + 2 * edge
    across_warp = _mm(piece.across_warp) + 2 * edge
    if sewn is not None and 1 <= laid.breadth <= len(sewn.breadths):
        outer = (laid.breadth == 1) + (laid.breadth == len(sewn.breadths))
        across_warp = _mm(sewn.breadths[laid.breadth - 1]) + outer * edge
    wrong = []
    if laid.turned and (not piece.may_turn or sewn is not None):
        wrong.append(f"{_title(laid)} lies across the warp, which was not allowed.")
    lies_across_roll = laid.turned == roll.warp_along  # what was asked along the warp runs across the roll
    want = (along_warp, across_warp) if lies_across_roll else (across_warp, along_warp)
    if not (_near(_mm(laid.across), want[0]) and _near(_mm(laid.along), want[1])):
        wrong.append(
            f"{_title(laid)} is {laid.across} × {laid.along} mm, wanted {float(want[0])} × {float(want[1])} mm."
        )
    return wrong


def _roll_wrong(roll: ClothRoll, here: list[LaidPiece]) -> list[str]:
    wrong: list[str] = []
    left, right = _mm(roll.selvedge), _mm(roll.width) - _mm(roll.selvedge)
    near, far = _mm(roll.square_up), None if roll.length is None else _mm(roll.length)
    boxes = [(laid, _box(laid)) for laid in here]
    for laid, box in boxes:
        if box[0] < left - SLACK or box[2] > right + SLACK:
            wrong.append(f"{_title(laid)} reaches over the usable width of {roll.name}.")
        if box[1] < near - SLACK or (far is not None and box[3] > far + SLACK):
            wrong.append(f"{_title(laid)} reaches over the usable length of {roll.name}.")
        for flaw in roll.flaws:
            spot = (
                _mm(flaw.x_from),
                _mm(flaw.y_from),
                _mm(roll.width if flaw.x_to is None else flaw.x_to),
                _mm(flaw.y_to),
            )
            if _overlap(box, spot):
                wrong.append(f"{_title(laid)} lies on the {flaw.what} of {roll.name}.")
    boxes.sort(key=lambda row: row[1][1])
    for at, (one, first) in enumerate(boxes):
        for other, second in islice(boxes, at + 1, None):
            if second[1] + SLACK >= first[3]:
                break  # it begins behind this one, and so do all after it
            if _overlap(first, second):
                wrong.append(f"{_title(one)} and {_title(other)} overlap on {roll.name}.")
    return wrong


class _ByNearEdge:
    """Boxes by how near they begin, so that few are compared with one."""

    def __init__(self, boxes: Iterable[tuple[Box, str]]) -> None:
        self.rows = sorted(boxes, key=lambda row: row[0][1])

    def like(self, box: Box) -> list[int]:
        """Places of all that are the same box."""
        first = bisect_left(self.rows, box[1] - SLACK, key=lambda row: row[0][1])
        last = bisect_right(self.rows, box[1] + SLACK, key=lambda row: row[0][1])
        return [at for at in range(first, last) if all(map(_near, self.rows[at][0], box))]

    def taken(self, box: Box) -> Box | None:
        """The first that is the same box, taken out; None where there is none."""
        found = self.like(box)
        return self.rows.pop(found[0])[0] if found else None

    def add(self, box: Box) -> None:
        """One more."""
        insort(self.rows, (box, ""), key=lambda row: row[0][1])


def _overlap(one: Box, other: Box) -> bool:
    return (
        one[0] + SLACK < other[2]
        and other[0] + SLACK < one[2]
        and one[1] + SLACK < other[3]
        and other[1] + SLACK < one[3]
    )


def _cuts_wrong(problem: ClothProblem, roll: ClothRoll, here: list[LaidPiece], plan: ClothPlan) -> list[str]:
    """Make the cuts one after the other; every piece must be a sheet of its own in the end.

    The first goes right across, unless the roll is used up to its end: then it is the length itself.
    """
    wrong: list[str] = []
    endless = _mm(roll.length) if roll.length is not None else Fraction(10**12)
    sheets = _ByNearEdge([((Fraction(0), Fraction(0), _mm(roll.width), endless), "")])
    pieces = {_title(laid): _box(laid) for laid in here}
    lying = _ByNearEdge((box, title) for title, box in pieces.items())
    used_up = roll.length is not None and any(_near(box[3], endless) for box in pieces.values())
    cuts = [cut for cut in plan.cuts if cut.roll == roll.name]
    for at, cut in enumerate(cuts):
        x, y = _mm(cut.x), _mm(cut.y)
        far = endless if cut.along is None else y + _mm(cut.along)
        named: Box = (x, y, x + _mm(cut.across), far)
        found = sheets.taken(named)
        if found is None:
            return [*wrong, f"Cut {at + 1} on {roll.name} goes through a sheet that is not there."]
        if at == 0 and cut.way != "across" and not used_up:
            wrong.append(f"The first cut on {roll.name} does not go right across it.")
        place = _mm(cut.at)
        origin, end = (found[1], found[3]) if cut.way == "across" else (found[0], found[2])
        if not origin < place < end:
            return [*wrong, f"Cut {at + 1} on {roll.name} misses its sheet."]
        if not _near(_mm(cut.measure), place - origin):
            wrong.append(
                f"Cut {at + 1} on {roll.name} is measured {cut.measure} mm from the edge; it is not there."
            )
        if cut.way == "across":
            halves = [(found[0], found[1], found[2], place), (found[0], place, found[2], found[3])]
        else:
            halves = [(found[0], found[1], place, found[3]), (place, found[1], found[2], found[3])]
        for half in halves:
            sheets.add(half)
        freed = sorted({lying.rows[at][1] for half in halves for at in lying.like(half)})
        if freed != sorted(cut.frees):
            wrong.append(f"Cut {at + 1} on {roll.name} frees {freed}, the plan says {sorted(cut.frees)}.")
    for title, box in pieces.items():
        if not sheets.like(box):
            wrong.append(f"{title} does not come off {roll.name} as one sheet.")
    if problem.longest_length is not None:
        limit = _mm(problem.longest_length)
        across = [
            _mm(cut.at) for cut in cuts if cut.way == "across" and _near(_mm(cut.across), _mm(roll.width))
        ]
        for title, box in pieces.items():
            begin = max((y for y in across if y <= box[1] + SLACK), default=Fraction(0))
            end = min((y for y in across if y >= box[3] - SLACK), default=endless)
            if end - begin > limit + SLACK:
                wrong.append(
                    f"{title} is in a length of {float(end - begin)} mm of {roll.name}, longer than allowed."
                )
    return wrong


def _cent(money: Fraction) -> Decimal:
    return (Decimal(money.numerator) / Decimal(money.denominator)).quantize(Decimal("0.01"), ROUND_HALF_UP)


def _money_wrong(
    rolls: dict[str, ClothRoll], by_roll: dict[str, list[LaidPiece]], plan: ClothPlan
) -> list[str]:
    wrong = []
    if sorted(use.roll for use in plan.uses) != sorted(by_roll):
        return ["The rolls said to be used are not those that pieces lie on."]
    for use in plan.uses:
        wrong += _use_wrong(rolls[use.roll], use, max(_box(laid)[3] for laid in by_roll[use.roll]))
    if plan.cost != sum((use.cost for use in plan.uses), Decimal(0)):
        wrong.append("The cost is not the sum over the rolls.")
    if not _near(_mm(plan.used), sum((_mm(use.used) for use in plan.uses), Fraction(0))):
        wrong.append("The length used is not the sum over the rolls.")
    if plan.at_least > plan.cost or plan.used_at_least > plan.used:
        wrong.append("The bound lies above the plan.")
    if plan.proven and plan.at_least != plan.cost and plan.used_at_least != plan.used and plan.at_least > 0:
        wrong.append("The plan says proven but bound and cost differ.")
    return wrong


def _use_wrong(roll: ClothRoll, use: RollUse, reach: Fraction) -> list[str]:
    wrong = []
    metre = 1000
    if not _near(_mm(use.used), reach):
        wrong.append(f"{roll.name} is used {use.used} mm, but its pieces reach {float(reach)} mm.")
    bought = Fraction(0)
    if not roll.at_hand:
        step = _mm(roll.step)
        bought = -(-reach // step) * step if step else reach
        if roll.length is not None:
            bought = _mm(roll.length) if roll.whole else min(bought, _mm(roll.length))
    remains = None if roll.length is None else _mm(roll.length) - reach
    if (remains is None) != (use.remains is None) or (
        remains is not None and use.remains is not None and not _near(remains, _mm(use.remains))
    ):
        wrong.append(f"What remains of {roll.name} is not {use.remains} mm.")
    paid = Fraction(roll.price) * bought / metre
    keeps = remains is not None and remains > 0 and remains >= _mm(roll.shortest_kept)
    left = Fraction(roll.worth) * remains / metre if keeps and remains is not None else Fraction(0)
    if not roll.at_hand and not roll.whole:
        left = Fraction(0)
    if roll.at_hand:
        cost = Fraction(roll.worth) * (reach if roll.length is None else _mm(roll.length)) / metre - left
    else:
        cost = paid - left
    cent = Decimal("0.01")  # each of two roundings may be off by half of one
    if not _near(_mm(use.bought), bought) or use.paid != _cent(paid):
        wrong.append(f"{roll.name}: {use.bought} mm for {use.paid} is not what has to be bought.")
    if abs(use.remnant_worth - _cent(left)) > cent or abs(use.cost - _cent(cost)) > cent:
        wrong.append(f"{roll.name}: the worth of its remnant or its cost is wrong.")
    if not use.lengths or use.lengths[-1] != use.used or any(b <= a for a, b in pairwise(use.lengths)):
        wrong.append(f"{roll.name}: where it is cut across does not end with what is used.")
    return wrong
