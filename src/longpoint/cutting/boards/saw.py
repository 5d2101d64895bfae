"""The order at the saw: round by round, one stop setting after another, all of a length before the stop moves.

Rounds follow the building: bars, then end and cross rails, then middle pieces and blocks, which are measured on
the frame first. Within a round every part of one length is cut under one setting, so that opposite bars are
truly equal. On each board the cuts come from left to right.
"""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import dataclass

from longpoint.cutting.boards.values import (
    BoardPlan,
    BoardProblem,
    Cut,
    CutBoard,
    Kind,
    Lie,
    Stands,
    Swing,
    WantedPart,
    mitre_kerf,
)

ROUND_WORDS = {1: "bars", 2: "end and cross rails", 3: "middle pieces, measured on the frame first"}


@dataclass(frozen=True, slots=True)
class SawCut:
    """One part taken off one board.

    Attributes:
        board: Name of the board.
        copy: Which one of that name.
        part: Name of the part.
        swing_start: How the saw stands for its left end.
        swing_end: How the saw stands for its right end.
        shares_cut: Whether its left end is already cut: a shared mitre, or the square end of the one before.
        turned: Whether its long side lies towards the person.
        triangle: Base of the triangle that falls out first; 0 where none does. [nm]
        held: Length of the stick before its right end is cut. [nm]
        cut_to: Where its right end lies from the board's left end, on its long point side. [nm]
        is_last: Whether it is the last part of its stick.
        remains: After the last part: what remains on the shorter edge; otherwise 0. [nm]
        good_for: After the last part: what the remains will serve as again.
    """

    board: str
    copy: int
    part: str
    swing_start: Swing
    swing_end: Swing
    shares_cut: bool
    turned: bool
    triangle: int
    held: int
    cut_to: int
    is_last: bool
    remains: int = 0
    good_for: str = ""


@dataclass(frozen=True, slots=True)
class StopSetting:
    """One setting of the stop and everything cut under it.

    Attributes:
        stop: Distance from the blade to the stop on the long point; for measured pieces the planned length. [nm]
        is_measured: Whether the length is measured on the frame before the stop is set.
        kept: Timber kept on top of the planned length for measuring. [nm]
        lies: How the timber lies on the saw.
        cuts: The cuts, board by board.
        done: Parts cut so far in this round, these included.
        wanted: Parts of this round in all.
    """

    stop: int
    is_measured: bool
    kept: int
    lies: str
    cuts: tuple[SawCut, ...]
    done: int
    wanted: int


