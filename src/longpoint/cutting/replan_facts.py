"""What has been cut and what happened, held against the plan: what is still wanted, what is left of each board."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from longpoint.cutting.faults import nearest_word
from longpoint.cutting.values import (
    Board,
    BoardPlan,
    BoardProblem,
    Cut,
    Lie,
    Shop,
    Span,
    WantedPart,
    mitre_kerf,
)
from longpoint.errors import Fault, FaultsError, Where

FURTHEST_OFF = 100_000_000
"""A measure further from the plan than this is a slip of the pencil or another bay. [nm] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSoFar:
    """A board that has been cut.

    Attributes:
        board: Its name in the plan.
        copy: Which one of that name.
        count: Parts that have come off it, from the left; None: all of them.
        key: Where the person said so.
    """

    board: str
    copy: int = 1
    count: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoiledPart:
    """Pieces that were cut and are no good."""

    part: str
    how_many: int = 1
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LostSpan:
    """A stretch of a board that must not be used, from its first left end; ``end`` None: to its right end. [nm]"""

    board: str
    copy: int = 1
    start: int
    end: int | None = None
    why: str = "split"
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortBy:
    """A board whose right end is missing. [nm]"""

    board: str
    copy: int = 1
    by: int
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPart:
    """A length measured on the frame, for some or (None) all pieces of a part that are not cut yet. [nm]"""

    part: str
    length: int
    how_many: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """Everything that happened to one section.

    Attributes:
        cut: Boards that have been cut.
        spoiled: Pieces that are no good.
        lost: Stretches that must not be used.
        short: Boards that are shorter than planned.
        measured: Lengths measured on the frame.
        only_named: Whether only the boards named here have been bought.
    """

    cut: tuple[CutSoFar, ...] = ()
    spoiled: tuple[SpoiledPart, ...] = ()
    lost: tuple[LostSpan, ...] = ()
    short: tuple[ShortBy, ...] = ()
    measured: tuple[MeasuredPart, ...] = ()
    only_named: bool = False


@dataclass(frozen=True, slots=True)
class BoardFacts:
    """One bought board.

    Attributes:
        name: Its name from now on.
        board: Its name in the plan.
        copy: Which one of that name.
        done: Parts that have come off it.
        planned: Parts still to come off it as planned.
        cuts_to_come: The same as cuts.
        gone: Where its free timber begins, 0 where it is whole. [nm]
        lost: Stretches that must not be used.
        short: How much shorter it is. [nm]
    """

    name: str
    board: str
    copy: int
    done: tuple[str, ...]
    planned: tuple[str, ...]
    cuts_to_come: tuple[Cut, ...]
    gone: int
    lost: tuple[Span, ...]
    short: int


@dataclass(frozen=True, slots=True)
class Facts:
    """What is still wanted and what there is.

    Attributes:
        wanted: Parts as they are wanted now, and how many more.
        boards: The bought boards, in the order of the plan.
        stated: Boards of the problem by name.
        taken: How many boards of each name are bought.
        shop: The shop.
        marks: The mark of a part that was given a name of its own, by that name.
    """

    wanted: tuple[tuple[WantedPart, int], ...]
    boards: tuple[BoardFacts, ...]
    stated: Mapping[str, Board]
    taken: Mapping[str, int]
    shop: Shop
    marks: Mapping[str, str] = field(default_factory=dict)

    def mark_of(self, name: str) -> str:
        """The mark of a part as it stands in the plan."""
        return self.marks.get(name, name)


