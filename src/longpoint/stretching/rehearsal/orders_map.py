"""The staple map and the order rehearsed are one thing: each made from the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from longpoint.stretching.rehearsal.edge import OPPOSITE, SIDES, Side
from longpoint.stretching.rehearsal.hand_words import in_words
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, check_order
from longpoint.stretching.staple_map import MappedStaple, Run, StapleMap, StapleUse


def _side(name: str) -> Side:
    return next(side for side in SIDES if side == name)


def order_from_map(mapped: StapleMap, *, name: str = "as mapped") -> Order:
    """The order in which a staple map is driven, ready to be rehearsed.

    Staples that close folds are left out: they pull nothing. The first run is put in without a pull.

    Args:
        mapped: The map.
        name: Name of the order.

    Returns:
        The order; places are called "hold N" or "staple N" after the map's labels.

    Raises:
        FaultsError: If the map leaves a side empty.
    """
    called, places, share = {}, [], {}
    for staple in mapped.staples:
        if staple.use is StapleUse.FOLD:
            continue
        kind = "hold" if staple.use is StapleUse.HOLDING else "staple"
        called[staple.label] = f"{kind} {staple.label.lstrip('H')}"
        share[staple.label] = staple.pull
        places.append(Place(called[staple.label], _side(staple.side), staple.along))
    runs: list[OrderRun] = []
    for run in mapped.runs:
        labels = [label for label in run.puts_in if label in called]
        out = tuple(called[label] for label in run.takes_out if label in called)
        if not labels and not out:
            continue
        shares = tuple(share[label] if runs else 0.0 for label in labels)
        runs.append(OrderRun(_side(run.side), tuple(called[label] for label in labels), shares, out))
    made = Order(
        name, "as on the staple map", mapped.face_width, mapped.face_height, tuple(places), tuple(runs)
    )
    check_order(made)
    return made


def map_from_order(order: Order, mapped: StapleMap) -> StapleMap:
    """A staple map that follows an order, numbered anew as it is driven, folds closed last as before.

    Args:
        order: The order, for the same face.
        mapped: A map of the same work, for the staple row and the folds.

    Returns:
        The map. A staple pulled a second time keeps its number; its second run says that it comes out and goes
        back in.
    """
    across = next(staple.across for staple in mapped.staples if staple.use is StapleUse.EDGE)
    label_of: dict[str, str] = {}
    staples: list[MappedStaple] = []
    runs: list[Run] = []
    edge = hold = 0
    for number, run in enumerate(order.runs, start=1):
        for name, share in zip(run.puts_in, run.shares, strict=True):
            if name in label_of:
                continue
            place = order.place(name)
            edge, hold = edge + (not place.holding), hold + place.holding
            label_of[name] = f"H{hold}" if place.holding else str(edge)
            use = StapleUse.HOLDING if place.holding else StapleUse.EDGE
            staples.append(MappedStaple(label_of[name], use, place.side, place.along, across, share, number))
        pull = min(run.shares, default=0.0)
        runs.append(
            Run(
                number=number,
                side=run.side,
                puts_in=tuple(label_of[name] for name in run.puts_in),
                takes_out=tuple(label_of[name] for name in run.takes_out),
                pull=pull,
                firmness=_firmness(run.shares),
            )
        )
    folds = [staple for staple in mapped.staples if staple.use is StapleUse.FOLD]
    fold_labels = {staple.label for staple in folds}
    closing = [run for run in mapped.runs if set(run.puts_in) & fold_labels]
    moved: dict[int, int] = {run.number: len(runs) + k for k, run in enumerate(closing, start=1)}
    runs.extend(replace(last, number=moved[last.number]) for last in closing)
    staples.extend(replace(fold, run=moved[fold.run]) for fold in folds)
    return StapleMap(
        face_width=order.width,
        face_height=order.height,
        staples=tuple(staples),
        runs=tuple(runs),
        spacing_level=_spacing(order, "bottom"),
        spacing_upright=_spacing(order, "left"),
        seat=mapped.seat,
    )


def _firmness(shares: Sequence[float]) -> str:
    """The pulls of a run in words."""
    if not shares or max(shares) == 0:
        return "only snug, nothing pulls against it yet"
    told = sorted({in_words(share) for share in shares if share > 0}, reverse=True)
    return ", ".join(words for _, words in told)


def _spacing(order: Order, side: str) -> float:
    """Widest spacing on a side and the one opposite. [mm]"""
    widest = 0.0
    for one in (side, OPPOSITE[side]):
        row = sorted(p.along for p in order.places if p.side == one and not p.holding)
        widest = max([widest, *(b - a for a, b in pairwise(row))])
    return widest
