"""A board problem as JSON text and back: the case file that a person can send where an answer was wrong."""

from __future__ import annotations

import json
from dataclasses import fields
from fractions import Fraction
from typing import Any

from longpoint.cutting.boards.values import (
    BendLimits,
    Board,
    BoardProblem,
    End,
    Grade,
    Kind,
    Lie,
    OffcutWorth,
    Shop,
    Span,
    Stands,
    WantedPart,
)


def case_of(problem: BoardProblem) -> str:
    """A problem as JSON text, exact.

    Args:
        problem: The problem.

    Returns:
        The text; lengths in nanometres, money as a quotient of whole numbers.
    """
    return json.dumps(_plain(problem), ensure_ascii=False, indent=1) + "\n"


def problem_of_case(text: str) -> BoardProblem:
    """The problem that `case_of` wrote.

    Args:
        text: The text.

    Returns:
        The same problem.

    Raises:
        KeyError, ValueError: If the text was not written by `case_of`.
    """
    given = json.loads(text)
    shop = dict(given["shop"])
    shop["keeping"] = Fraction(shop["keeping"])
    shop["offcuts"] = tuple(
        OffcutWorth(Kind(one["kind"]), one["at_least"], Fraction(one["share"])) for one in shop["offcuts"]
    )
    parts = tuple(
        WantedPart(
            **{
                **one,
                "kind": Kind(one["kind"]),
                "ends": End(one["ends"]),
                "lie": Lie(one["lie"]),
                "needs": None if one["needs"] is None else Grade(one["needs"]),
                "bend": BendLimits(**one["bend"]),
                "stands": Stands(one["stands"]),
            }
        )
        for one in given["parts"]
    )
    boards = tuple(
        Board(
            **{
                **one,
                "cost": Fraction(one["cost"]),
                "grade": Grade(one["grade"]),
                "spoiled": tuple(Span(**span) for span in one["spoiled"]),
            }
        )
        for one in given["boards"]
    )
    within = given["settings_within"]
    return BoardProblem(
        given["section"], given["thickness"], given["depth"], parts, boards, Shop(**shop),
        given["effort"], None if within is None else Fraction(within), given["bevelled_apart"],
    )  # fmt: skip


def _plain(value: Any) -> Any:
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if hasattr(value, "__dataclass_fields__"):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    return value
