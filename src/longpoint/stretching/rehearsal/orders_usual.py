"""The orders people use: middles outward, pinwheel, corners first, round the frame, side after side.

Who says which: the middles first is what most handouts say, corners first stands in print against it (the trade
contradicts itself); pinwheel and the rest are common practice, no published source. Near corners many pull
lighter, where cloth splits.

Each order is one sequence of short groups of staples; what they share (runs outwards by turns, lighter pulls near
corners, holding staples that come out as a run reaches them) stands in ``orders_draft``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from longpoint.stretching.rehearsal.edge import SIDES, Side
from longpoint.stretching.rehearsal.orders import Order, Place
from longpoint.stretching.rehearsal.orders_draft import EVEN as EVEN
from longpoint.stretching.rehearsal.orders_draft import Draft, End, Halves, outwards
from longpoint.stretching.rehearsal.orders_draft import Lightness as Lightness
from longpoint.stretching.rehearsal.orders_draft import usual_lightness as usual_lightness
from longpoint.stretching.staple_places import in_runs

#: Pinwheel: the end of each side that lies ahead, going round anticlockwise.
_ONWARD: dict[Side, End] = {"bottom": "high", "right": "high", "top": "low", "left": "low"}
_BACK: dict[End, End] = {"high": "low", "low": "high"}


def middles_outward(
    *,
    width: float,
    height: float,
    places: Iterable[Place],
    run: int = 3,
    light: Lightness | None = None,
    holding: int = 1,
    hold_share: float | None = None,
    short_first: bool = False,
    corners: float = 0.0,
) -> Order:
    """Middles of all four sides, holding staples at the corners, then outwards, turning to the opposite side.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners; the habit where None.
        holding: Holding staples at each corner: none, one, or two, one on each side of it.
        hold_share: Share of the full pull at them; None for that near corners.
        short_first: Whether the pair of shorter sides begins, and goes first in every turn.
        corners: Share of the full pull at which the last staples beside the corners go in before all others, which
            leaves nothing to hold there; 0 for last, as usual.

    Returns:
        The order.
    """
    draft = Draft.of(width, height, places, light)
    pairs = draft.pairs[::-1] if short_first else draft.pairs
    sides = [side for pair in pairs for side in pair]
    if corners:
        for side in sides:
            draft.drive(_ends(draft.on(side)), share=corners)
    halves = {side: Halves.of(draft.left_on(side), run) for side in sides}
    for side in sides:
        draft.drive(halves[side].middle)
    draft.hold_corners(0 if corners else holding, hold_share)
    turns: list[tuple[Side, End]] = [
        (side, end) for pair in pairs for end in ("high", "low") for side in pair
    ]
    draft.drive_all(outwards(halves, turns))
    about = "middles of all sides first, then outwards by turns"
    return draft.order("middles outward", about + (", lighter near corners" if draft.light.share < 1 else ""))


def pinwheel(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness = EVEN
) -> Order:
    """Middles, then always on to the next side round, first the halves on one hand, then those on the other.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners.

    Returns:
        The order.
    """
    draft = Draft.of(width, height, places, light)
    halves = {side: Halves.of(draft.on(side), run) for side in SIDES}
    draft.drive_all(halves[side].middle for side in SIDES)
    draft.drive_all(outwards(halves, list(_ONWARD.items())))
    draft.drive_all(outwards(halves, [(side, _BACK[end]) for side, end in _ONWARD.items()]))
    return draft.order("pinwheel", "middles, then side by side round the frame, always towards the same hand")


def corners_first(*, width: float, height: float, places: Iterable[Place], light: Lightness = EVEN) -> Order:
    """Corners, then the middle of every gap, again and again.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        light: How the pull eases towards the corners.

    Returns:
        The order.
    """
    draft = Draft.of(width, height, places, light)
    rows = {side: draft.on(side) for pair in draft.pairs for side in pair}
    draft.drive_all(_ends(row) for row in rows.values())
    gaps = {side: [(0, len(row) - 1)] for side, row in rows.items()}
    while any(gaps.values()):
        for side, row in rows.items():
            middles = [(low, (low + high) // 2, high) for low, high in gaps[side] if high - low > 1]
            gaps[side] = [gap for low, middle, high in middles for gap in ((low, middle), (middle, high))]
            draft.drive_all(in_runs([row[middle] for _, middle, _ in middles], 3))
    return draft.order("corners first", "corners, then the middle of every gap, halving until all are in")


def round_the_frame(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness = EVEN
) -> Order:
    """Begins in the lower left corner and goes once round.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners.

    Returns:
        The order.
    """
    draft = Draft.of(width, height, places, light)
    for side in SIDES:
        row = draft.on(side)
        draft.drive_all(in_runs(row if _ONWARD[side] == "high" else row[::-1], run))
    return draft.order("round the frame", "from one corner once round the frame")


def side_after_side(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness = EVEN
) -> Order:
    """One whole side, then the opposite one, then the other pair, each from its middle.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners.

    Returns:
        The order.
    """
    draft = Draft.of(width, height, places, light)
    for number, side in enumerate(side for pair in draft.pairs for side in pair):
        halves = {side: Halves.of(draft.on(side), run)}
        groups: Iterator[Sequence[Place]] = outwards(halves, [(side, "high"), (side, "low")])
        for group in (halves[side].middle, *groups):
            draft.drive(
                group, share=0.0 if number == 0 else None
            )  # a whole side with nothing to pull against
    return draft.order("side after side", "one whole side, the opposite one, then the other pair")


def usual_orders(*, width: float, height: float, places: Iterable[Place], run: int = 3) -> tuple[Order, ...]:
    """The orders people use, plain.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.

    Returns:
        Middles outward, pinwheel, corners first, round the frame, side after side.
    """
    given = tuple(places)
    return (
        middles_outward(width=width, height=height, places=given, run=run),
        pinwheel(width=width, height=height, places=given, run=run),
        corners_first(width=width, height=height, places=given),
        round_the_frame(width=width, height=height, places=given, run=run),
        side_after_side(width=width, height=height, places=given, run=run),
    )


def _ends(row: Sequence[Place]) -> list[Place]:
    """The first and the last place of a side."""
    return [row[0], row[-1]] if len(row) > 1 else list(row)