@dataclass(frozen=True, slots=True)
class SawRound:
    """One round at the saw.

    Attributes:
        number: 1, 2 or 3.
        words: What is cut in it.
        longest_first: Whether the stop moves from long to short; otherwise from short to long, so that the last
            cut of a board never comes from too short a stub.
        crosscuts: (board, copy, place) where a board is cut through inside a spoiled span before anything else.
        before_bevel: (board, copy, place) where the stretch for bars is cut off before its bevel is made, because
            what lies beyond it stays square.
        settings: The stop settings in order.
    """

    number: int
    words: str
    longest_first: bool
    crosscuts: tuple[tuple[str, int, int], ...]
    before_bevel: tuple[tuple[str, int, int], ...]
    settings: tuple[StopSetting, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    """The cuts of one stick, and how far they are done."""

    board: CutBoard
    cuts: tuple[Cut, ...]
    held_to: int


def how_it_lies(part: WantedPart) -> str:
    """How the timber lies on the saw for a part, in words.

    Args:
        part: The part.

    Returns:
        One phrase.
    """
    stands = "on edge" if part.stands is Stands.ON_EDGE else "lying flat"
    if not part.is_mitred:
        return f"{stands}, square to the fence"
    if part.lie is Lie.LIP_FIXED:
        return f"{stands}, bevel up, lip against the fence, low side towards you"
    return f"{stands}, face up, turned over for every second piece"


def saw_rounds(problem: BoardProblem, plan: BoardPlan) -> tuple[SawRound, ...]:
    """The plan in the order of work.

    Args:
        problem: What was asked.
        plan: A plan that the referee passes.

    Returns:
        The rounds that have something to cut.
    """
    parts = {part.name: part for part in problem.parts}
    rows = [row for board in plan.boards for row in _rows(problem, board)]
    through = tuple(
        (board.board, board.copy, place) for board in plan.boards for place in _crosscuts(problem, board)
    )
    bevel_ends = tuple(
        (board.board, board.copy, place) for board in plan.boards for place in bevel_ends_at(problem, board)
    )
    done = [0] * len(rows)
    rounds: list[SawRound] = []
    for number in sorted({part.round for part in problem.parts}):
        falling = not any(_rises(row, parts, number) for row in rows)
        wanted = sum(part.how_many for part in problem.parts if part.round == number)
        settings: list[StopSetting] = []
        cut_so_far = 0
        while True:
            setting = _next_setting(rows, done, parts, number, falling)
            if setting is None:
                break
            cuts: list[SawCut] = []
            for k, row in enumerate(rows):
                while done[k] < len(row.cuts) and _setting_of(row.cuts[done[k]], parts, number) == setting:
                    cuts.append(_saw_cut(problem, row, done[k], parts))
                    done[k] += 1
            cut_so_far += len(cuts)
            part = parts[cuts[0].part]
            settings.append(
                StopSetting(
                    setting[1], part.extra > 0, part.extra, how_it_lies(part), tuple(cuts), cut_so_far, wanted
                )
            )
        if settings:
            first = (through, bevel_ends) if not rounds else ((), ())
            words = ROUND_WORDS.get(number, f"round {number}")
            rounds.append(SawRound(number, words, falling, *first, tuple(settings)))
    return tuple(rounds)


Setting = tuple[bool, int, int]


def _setting_of(cut: Cut, parts: dict[str, WantedPart], number: int) -> Setting | None:
    part = parts[cut.part]
    return (part.is_mitred, cut.stop, part.extra) if part.round == number else None


def _next_setting(
    rows: list[_Row], done: list[int], parts: dict[str, WantedPart], number: int, falling: bool
) -> Setting | None:
    """The setting that is ready on every board that will need it, in the round's direction."""
    ready: Counter[Setting] = Counter()
    later: Counter[Setting] = Counter()
    for row, at in zip(rows, done, strict=True):
        first: Setting | None = None
        for cut in row.cuts[at:]:
            setting = _setting_of(cut, parts, number)
            if setting is None:
                break
            if first is None:
                first = setting
                ready[setting] += 1
            elif setting != first:
                later[setting] += 1
    if not ready:
        return None
    # What no board still hides behind another setting comes first; then mitres, then the direction.
    return min(ready, key=lambda s: (later[s] > 0, not s[0], -s[1] if falling else s[1], s[2]))


def _rises(row: _Row, parts: dict[str, WantedPart], number: int) -> bool:
    mine = [
        (parts[cut.part].is_mitred, cut.end - cut.start)
        for cut in row.cuts
        if parts[cut.part].round == number
    ]
    return any(a[0] == b[0] and a[1] < b[1] for a, b in itertools.pairwise(mine))


def bevel_ends_at(problem: BoardProblem, board: CutBoard) -> list[int]:
    """Where the stretch for bars is cut off before its bevel is made: behind the last bar of each stick.

    The saw stands so that it frees the next part's end exactly; the last bar keeps a hair for its own mitre.

    Args:
        problem: What was asked.
        board: A board of its plan.

    Returns:
        The places; none where nothing that stays square-edged is cut from these boards, or nothing
        beyond the bars is used. [nm]
    """
    parts = {part.name: part for part in problem.parts}
    if not any(part.kind is not Kind.BAR and part.lie is Lie.MAY_TURN for part in problem.parts):
        return []
    places: list[int] = []
    for cuts in _sticks(problem, board):
        named = [(cut, parts[cut.part]) for cut in cuts]
        bars = [cut for cut, part in named if part.kind is Kind.BAR and part.lie is Lie.LIP_FIXED]
        kept = cuts[-1] == board.cuts[-1] and board.good_for not in ("", "bar")
        if bars and (len(bars) < len(cuts) or kept):
            places.append(bars[-1].end + mitre_kerf(problem.shop.kerf) - problem.shop.kerf)
    return places


def _sticks(problem: BoardProblem, board: CutBoard) -> list[tuple[Cut, ...]]:
    """The cuts of each clear stretch of a board that has any."""
    stated = next(one for one in problem.boards if one.name == board.board)
    places = sorted(span.start for span in stated.spoiled)
    lows, highs = [0, *places], [*places, board.length]
    between = (
        tuple(cut for cut in board.cuts if low <= cut.start and cut.end <= high)
        for low, high in zip(lows, highs, strict=True)
    )
    return [cuts for cuts in between if cuts]


def _rows(problem: BoardProblem, board: CutBoard) -> list[_Row]:
    """The sticks of a board that have cuts, as they lie at the saw."""
    stated = next(one for one in problem.boards if one.name == board.board)
    places = sorted([span.start for span in stated.spoiled] + bevel_ends_at(problem, board))
    rows: list[_Row] = []
    low = 0
    for high in [*places, board.length]:
        cuts = tuple(cut for cut in board.cuts if low <= cut.start and cut.end <= high)
        if cuts:
            rows.append(_Row(board, cuts, high))
        low = high
    return rows


def _crosscuts(problem: BoardProblem, board: CutBoard) -> list[int]:
    """Where a board is cut through first: at the spoiled spans between two sticks that have cuts."""
    apart = set(bevel_ends_at(problem, board))
    return [row.held_to for row in _rows(problem, board)[:-1] if row.held_to not in apart]


def _saw_cut(problem: BoardProblem, row: _Row, at: int, parts: dict[str, WantedPart]) -> SawCut:
    cut = row.cuts[at]
    part = parts[cut.part]
    before = row.cuts[at - 1] if at else None
    shares = before is not None and cut.swing_start == before.swing_end
    is_last = at == len(row.cuts) - 1
    ends_board = is_last and cut == row.board.cuts[-1] and row.held_to == row.board.length
    kerf = mitre_kerf(problem.shop.kerf) if part.is_mitred else problem.shop.kerf
    end = row.held_to if not ends_board else row.board.length - problem.shop.trim
    remains = max(0, end - cut.end - kerf) if is_last else 0
    return SawCut(
        row.board.board,
        row.board.copy,
        cut.part,
        cut.swing_start,
        cut.swing_end,
        shares,
        cut.turned,
        cut.triangle,
        row.held_to - cut.start,
        cut.end,
        is_last,
        remains,
        row.board.good_for if ends_board and remains == row.board.remains else "",
    )
