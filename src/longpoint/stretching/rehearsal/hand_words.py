"""Pulls that a hand can tell apart, and zones of staples that are pulled alike.

A person at the bench is not told a hundred forces. A side has a middle, parts between, and its ends near the
corners with the last staple beside each; opposite sides are pulled alike; the first pull on each side and the
staples that hold corners may have a share of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from longpoint.stretching.rehearsal.field import NEAR_CORNER
from longpoint.stretching.rehearsal.orders import Order, Place

#: Shares a hand can tell apart, and their words.  Estimate.
WORDS: tuple[tuple[float, str], ...] = (
    (1.0, "firm"),
    (0.75, "three quarters of firm"),
    (2 / 3, "two thirds of firm"),
    (0.5, "half of firm"),
    (1 / 3, "a third of firm"),
)
#: Nearer than this to a corner a staple is the last beside it. [mm]
LAST = 60.0
#: Farther than this part of its side from either corner a staple is in the middle.
MIDDLE = 0.3

LEVEL, UPRIGHT = "bottom and top", "left and right"
IN_MIDDLE, BETWEEN, CORNERS, BESIDE = (
    "in the middle", "between", "near the corners", "last beside the corners",
)  # fmt: skip
FIRST, HOLDING = "first pull on each side", "holding staples"


@dataclass(frozen=True, slots=True)
class Zone:
    """Staples that are pulled alike.

    Attributes:
        pair: The pair of sides, or "" for all.
        where: Which part of them.
        names: Staples.
    """

    pair: str
    where: str
    names: tuple[str, ...]

    @property
    def name(self) -> str:
        """In words, e.g. "left and right, near the corners"."""
        return f"{self.pair}, {self.where}" if self.pair else self.where


def in_words(share: float) -> tuple[float, str]:
    """The share a hand can tell nearest to one wished, and its words."""
    return min(WORDS, key=lambda pair: abs(pair[0] - share))


def zones_of(order: Order, *, corner: float = NEAR_CORNER) -> tuple[Zone, ...]:
    """The zones of an order: by pair of sides and distance from the corner, first pulls and holding staples apart.

    Args:
        order: The order.
        corner: Nearer than this to a corner counts as near it. [mm]

    Returns:
        The zones that have staples, each staple in one.
    """
    first = _first_pulls(order)
    found: dict[tuple[str, str], list[str]] = {}
    for place in order.places:
        pair = _pair(place)
        if place.holding:
            key = ("", HOLDING)
        elif place.name in first:
            key = ("", FIRST)
        else:
            key = (pair, _where(order, place, corner))
        found.setdefault(key, []).append(place.name)
    return tuple(Zone(pair, where, tuple(names)) for (pair, where), names in sorted(found.items()))


def pulls_in_words(order: Order) -> tuple[tuple[str, str], ...]:
    """How hard an order pulls, a line for each pair of sides and for what stands apart.

    Args:
        order: Whose pulls are alike in each of its zones.

    Returns:
        Where, and the pull in words.
    """
    words = words_by_zone(order)
    said = {(z.pair, z.where): in_words(words[z.name])[1] for z in zones_of(order) if z.name in words}
    lines = []
    for pair in (LEVEL, UPRIGHT):
        parts: list[tuple[str, list[str]]] = []
        for where in (IN_MIDDLE, BETWEEN, CORNERS, BESIDE):
            pull = said.get((pair, where))
            if pull is not None and parts and parts[-1][0] == pull:
                parts[-1][1].append(where)
            elif pull is not None:
                parts.append((pull, [where]))
        if len(parts) == 1:
            lines.append((pair, parts[0][0]))
        elif parts:
            lines.append((pair, "; ".join(f"{pull} {' and '.join(where)}" for pull, where in parts)))
    lines += [(where, said["", where]) for where in (FIRST, HOLDING) if ("", where) in said]
    return tuple(lines)


def words_by_zone(order: Order) -> dict[str, float]:
    """Share of the full pull in every zone of an order that is pulled at all, as a hand is told it."""
    share = pull_of(order)
    found: dict[str, float] = {}
    for zone in zones_of(order):
        pulls = [share[name] for name in zone.names if share.get(name, 0.0) > 0]
        if pulls:
            found[zone.name] = in_words(max(set(pulls), key=lambda pull: (pulls.count(pull), pull)))[0]
    return found


def told(order: Order, shares: Mapping[str, float]) -> Order:
    """An order pulled as its zones are told; a staple pulled a second time is pulled like its neighbours.

    Args:
        order: The order; staples put in without a pull stay so.
        shares: Share of the full pull by name of the zone; zones left out keep theirs.

    Returns:
        The order.
    """
    zone_of = {name: zone for zone in zones_of(order) for name in zone.names}
    runs, inside = [], set[str]()
    for run in order.runs:
        pulls = []
        for name, old in zip(run.puts_in, run.shares, strict=True):
            zone = zone_of[name]
            key = zone.name
            if name in inside and zone.where == FIRST:
                place = order.place(name)
                key = f"{_pair(place)}, {_where(order, place, NEAR_CORNER)}"
            pulls.append(shares.get(key, shares.get(zone.name, old)) if old > 0 else 0.0)
        inside.update(run.puts_in)
        runs.append(replace(run, shares=tuple(pulls)))
    return replace(order, runs=tuple(runs))


def pull_of(order: Order) -> Mapping[str, float]:
    """Share of the full pull of every staple when it is first driven."""
    share: dict[str, float] = {}
    for run in order.runs:
        for name, pull in zip(run.puts_in, run.shares, strict=True):
            share.setdefault(name, pull)
    return share


def _first_pulls(order: Order) -> set[str]:
    """The staples of the first run on each side."""
    seen: dict[str, Sequence[str]] = {}
    for run in order.runs:
        names = [name for name in run.puts_in if not order.place(name).holding]
        if names:
            seen.setdefault(run.side, names)
    return {name for names in seen.values() for name in names}


def _pair(place: Place) -> str:
    return LEVEL if place.side in ("bottom", "top") else UPRIGHT


def _where(order: Order, place: Place, corner: float) -> str:
    length = order.width if place.side in ("bottom", "top") else order.height
    near = order.from_corner(place)
    if near < min(LAST, 0.2 * length):
        return BESIDE
    if near < min(corner, 0.25 * length):
        return CORNERS
    return IN_MIDDLE if near > MIDDLE * length else BETWEEN