def facts_of(
    problem: BoardProblem, plan: BoardPlan, happened: Happened, *, before: BoardProblem | None = None
) -> Facts:
    """Holds what happened against the plan.

    Args:
        problem: The parts as they are wanted now, and the boards.
        plan: The plan.
        happened: What happened.
        before: What the plan answers; None: the problem.

    Returns:
        What is still wanted and what there is.

    Raises:
        FaultsError: With every contradiction.
    """
    faults: list[Fault] = []
    old = {part.name: part for part in (before or problem).parts}
    boards = {(board.board, board.copy): board for board in plan.boards}
    cut = _by_board(happened.cut, boards, faults)
    lost = _by_board(happened.lost, boards, faults)
    short = _by_board(happened.short, boards, faults)
    made: Counter[str] = Counter()
    counts: dict[tuple[str, int], int] = {}
    for key, several in cut.items():
        count = _count(several, len(boards[key].cuts), faults)
        counts[key] = count
        made.update(one.part for one in boards[key].cuts[:count])
    stated = {board.name: board for board in problem.boards}
    found: list[BoardFacts] = []
    named = set(cut) | set(lost) | set(short)
    for key, board in boards.items():
        if happened.only_named and key not in named:
            continue
        count = counts.get(key, 0)
        spans = _spans(board.cuts[:count], board.length, lost.get(key, []), faults)
        by = _short(board.cuts[:count], board.length, short.get(key, []), faults)
        name = f"{key[0]} no. {key[1]}"
        to_come = board.cuts[count:]
        gone = 0
        if count:
            last = board.cuts[count - 1]
            gone = min(free_after(last, old[last.part], problem.parts, kerf=problem.shop.kerf), board.length)
        found.append(
            BoardFacts(
                name, *key, tuple(one.part for one in board.cuts[:count]),
                tuple(one.part for one in to_come), to_come, gone, spans, by,
            )
        )  # fmt: skip
    spoiled = _spoiled(happened.spoiled, made, old, faults)
    left = {part.name: part.how_many - made[part.name] + spoiled[part.name] for part in problem.parts}
    wanted, marks = _measured(problem, left, happened.measured, faults)
    if faults:
        raise FaultsError(faults)
    taken = Counter(one.board for one in found)
    return Facts(wanted, tuple(found), stated, taken, problem.shop, marks)


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
        copies = sum(name == event.board for name, _ in boards)
        near = nearest_word(event.board, sorted({name for name, _ in boards}))
        if copies:
            what = f"the plan has {copies} of board {event.board}, no number {event.copy}."
            remedy = f"Count them in the order of the plan, 1 to {copies}."
        else:
            what = f"the plan cuts no board {event.board}."
            remedy = f"Did you mean {near}?" if near else "Use the name of a board in the plan."
        faults.append(Fault("no-such-board", what, remedy, Where(event.key)))
    return found


def _count(several: Sequence[CutSoFar], planned: int, faults: list[Fault]) -> int:
    first = several[0]
    if len(several) > 1:
        what = f"board {first.board} no. {first.copy} stands {len(several)} times under what is cut."
        faults.append(Fault("cut-twice", what, "Say it once, with all its cuts.", Where(several[1].key)))
    count = planned if first.count is None else first.count
    if not 0 <= count <= planned:
        what = f"{count} parts are said to be cut from board {first.board} no. {first.copy}; the plan cuts {planned}."
        faults.append(
            Fault(
                "more-cut-than-planned",
                what,
                "Count only parts of the plan, from the left end.",
                Where(first.key),
            )
        )
    return max(0, min(count, planned))


def _spans(
    done: Sequence[Cut], length: int, lost: Sequence[LostSpan], faults: list[Fault]
) -> tuple[Span, ...]:
    spans = []
    for event in lost:
        end = length if event.end is None else event.end
        who = f"board {event.board} no. {event.copy}"
        if event.start >= length or end > length:
            what = f"{who} is {length / 1e6:.10g} mm long; the {event.why} is said to lie beyond that."
            faults.append(Fault("beyond-the-board", what, "Measure from its left end.", Where(event.key)))
        elif event.start >= end:
            what = f"the {event.why} in {who} is said to end before it begins."
            faults.append(Fault("span-turned", what, "Give the smaller length as at.", Where(event.key)))
        elif done and event.start < done[-1].end:
            what = (
                f"the {event.why} in {who} begins at {event.start / 1e6:.10g} mm, in {done[-1].part} or before it, "
                f"which is already cut up to {done[-1].end / 1e6:.10g} mm."
            )
            remedy = (
                "Measure from the left end as it lay before any cut; a piece that is no good is [[spoiled]]."
            )
            faults.append(Fault("split-in-cut", what, remedy, Where(event.key)))
        else:
            spans.append(Span(event.start, end, event.why))
    return tuple(spans)


