"""What is left over of a lay: the rectangles that the cuts leave besides the pieces."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.cutting.cloth.problem import ClothCut, ClothPlan, ClothProblem

SERVES = 250.0
"""Cloth narrower than this is waste: a face of a hand's breadth with its turnover. [mm] Estimate."""

_HAIR = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class ClothLeft:
    """A rectangle that is left over.

    Attributes:
        roll: Name of the roll.
        number: Which of this roll, from 1; 0 for waste.
        x: Its left edge, from the roll's left edge. [mm]
        y: Its near edge, from the roll's free end. [mm]
        across: Its size across the roll. [mm]
        along: Its size along the roll. [mm]
        cut: Number of the cut that frees it, on its roll, from 1.
    """

    roll: str
    number: int
    x: float
    y: float
    across: float
    along: float
    cut: int


def left_over(plan: ClothPlan, problem: ClothProblem) -> tuple[ClothLeft, ...]:
    """Every rectangle the cuts leave on what is taken off the rolls, in the order in which it comes free.

    Args:
        plan: The lay.
        problem: What was asked, for the widths of the rolls.
    """
    found: list[ClothLeft] = []
    for use in plan.uses:
        cuts = [cut for cut in plan.cuts if cut.roll == use.roll]
        roll = next(roll for roll in problem.rolls if roll.name == use.roll)
        laid = [piece for piece in plan.laid if piece.roll == use.roll]
        number = 0
        for index, cut in enumerate(cuts):
            for x, y, across, along in _parts(cut, used=use.used, width=roll.width):
                if any(_same(cut_later, x, y, across) for cut_later in cuts[index + 1 :]):
                    continue
                if any(
                    x - _HAIR < p.x < x + across - _HAIR and y - _HAIR < p.y < y + along - _HAIR for p in laid
                ):
                    continue
                serves = min(across, along) >= SERVES
                number += serves
                found.append(
                    ClothLeft(
                        roll=use.roll,
                        number=number if serves else 0,
                        x=x,
                        y=y,
                        across=across,
                        along=along,
                        cut=index + 1,
                    )
                )
    return tuple(found)


def _parts(cut: ClothCut, *, used: float, width: float) -> list[tuple[float, float, float, float]]:
    """The two sheets a cut makes of one; what stays on the roll is none."""
    if cut.way == "along":
        along = used - cut.y if cut.along is None else cut.along
        both = [
            (cut.x, cut.y, cut.at - cut.x, along),
            (cut.at, cut.y, cut.x + cut.across - cut.at, along),
        ]
    else:
        far = used if cut.along is None or cut.across >= width else cut.y + cut.along
        far = min(far, used)
        both = [(cut.x, cut.y, cut.across, cut.at - cut.y), (cut.x, cut.at, cut.across, far - cut.at)]
    return [part for part in both if part[2] > _HAIR and part[3] > _HAIR]


def _same(cut: ClothCut, x: float, y: float, across: float) -> bool:
    """Whether a sheet is the one a cut goes through."""
    return abs(cut.x - x) < _HAIR and abs(cut.y - y) < _HAIR and abs(cut.across - across) < _HAIR
