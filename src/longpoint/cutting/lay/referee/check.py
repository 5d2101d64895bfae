"""The referee for lays on one roll: counts, sizes, edges, overlaps, and whether straight cuts free every piece.

It shares no code with what finds lays.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from heapq import heappop, heappush
from math import ceil, floor

from longpoint.cutting.lay.case import case_of
from longpoint.cutting.lay.problem import LaidRectangle, LayPlan, LayProblem, Size
from longpoint.cutting.lay.referee.certain import Rectangle, Strip
from longpoint.cutting.lay.referee.check_bound import certain_length
from longpoint.errors import Fault
from longpoint.refereed import Refereed

HAIR = Fraction(1, 10**6)  # mm: a nanometre, for sizes that are no whole number of them
NOISE = HAIR / 1000  # mm: what binary fractions add to a size (3 mm stated as 0.1 × 3 cm)
Box = tuple[Fraction, Fraction, Fraction, Fraction]


def check_lay(problem: LayProblem, plan: LayPlan) -> list[str]:
    """Everything wrong with a lay.

    Args:
        problem: What was wanted.
        plan: The lay.

    Returns:
        Sentences; none for a right lay.
    """
    wrong = []
    count = Counter(each.piece for each in plan.laid)
    for at, piece in enumerate(problem.pieces):
        if count[at] != piece.count:
            wrong.append(f'"{piece.name}" is laid {count[at]} times, wanted {piece.count}.')
    width, space = _mm(problem.roll_width) + NOISE, max(Fraction(0), _mm(problem.spacing) - NOISE)
    for each in plan.laid:
        if not 0 <= each.piece < len(problem.pieces):
            wrong.append(f"A piece number {each.piece} was not wanted.")
            continue
        wrong += _one_wrong(problem, each, width)
    boxes = [_box(each) for each in plan.laid]
    wrong += [
        f"Rectangles {one + 1} and {other + 1} overlap or lie closer than the spacing."
        for one, other in too_close(boxes, space)
    ]
    reach = max((box[3] for box in boxes), default=Fraction(0))
    if reach != Fraction(plan.length, 10**6):
        wrong.append(f"The length is given as {plan.length / 1e6} mm; the pieces reach {float(reach)} mm.")
    if plan.at_least > plan.length:
        wrong.append("The bound lies above the length.")
    if not problem.any_cut and not _comes_apart(boxes):
        wrong.append("Straight cuts do not free every piece.")
    return wrong


def confirm_lay(problem: LayProblem, plan: LayPlan, *, refused: tuple[str, ...] = ()) -> LayPlan:
    """A lay with the bound that is certain of it, from the statement and the evidence alone.

    Args:
        problem: What was wanted.
        plan: The lay with the bound that is claimed.
        refused: What was wrong with another lay that this one, in rows, stands for.

    Returns:
        The lay; its bound is what was claimed where that is confirmed, else what is certain.
    """
    space = _nm(problem.spacing, up=True)
    sizes: Counter[tuple[int, int, bool]] = Counter()
    for piece in problem.pieces:
        across, along = _nm(piece.across, up=True) + space, _nm(piece.along, up=True) + space
        sizes[across, along, piece.may_turn] += piece.count
    certain = certain_length(
        [Rectangle(across, along, count, turn) for (across, along, turn), count in sizes.items()],
        Strip(_nm(problem.roll_width, up=False) + space),
        plan.evidence,
        claimed=plan.at_least + space,
        straight=not problem.any_cut,
    )
    at_least = certain.length - space
    faults = list(refused)
    if certain.is_refuted:
        faults.append(
            f"No lay is said to be shorter than {plan.at_least / 1e6:g} mm; "
            f"only {at_least / 1e6:g} mm is certain."
        )
    refereed = Refereed("cloth", "lay")
    if faults:
        refereed = Refereed(
            "cloth",
            "lay",
            tuple(Fault("lay-refused", what) for what in faults),
            "by-hand" if refused else "claims-dropped",
            case_of(problem),
        )
    return replace(plan, at_least=at_least, bound_by=certain.by, refereed=refereed)


def _nm(size: Size, *, up: bool) -> int:
    """Whole nanometres: of what is wanted no less than stated, of the roll no more, noise of binary fractions aside."""
    exact = _mm(size) / HAIR
    return ceil(exact - Fraction(1, 1000)) if up else floor(exact + Fraction(1, 1000))


def _mm(size: Size) -> Fraction:
    return Fraction(repr(size)) if isinstance(size, float) else Fraction(size)


def _box(each: LaidRectangle) -> Box:
    unit = 10**6
    return (
        Fraction(each.x, unit),
        Fraction(each.y, unit),
        Fraction(each.x + each.across, unit),
        Fraction(each.y + each.along, unit),
    )


def _one_wrong(problem: LayProblem, each: LaidRectangle, width: Fraction) -> list[str]:
    piece = problem.pieces[each.piece]
    wrong = []
    if each.turned and not piece.may_turn:
        wrong.append(f'"{piece.name}" is turned, which was not allowed.')
    across, along = _mm(piece.across), _mm(piece.along)
    if each.turned:
        across, along = along, across
    box = _box(each)
    if not (-NOISE <= box[2] - box[0] - across <= HAIR and -NOISE <= box[3] - box[1] - along <= HAIR):
        wrong.append(f'"{piece.name}" is laid {each.across / 1e6} × {each.along / 1e6} mm, not as wanted.')
    if box[0] < 0 or box[1] < 0 or box[2] > width:
        wrong.append(f'"{piece.name}" at {each.x / 1e6}, {each.y / 1e6} mm lies outside the roll.')
    return wrong


def too_close(boxes: Sequence[Box], space: Fraction) -> list[tuple[int, int]]:
    """Boxes nearer than a space, found by going along the roll with those that are met there, from left to right.

    Args:
        boxes: Left, near, right, far.
        space: What must lie between two of them.

    Returns:
        Pairs of places in the list; every box that is too close to an earlier one is named once.
    """
    found: list[tuple[int, int]] = []
    met: list[tuple[Fraction, int]] = []  # left edges of boxes that reach so far, none too close to another
    ends: list[tuple[Fraction, Fraction, int]] = []
    for at in sorted(range(len(boxes)), key=lambda at: (boxes[at][1], boxes[at][0])):
        left, near, right, far = boxes[at]
        while ends and ends[0][0] <= near:
            _, gone, which = heappop(ends)
            del met[bisect_left(met, (gone, which))]
        place = bisect_left(met, (left, at))
        if place > 0 and boxes[met[place - 1][1]][2] + space > left:
            found.append((met[place - 1][1], at))
        elif place < len(met) and right + space > met[place][0]:
            found.append((met[place][1], at))
        else:
            met.insert(place, (left, at))
            heappush(ends, (far + space, left, at))
    return [(min(pair), max(pair)) for pair in found]


def _comes_apart(boxes: list[Box]) -> bool:
    """Whether straight cuts between the boxes part them all: sweep one way, then the other, again and again."""
    groups = [boxes]
    while groups:
        group = groups.pop()
        if len(group) < 2:
            continue
        for low, high in ((1, 3), (0, 2)):
            parts = _bands(group, low, high)
            if len(parts) > 1:
                groups.extend(parts)
                break
        else:
            return False
    return True


def _bands(group: list[Box], low: int, high: int) -> list[list[Box]]:
    parts: list[list[Box]] = []
    reach: Fraction | None = None
    for box in sorted(group, key=lambda box: box[low]):
        if reach is None or box[low] >= reach:
            parts.append([])
            reach = box[high]
        parts[-1].append(box)
        reach = max(reach, box[high])
    return parts
