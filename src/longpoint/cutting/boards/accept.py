"""Which board gives which part: length, grade, bend, and the clear sticks between spoiled spans."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.cutting.boards.values import Board, Shop, Stands, WantedPart, mitre_kerf


@dataclass(frozen=True, slots=True)
class ClearStick:
    """A clear length of a board, between its trims and its spoiled spans.

    Attributes:
        start: Where it begins. [nm]
        length: How long it is. [nm]
        beyond: What is still held beyond it at its last cut: the far trim of the board, else 0. [nm]
    """

    start: int
    length: int
    beyond: int


def clear_sticks(board: Board, shop: Shop) -> tuple[ClearStick, ...]:
    """The clear sticks of a board from left to right.

    A spoiled span takes at least the width of a mitred cut, since the saw has to pass there.

    Args:
        board: The board.
        shop: Its trim and kerf count.

    Returns:
        The sticks; empty where the trims leave nothing.
    """
    low, high = 0 if board.sawn else shop.trim, board.length - shop.trim
    least_gap = mitre_kerf(shop.kerf)
    sticks: list[ClearStick] = []
    at = low
    for span in sorted(board.spoiled, key=lambda span: (span.start, span.end)):
        if span.end <= at or span.start >= high:
            continue
        if span.start > at:
            sticks.append(ClearStick(at, span.start - at, 0))
            at = max(span.end, span.start + least_gap)
        else:
            at = span.end
    if at < high:
        sticks.append(ClearStick(at, high - at, board.length - high))
    return tuple(sticks)


def bend_left(bend: int, *, length: int, board_length: int) -> int:
    """What is left of a board's bow or crook in a part of it: it shrinks with the square of the length.

    Args:
        bend: Bow or crook of the whole board. [nm]
        length: Length of the part. [nm]
        board_length: Length of the board. [nm]

    Returns:
        Bow or crook of the part, rounded up. [nm]

    References:
        Sagitta of a flat arc, s = L²/(8R): computed, no source needed.
    """
    return -(-bend * length * length // (board_length * board_length))


def twist_left(twist: int, *, length: int, board_length: int) -> int:
    """What is left of a board's twist in a part of it: it shrinks with the length.

    Args:
        twist: Rise of one edge over the whole board. [nm]
        length: Length of the part. [nm]
        board_length: Length of the board. [nm]

    Returns:
        Rise over the part, rounded up. [nm]
    """
    return -(-twist * length // board_length)


def refusals(part: WantedPart, board: Board, shop: Shop) -> tuple[str, ...]:
    """Why a board cannot give a part, in a person's words; empty where it can.

    Args:
        part: The part.
        board: The board.
        shop: Its trim and kerf count.

    Returns:
        One phrase per reason, the length first.
    """
    reasons: list[str] = []
    longest = max((stick.length for stick in clear_sticks(board, shop)), default=0)
    if part.planned > longest:
        missing = (part.planned - longest) / 1e6
        clear = "its clear stick" if board.spoiled else "it"
        reasons.append(f"{clear} is {missing:.10g} mm too short")
    if part.least_grade > board.grade:
        reasons.append(f"it is {board.grade.words}, not {part.least_grade.words}")
    length = min(part.planned, board.length)
    on_edge = part.stands is Stands.ON_EDGE
    in_plane, out_of_plane = (board.bow, board.crook) if on_edge else (board.crook, board.bow)
    names = ("bow", "crook") if on_edge else ("crook", "bow")
    left = (
        (names[0], bend_left(in_plane, length=length, board_length=board.length), part.bend.in_plane),
        (names[1], bend_left(out_of_plane, length=length, board_length=board.length), part.bend.out_of_plane),
        ("twist", twist_left(board.twist, length=length, board_length=board.length), part.bend.twist),
    )
    for name, value, limit in left:
        if limit is not None and value > limit:
            reasons.append(
                f"{value / 1e6:.2f} mm of {name} would be left in the part, {(value - limit) / 1e6:.2f} mm too much"
            )
    return tuple(reasons)


def accepts(part: WantedPart, board: Board, shop: Shop) -> bool:
    """Whether a board can give a part.

    Args:
        part: The part.
        board: The board.
        shop: Its trim and kerf count.

    Returns:
        True where length, grade and bend allow it.
    """
    return not refusals(part, board, shop)


def tail_is_lost(board: Board, shop: Shop) -> bool:
    """Whether a spoiled stretch reaches the right end: nothing then remains there.

    Args:
        board: The board.
        shop: For the trim at its end.
    """
    return any(span.end >= board.length - shop.trim for span in board.spoiled)
