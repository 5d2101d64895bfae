"""A cloth problem as JSON text and back: the case file that a person can send where an answer was wrong."""

from __future__ import annotations

import json
from dataclasses import asdict
from decimal import Decimal

from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll, Flaw


def case_of(problem: ClothProblem) -> str:
    """A problem as JSON text, exact.

    Returns:
        The text; sizes in mm, money as text.
    """
    return json.dumps(asdict(problem), default=str, ensure_ascii=False, indent=1) + "\n"


def problem_of_case(text: str) -> ClothProblem:
    """The problem that `case_of` wrote.

    Args:
        text: The text.

    Returns:
        The same problem.

    Raises:
        KeyError, TypeError, ValueError: If the text was not written by `case_of`.
    """
    given = json.loads(text)
    rolls = tuple(
        ClothRoll(
            **{
                **roll,
                "price": Decimal(roll["price"]),
                "worth": Decimal(roll["worth"]),
                "flaws": tuple(Flaw(**flaw) for flaw in roll["flaws"]),
            }
        )
        for roll in given["rolls"]
    )
    pieces = tuple(ClothPiece(**piece) for piece in given["pieces"])
    return ClothProblem(**{**given, "pieces": pieces, "rolls": rolls})
