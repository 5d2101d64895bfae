"""From how many of each to where each lies: positions, swings, triangles, what remains."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.cutting.boards.accept import ClearStick
from longpoint.cutting.boards.values import (
    Board,
    Cut,
    End,
    Kind,
    Lie,
    OffcutWorth,
    Shop,
    Swing,
    WantedPart,
    mitre_kerf,
)


@dataclass(frozen=True, slots=True)
class PlacedStick:
    """One stick with its parts in place.

    Attributes:
        cuts: From left to right.
        remains: What remains on the shorter edge. [nm]
        mitred_end: Whether it begins with a mitre.
        last_stick: Length held before the last cut; 0 where nothing is cut. [nm]
    """

    cuts: tuple[Cut, ...]
    remains: int
    mitred_end: bool
    last_stick: int


def in_order(parts: Sequence[WantedPart], rising_rounds: frozenset[int]) -> list[WantedPart]:
    """Parts of one stick in the order they are cut: by rounds, mitred ones together, equal lengths together.

    Args:
        parts: The parts, one entry per copy.
        rising_rounds: Rounds worked from the shortest length up, so that the last cut is the longest.

    Returns:
        The parts from left to right.
    """
    latest = max((part.round for part in parts), default=0)
    longest = max(
        (part for part in parts if part.round == latest), key=lambda part: part.planned, default=None
    )
    mitres_last = (
        longest is not None
        and longest.is_mitred
        and latest in rising_rounds
        and all(part.round == latest for part in parts)
    )

    def key(part: WantedPart) -> tuple[int, bool, int, str]:
        length = part.planned if part.round in rising_rounds else -part.planned
        return (part.round, part.is_mitred if mitres_last else not part.is_mitred, length, part.name)

    return sorted(parts, key=key)


def place_on_stick(ordered: Sequence[WantedPart], stick: ClearStick, shop: Shop) -> PlacedStick:
    """Lay parts on one stick from its left end.

    Args:
        ordered: The parts from left to right, one entry per copy.
        stick: The stick.
        shop: Its kerf counts.

    Returns:
        Where each lies and what remains.
    """
    kerf, mitred = shop.kerf, mitre_kerf(shop.kerf)
    cuts: list[Cut] = []
    before: WantedPart | None = None
    turned = False
    for part in ordered:
        shares = (
            before is not None
            and before.is_mitred
            and part.is_mitred
            and before.lie is Lie.MAY_TURN
            and part.lie is Lie.MAY_TURN
            and before.mitre_width == part.mitre_width
        )
        width = part.mitre_width
        if before is None:
            start = stick.start
            # Squared first: what falls out is a triangle without what the saw turns to dust.
            triangle = max(0, width - mitred) if part.is_mitred else 0
        else:
            gap = mitred if part.is_mitred or before.is_mitred else kerf
            start = cuts[-1].end + gap - (width if shares else 0)
            if shares:
                triangle = 0
            elif part.is_mitred and before.is_mitred:
                triangle = max(0, width + before.mitre_width - mitred)
            elif part.is_mitred:
                triangle = max(0, width - kerf)
            else:
                triangle = max(0, before.mitre_width - kerf) if before.is_mitred else 0
        turned = shares and not turned
        if part.ends is End.MITRE:
            swings = (Swing.LEFT, Swing.RIGHT) if turned else (Swing.RIGHT, Swing.LEFT)
        else:
            swings = (Swing.SQUARE, Swing.SQUARE)
        cuts.append(
            Cut(part.name, start, start + part.planned, part.length, swings[0], swings[1], turned, triangle)
        )
        before = part
    if before is None:
        return PlacedStick((), stick.length, False, 0)
    tail = stick.start + stick.length - cuts[-1].end
    remains = max(0, tail - (mitred if before.is_mitred else kerf))
    return PlacedStick(tuple(cuts), remains, before.is_mitred, before.planned + tail + stick.beyond)


def serves_as(remains: int, board: Board, offcuts: Sequence[OffcutWorth]) -> OffcutWorth | None:
    """The best an offcut will serve as again.

    Args:
        remains: Its length on the shorter edge. [nm]
        board: The board it comes from.
        offcuts: What counts as useful.

    Returns:
        The entry with the greatest share, None where it serves as nothing.
    """
    least = {Kind.BAR: 3, Kind.RAIL: 2, Kind.MIDDLE: 1, Kind.BLOCK: 1}
    useful = [worth for worth in offcuts if remains >= worth.at_least and board.grade >= least[worth.kind]]
    return max(useful, key=lambda worth: (worth.share, worth.at_least), default=None)


def share_kept(board: Board, worth: OffcutWorth, lowest: Fraction) -> Fraction:
    """The share of the lowest price that an offcut of a board keeps: never more than the board itself was worth.

    A board taken from the rack for little must not gain by being cut. Its own share is rounded up to a whole
    percent, so that boards worth alike stay alike.

    Args:
        board: The board it comes from.
        worth: What it will serve as.
        lowest: Lowest price per length on sale.

    Returns:
        The share, at least 0 and below 1.
    """
    if not board.at_hand or lowest == 0:
        return worth.share
    own = Fraction(math.ceil(100 * Fraction(board.cost) / board.length / lowest), 100)
    return min(worth.share, own)
