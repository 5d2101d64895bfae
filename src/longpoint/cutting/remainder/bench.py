"""The bench between two plans: which boards lie here and what has come off them, what is wanted, what can be had.

A board keeps one identity for good: the name of its kind and a number ("3600 no. 2"), whatever is cut from it and
however often the rest is planned. Boards that the last plan wants to be bought carry theirs already, so that a
person can name them; whether they were bought is said with the next events.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.cutting.boards.accept import clear_sticks
from longpoint.cutting.boards.values import (
    Board,
    BoardPlan,
    BoardProblem,
    Cut,
    CutBoard,
    Shop,
    Span,
    WantedPart,
)

ALREADY_CUT = "already cut"


@dataclass(frozen=True, slots=True)
class Pieces:
    """Equal pieces of a part.

    Attributes:
        part: The part as it is wanted now; its ``how_many`` says nothing here.
        mark: Its mark in the first plan.
        left: How many are still to be cut.
        made: How many are cut and good.
        measured: Whether its length was measured on the frame.
    """

    part: WantedPart
    mark: str
    left: int
    made: int = 0
    measured: bool = False

    @property
    def name(self) -> str:
        """What the pieces are called on the pages."""
        return self.part.name


@dataclass(frozen=True, slots=True)
class BenchBoard:
    """A board that lies here, or is to be fetched.

    Attributes:
        board: The name of its kind.
        copy: Which one of that name, for good.
        timber: The board as it came.
        done: Parts that have come off it, left to right.
        reach: Where the last of them ends; 0 where it is whole. [nm]
        gone: Where its free timber begins; 0 where it is whole. [nm]
        lost: Stretches that must not be used.
        short: How much of its right end is missing. [nm]
        to_come: Cuts still to be made, as planned last.
    """

    board: str
    copy: int
    timber: Board
    done: tuple[str, ...] = ()
    reach: int = 0
    gone: int = 0
    lost: tuple[Span, ...] = ()
    short: int = 0
    to_come: tuple[Cut, ...] = ()

    @property
    def name(self) -> str:
        """What it is called once it lies here."""
        return f"{self.board} no. {self.copy}"

    @property
    def key(self) -> tuple[str, int]:
        """What tells it from all others."""
        return self.board, self.copy

    @property
    def length(self) -> int:
        """How long it was before any cut, what is missing left off. [nm]."""
        return self.timber.length - self.short

    def as_it_lies(self, shop: Shop) -> Board | None:
        """The board with what is gone marked as spoiled; it costs nothing more. None where nothing is left on it."""
        spans = [*self.timber.spoiled, *self.lost]
        if self.gone:
            spans.append(Span(0, self.gone, ALREADY_CUT))
        spoiled = tuple(
            Span(span.start, min(span.end, self.length), span.why)
            for span in sorted(spans, key=lambda span: (span.start, span.end))
            if span.start < self.length
        )
        now = replace(
            self.timber, name=self.name, length=self.length, cost=Fraction(0), how_many=1, at_hand=True, spoiled=spoiled
        )  # fmt: skip
        return now if clear_sticks(now, shop) else None


@dataclass(frozen=True, slots=True)
class Bench:
    """One section between two plans.

    Attributes:
        problem: Its timber and its shop, and the boards that could be had before any was taken.
        pieces: Every part, cut or not.
        here: Boards that lie here.
        to_fetch: Boards that the last plan wants to be bought or taken from the rack.
    """

    problem: BoardProblem
    pieces: tuple[Pieces, ...]
    here: tuple[BenchBoard, ...]
    to_fetch: tuple[BenchBoard, ...]

    @property
    def boards(self) -> Mapping[tuple[str, int], BenchBoard]:
        """All of them by what tells them apart."""
        return {board.key: board for board in (*self.here, *self.to_fetch)}

    def board_on_page(self, cut_board: CutBoard) -> BenchBoard:
        """The board that a page of the last plan shows."""
        boards = self.boards
        found = boards.get((cut_board.board, cut_board.copy))
        return found or next(board for board in boards.values() if board.name == cut_board.board)


def bench_of(problem: BoardProblem, plan: BoardPlan) -> Bench:
    """The bench before anything was cut.

    Args:
        problem: What the plan answers.
        plan: The plan.
    """
    stated = {board.name: board for board in problem.boards}
    return Bench(
        problem,
        tuple(Pieces(part, part.name, part.how_many) for part in problem.parts),
        (),
        tuple(
            BenchBoard(board.board, board.copy, stated[board.board], to_come=board.cuts)
            for board in plan.boards
        ),
    )


def in_other_timber(bench: Bench, now: BoardProblem) -> Bench:
    """The bench with its parts as the timber that came asks for them; a length measured on the frame stays.

    Args:
        bench: The bench.
        now: All parts as they are wanted now, by the marks of the first plan.
    """
    named = {part.name: part for part in now.parts}
    pieces = tuple(
        replace(
            one,
            part=replace(named[one.mark], name=one.name, length=one.part.length, extra=0)
            if one.measured
            else named[one.mark],
        )
        for one in bench.pieces
    )
    problem = replace(
        bench.problem,
        section=now.section,
        thickness=now.thickness,
        depth=now.depth,
        parts=now.parts,
        shop=now.shop,
    )
    return replace(bench, problem=problem, pieces=pieces)
