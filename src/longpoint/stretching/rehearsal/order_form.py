"""Orders of stapling as a person writes them: numbers along each side, what comes out again, and how hard to pull.

A side's staples count from 1 at its left or lower end, the work seen from the front. A half number is a holding
staple between two of them. The form goes both ways: written by hand it becomes an order; an order that was improved
becomes a form that a person can read, change and name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from longpoint.errors import Fault, FaultsError, Where
from longpoint.stretching.rehearsal.edge import SIDES, Side
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, faults_of
from longpoint.stretching.staple_map import StapleMap, StapleUse

#: Shares closer than this are the same to a hand; they are written with three digits.
DIGITS = 3


@dataclass(frozen=True, slots=True)
class FormRun:
    """A run as it is written.

    Attributes:
        side: The side.
        staples: Numbers along it, half numbers for holding staples, in the order they are driven.
        pulls: Share of the full pull at each, shape as ``staples``.
        out: Numbers on the same side that come out first.
    """

    side: str
    staples: tuple[float, ...]
    pulls: tuple[float, ...]
    out: tuple[float, ...] = ()


def places_of_map(mapped: StapleMap) -> tuple[Place, ...]:
    """The places where a map's staples stay, by side and number along it.

    Args:
        mapped: The map.

    Returns:
        The places, named "bottom 1" and so on, from the bottom anticlockwise.
    """
    return tuple(
        Place(f"{side} {number}", side, along)
        for side in SIDES
        for number, along in enumerate(
            sorted(s.along for s in mapped.staples if s.side == side and s.use is StapleUse.EDGE), start=1
        )
    )


def order_of_form(
    name: str,
    runs: Iterable[FormRun],
    *,
    width: float,
    height: float,
    places: Iterable[Place],
    about: str = "written by the user",
    whole: bool = False,
    whose: str = "",
    where: str = "",
) -> Order:
    """An order as a person wrote it.

    Args:
        name: Its name.
        runs: Its runs.
        width: Of the face. [mm]
        height: Of the face. [mm]
        places: Where staples go, named "side number".
        about: One sentence.
        whole: True refuses an order that leaves a staple out.
        whose: Name of the work, for messages.
        where: Key under which the runs stand, for messages; "" where they stand at the head of a file.

    Returns:
        The order.

    Raises:
        FaultsError: With every fault, each with its run.
    """
    named = {place.name: place for place in places}
    stated = list(runs)
    wrong: list[Fault] = []
    made: list[OrderRun] = []
    at = f"{where}." if where else ""
    for number, run in enumerate(stated, start=1):
        if run.side not in SIDES:
            what = f'run {number} is on a side called "{run.side}".'
            remedy = f"Sides: {', '.join(SIDES)}."
            wrong.append(Fault("order-no-side", what, remedy, Where(f"{at}run[{number}]")))
            continue
        side: Side = next(one for one in SIDES if one == run.side)
        for along in (*run.staples, *run.out):
            _add_between(named, side, along)
        made.append(
            OrderRun(
                side,
                tuple(_called(side, along) for along in run.staples),
                run.pulls,
                tuple(_called(side, along) for along in run.out),
            )
        )
    order = Order(name, about, width, height, tuple(named.values()), tuple(made))
    wrong += [_placed(fault, at, where) for fault in faults_of(order)]
    wrong += _left_in(order, at)
    if whole:
        wrong += _left_out(order, where)
    if wrong:
        said = f"for {whose}, " if whose else ""
        raise FaultsError([replace(fault, what=f"{said}{fault.what}") for fault in dict.fromkeys(wrong)])
    return order


def form_of(order: Order) -> tuple[FormRun, ...]:
    """An order in the form that a person reads.

    Args:
        order: Any order of one face.

    Returns:
        Its runs by numbers along each side.
    """
    number: dict[str, float] = {}
    for side in SIDES:
        row = sorted((p for p in order.places if p.side == side), key=lambda p: p.along)
        stay = [p for p in row if not p.holding]
        number.update({p.name: float(k) for k, p in enumerate(stay, start=1)})
        for place in row:
            if place.holding:
                number[place.name] = sum(p.along < place.along for p in stay) + 0.5
    return tuple(
        FormRun(
            run.side,
            tuple(number[name] for name in run.puts_in),
            tuple(round(share, DIGITS) for share in run.shares),
            tuple(number[name] for name in run.takes_out),
        )
        for run in order.runs
    )


def counts_of(places: Iterable[Place]) -> Mapping[str, int]:
    """How many staples stay on each side."""
    listed = list(places)
    return {side: sum(p.side == side and not p.holding for p in listed) for side in SIDES}


def _called(side: str, number: float) -> str:
    return f"{side} {number:g}" if number == int(number) else f"hold {side} {number:g}"


def _add_between(named: dict[str, Place], side: Side, number: float) -> None:
    """A place between two of a side's, where a half number names one."""
    low, high = named.get(f"{side} {int(number)}"), named.get(f"{side} {int(number) + 1}")
    if number != int(number) and low is not None and high is not None:
        name = _called(side, number)
        named[name] = Place(name, side, 0.5 * (low.along + high.along))


def _placed(fault: Fault, at: str, where: str) -> Fault:
    key = fault.where.key
    return replace(fault, where=Where(f"{at}{key}" if key.startswith("run[") else where or "run"))


def _left_in(order: Order, at: str) -> list[Fault]:
    """Holding staples that never come out: they would stand between two others for good."""
    inside: dict[str, int] = {}
    named = {place.name: place for place in order.places}
    for number, run in enumerate(order.runs, start=1):
        for name in run.takes_out:
            inside.pop(name, None)
        inside.update({name: number for name in run.puts_in if name in named and named[name].holding})
    return [
        Fault(
            "order-holds-on",
            f'run {number} puts in the holding staple "{name.removeprefix("hold ")}", which no later run takes out.',
            "Name it under out in the run that reaches it.",
            Where(f"{at}run[{number}]"),
        )
        for name, number in inside.items()
    ]


def _left_out(order: Order, where: str) -> list[Fault]:
    """Staples of the work that the order never drives, side by side."""
    inside: set[str] = set()
    for run in order.runs:
        inside.difference_update(run.takes_out)
        inside.update(run.puts_in)
    found = []
    for side, count in counts_of(order.places).items():
        missing = [n for n in range(1, count + 1) if f"{side} {n}" not in inside]
        if missing and len(missing) < count:  # an empty side has a fault of its own
            what = f"the order leaves out {len(missing)} of the {count} staples on the {side} side: {_listed(missing)}."
            remedy = "Drive every staple; an order fits works with as many staples on each side as it was written for."
            found.append(Fault("order-leaves-out", what, remedy, Where(where or "run")))
    return found


def _listed(numbers: Sequence[int]) -> str:
    shown = ", ".join(str(n) for n in numbers[:6])
    return shown if len(numbers) <= 6 else f"{shown} …"
