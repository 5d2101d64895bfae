"""Orders in which a canvas is stapled: those people use, and those written by the user.

An order is a list of runs, as people staple: two to four staples on one side, then on to another. The first run
is put in without a pull, for there is nothing yet to pull against. Near corners the pull is lighter, where cloth
splits. Who says which order: the middles first is what most handouts say, corners first stands in print against
it (trade's own contradiction); pinwheel and the rest are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from longpoint.errors import Fault, FaultsError, Where
from longpoint.stretching.rehearsal_edge import OPPOSITE, SIDES, Side
from longpoint.stretching.staple_places import side_places
from longpoint.tables import habit


@dataclass(frozen=True, slots=True)
class Place:
    """Where a staple may go.

    Attributes:
        name: Side and number along it from the left or lower end, e.g. "top 7"; "hold 2" for one that comes out.
        side: The side.
        along: From the side's left or lower end. [mm]
    """

    name: str
    side: Side
    along: float


@dataclass(frozen=True, slots=True)
class OrderRun:
    """A short row of staples put in before turning to the next side.

    Attributes:
        side: The side.
        puts_in: Names, in the order they are driven.
        shares: Share of the full pull at each, 0 for only snug, shape as ``puts_in``.
        takes_out: Names of staples taken out first.
    """

    side: Side
    puts_in: tuple[str, ...]
    shares: tuple[float, ...]
    takes_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Order:
    """An order of stapling.

    Attributes:
        name: Short name.
        about: One sentence.
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Every place that is used.
        runs: In order.
    """

    name: str
    about: str
    width: float
    height: float
    places: tuple[Place, ...]
    runs: tuple[OrderRun, ...]

    @property
    def steps(self) -> int:
        """How many staples are driven, those that come out again among them."""
        return sum(len(run.puts_in) for run in self.runs)

    def place(self, name: str) -> Place:
        """A place by its name."""
        return next(place for place in self.places if place.name == name)

    def from_corner(self, place: Place) -> float:
        """Distance of a place from the nearer corner of its side. [mm]"""
        length = self.width if place.side in ("bottom", "top") else self.height
        return min(place.along, length - place.along)


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


def usual_places(
    *, width: float, height: float, spacing: float | None = None, last: float | None = None
) -> tuple[Place, ...]:
    """Places round the face, evenly on each side, from the bottom anticlockwise.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        spacing: Widest spacing; the habit where None. [mm]
        last: From the corner to the last staple; the habit where None. [mm]

    Returns:
        The places.
    """
    widest = habit("spacing, widest").value if spacing is None else spacing
    corner = habit("last staple to corner").value if last is None else last
    made: list[Place] = []
    for side in SIDES:
        length = width if side in ("bottom", "top") else height
        row = side_places(length=length, widest=widest, closest=0.8 * widest, last=corner)
        made.extend(Place(f"{side} {n}", side, along) for n, along in enumerate(row, start=1))
    return tuple(made)


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


def with_shares(order: Order, shares: dict[str, float]) -> Order:
    """The same order with other pulls.

    Args:
        order: An order.
        shares: Share of the full pull by place; places left out keep theirs.

    Returns:
        A new order.
    """
    runs = tuple(
        replace(
            run,
            shares=tuple(shares.get(name, old) for name, old in zip(run.puts_in, run.shares, strict=True)),
        )
        for run in order.runs
    )
    return replace(order, runs=runs)


def with_second_pass(order: Order, names: Iterable[str], *, share: float = 1.0) -> Order:
    """The order with some staples taken out at the end, pulled again and put back, one by one.

    Args:
        order: An order.
        names: Places to pull again, in order.
        share: Share of the full pull.

    Returns:
        A new order.
    """
    runs = list(order.runs)
    for name in names:
        runs.append(OrderRun(order.place(name).side, (name,), (share,), (name,)))
    return replace(order, runs=tuple(runs))


def faults_of(order: Order) -> list[Fault]:
    """Everything wrong with an order.

    Args:
        order: An order, perhaps written by hand.

    Returns:
        The faults, in the order of the runs.
    """
    found: list[Fault] = []
    known = {place.name: place for place in order.places}
    inside: dict[str, int] = {}
    for number, run in enumerate(order.runs, start=1):
        where = Where(f"run[{number}]")
        if len(run.shares) != len(run.puts_in):
            what = f"run {number} puts in {len(run.puts_in)} staples but states {len(run.shares)} pulls."
            found.append(Fault("order-pulls", what, "State one pull for each staple.", where))
        found.extend(
            Fault("order-pull", f"run {number} pulls at {share:g} of the full pull.", "State 0 to 2.", where)
            for share in run.shares
            if not 0 <= share <= 2
        )
        for name in run.takes_out:
            if inside.pop(name, None) is None:
                what = f'run {number} takes out "{name}", which is not in.'
                found.append(Fault("order-not-in", what, "Take it out after it was put in.", where))
        for name in run.puts_in:
            place = known.get(name)
            if place is None:
                what = f'run {number} names a staple "{name}" that has no place.'
                found.append(Fault("order-unknown", what, f"Names run from {_names(order)}.", where))
            elif place.side != run.side:
                what = f'run {number} is on the {run.side} side, but "{name}" lies on the {place.side} side.'
                found.append(Fault("order-side", what, "Begin a new run for each side.", where))
            if name in inside:
                what = f'run {number} names "{name}", which run {inside[name]} has already put in.'
                found.append(Fault("order-twice", what, "Name it once, or take it out first.", where))
            inside[name] = number
    for side in SIDES:
        if not any(name in known and known[name].side == side for name in inside):
            what = f"the {side} side is left empty."
            found.append(Fault("order-side-empty", what, "Staple every side.", Where("runs")))
    return found


def _names(order: Order) -> str:
    return (
        f'"{order.places[0].name}" to "{order.places[-1].name}"'
        if order.places
        else "nothing: no places stated"
    )


def check_order(order: Order) -> None:
    """Refuses an order that cannot be stapled.

    Args:
        order: An order.

    Raises:
        FaultsError: With every fault.
    """
    if found := faults_of(order):
        raise FaultsError(found)


def written_order(
    *,
    name: str,
    width: float,
    height: float,
    places: Iterable[Place],
    runs: Iterable[tuple[str, Sequence[int], float]],
) -> Order:
    """An order as a person writes it down.

    Args:
        name: Its name.
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go, named "side number".
        runs: Side, numbers along it in the order they are driven, and the share of the full pull.

    Returns:
        The order.

    Raises:
        FaultsError: With every fault.
    """
    made: list[OrderRun] = []
    wrong: list[Fault] = []
    for number, (side, numbers, share) in enumerate(runs, start=1):
        if side not in OPPOSITE:
            what = f'run {number} is on a side called "{side}".'
            remedy = f"Sides: {', '.join(SIDES)}."
            wrong.append(Fault("order-no-side", what, remedy, Where(f"run[{number}]")))
            continue
        names = tuple(f"{side} {n}" for n in numbers)
        made.append(OrderRun(side, names, (share,) * len(names)))  # type: ignore[arg-type]
    order = Order(name, "written by the user", width, height, tuple(places), tuple(made))
    wrong.extend(faults_of(order))
    if wrong:
        raise FaultsError(wrong)
    return order


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
