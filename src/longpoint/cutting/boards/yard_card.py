"""A card to carry to the yard: what clear, straight runs are needed, and what to reject first."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Grade, Stands

REJECT_FIRST = (
    "Sight along it: put back every twisted board first; nothing cures twist.",
    "Then look at the wide face and the narrow face: a bend that lifts the lip off the canvas plane stays.",
    "A bend in the canvas plane may stay small: it is put outwards and pulled straight by the rails.",
    "Knots, wane and splits: none on the lip, none where two parts meet.",
)
"""Common practice, no published source."""


@dataclass(frozen=True, slots=True)
class ClearRun:
    """One clear straight run that is needed.

    Attributes:
        length: From the first part to the last that needs this grade. [nm]
        grade: What the run must be good for.
        how_many: How many of them.
        most_bow: Greatest bend across the thin way that its parts allow, over the run; None where not asked. [nm]
        most_crook: The same across the wide way. [nm]
        most_twist: Greatest twist over the run; None where not asked. [nm]
    """

    length: int
    grade: Grade
    how_many: int
    most_bow: int | None
    most_crook: int | None
    most_twist: int | None


@dataclass(frozen=True, slots=True)
class YardCard:
    """What to take along.

    Attributes:
        section: Name of the section.
        boards: (length on sale, how many to buy, one spare included where one is asked).
        spare: The length of which one is a spare; "" where nothing is bought.
        runs: Clear straight runs, longest first.
        reject_first: What to look for, in order.
    """

    section: str
    boards: tuple[tuple[str, int], ...]
    spare: str
    runs: tuple[ClearRun, ...]
    reject_first: tuple[str, ...] = REJECT_FIRST


def yard_card(problem: BoardProblem, plan: BoardPlan, *, one_spare: bool = True) -> YardCard:
    """The card for what a plan buys.

    Args:
        problem: What was asked.
        plan: Its plan.
        one_spare: Whether one board more of the length most bought is taken.

    Returns:
        The card; without boards where the plan buys none.
    """
    parts = {part.name: part for part in problem.parts}
    bought = [board for board in plan.boards if not board.at_hand]
    counts = Counter(board.board for board in bought)
    runs: Counter[tuple[int, Grade, int | None, int | None, int | None]] = Counter()
    for board in bought:
        for grade in sorted({parts[cut.part].least_grade for cut in board.cuts}, reverse=True):
            cuts = [cut for cut in board.cuts if parts[cut.part].least_grade == grade]
            length = max(cut.end for cut in cuts) - min(cut.start for cut in cuts)
            limits: list[int | None] = [None, None, None]
            for cut in cuts:
                part = parts[cut.part]
                bend = part.bend
                bow, crook = bend.in_plane, bend.out_of_plane
                if part.stands is Stands.FLAT:
                    bow, crook = crook, bow
                for k, (limit, power) in enumerate(((bow, 2), (crook, 2), (bend.twist, 1))):
                    if limit is not None:
                        whole = limit * length**power // part.planned**power
                        before = limits[k]
                        limits[k] = whole if before is None else min(before, whole)
            runs[(length, grade, limits[0], limits[1], limits[2])] += 1
    spare = max(counts, key=lambda name: (counts[name], name)) if counts and one_spare else ""
    return YardCard(
        problem.section,
        tuple((name, counts[name] + (name == spare)) for name in sorted(counts)),
        spare,
        tuple(
            ClearRun(length, grade, how_many, bow, crook, twist)
            for (length, grade, bow, crook, twist), how_many in sorted(
                runs.items(), key=lambda entry: (-entry[0][1], -entry[0][0], str(entry[0][2:]))
            )
        ),
    )
