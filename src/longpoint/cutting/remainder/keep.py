"""The planned cuts that can stay where they are, and a plan with as little change as can be."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.cutting.boards.accept import ClearStick, clear_sticks, refusals, tail_is_lost
from longpoint.cutting.boards.checked import plan_of
from longpoint.cutting.boards.placing import in_order, place_on_stick, serves_as
from longpoint.cutting.boards.proof.referee import check_board_plan
from longpoint.cutting.boards.values import (
    Board,
    BoardPlan,
    BoardProblem,
    Cut,
    CutBoard,
    Lie,
    Span,
    WantedPart,
    mitre_kerf,
)
from longpoint.cutting.remainder.facts import Facts, free_after
from longpoint.errors import FaultsError

Solver = Callable[[BoardProblem], BoardPlan]
Lay = dict[str, list[list[Cut]]]
"""Cuts by board and clear stick."""


def kept_cuts(
    facts: Facts, rest: BoardProblem, here: Mapping[str, Board]
) -> tuple[Lay, tuple[WantedPart, ...]]:
    """The planned cuts that can stay, by board and stick, and the parts that lost their place.

    Args:
        facts: What there is.
        rest: What is still wanted.
        here: Boards that lie here and have timber left, by name.
    """
    supply: dict[str, list[WantedPart]] = {part.name: [part] * part.how_many for part in rest.parts}
    alike: dict[str, list[str]] = {}
    for name, mark in facts.marks.items():
        alike.setdefault(mark, []).append(name)
    kept: Lay = {}
    for one in facts.boards:
        board = here.get(one.name)
        if board is None:
            continue
        lay: list[list[Cut]] = []
        for stick in clear_sticks(board, rest.shop):
            mine: list[tuple[Cut, WantedPart]] = []
            for cut in one.to_come:
                if not stick.start <= cut.start < stick.start + stick.length:
                    continue
                # A piece of the very name first; else one of its mark that was measured since.
                names = [cut.part, *alike.get(facts.marks.get(cut.part, ""), [])]
                queue = next((supply[name] for name in names if supply.get(name)), [])
                if queue and not refusals(queue[0], board, rest.shop):
                    mine.append((cut, queue.pop()))
            cuts, loose = _stay(mine, stick, rest)
            lay.append(cuts)
            for part in loose:
                supply[part.name].append(part)
        kept[one.name] = lay
    left = Counter(part.name for queue in supply.values() for part in queue)
    named = {part.name: part for part in rest.parts}
    return kept, tuple(replace(named[name], how_many=count) for name, count in sorted(left.items()))


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


def with_little_change(
    rest: BoardProblem,
    here: Mapping[str, Board],
    kept: Lay,
    displaced: Sequence[WantedPart],
    solve: Solver,
) -> BoardPlan | None:
    """Every kept cut in its place and the displaced parts where there is room; None where that cannot be had.

    Args:
        rest: What is still wanted.
        here: Boards that lie here, by name.
        kept: The cuts that stay.
        displaced: Parts that lost their place.
        solve: Plans a problem.
    """
    lay = {name: [list(cuts) for cuts in sticks] for name, sticks in kept.items()}
    new: list[CutBoard] = []
    if displaced:
        room = [_room(board, kept[name], rest) for name, board in here.items()]
        boards = [
            *(board for board in room if clear_sticks(board, rest.shop)),
            *(board for board in rest.boards if board.name not in here),
        ]
        try:
            small = solve(replace(rest, parts=tuple(displaced), boards=tuple(boards)))
        except FaultsError:
            return None
        for cut_board in small.boards:
            if cut_board.board not in here:
                new.append(cut_board)
                continue
            sticks = clear_sticks(here[cut_board.board], rest.shop)
            for cut in cut_board.cuts:
                at = next(i for i, stick in enumerate(sticks) if cut.start < stick.start + stick.length)
                lay[cut_board.board][at].append(cut)
            for at, stick in enumerate(sticks):
                together = _together(lay[cut_board.board][at], stick, rest)
                if together is None:
                    return None
                lay[cut_board.board][at] = together
    boards_now = [_cut_board(here[name], lay[name], rest) for name in here if any(lay[name])]
    made = plan_of(rest, (*boards_now, *new))
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


def with_bound_of(quiet: BoardPlan, afresh: BoardPlan) -> BoardPlan:
    """The plan of little change with the proof of the one cut afresh, which costs no less."""
    at_least = min(afresh.at_least, quiet.cost)
    proven = at_least == quiet.cost
    gap = (quiet.cost - at_least) / at_least if at_least else Fraction(0)
    return replace(
        quiet, at_least=at_least, proven=proven, gap=gap, proof=(afresh.proof or "bound") if proven else "",
        certificate=afresh.certificate, spent=afresh.spent, cautions=afresh.cautions,
    )  # fmt: skip