def _short(done: Sequence[Cut], length: int, short: Sequence[ShortBy], faults: list[Fault]) -> int:
    total = sum(event.by for event in short)
    reach = done[-1].end if done else 1
    if short and total > length - reach:
        who = f"board {short[0].board} no. {short[0].copy}"
        what = f"{who} is said to be {total / 1e6:.10g} mm short"
        what += (
            f", yet {done[-1].part} was cut from what is missing." if done else "; that is more than it has."
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


def _spoiled(
    events: Sequence[SpoiledPart],
    made: Mapping[str, int],
    parts: Mapping[str, WantedPart],
    faults: list[Fault],
) -> Counter[str]:
    spoiled: Counter[str] = Counter()
    for event in events:
        if event.part not in parts:
            faults.append(no_such_part(event.part, list(parts), event.key))
            continue
        spoiled[event.part] += event.how_many
        if spoiled[event.part] > made[event.part]:
            what = (
                f"{spoiled[event.part]} of {event.part} are said to be spoiled; {made[event.part]} are cut."
            )
            remedy = (
                "Say under [[cut]] what has been cut; wood spoiled before it was cut stands under [[split]]."
            )
            faults.append(Fault("spoiled-not-cut", what, remedy, Where(event.key)))
    return spoiled


def no_such_part(name: str, parts: list[str], key: str) -> Fault:
    """A part that the plan does not have."""
    near = nearest_word(name, parts)
    remedy = (
        f"Did you mean {near}?" if near else "Use the mark of a part in the plan, such as " + parts[0] + "."
    )
    return Fault("no-such-part", f"the plan has no part {name}.", remedy, Where(key))


def _measured(
    problem: BoardProblem, left: Mapping[str, int], events: Sequence[MeasuredPart], faults: list[Fault]
) -> tuple[tuple[tuple[WantedPart, int], ...], dict[str, str]]:
    named = {part.name: part for part in problem.parts}
    rest = dict(left)
    pieces: dict[tuple[str, int], int] = {}
    for event in events:
        part = named.get(event.part)
        if part is None:
            faults.append(no_such_part(event.part, list(named), event.key))
            continue
        count = rest[event.part] if event.how_many is None else event.how_many
        if part.round == 1:
            what = f"{event.part} is a bar: its length is the face of the work, not measured on the frame."
            faults.append(Fault("bar-measured", what, "Measure rails and middle pieces.", Where(event.key)))
        elif not 0 < count <= rest[event.part]:
            what = f"{event.part}: a measure for {max(count, 1)} is given, {rest[event.part]} are still to be cut."
            remedy = "A piece that is cut and does not fit is [[spoiled]]; give how_many for some of them."
            faults.append(Fault("measured-too-many", what, remedy, Where(event.key)))
        elif abs(event.length - part.length) > FURTHEST_OFF:
            what = (
                f"{event.part} is planned {part.length / 1e6:.10g} mm long and said to measure "
                f"{event.length / 1e6:.10g} mm."
            )
            remedy = "Measure again; if the frame was changed so much, plan the batch again."
            faults.append(Fault("measured-far-off", what, remedy, Where(event.key)))
        else:
            rest[event.part] -= count
            pieces[event.part, event.length] = pieces.get((event.part, event.length), 0) + count
    wanted: list[tuple[WantedPart, int]] = []
    marks: dict[str, str] = {}
    for part in problem.parts:
        mine = [(length, count) for (name, length), count in pieces.items() if name == part.name]
        for length, count in mine:
            whole = count == left[part.name]
            name = part.name if whole else f"{part.name} at {length / 1e6:.10g}"
            marks[name] = part.name
            wanted.append((replace(part, name=name, length=length, extra=0), count))
        if rest[part.name] > 0:
            wanted.append((part, rest[part.name]))
    return tuple(wanted), marks
