"""What travels with a lay so that its bound can be confirmed by whole numbers alone.

A solver proposes what every rectangle is worth; whatever it says, a bound follows from the worths by arithmetic (see
``certain``). So the worths are all that is kept of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class PieceWorth:
    """What one rectangle counts.

    Attributes:
        across: Its size across the warp as it is laid, space or allowance included. [nm]
        along: Its size along the warp. [nm]
        may_turn: It may lie turned.
        worth: A whole number, not negative.
    """

    across: int
    along: int
    may_turn: bool
    worth: int


@dataclass(frozen=True, slots=True)
class Columns:
    """Worths for slices along the roll.

    Attributes:
        length: A roll as long as this is not wide enough. [nm]
        worths: The worths that show it.
    """

    length: int
    worths: tuple[PieceWorth, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """All that bounds rest on besides the statement.

    Attributes:
        worths: Worths for slices across the rolls; each set of them gives a bound.
        columns: Worths for slices along the roll.
    """

    worths: tuple[tuple[PieceWorth, ...], ...] = ()
    columns: Columns | None = None


def scaled(evidence: Evidence, unit: int) -> Evidence:
    """Evidence stated in larger units, in nanometres.

    Args:
        evidence: Sizes in units.
        unit: Nanometres in a unit.

    Returns:
        The same, sizes in nanometres.
    """

    def each(worths: tuple[PieceWorth, ...]) -> tuple[PieceWorth, ...]:
        return tuple(PieceWorth(w.across * unit, w.along * unit, w.may_turn, w.worth) for w in worths)

    columns = evidence.columns
    return Evidence(
        tuple(each(worths) for worths in evidence.worths),
        None if columns is None else Columns(columns.length * unit, each(columns.worths)),
    )


def evidence_rows(evidence: Evidence) -> dict[str, Any]:
    """Evidence as values of JSON.

    Returns:
        ``{"worths": [[{"across", "along", "may_turn", "worth"}]], "columns": null or {"length", "worths"}}``, sizes in
        whole nanometres, spacing or allowance included.
    """

    def rows(worths: tuple[PieceWorth, ...]) -> list[dict[str, Any]]:
        return [
            {"across": w.across, "along": w.along, "may_turn": w.may_turn, "worth": w.worth} for w in worths
        ]

    columns = evidence.columns
    return {
        "worths": [rows(worths) for worths in evidence.worths],
        "columns": None if columns is None else {"length": columns.length, "worths": rows(columns.worths)},
    }
