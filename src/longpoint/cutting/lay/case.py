"""A lay as the list that ``longpoint lay`` reads: the case file that a person can send where an answer was wrong."""

from __future__ import annotations

import json
from fractions import Fraction

from longpoint.cutting.lay.problem import LayProblem, Size


def case_of(problem: LayProblem) -> str:
    """A problem as JSON text, exact.

    Returns:
        The text; sizes in mm, written as whole numbers or quotients of them.
    """
    return (
        json.dumps(
            {
                "roll_width": _text(problem.roll_width),
                "spacing": _text(problem.spacing),
                "any_cut": problem.any_cut,
                "wanted": [
                    {
                        "name": piece.name,
                        "across": _text(piece.across),
                        "along": _text(piece.along),
                        "how_many": piece.count,
                        "may_turn": piece.may_turn,
                    }
                    for piece in problem.pieces
                ],
            },
            ensure_ascii=False,
            indent=1,
        )
        + "\n"
    )


def _text(size: Size) -> str:
    return str(Fraction(repr(size)) if isinstance(size, float) else Fraction(size))
