"""What to look for at the yard: which clear, straight runs every board that is bought must have."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from longpoint.cutting.boards.values import BoardPlan, BoardProblem, CutBoard, Grade, Stands, WantedPart


@dataclass(frozen=True, slots=True)
class ClearRun:
    """One clear straight run of a board.

    Attributes:
        length: From the first part to the last that needs this grade. [nm]
        grade: What the run must be good for.
        most_bow: Greatest bend across the thin way that its parts allow, over the run; None where not asked. [nm]
        most_crook: The same across the wide way. [nm]
        most_twist: Greatest twist over the run; None where not asked. [nm]
    """

    length: int
    grade: Grade
    most_bow: int | None
    most_crook: int | None
    most_twist: int | None


@dataclass(frozen=True, slots=True)
class WantedBoard:
    """Boards of one length that must be good for the same.

    Attributes:
        length: On sale. [nm]
        how_many: How many of them.
        runs: What such a board must have, the best grade first; one run each for bars, rails and so on.
    """

    length: int
    how_many: int
    runs: tuple[ClearRun, ...]


def wanted_boards(problem: BoardProblem, plan: BoardPlan) -> tuple[WantedBoard, ...]:
    """The boards that a plan buys, with what each must be good for, the longest first.

    Args:
        problem: What was asked.
        plan: Its plan.
    """
    parts = {part.name: part for part in problem.parts}
    counts = Counter((board.length, tuple(_runs(board, parts))) for board in plan.boards if not board.at_hand)
    found = [WantedBoard(length, how_many, runs) for (length, runs), how_many in counts.items()]
    return tuple(sorted(found, key=lambda one: (-one.length, [-run.length for run in one.runs])))


def _runs(board: CutBoard, parts: dict[str, WantedPart]) -> list[ClearRun]:
    runs = []
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
        runs.append(ClearRun(length, grade, limits[0], limits[1], limits[2]))
    return runs
