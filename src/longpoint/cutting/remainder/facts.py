"""What happened held against the bench: what is still wanted, what is left of each board, what can be had."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from longpoint.cutting.boards.faults import nearest_word
from longpoint.cutting.boards.values import Board, BoardProblem, Cut, Lie, Shop, Span, WantedPart, mitre_kerf
from longpoint.cutting.remainder.bench import Bench, BenchBoard, Pieces, in_other_timber
from longpoint.cutting.remainder.events import CutSoFar, Happened, LostSpan, ShortBy
from longpoint.cutting.remainder.pieces import measured_pieces, spoiled_pieces
from longpoint.errors import Fault, FaultsError, Where


@dataclass(frozen=True, slots=True)
class Facts:
    """What is still wanted and what there is.

    Attributes:
        bench: The bench as the person found it; its parts as they are wanted now.
        pieces: Every part, with how many are left and made.
        boards: Every board that lies here now, with the cuts that were planned on it.
        on_offer: What can be had beyond them.
    """

    bench: Bench
    pieces: tuple[Pieces, ...]
    boards: tuple[BenchBoard, ...]
    on_offer: tuple[Board, ...]

    @property
    def shop(self) -> Shop:
        """The shop."""
        return self.bench.problem.shop

    @property
    def wanted(self) -> tuple[WantedPart, ...]:
        """Parts still to be cut."""
        return tuple(replace(one.part, how_many=one.left) for one in self.pieces if one.left)

    @property
    def marks(self) -> Mapping[str, str]:
        """The mark of every part by its name."""
        return {one.name: one.mark for one in self.pieces}


def facts_of(bench: Bench, happened: Happened, *, now: BoardProblem | None = None) -> Facts:
    """Holds what happened against the bench.

    Args:
        bench: The bench as the last plan left it.
        happened: What happened since.
        now: All parts as they are wanted now, by their marks, where lengths have changed since; None: as they were.

    Returns:
        What is still wanted and what there is.

    Raises:
        FaultsError: With every contradiction.
    """
    faults: list[Fault] = []
    boards = bench.boards
    cut = _by_board(happened.cut, boards, faults)
    lost = _by_board(happened.lost, boards, faults)
    short = _by_board(happened.short, boards, faults)
    named = {*cut, *lost, *short}
    then = {one.name: one.part for one in bench.pieces}
    made: Counter[str] = Counter()
    found: list[BenchBoard] = []
    for key, board in boards.items():
        if happened.only_named and key not in named and board in bench.to_fetch:
            continue
        count = _count(board, cut[key], faults) if key in cut else 0
        made.update(one.part for one in board.to_come[:count])
        board = _cut_off(board, count, then, bench.problem.shop.kerf)
        board = replace(board, short=board.short + _short(board, short.get(key, []), faults))
        found.append(replace(board, lost=(*board.lost, *_spans(board, lost.get(key, []), faults))))
    counted = [
        replace(one, left=one.left - made[one.name], made=one.made + made[one.name]) for one in bench.pieces
    ]
    counted = spoiled_pieces(counted, happened.spoiled, faults)
    bench = bench if now is None else in_other_timber(bench, now)
    fresh = {one.name: one.part for one in bench.pieces}
    counted = [replace(one, part=fresh[one.name]) for one in counted]
    pieces = measured_pieces(counted, happened.measured, faults)
    if faults:
        raise FaultsError(faults)
    taken = Counter(board.board for board in found)
    return Facts(bench, tuple(pieces), tuple(found), on_offer(bench.problem.boards, taken))


def on_offer(boards: Sequence[Board], taken: Mapping[str, int]) -> tuple[Board, ...]:
    """Boards that can be had still, where so many of each name are taken."""
    left = (
        board if board.how_many is None else replace(board, how_many=max(0, board.how_many - taken.get(board.name, 0)))
        for board in boards
    )  # fmt: skip
    return tuple(board for board in left if board.how_many != 0)


OnBoard = TypeVar("OnBoard", CutSoFar, LostSpan, ShortBy)


def _by_board(
    events: Sequence[OnBoard], boards: Mapping[tuple[str, int], object], faults: list[Fault]
) -> dict[tuple[str, int], list[OnBoard]]:
    found: dict[tuple[str, int], list[OnBoard]] = {}
    for event in events:
        key = (event.board, event.copy)
        if key in boards:
            found.setdefault(key, []).append(event)
            continue
        numbers = sorted(copy for name, copy in boards if name == event.board)
        near = nearest_word(event.board, sorted({name for name, _ in boards}))
        if numbers:
            what = f"the plan has {len(numbers)} of board {event.board}, no number {event.copy}."
            listed = ", ".join(map(str, numbers))
            if numbers == list(range(1, len(numbers) + 1)):
                listed = f"1 to {len(numbers)}"
            remedy = f"Count them in the order of the plan: {listed}."
        else:
            what = f"the plan cuts no board {event.board}."
            remedy = f"Did you mean {near}?" if near else "Use the name of a board in the plan."
        faults.append(Fault("no-such-board", what, remedy, Where(event.key)))
    return found


def _count(board: BenchBoard, several: Sequence[CutSoFar], faults: list[Fault]) -> int:
    first = several[0]
    planned = len(board.to_come)
    if len(several) > 1:
        what = f"board {board.name} stands {len(several)} times under what is cut."
        faults.append(Fault("cut-twice", what, "Say it once, with all its cuts.", Where(several[1].key)))
    if not planned and first.count != 0:
        what = f"board {board.name} is said to be cut, and no part was left to be cut from it"
        what += f": {', '.join(board.done)} came off it before." if board.done else "."
        remedy = "Say only what happened since the last plan of the rest; what was said before is counted."
        faults.append(Fault("already-cut", what, remedy, Where(first.key)))
        return 0
    count = planned if first.count is None else first.count
    if not 0 <= count <= planned:
        what = f"{count} parts are said to be cut from board {board.name}; the plan cuts {planned}."
        remedy = "Count only parts of the plan in hand, from the left end."
        faults.append(Fault("more-cut-than-planned", what, remedy, Where(first.key)))
    return max(0, min(count, planned))


def _cut_off(board: BenchBoard, count: int, parts: Mapping[str, WantedPart], kerf: int) -> BenchBoard:
    """The board after its next cuts."""
    if not count:
        return board
    last = board.to_come[count - 1]
    free = free_after(last, parts[last.part], tuple(parts.values()), kerf=kerf)
    return replace(
        board,
        done=(*board.done, *(cut.part for cut in board.to_come[:count])),
        reach=last.end,
        gone=min(free, board.length),
        to_come=board.to_come[count:],
    )


def _spans(board: BenchBoard, lost: Sequence[LostSpan], faults: list[Fault]) -> tuple[Span, ...]:
    spans: list[Span] = []
    for event in lost:
        end = board.length if event.end is None else event.end
        span = Span(event.start, end, event.why)
        if event.start >= board.length or end > board.length:
            what = f"board {board.name} is {_mm(board.length)} mm long; the {event.why} is said to lie beyond that."
            faults.append(Fault("beyond-the-board", what, "Measure from its left end.", Where(event.key)))
        elif event.start >= end:
            what = f"the {event.why} in board {board.name} is said to end before it begins."
            faults.append(Fault("span-turned", what, "Give the smaller length as at.", Where(event.key)))
        elif event.start < board.reach:
            what = (
                f"the {event.why} in board {board.name} begins at {_mm(event.start)} mm, in {board.done[-1]} or "
                f"before it, which is already cut up to {_mm(board.reach)} mm."
            )
            remedy = (
                "Measure from the left end as it lay before any cut; a piece that is no good is [[spoiled]]."
            )
            faults.append(Fault("split-in-cut", what, remedy, Where(event.key)))
        elif (span.start, span.end) in {(one.start, one.end) for one in (*board.lost, *spans)}:
            what = f"the {event.why} in board {board.name} at {_mm(event.start)} mm was said before."
            remedy = (
                "Say only what happened since the last plan of the rest; what was said before is counted."
            )
            faults.append(Fault("said-before", what, remedy, Where(event.key)))
        else:
            spans.append(span)
    return tuple(spans)


def _short(board: BenchBoard, short: Sequence[ShortBy], faults: list[Fault]) -> int:
    total = sum(event.by for event in short)
    if short and total > board.length - max(board.reach, 1):
        what = f"board {board.name} is said to be {_mm(total)} mm short"
        what += (
            f", yet {board.done[-1]} was cut from what is missing."
            if board.done
            else "; that is more than it has."
        )
        faults.append(Fault("too-short", what, "Measure it again.", Where(short[0].key)))
        return 0
    return total


def free_after(cut: Cut, part: WantedPart, to_come: Sequence[WantedPart], *, kerf: int) -> int:
    """Where a board is free again after a cut, on its longer edge.

    Square-edged timber that ends in a mitre is turned so that its longer edge lies at the fence: the mitre is then
    already cut. That holds only while every part to come is mitred alike.

    Args:
        cut: The last cut.
        part: Its part.
        to_come: What may come after it.
        kerf: Width of the saw cut. [nm]

    Returns:
        The place. [nm]
    """
    if not part.is_mitred:
        return cut.end + kerf
    alike = part.lie is Lie.MAY_TURN and all(
        other.is_mitred and other.lie is Lie.MAY_TURN and other.mitre_width == part.mitre_width
        for other in to_come
    )
    return cut.end + mitre_kerf(kerf) - (part.mitre_width if alike else 0)


def _mm(length: int) -> str:
    return f"{length / 1e6:.10g}"
