"""After something went wrong: the rest out of boards already here, with the least new timber.

Nothing already cut is moved. A board that has been cut is the board it was, with the stretch that is gone marked
as spoiled, so that every place on it still counts from its first left end. Boards already bought cost nothing
more; what still has to be bought costs its price. Two ways are weighed: leaving every cut where it was planned and
placing only what lost its place, and cutting the rest afresh. The first is taken wherever it needs no more new
timber, since a person has already marked those boards.

The answer holds the bench as it is now, so that the rest can be planned again when the next thing goes wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.cutting.boards.checked import checked, plan_boards, plan_of
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.values import Board, BoardPlan, BoardProblem, Certificate, CutBoard, WantedPart
from longpoint.cutting.remainder.bench import Bench, BenchBoard
from longpoint.cutting.remainder.facts import Facts
from longpoint.cutting.remainder.keep import Solver, kept_cuts, with_bound_of, with_little_change
from longpoint.errors import Fault


@dataclass(frozen=True, slots=True)
class BoardNow:
    """A board that lies here and what becomes of it.

    Attributes:
        name: Its name in the new problem.
        board: Its name in the first plan.
        copy: Which one of that name.
        done: Parts that have come off it, left to right.
        planned: Parts that were still to come off it.
        now: Parts that come off it now.
    """

    name: str
    board: str
    copy: int
    done: tuple[str, ...]
    planned: tuple[str, ...]
    now: tuple[str, ...]

    @property
    def changed(self) -> bool:
        """Whether something else comes off it than planned."""
        return self.planned != self.now


@dataclass(frozen=True, slots=True)
class Replanned:
    """What is left to cut of one section, planned again.

    Attributes:
        problem: What is still wanted, over boards here, the rack and the yard; without parts where all is cut.
        plan: How it is cut; positions count from each board's first left end.
        boards: Every board that lies here.
        displaced: Parts that lost their place, and how many of each.
        as_planned: Whether all other cuts stay where they were planned.
        bench: The bench from now on.
    """

    problem: BoardProblem
    plan: BoardPlan
    boards: tuple[BoardNow, ...]
    displaced: tuple[tuple[str, int], ...]
    as_planned: bool
    bench: Bench

    @property
    def finished(self) -> bool:
        """Whether nothing is left to cut."""
        return not self.problem.parts

    @property
    def to_take(self) -> tuple[CutBoard, ...]:
        """Boards to buy or to take from the rack beyond those already here."""
        ours = {board.name for board in self.boards}
        return tuple(board for board in self.plan.boards if board.board not in ours)


def replan_boards(facts: Facts, *, solve: Solver = plan_boards) -> Replanned:
    """Plans the rest of one section after something went wrong.

    Args:
        facts: What is still wanted and what there is.
        solve: Plans a problem.

    Returns:
        What is left and how it is cut.

    Raises:
        FaultsError: With parts that no board can give.
    """
    here, rest = _what_is_left(facts)
    if not rest.parts:
        return _finished(facts, rest)
    kept, displaced = kept_cuts(facts, rest, here)
    quiet = with_little_change(rest, here, kept, displaced, solve)
    if quiet is not None and quiet.cost == 0:
        answer = quiet
    else:
        afresh = solve(rest)
        # Boards already here cost nothing: equal cost is equal new timber.
        answer = afresh if quiet is None or quiet.cost > afresh.cost else with_bound_of(quiet, afresh)
    answer = checked(rest, answer)
    as_planned = quiet is not None and answer.boards == quiet.boards
    return _answer(facts, rest, _numbered(answer, facts), displaced, as_planned=as_planned)


def recall_boards(facts: Facts, boards: Sequence[CutBoard]) -> tuple[Replanned | None, tuple[Fault, ...]]:
    """The rest as it was planned then, from the boards that a file kept.

    Args:
        facts: What was still wanted and what there was.
        boards: How it was cut.

    Returns:
        The rest; None with what speaks against it where the boards do not answer the facts.
    """
    here, rest = _what_is_left(facts)
    if not rest.parts:
        return (_finished(facts, rest), ()) if not boards else (None, ())
    if {cut.part for board in boards for cut in board.cuts} - {part.name for part in rest.parts}:
        return None, ()
    stated = {board.name: board for board in rest.boards}
    if {board.board for board in boards} - stated.keys():
        return None, ()
    # A file keeps money to so many figures; what a board costs is stated.
    boards = [replace(board, cost=Fraction(stated[board.board].cost)) for board in boards]
    _, displaced = kept_cuts(facts, rest, here)
    plan = plan_of(rest, boards)
    wrong = check_board_plan(rest, plan)
    if wrong:
        return None, tuple(wrong)
    return _answer(facts, rest, plan, displaced, as_planned=False), ()


def _what_is_left(facts: Facts) -> tuple[Mapping[str, Board], BoardProblem]:
    """Boards with timber left on them, by name, and the problem of the rest."""
    lying = [one.as_it_lies(facts.shop) for one in facts.boards]
    here = {board.name: board for board in lying if board is not None}
    rest = replace(
        facts.bench.problem,
        parts=facts.wanted,
        boards=(*here.values(), *facts.on_offer),
        settings_within=None,  # a rest is planned for the least new timber
    )
    return here, rest


def _numbered(plan: BoardPlan, facts: Facts) -> BoardPlan:
    """The plan with boards to fetch numbered on from those that were ever planned."""
    last: dict[str, int] = {}
    for board, copy in facts.bench.boards:
        last[board] = max(last.get(board, 0), copy)
    ours = {board.name for board in facts.boards}
    boards = []
    for cut_board in plan.boards:
        if cut_board.board not in ours:
            last[cut_board.board] = last.get(cut_board.board, 0) + 1
            cut_board = replace(cut_board, copy=last[cut_board.board])
        boards.append(cut_board)
    return replace(plan, boards=tuple(boards))


def _answer(
    facts: Facts,
    rest: BoardProblem,
    plan: BoardPlan,
    displaced: Sequence[WantedPart],
    *,
    as_planned: bool,
) -> Replanned:
    cuts = {board.board: board.cuts for board in plan.boards}
    stated = {board.name: board for board in facts.bench.problem.boards}
    here = tuple(replace(one, to_come=cuts.get(one.name, ())) for one in facts.boards)
    ours = {one.name for one in here}
    to_fetch = tuple(
        BenchBoard(board.board, board.copy, stated[board.board], to_come=board.cuts)
        for board in plan.boards
        if board.board not in ours
    )
    boards = tuple(
        BoardNow(
            then.name, then.board, then.copy, then.done,
            tuple(cut.part for cut in then.to_come), tuple(cut.part for cut in now.to_come),
        )
        for then, now in zip(facts.boards, here, strict=True)
    )  # fmt: skip
    bench = replace(facts.bench, pieces=facts.pieces, here=here, to_fetch=to_fetch)
    lost = tuple(sorted((part.name, part.how_many) for part in displaced))
    return Replanned(rest, plan, boards, lost, as_planned, bench)


def _finished(facts: Facts, rest: BoardProblem) -> Replanned:
    nothing = BoardPlan(
        rest.section, (), Fraction(0), Fraction(0), True, "bound", Fraction(0), Certificate(Fraction(1), ())
    )
    return _answer(facts, rest, nothing, (), as_planned=True)
