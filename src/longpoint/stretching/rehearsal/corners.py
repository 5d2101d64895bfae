"""Whether corners want less: the middles-outward order with lighter corners, with an even pull, and with no holding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from longpoint.stretching.rehearsal.orders import Order, OrderRun
from longpoint.stretching.rehearsal.rehearse import Rehearsal

LIGHT = "middles outward"
EVEN = "middles outward, even pull"
UNHELD = "middles outward, even, none holding"


def corner_trials(order: Order) -> tuple[Order, Order]:
    """The same order with an even pull, and with an even pull and no holding staples.

    Args:
        order: Middles outward, lighter near the corners.

    Returns:
        Both.
    """
    even = replace(_evenly_pulled(order), name=EVEN)
    return even, replace(_without_holding(even), name=UNHELD)


def about_corners(found: Mapping[str, Rehearsal]) -> str:
    """Whether lighter corners pay, in sentences with their numbers.

    Args:
        found: Rehearsals by name of order, those three among them.

    Returns:
        The sentences.
    """
    light, even, unheld = found[LIGHT], found[EVEN], found[UNHELD]

    def stand(one: Rehearsal) -> str:
        mean = 0.5 * (one.left.mean_level + one.left.mean_upright)
        return f"{100 * one.left.corner_mean / mean:.0f} % of the mean tension (spread {100 * one.left.spread:.0f} %)"

    better = (
        "bears out" if light.left.spread < min(even.left.spread, unheld.left.spread) else "does not bear out"
    )
    return (
        f"Middles outward, lighter near the corners, leaves the corners at {stand(light)}; an even pull at "
        f"{stand(even)}; an even pull without holding staples at {stand(unheld)}. On this work and frame that "
        f"{better} that corners want less."
    )


def _evenly_pulled(order: Order) -> Order:
    """The same order with the full pull wherever it pulls at all.

    Args:
        order: An order.
    """
    runs = tuple(
        replace(run, shares=tuple(1.0 if share > 0 else 0.0 for share in run.shares)) for run in order.runs
    )
    return replace(order, runs=runs)


def _without_holding(order: Order) -> Order:
    """The same order without the staples that hold corners and come out again.

    Args:
        order: An order.
    """
    holding = {place.name for place in order.places if place.holding}
    runs = []
    for run in order.runs:
        pairs = [
            (name, share) for name, share in zip(run.puts_in, run.shares, strict=True) if name not in holding
        ]
        out = tuple(name for name in run.takes_out if name not in holding)
        if pairs or out:
            puts, shares = tuple(n for n, _ in pairs), tuple(s for _, s in pairs)
            runs.append(OrderRun(run.side, puts, shares, out))
    places = tuple(place for place in order.places if place.name not in holding)
    return replace(order, places=places, runs=tuple(runs))
