"""The orders people use: middles outward, pinwheel, corners first, round the frame, side after side.

Who says which: the middles first is what most handouts say, corners first stands in print against it (the trade
contradicts itself); pinwheel and the rest are common practice, no published source. Near corners many pull
lighter, where cloth splits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from longpoint.stretching.rehearsal.edge import SIDES, Side
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, check_order
from longpoint.tables import habit


@dataclass(frozen=True, slots=True, kw_only=True)
class Lightness:
    """How the pull eases towards the corners.

    Attributes:
        within: Nearer than this to a corner the pull is lighter; 0 for an even pull. [mm]
        share: Share of the full pull there.
    """

    within: float
    share: float


def usual_lightness() -> Lightness:
    """The habit: two thirds of the pull within 150 mm of a corner; sources stand in the table of habits."""
    return Lightness(within=habit("lighter within").value, share=habit("pull near corners").value)


EVEN = Lightness(within=0.0, share=1.0)


@dataclass(slots=True)
class _Draft:
    """An order being written down."""

    width: float
    height: float
    places: dict[str, Place]
    light: Lightness
    runs: list[OrderRun]
    holding: list[Place]

    def on(self, side: Side) -> list[Place]:
        """Places of a side, rising."""
        return sorted((p for p in self.places.values() if p.side == side), key=lambda p: p.along)

    def length(self, side: Side) -> float:
        return self.width if side in ("bottom", "top") else self.height

    def drive(self, group: Sequence[Place], *, snug: bool = False) -> None:
        """Adds a run; holding staples that it reaches come out first."""
        if not group:
            return
        side = group[0].side
        low, high, middle = min(p.along for p in group), max(p.along for p in group), 0.5 * self.length(side)
        reached = [
            p
            for p in self.holding
            if p.side == side
            and ((p.along > middle and high > p.along) or (p.along < middle and low < p.along))
        ]
        for place in reached:
            self.holding.remove(place)
        shares = tuple(0.0 if snug else self.share(p) for p in group)
        self.runs.append(OrderRun(side, tuple(p.name for p in group), shares, tuple(p.name for p in reached)))

    def share(self, place: Place) -> float:
        near = min(self.light.within, 0.25 * self.length(place.side))
        from_corner = min(place.along, self.length(place.side) - place.along)
        return self.light.share if from_corner < near else 1.0

    def hold_corners(self) -> None:
        """One holding staple at each corner, between two later ones."""
        corners: tuple[tuple[Side, bool], ...] = (
            ("bottom", True),
            ("top", False),
            ("bottom", False),
            ("top", True),
        )
        for number, (side, low) in enumerate(corners, start=1):
            pair = self.on(side)[:2] if low else self.on(side)[-2:]
            place = Place(f"hold {number}", side, sum(p.along for p in pair) / len(pair))
            self.places[place.name] = place
            self.holding.append(place)
            self.runs.append(OrderRun(place.side, (place.name,), (self.light.share,)))

    def order(self, name: str, about: str) -> Order:
        made = Order(name, about, self.width, self.height, tuple(self.places.values()), tuple(self.runs))
        check_order(made)
        return made


def _draft(width: float, height: float, places: Iterable[Place], light: Lightness | None) -> _Draft:
    used = usual_lightness() if light is None else light
    return _Draft(width, height, {p.name: p for p in places}, used, [], [])


def _chunks(row: Sequence[Place], size: int) -> list[list[Place]]:
    """Runs of about ``size``, never a single staple left over at the corner."""
    if not row:
        return []
    count = max(1, round(len(row) / size))
    edges = [round(k * len(row) / count) for k in range(count + 1)]
    return [list(row[a:b]) for a, b in pairwise(edges)]


@dataclass(frozen=True, slots=True)
class _Halves:
    """A side as its middle run and the runs towards either end, from the middle out."""

    middle: list[Place]
    low: list[list[Place]]
    high: list[list[Place]]


def _halves(row: list[Place], run: int) -> _Halves:
    size = min(run if (len(row) - run) % 2 == 0 else run - 1, len(row))
    size = max(size, 1)
    first = (len(row) - size) // 2
    middle = row[first : first + size]
    centre = 0.5 * (row[0].along + row[-1].along)
    by_nearness = sorted(middle, key=lambda p: (abs(p.along - centre), p.along))
    return _Halves(by_nearness, _chunks(row[:first][::-1], run), _chunks(row[first + size :], run))


def _pairs(width: float, height: float) -> tuple[tuple[Side, Side], tuple[Side, Side]]:
    """Pairs of opposite sides, the longer ones first."""
    level: tuple[Side, Side] = ("bottom", "top")
    upright: tuple[Side, Side] = ("left", "right")
    return (level, upright) if width >= height else (upright, level)


def middles_outward(
    *,
    width: float,
    height: float,
    places: Iterable[Place],
    run: int = 3,
    light: Lightness | None = None,
    holding: bool = True,
) -> Order:
    """Middles of all four sides, a holding staple at each corner, then outwards, turning to the opposite side.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners; the habit where None.
        holding: False leaves out the holding staples.

    Returns:
        The order.
    """
    draft = _draft(width, height, places, light)
    pairs = _pairs(width, height)
    halves = {side: _halves(draft.on(side), run) for side in SIDES}
    for number, side in enumerate(side for pair in pairs for side in pair):
        draft.drive(halves[side].middle, snug=number == 0)
    if holding:
        draft.hold_corners()
    for ring in range(max(len(h.low) for h in halves.values())):
        for pair in pairs:
            for end in ("high", "low"):
                for side in pair:
                    rings: list[list[Place]] = getattr(halves[side], end)
                    if ring < len(rings):
                        draft.drive(rings[ring])
    about = "middles of all sides first, then outwards by turns"
    return draft.order("middles outward", about + (", lighter near corners" if draft.light.share < 1 else ""))


def pinwheel(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness | None = None
) -> Order:
    """Middles, then always on to the next side round, first the halves on one hand, then those on the other.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners; even where None.

    Returns:
        The order.
    """
    draft = _draft(width, height, places, EVEN if light is None else light)
    halves = {side: _halves(draft.on(side), run) for side in SIDES}
    for number, side in enumerate(SIDES):
        draft.drive(halves[side].middle, snug=number == 0)
    onward = {"bottom": "high", "right": "high", "top": "low", "left": "low"}
    for back in (False, True):
        for ring in range(max(len(h.low) for h in halves.values())):
            for side in SIDES:
                end = onward[side] if not back else {"high": "low", "low": "high"}[onward[side]]
                rings: list[list[Place]] = getattr(halves[side], end)
                if ring < len(rings):
                    draft.drive(rings[ring])
    return draft.order("pinwheel", "middles, then side by side round the frame, always towards the same hand")


def corners_first(
    *, width: float, height: float, places: Iterable[Place], light: Lightness | None = None
) -> Order:
    """Corners, then the middle of every gap, again and again.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        light: How the pull eases towards the corners; even where None.

    Returns:
        The order.
    """
    draft = _draft(width, height, places, EVEN if light is None else light)
    sides = [side for pair in _pairs(width, height) for side in pair]
    rows = {side: draft.on(side) for side in sides}
    for number, side in enumerate(sides):
        row = rows[side]
        draft.drive([row[0], row[-1]] if len(row) > 1 else row, snug=number == 0)
    gaps = {side: [(0, len(row) - 1)] for side, row in rows.items()}
    while any(gaps.values()):
        for side in sides:
            middles, left = [], []
            for low, high in gaps[side]:
                if high - low > 1:
                    middle = (low + high) // 2
                    middles.append(middle)
                    left += [(low, middle), (middle, high)]
            gaps[side] = left
            for group in _chunks([rows[side][k] for k in middles], 3):
                draft.drive(group)
    return draft.order("corners first", "corners, then the middle of every gap, halving until all are in")


def round_the_frame(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness | None = None
) -> Order:
    """Begins in the lower left corner and goes once round.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners; even where None.

    Returns:
        The order.
    """
    draft = _draft(width, height, places, EVEN if light is None else light)
    for side in SIDES:
        row = draft.on(side)
        onward = row if side in ("bottom", "right") else row[::-1]
        for number, group in enumerate(_chunks(onward, run)):
            draft.drive(group, snug=side == "bottom" and number == 0)
    return draft.order("round the frame", "from one corner once round the frame")


def side_after_side(
    *, width: float, height: float, places: Iterable[Place], run: int = 3, light: Lightness | None = None
) -> Order:
    """One whole side, then the opposite one, then the other pair, each from its middle.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go.
        run: Staples in a run.
        light: How the pull eases towards the corners; even where None.

    Returns:
        The order.
    """
    draft = _draft(width, height, places, EVEN if light is None else light)
    for number, side in enumerate(side for pair in _pairs(width, height) for side in pair):
        half = _halves(draft.on(side), run)
        draft.drive(half.middle, snug=number == 0)
        for ring in range(max(len(half.low), len(half.high))):
            for rings in (half.high, half.low):
                if ring < len(rings):
                    draft.drive(rings[ring], snug=number == 0)
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
