"""The referee for lays on one roll: counts, sizes, edges, overlaps, and whether straight cuts free every piece.

It shares no code with what finds lays.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from longpoint.cutting.lay.problem import LaidRectangle, LayPlan, LayProblem, Size

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
    for at, one in enumerate(boxes):
        for other_at in range(at + 1, len(boxes)):
            if _too_close(one, boxes[other_at], space):
                wrong.append(
                    f"Rectangles {at + 1} and {other_at + 1} overlap or lie closer than the spacing."
                )
    reach = max((box[3] for box in boxes), default=Fraction(0))
    if reach != Fraction(plan.length, 10**6):
        wrong.append(f"The length is given as {plan.length / 1e6} mm; the pieces reach {float(reach)} mm.")
    if plan.at_least > plan.length:
        wrong.append("The bound lies above the length.")
    if not problem.any_cut and not _comes_apart(boxes):
        wrong.append("Straight cuts do not free every piece.")
    return wrong


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


def _too_close(one: Box, other: Box, space: Fraction) -> bool:
    return (
        one[0] < other[2] + space
        and other[0] < one[2] + space
        and one[1] < other[3] + space
        and other[1] < one[3] + space
    )


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
