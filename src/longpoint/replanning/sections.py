"""The sections of a plan read back: each as it was cut, with all its parts, and as its boards measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.cutting.boards.accept import clear_sticks
from longpoint.cutting.boards.placing import place_on_stick
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Certificate, Cut, CutBoard, nanometres
from longpoint.errors import FaultsError
from longpoint.frame.parts import Part
from longpoint.model.batch import Batch
from longpoint.needs.boards import SectionCut, board_plans
from longpoint.replanning.old import (
    OldBoard,
    OldPlan,
    damaged,
    derived_parts,
)
from longpoint.works.designed import Designed


def with_whole_rack(sections: Sequence[SectionCut]) -> list[BoardProblem]:
    """The problems with every rack board as often as it was there before any section took one."""
    most: dict[str, int] = {}
    for section in sections:
        for board in section.problem.boards:
            if board.at_hand and board.how_many is not None:
                most[board.name] = max(most.get(board.name, 0), board.how_many)
    return [
        replace(
            section.problem,
            boards=tuple(
                replace(board, how_many=most[board.name])
                if board.at_hand and board.how_many is not None
                else board
                for board in section.problem.boards
            ),
        )
        for section in sections
    ]


def all_parts(designs: Sequence[Designed], old: OldPlan) -> tuple[Part, ...]:
    """Every part of every work, in the order of the plan."""
    return tuple(
        part
        for designed, work in zip(designs, old.works, strict=True)
        for part in derived_parts(designed, work)
    )


def problems_of(
    batch: Batch, designs: Sequence[Designed], old: OldPlan, sections: Sequence[SectionCut]
) -> tuple[SectionCut, ...]:
    """The problems of a batch whose answers are known already."""

    def answer(problem: BoardProblem) -> BoardPlan:
        parts = {part.name for part in problem.parts}
        plan = next(one.plan for one in sections if {part.name for part in one.problem.parts} == parts)
        if {board.board for board in plan.boards} - {board.name for board in problem.boards}:
            raise FaultsError(
                [damaged(f"the boards of {problem.section} are missing")]
            )  # they are bought besides
        return plan

    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(batch, works, solve=answer, apart=old.apart)


def old_sections(old: OldPlan, designs: Sequence[Designed]) -> tuple[SectionCut, ...]:
    """The sections as they were planned, every cut exactly where it was."""

    def answer(problem: BoardProblem) -> BoardPlan:
        parts = {part.name for part in problem.parts}
        rows = [row for row in old.sections if row.section == problem.section]
        if not rows:
            raise FaultsError([damaged(f"the boards of {problem.section} are missing")])
        mine = (row for row in rows if {part for board in row.boards for part, _ in board.cuts} <= parts)
        row = next(mine, rows[0])
        boards = {board.name for board in problem.boards}
        strange = {board.board for board in row.boards} - boards
        strange |= {part for board in row.boards for part, _ in board.cuts} - parts
        if strange:
            raise FaultsError([damaged(f"{word} is not of its batch") for word in sorted(strange)])
        cut_boards = tuple(_exact(board, problem) for board in row.boards)
        cost = sum((board.cost for board in cut_boards), Fraction(0))
        return BoardPlan(
            problem.section,
            cut_boards,
            cost,
            Fraction(0),
            cost == 0,
            "",
            Fraction(0),
            Certificate(Fraction(1), ()),
        )

    works = [
        (designed, derived_parts(designed, work)) for designed, work in zip(designs, old.works, strict=True)
    ]
    return board_plans(old.batch, works, solve=answer, apart=old.apart)


def _exact(row: OldBoard, problem: BoardProblem) -> CutBoard:
    """A board with its cuts laid again, since a file keeps fewer figures than the saw list was made with."""
    board = next(board for board in problem.boards if board.name == row.board)
    named = {part.name: part for part in problem.parts}
    cuts: list[Cut] = []
    for stick in clear_sticks(board, problem.shop):
        mine = [
            named[part]
            for part, start in row.cuts
            if stick.start - 1000 <= nanometres(start) < stick.start + stick.length
        ]
        cuts += place_on_stick(mine, stick, problem.shop).cuts
    rounded = [nanometres(start) for _, start in row.cuts]
    if len(cuts) != len(rounded) or any(
        abs(cut.start - start) > 2000 for cut, start in zip(cuts, rounded, strict=True)
    ):
        raise FaultsError([damaged(f"the cuts of board {row.board} no. {row.copy} do not lie side by side")])
    return CutBoard(row.board, row.copy, board.length, Fraction(board.cost), board.at_hand, tuple(cuts), 0)
