"""After something went wrong: the rest out of boards already here, with the least new timber.

Nothing already cut is moved. A board that has been cut is the board it was, with the stretch that is gone marked
as spoiled, so that every place on it still counts from its first left end. Boards already bought cost nothing
more; what still has to be bought costs its price. Two ways are weighed: leaving every cut where it was planned and
placing only what lost its place, and cutting the rest afresh. The first is taken wherever it needs no more new
timber, since a person has already marked those boards.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.cutting.accept import ClearStick, clear_sticks, refusals, tail_is_lost
from longpoint.cutting.placing import in_order, place_on_stick, serves_as
from longpoint.cutting.plan import count_settings, plan_boards
from longpoint.cutting.referee import check_board_plan
from longpoint.cutting.replan_facts import Facts, Happened, facts_of, free_after
from longpoint.cutting.values import (
    Board,
    BoardPlan,
    BoardProblem,
    Certificate,
    Cut,
    CutBoard,
    Lie,
    Span,
    WantedPart,
    mitre_kerf,
)
from longpoint.errors import FaultsError

Solver = Callable[[BoardProblem], BoardPlan]
Lay = dict[str, list[list[Cut]]]
"""Cuts by board and clear stick."""


@dataclass(frozen=True, slots=True)
class BoardNow:
    """A bought board and what becomes of it.

    Attributes:
        name: Its name in the new problem.
        board: Its name in the old plan.
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
        problem: What is still wanted, over bought boards, the rack and the yard.
        plan: How it is cut; positions count from each board's first left end.
        boards: Every bought board.
        displaced: Parts that lost their place, and how many of each.
        as_planned: Whether all other cuts stay where they were planned.
    """

    problem: BoardProblem
    plan: BoardPlan
    boards: tuple[BoardNow, ...]
    displaced: tuple[tuple[str, int], ...]
    as_planned: bool

    @property
    def to_take(self) -> tuple[CutBoard, ...]:
        """Boards to buy or to take from the rack beyond those already here."""
        ours = {board.name for board in self.boards}
        return tuple(board for board in self.plan.boards if board.board not in ours)


def replan_boards(
    problem: BoardProblem,
    plan: BoardPlan,
    happened: Happened,
    *,
    before: BoardProblem | None = None,
    solve: Solver = plan_boards,
) -> Replanned | None:
    """Plans the rest of one section after something went wrong.

    Args:
        problem: All parts as they are wanted now, cut ones among them; the boards that could be had then.
        plan: The old plan.
        happened: What has been cut and what happened.
        before: The problem that the old plan answers, where lengths have changed since; None: ``problem``.
        solve: Plans a problem.

    Returns:
        What is left and how it is cut; None where nothing is left.

    Raises:
        FaultsError: With everything in which the events contradict the plan, or parts that no board can give.
    """
    facts = facts_of(problem, plan, happened, before=before)
    if not facts.wanted:
        return None
    bought = {board.name: board for board in _bought_boards(facts)}
    fresh = [_fewer(board, facts.taken.get(board.name, 0)) for board in problem.boards]
    rest = replace(
        problem,
        parts=tuple(replace(part, how_many=count) for part, count in facts.wanted),
        boards=(*bought.values(), *(b for b in fresh if b.how_many is None or b.how_many > 0)),
    )
    kept, displaced = _kept(facts, rest, bought)
    quiet = _with_little_change(rest, bought, kept, displaced, solve)
    if quiet is not None and quiet.cost == 0:
        answer = quiet
    else:
        afresh = solve(rest)
        # Boards already here cost nothing: equal cost is equal new timber.
        answer = afresh if quiet is None or quiet.cost > afresh.cost else _with_bound_of(quiet, afresh)
    now = {board.board: tuple(cut.part for cut in board.cuts) for board in answer.boards}
    boards = tuple(
        BoardNow(one.name, one.board, one.copy, one.done, one.planned, now.get(one.name, ()))
        for one in facts.boards
    )
    as_planned = quiet is not None and answer.boards == quiet.boards
    lost = tuple(sorted((part.name, part.how_many) for part in displaced))
    return Replanned(rest, answer, boards, lost, as_planned)


def _bought_boards(facts: Facts) -> list[Board]:
    """Bought boards with what is gone from them, those with nothing left on them left out."""
    found = []
    for one in facts.boards:
        old = facts.stated[one.board]
        length = old.length - one.short
        spans = [*old.spoiled, *one.lost]
        if one.gone:
            spans.append(Span(0, one.gone, "already cut"))
        spoiled = tuple(
            Span(span.start, min(span.end, length), span.why)
            for span in sorted(spans, key=lambda span: (span.start, span.end))
            if span.start < length
        )
        board = replace(
            old, name=one.name, length=length, cost=Fraction(0), how_many=1, at_hand=True, spoiled=spoiled
        )
        if clear_sticks(board, facts.shop):
            found.append(board)
    return found


def _fewer(board: Board, taken: int) -> Board:
    return board if board.how_many is None else replace(board, how_many=max(0, board.how_many - taken))


def _kept(facts: Facts, rest: BoardProblem, bought: Mapping[str, Board]) -> tuple[Lay, list[WantedPart]]:
    """The planned cuts that can stay, by board and stick, and the parts that lost their place."""
    supply: dict[str, list[WantedPart]] = {}
    for part, count in facts.wanted:
        supply.setdefault(facts.mark_of(part.name), []).extend([part] * count)
    kept: Lay = {}
    for one in facts.boards:
        board = bought.get(one.name)
        if board is None:
            continue
        lay: list[list[Cut]] = []
        for stick in clear_sticks(board, rest.shop):
            mine: list[tuple[Cut, WantedPart]] = []
            for cut in one.cuts_to_come:
                inside = stick.start <= cut.start < stick.start + stick.length
                queue = supply.get(cut.part, [])
                if inside and queue and not refusals(queue[0], board, rest.shop):
                    mine.append((cut, queue.pop(0)))
            cuts, loose = _stay(mine, stick, rest)
            lay.append(cuts)
            for part in loose:
                supply[facts.mark_of(part.name)].insert(0, part)
        kept[one.name] = lay
    left = Counter(part.name for queue in supply.values() for part in queue)
    named = {part.name: part for part, _ in facts.wanted}
    return kept, [replace(named[name], how_many=count) for name, count in sorted(left.items())]


def _stay(
    mine: Sequence[tuple[Cut, WantedPart]], stick: ClearStick, rest: BoardProblem
) -> tuple[list[Cut], list[WantedPart]]:
    """Cuts of a stick that stay, moved together where lengths changed; and the parts that no longer go on it."""
    end = stick.start + stick.length
    same = [
        replace(cut, part=part.name)
        for cut, part in mine
        if cut.stop == part.length and cut.end - cut.start == part.planned and cut.end <= end
    ]
    if len(same) == len(mine) and _safe(same, stick, rest):
        return same, []
    parts = [part for _, part in mine]
    loose: list[WantedPart] = []
    while parts:
        fitted = _fit(parts, stick, rest)
        if fitted is not None:
            return fitted, loose
        rising = sorted(range(len(parts)), key=lambda i: parts[i].planned)
        gone = next(
            (i for i in rising if _fit([p for j, p in enumerate(parts) if j != i], stick, rest) is not None),
            rising[-1],
        )
        loose.append(parts.pop(gone))
    return [], loose


def _fit(parts: Sequence[WantedPart], stick: ClearStick, rest: BoardProblem) -> list[Cut] | None:
    """Parts laid on a stick from its left end; None where they do not fit or the last stub is too short."""
    if not parts:
        return []
    rounds = frozenset({max(part.round for part in parts)})
    for rising in (frozenset[int](), rounds):
        placed = place_on_stick(in_order(parts, rising), stick, rest.shop)
        over = placed.cuts[-1].end > stick.start + stick.length
        if not over and _safe(list(placed.cuts), stick, rest):
            return list(placed.cuts)
    return None


def _safe(cuts: Sequence[Cut], stick: ClearStick, rest: BoardProblem) -> bool:
    """Whether the cuts come in the order of rounds and the last one from a stick that can be held."""
    if not cuts:
        return True
    named = {part.name: part for part in rest.parts}
    rounds = [named[cut.part].round for cut in cuts]
    held = stick.start + stick.length + stick.beyond - cuts[-1].start
    return rounds == sorted(rounds) and held >= rest.shop.safe


def _with_little_change(
    rest: BoardProblem,
    bought: Mapping[str, Board],
    kept: Lay,
    displaced: Sequence[WantedPart],
    solve: Solver,
) -> BoardPlan | None:
    """Every kept cut in its place and the displaced parts where there is room; None where that cannot be had."""
    lay = {name: [list(cuts) for cuts in sticks] for name, sticks in kept.items()}
    new: list[CutBoard] = []
    if displaced:
        room = [_room(board, kept[name], rest) for name, board in bought.items()]
        boards = [
            *(board for board in room if clear_sticks(board, rest.shop)),
            *(board for board in rest.boards if board.name not in bought),
        ]
        try:
            small = solve(replace(rest, parts=tuple(displaced), boards=tuple(boards)))
        except FaultsError:
            return None
        for cut_board in small.boards:
            if cut_board.board not in bought:
                new.append(cut_board)
                continue
            sticks = clear_sticks(bought[cut_board.board], rest.shop)
            for cut in cut_board.cuts:
                at = next(i for i, stick in enumerate(sticks) if cut.start < stick.start + stick.length)
                lay[cut_board.board][at].append(cut)
            for at, stick in enumerate(sticks):
                together = _together(lay[cut_board.board][at], stick, rest)
                if together is None:
                    return None
                lay[cut_board.board][at] = together
    boards_now = [_cut_board(bought[name], lay[name], rest) for name in bought if any(lay[name])]
    made = _plan_of(rest, (*boards_now, *new))
    return made if not check_board_plan(rest, made) else None


def _together(cuts: list[Cut], stick: ClearStick, rest: BoardProblem) -> list[Cut] | None:
    """Kept and added cuts of one stick in an order that can be sawn."""
    named = {part.name: part for part in rest.parts}
    turns = any(named[cut.part].is_mitred and named[cut.part].lie is Lie.MAY_TURN for cut in cuts)
    if not turns and _safe(cuts, stick, rest):
        return cuts
    return _fit([named[cut.part] for cut in cuts], stick, rest)


def _room(board: Board, kept: Sequence[Sequence[Cut]], rest: BoardProblem) -> Board:
    """The board with the stretches that its kept cuts take marked as spoiled."""
    named = {part.name: part for part in rest.parts}
    spans = list(board.spoiled)
    for stick, cuts in zip(clear_sticks(board, rest.shop), kept, strict=True):
        if cuts:
            free = free_after(cuts[-1], named[cuts[-1].part], rest.parts, kerf=rest.shop.kerf)
            spans.append(Span(stick.start, min(free, board.length), "as planned"))
    return replace(board, spoiled=tuple(sorted(spans, key=lambda span: (span.start, span.end))))


def _cut_board(board: Board, lay: Sequence[Sequence[Cut]], rest: BoardProblem) -> CutBoard:
    named = {part.name: part for part in rest.parts}
    sticks = clear_sticks(board, rest.shop)
    last = list(lay[-1])
    remains, mitred = sticks[-1].length, False
    if last:
        mitred = named[last[-1].part].is_mitred
        gap = mitre_kerf(rest.shop.kerf) if mitred else rest.shop.kerf
        remains = max(0, sticks[-1].start + sticks[-1].length - last[-1].end - gap)
    if tail_is_lost(board, rest.shop):
        remains, mitred = 0, False
    held = [
        stick.start + stick.length + stick.beyond - cuts[-1].start
        for stick, cuts in zip(sticks, lay, strict=True)
        if cuts
    ]
    use = serves_as(remains, board, rest.shop.offcuts)
    return CutBoard(
        board.name, 1, board.length, Fraction(board.cost), board.at_hand,
        tuple(cut for cuts in lay for cut in cuts), remains, mitred,
        str(use.kind) if use is not None else "", min(held, default=0),
    )  # fmt: skip


def _plan_of(rest: BoardProblem, boards: Sequence[CutBoard]) -> BoardPlan:
    """A plan with the plainest of bounds: nothing costs less than nothing."""
    cost = sum((board.cost for board in boards), Fraction(0))
    settings, pickups = count_settings(rest, boards)
    return BoardPlan(
        rest.section, tuple(boards), cost, Fraction(0), cost == 0, "bound" if cost == 0 else "",
        Fraction(0), Certificate(Fraction(1), ()), settings=settings, pickups=pickups,
    )  # fmt: skip


def _with_bound_of(quiet: BoardPlan, afresh: BoardPlan) -> BoardPlan:
    """The plan of little change with the proof of the one cut afresh, which costs no less."""
    at_least = min(afresh.at_least, quiet.cost)
    proven = at_least == quiet.cost
    gap = (quiet.cost - at_least) / at_least if at_least else Fraction(0)
    return replace(
        quiet, at_least=at_least, proven=proven, gap=gap, proof=(afresh.proof or "bound") if proven else "",
        certificate=afresh.certificate, work=afresh.work, cautions=afresh.cautions,
    )  # fmt: skip
