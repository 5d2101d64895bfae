"""Orders in which a canvas is stapled, written down and checked.

An order is a list of runs, as people staple: two to four staples on one side, then on to another. The first run
is put in without a pull, for there is nothing yet to pull against. The orders people use stand in
``orders_usual``, the form that people write in ``order_form``; here is what an order is, and what is wrong with one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from longpoint.errors import Fault, FaultsError, Where
from longpoint.stretching.rehearsal.edge import SIDES, Side
from longpoint.stretching.staple_places import side_places
from longpoint.tables import habit

#: How the names of holding staples begin.
HOLD = "hold"


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

    @property
    def holding(self) -> bool:
        """Whether a staple here only holds for a while and comes out again."""
        return self.name.startswith(HOLD)


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
