"""In which order a work's canvas is stapled: as its batch wishes, on the staples of its own map."""

from __future__ import annotations

from dataclasses import dataclass, replace

from longpoint.errors import Fault, FaultsError, Where
from longpoint.model.order import USUAL_ORDERS, OrderWish, RunWish
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal.order_form import FormRun, order_of_form, places_of_map
from longpoint.stretching.rehearsal.orders import Order
from longpoint.stretching.rehearsal.orders_map import map_from_order, order_from_map
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from longpoint.stretching.staple_map import StapleMap
from longpoint.works.brief import Brief


@dataclass(frozen=True, slots=True)
class Stapling:
    """How one work is stapled.

    Attributes:
        order: The order, ready to be rehearsed.
        mapped: The map that follows it.
        full_pull: Tension at the lip that its full pull brings; None: what leaves the tension wished. [N/mm]
        usual: The usual order on the same staples, middles outward.
        waits: Whether staples beside folded corners are driven later than the order said, because they must wait.
    """

    order: Order
    mapped: StapleMap
    full_pull: float | None
    usual: Order
    waits: bool


def form_runs(wish: OrderWish) -> tuple[FormRun, ...]:
    """The runs of a stated order.

    Args:
        wish: As stated.

    Returns:
        Its runs, one pull for each staple.
    """
    return tuple(FormRun(run.side, run.staples, _pulls(run), run.out) for run in wish.run)


def _pulls(run: RunWish) -> tuple[float, ...]:
    return run.pull if isinstance(run.pull, tuple) else (run.pull,) * len(run.staples)


def stapling_of(brief: Brief, *, mapped: StapleMap, clean: CleanSides = CleanSides.UPRIGHT) -> Stapling:
    """The order in which a work's canvas is stapled.

    Args:
        brief: The work.
        mapped: Its map in the usual order, for the staples' places and the folds.
        clean: The pair of sides without folds.

    Returns:
        The order and the map that follows it.

    Raises:
        FaultsError: If the order named was not read, or does not fit the work's staples; every fault.
    """
    name = brief.cloth.order
    first = order_from_map(mapped, name=USUAL_ORDERS[0])
    if name == first.name:
        return Stapling(first, mapped, None, first, waits=False)
    width, height = mapped.face_width, mapped.face_height
    places = places_of_map(mapped)
    if name in USUAL_ORDERS:
        usual = usual_orders(width=width, height=height, places=places)
        order = next(one for one in usual if one.name == name)
        return _stapling(order, mapped, full_pull=None, usual=first, clean=clean)
    found = next(((k, one) for k, one in enumerate(brief.orders, start=1) if one.name == name), None)
    if found is None:
        raise FaultsError([_not_read(name, brief.key)])
    number, wish = found
    order = order_of_form(
        wish.name,
        form_runs(wish),
        width=width,
        height=height,
        places=places,
        whole=True,
        whose=brief.work.name,
        where=f"order[{number}]",
    )
    named = replace(order, about="named by the batch")
    return _stapling(named, mapped, full_pull=wish.pull, usual=first, clean=clean)


def _stapling(
    order: Order, mapped: StapleMap, *, full_pull: float | None, usual: Order, clean: CleanSides
) -> Stapling:
    late = waiting_for_corners(order, clean)
    return Stapling(late, map_from_order(late, mapped), full_pull, usual, waits=late != order)


def _not_read(name: str, key: str) -> Fault:
    return Fault(
        "order-not-read",
        f"the file {name!r} with the order of stapling was not read.",
        "Lay it beside the batch file, or put its contents into the batch as [[order]] with [[order.run]].",
        Where(f"{key}.cloth.order"),
    )
