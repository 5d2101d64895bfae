"""How people cut, fold and staple cloth: the lengths and counts the trade goes by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from longpoint.tables.reading import Source, pick, rows


@dataclass(frozen=True, slots=True)
class Habit:
    """A length or count people go by.

    Attributes:
        name: Which.
        value: The number.
        unit: Its unit.
        about: What it is.
        source: Where it comes from.
    """

    name: str
    value: float
    unit: str
    about: str
    source: Source


@cache
def all_habits() -> tuple[Habit, ...]:
    """Every length and count in the table.

    Returns:
        The rows in the order of the table.
    """
    return rows("stretching", "lengths", Habit)


@cache
def habit(name: str) -> Habit:
    """A length or count people go by.

    Args:
        name: As in the table, e.g. "left on the back".

    Returns:
        The row.
    """
    return pick(all_habits(), name, what="length in stretching")
