"""Pieces wider than every roll, sewn from breadths.

Where the plan may choose, a seam stays out of the middle third of the piece (estimate: there it would lie under
the picture's centre of interest and catch raking light). One full breadth with a strip beside it is tried first,
then an odd number of breadths with full ones in the middle and equal strips at both sides; where more than three are
needed, a full breadth lies across the middle.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True, slots=True)
class Breadths:
    """How a piece is divided. All in whole nanometres.

    Attributes:
        seams: Where the seams lie, from the left edge of the finished piece.
        cut: Width to cut each breadth, seam and edge allowances included.
    """

    seams: tuple[int, ...]
    cut: tuple[int, ...]


def divide(
    *, across: int, usable: int, edge: int, seam: int, at: int | None = None, in_middle: bool = False
) -> Breadths | None:
    """Breadths for a piece too wide for the rolls.

    Args:
        across: Finished width of the piece. [nm]
        usable: Widest usable width of a roll. [nm]
        edge: Allowance along an outer edge. [nm]
        seam: Allowance beyond a seam, on each of the two breadths. [nm]
        at: Where the seam is wanted; None to choose. [nm]
        in_middle: A seam in the middle third is allowed, and equal breadths are wanted.

    Returns:
        The breadths, or None where it cannot be done (allowances eat the roll, or a stated seam leaves a breadth
        that is too wide).
    """
    if at is not None:
        return _checked((at,), across=across, usable=usable, edge=edge, seam=seam)
    full_edge = usable - edge - seam  # finished width of a full breadth with one outer edge
    full_inner = usable - 2 * seam
    if full_edge <= 0 or full_inner <= 0:
        return None
    if in_middle:
        count = 2
        while count < 1000:
            seams = tuple(across * k // count for k in range(1, count))
            made = _checked(seams, across=across, usable=usable, edge=edge, seam=seam)
            if made is not None:
                return made
            count += 1
        return None
    if across - full_edge <= across // 3:
        return _checked((full_edge,), across=across, usable=usable, edge=edge, seam=seam)
    inner = 1
    while across - inner * full_inner > 2 * full_edge:
        inner += 2
    side = (across - inner * full_inner) // 2
    if side <= 0:  # the middle breadth need not be a full one
        side = across // 3
        return _checked((side, across - side), across=across, usable=usable, edge=edge, seam=seam)
    seams = (*(side + k * full_inner for k in range(inner)), across - side)
    return _checked(seams, across=across, usable=usable, edge=edge, seam=seam)


def _checked(seams: tuple[int, ...], *, across: int, usable: int, edge: int, seam: int) -> Breadths | None:
    marks = (0, *seams, across)
    last = len(marks) - 2
    cut = tuple(
        right - left + (edge if k == 0 else seam) + (edge if k == last else seam)
        for k, (left, right) in enumerate(pairwise(marks))
    )
    if any(right <= left for left, right in pairwise(marks)):
        return None
    return Breadths(seams, cut) if max(cut) <= usable else None
