"""Where a staple sits in the wood: its row on the bar, how its crown is turned, and the room it takes in space.

The row lies in the middle of what there is to staple: cloth and wood. The crown is turned like the mitre at the nearer
corner, so that its two legs stand in two lines of grain (a staple carries its full load sideways only with its crown
at 45 degrees or more to the grain, see the table of fasteners) and neighbours at a corner lie side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import asin, ceil, cos, pi, sin

from longpoint.joinery.joints.joint import Joint
from longpoint.joinery.screws.clash import Body, Segment, Vector, bodies_apart, body_of
from longpoint.tables import habit, staple_kind

SLANT = pi / 4
"""Of a crown to the edge of the bar. [rad]"""
FROM_SCREW = 1.0
"""Wood kept between a leg and a screw or its hole; estimate. [mm]"""
FROM_STAPLE = 4.0
"""Wood kept between two staples; estimate. [mm]"""
BESIDE_MITRE = 6.0
"""From the middle of a corner's staple to the line of the mitre; estimate. [mm]"""
_MOST_MOVED = 0.45  # of the spacing: farther, and a staple would change places with its neighbour


@dataclass(frozen=True, slots=True)
class Seat:
    """How the staples of one work sit in its bars.

    Attributes:
        width: Of the face. [mm]
        height: Of the face. [mm]
        depth: Of the bars, off the wall. [mm]
        on_back: Whether they go into the back; otherwise into the sides.
        line: From the face edge to the row, along the cloth. [mm]
        crown: Width of a staple. [mm]
        leg: Length of its legs. [mm]
        slant: Of the crown to the edge of the bar. [rad]
    """

    width: float
    height: float
    depth: float
    on_back: bool
    line: float
    crown: float
    leg: float
    slant: float

    @property
    def row(self) -> float:
        """From the outer arris of the back, or from the lip on a side, to the row. [mm]"""
        return self.line - self.depth if self.on_back else self.line

    @property
    def last(self) -> float:
        """From the corner to the last staple: the habit, or more where neighbours would meet over the mitre. [mm]"""
        usual = habit("last staple to corner").value
        # in half millimetres, which a rule can show
        return max(usual, ceil(2 * (self.row + BESIDE_MITRE * 2**0.5)) / 2) if self.on_back else usual

    def length(self, side: str) -> float:
        """Of a side. [mm]"""
        return self.width if side in ("bottom", "top") else self.height

    def body(self, side: str, along: float, across: float | None = None) -> Body:
        """The room one staple takes, in the frame's axes.

        Args:
            side: Side of the work.
            along: From its left or lower end. [mm]
            across: From the face edge along the cloth; None for the row. [mm]
        """
        line = self.line if across is None else across
        on = {"bottom": (1.0, 0.0, 0.0), "top": (1.0, 0.0, 0.0)}.get(side, (0.0, 1.0, 0.0))
        into = {
            "bottom": (0.0, 1.0, 0.0),
            "top": (0.0, -1.0, 0.0),
            "left": (1.0, 0.0, 0.0),
            "right": (-1.0, 0.0, 0.0),
        }[side]
        corner = {"top": (0.0, self.height, 0.0), "right": (self.width, 0.0, 0.0)}.get(side, (0.0, 0.0, 0.0))
        if line > self.depth:
            sideways, drive = into, (0.0, 0.0, 1.0)
            middle = _go(_go(_go(corner, on, along), into, line - self.depth), (0.0, 0.0, 1.0), -self.depth)
        else:
            sideways, drive = (0.0, 0.0, -1.0), into
            middle = _go(_go(corner, on, along), (0.0, 0.0, 1.0), -line)
        nearer = 1.0 if along < 0.5 * self.length(side) else -1.0
        half = 0.5 * self.crown
        reach = (nearer * half * cos(self.slant), half * sin(self.slant))
        ends = [_go(_go(middle, on, sign * reach[0]), sideways, sign * reach[1]) for sign in (-1.0, 1.0)]
        wire = 0.5 * staple_kind("flat crown, narrow").wire_width
        lines: tuple[Segment, ...] = (
            (ends[0], ends[1], wire),
            *((end, _go(end, drive, self.leg - wire), wire) for end in ends),
        )
        points = [point for one in lines for point in one[:2]]
        low = tuple(min(point[k] for point in points) - wire for k in range(3))
        high = tuple(max(point[k] for point in points) + wire for k in range(3))
        return Body(lines, (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def slant_for(*, row: float, crown: float) -> float:
    """How far a crown may be turned off the edge of the bar and still leave wood beside its legs.

    Args:
        row: From the nearer edge of the wood to the row. [mm]
        crown: Width of a staple. [mm]

    Returns:
        45 degrees, or less on a thin bar. [rad]
    """
    spare = max(row - habit("staple to edge of bar").value, 0.0)
    return min(SLANT, asin(min(spare / (0.5 * crown), 1.0)))


def bodies_of(joints: Iterable[Joint]) -> tuple[Body, ...]:
    """Screws, bolts and dowels of a frame as bodies.

    Args:
        joints: Its joints.

    Returns:
        One body for each.
    """
    found = [body_of(fixing) for joint in joints for fixing in joint.fixings]
    for joint in joints:
        for bolt in joint.bolts:
            ends = tuple(tuple(float(value) for value in point) for point in (bolt.start, bolt.end))
            found.append(_rod(ends[0], ends[1], 1.5 * float(bolt.diameter)))  # as wide as its washers
        for dowel in joint.dowels:
            half = float(dowel.length) / 2
            middle = tuple(float(value) for value in dowel.centre)
            way = tuple(float(value) for value in dowel.axis)
            start, stop = (
                tuple(m + sign * half * w for m, w in zip(middle, way, strict=True)) for sign in (-1, 1)
            )
            found.append(_rod(start, stop, float(dowel.diameter) / 2))
    return tuple(found)


def _rod(start: tuple[float, ...], stop: tuple[float, ...], radius: float) -> Body:
    one, two = (start[0], start[1], start[2]), (stop[0], stop[1], stop[2])
    low = tuple(min(a, b) - radius for a, b in zip(one, two, strict=True))
    high = tuple(max(a, b) + radius for a, b in zip(one, two, strict=True))
    return Body(((one, two, radius),), (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def moved_clear(
    seat: Seat,
    side: str,
    along: float,
    *,
    metal: Sequence[Body],
    within: float,
    across: float | None = None,
    others: Sequence[Body] = (),
) -> float:
    """The place nearest to one wished where a staple meets nothing.

    Args:
        seat: How staples sit.
        side: Side of the work.
        along: Place wished, from the side's left or lower end. [mm]
        metal: Screws, bolts and dowels.
        within: How far it may be moved. [mm]
        across: From the face edge along the cloth; None for the row. [mm]
        others: Staples that stand already.

    Returns:
        The place, towards the middle of the side where two are as near; the one wished where none is clear. [mm]
    """
    inward = 1.0 if along < 0.5 * seat.length(side) else -1.0
    steps = [0.0]
    for step in range(1, int(within) + 1):
        steps += [inward * step, -inward * step]
    for by in steps:
        body = seat.body(side, along + by, across)
        if all(bodies_apart(body, other) >= FROM_SCREW for other in metal) and all(
            bodies_apart(body, other) >= FROM_STAPLE for other in others
        ):
            return along + by
    return along


def line_clear(seat: Seat, *, metal: Sequence[Body]) -> Seat:
    """The same seat with its row moved down or up the sides, as little as frees the last staples at every corner.

    Args:
        seat: How staples sit.
        metal: Screws, bolts and dowels.

    Returns:
        The seat; unmoved where the row lies on the back, or where no height is clear. [mm]
    """
    if seat.on_back:
        return seat
    edge = habit("staple to edge of bar").value + 0.5 * seat.crown * sin(seat.slant)
    for step in range(int(seat.depth / 4) * 2 + 1):
        tried = replace(seat, line=seat.line + (step + 1) // 2 * (1 if step % 2 else -1))
        ends = [
            tried.body(side, along)
            for side in ("bottom", "top", "left", "right")
            for along in (tried.last, tried.length(side) - tried.last)
        ]
        if edge <= tried.line <= seat.depth - edge and all(
            bodies_apart(end, other) >= FROM_SCREW for end in ends for other in metal
        ):
            return tried
    return seat


def fold_clear(
    seat: Seat, side: str, along: float, across: float, *, metal: Sequence[Body], others: Sequence[Body]
) -> tuple[float, float] | None:
    """The place nearest to one wished where a staple that closes a fold meets nothing.

    Args:
        seat: How staples sit.
        side: Side of the work.
        along: Place wished, from the side's left or lower end. [mm]
        across: The same from the face edge along the cloth. [mm]
        metal: Screws, bolts and dowels.
        others: Staples that stand already.

    Returns:
        Along and across; None where nothing near is clear. [mm]
    """
    inward = 1 if along < 0.5 * seat.length(side) else -1
    edge = habit("staple to edge of bar").value + 0.5 * seat.crown * sin(seat.slant)
    heights = [0] if seat.on_back else range(-8, 9)
    moves = sorted((abs(a) + abs(b), abs(b), -a, a, b) for a in range(-2, 10) for b in heights)
    for *_, a, b in moves:
        at, line = along + inward * a, across + b
        if not seat.on_back and not edge <= line <= seat.depth - edge:
            continue
        body = seat.body(side, at, line)
        if all(bodies_apart(body, other) >= FROM_SCREW for other in metal) and all(
            bodies_apart(body, other) >= FROM_STAPLE for other in others
        ):
            return at, line
    return None


def row_clear(seat: Seat, side: str, places: Sequence[float], *, metal: Sequence[Body]) -> tuple[float, ...]:
    """A side's places, each moved as little as makes it clear of the screws under it.

    Args:
        seat: How staples sit.
        side: Side of the work.
        places: Along the side, rising. [mm]
        metal: Screws, bolts and dowels.

    Returns:
        As many places, rising. [mm]
    """
    within = _MOST_MOVED * (places[1] - places[0]) if len(places) > 1 else 0.0
    return tuple(moved_clear(seat, side, along, metal=metal, within=within) for along in places)


def _go(point: Vector, way: Vector, by: float) -> Vector:
    return (point[0] + by * way[0], point[1] + by * way[1], point[2] + by * way[2])
