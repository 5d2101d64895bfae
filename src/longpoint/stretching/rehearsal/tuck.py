"""Staples that wait for the corner: it can be tucked only when the clean side is closed up to it.

The last staple of a folded side would pin the flap that the tuck goes under. Whatever an order says, at the bench
that staple is driven once the corner is folded; so it is rehearsed, and printed, in that place.
"""

from __future__ import annotations

from dataclasses import replace

from longpoint.stretching.fold import CleanSides, CornerPlace, corner_places
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, check_order


def waiting_for_corners(order: Order, clean: CleanSides = CleanSides.UPRIGHT) -> Order:
    """The order as it can be driven with folded corners.

    A last staple beside a corner that the order drives on the folded side before the clean side is closed there waits
    and follows in a run of its own. Its pull stays; where it had none, being in the very first run, it takes that of
    the staple at the other end of its side, for then there is something to pull against.

    Args:
        order: An order.
        clean: The pair of sides without folds.

    Returns:
        The order, or the same one where no staple has to wait.
    """
    snug = not any(order.runs[0].shares) if order.runs else False
    for corner in corner_places(clean):
        order = _waiting(order, corner)
    if snug and any(order.runs[0].shares):
        # the first run waits as a whole, and the next one has nothing to pull against
        first = order.runs[0]
        order = replace(order, runs=(replace(first, shares=(0.0,) * len(first.shares)), *order.runs[1:]))
    check_order(order)
    return order


def _waiting(order: Order, corner: CornerPlace) -> Order:
    right, upper = "right" in corner.name, "upper" in corner.name
    last = _last(order, corner.folded_side, high=right if corner.folded_side in ("bottom", "top") else upper)
    closing = _last(order, corner.clean_side, high=right if corner.clean_side in ("bottom", "top") else upper)
    driven = {
        name: next((k for k, run in enumerate(order.runs) if name in run.puts_in), None)
        for name in (last.name, closing.name)
    }
    first, closed = driven[last.name], driven[closing.name]
    if first is None or closed is None or first > closed:
        return order
    share = 0.0
    out: tuple[str, ...] = ()
    before: list[OrderRun] = []
    for run in order.runs[: closed + 1]:
        if last.name in run.puts_in:
            share = run.shares[run.puts_in.index(last.name)]
        kept = _without(run, last.name)
        if kept.puts_in:
            before.append(kept)
        else:  # what it took out stands in the way of the staple that waits, and waits with it
            out += kept.takes_out
    if not share:
        share = _share_of(order, _last(order, corner.folded_side, high=last.along < _middle(order, last)))
    own = OrderRun(last.side, (last.name,), (share,), out)
    return replace(order, runs=(*before, own, *order.runs[closed + 1 :]))


def _last(order: Order, side: str, *, high: bool) -> Place:
    """The place nearest to one end of a side, of those that stay."""
    row = [p for p in order.places if p.side == side and not p.holding]
    return (max if high else min)(row, key=lambda p: p.along)


def _middle(order: Order, place: Place) -> float:
    return 0.5 * (order.width if place.side in ("bottom", "top") else order.height)


def _share_of(order: Order, place: Place) -> float:
    """The first pull of a staple that is not nothing; the full one where there is none."""
    pulls = (
        share
        for run in order.runs
        for name, share in zip(run.puts_in, run.shares, strict=True)
        if name == place.name and share > 0
    )
    return next(pulls, 1.0)


def _without(run: OrderRun, name: str) -> OrderRun:
    pairs = [(one, share) for one, share in zip(run.puts_in, run.shares, strict=True) if one != name]
    return replace(
        run,
        puts_in=tuple(one for one, _ in pairs),
        shares=tuple(share for _, share in pairs),
        takes_out=tuple(one for one in run.takes_out if one != name),
    )
