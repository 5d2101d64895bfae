"""Where a work lies while it passes, position after position, as corners in millimetres.

A picture's origin is named at each function. What does not pass is placed as if it did and meets what stops it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, sin

from longpoint.handling.holds import Box, Hold
from longpoint.handling.obstacles import Corner, Door, QuarterLanding, Space, Stairs
from longpoint.handling.turning import corner_room, path_round

Point = tuple[float, float]
Shape = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """A picture of a work that passes.

    Attributes:
        walls: Lines of walls, floors and ceilings.
        opening: A clear rectangle to get through, as two corners; None where there is none.
        works: Positions of the work in their order.
    """

    walls: tuple[Shape, ...]
    opening: tuple[Point, Point] | None
    works: tuple[Shape, ...]


def tilted(flat: float, tall: float, angle: float) -> Shape:
    """A rectangle turned about its lower left corner and moved so that its bounds begin at the origin.

    Args:
        flat: Side that lies at angle 0. [mm]
        tall: Side that stands at angle 0. [mm]
        angle: How far it is turned, to the left. [rad]
    """
    c, s = cos(angle), sin(angle)
    corners = [
        (x * c - y * s, x * s + y * c) for x, y in ((0.0, 0.0), (flat, 0.0), (flat, tall), (0.0, tall))
    ]
    left = min(x for x, _ in corners)
    return tuple((x - left, y) for x, y in corners)


def moved(shape: Shape, x: float, y: float) -> Shape:
    """The same shape elsewhere."""
    return tuple((px + x, py + y) for px, py in shape)


def extent(shape: Shape) -> Point:
    """How wide and how high a shape is that begins at the origin. [mm]"""
    return max(x for x, _ in shape), max(y for _, y in shape)


def through(obstacle: Door | Space, box: Box, hold: Hold, tilt: float) -> Passage:
    """From the front, the opening's lower left corner the origin; raised or swung, as it lies in the space.

    Args:
        obstacle: A door or a space.
        box: The work.
        hold: How it is held.
        tilt: By how much. [rad]
    """
    along, up, across = box.edge(hold.along), box.edge(hold.up), box.edge(hold.across)
    width, height = obstacle.opening
    if isinstance(obstacle, Door) or hold.tilt in ("none", "lean"):
        return _in_opening(width, height, tilted(across, up, tilt))
    if hold.tilt == "raise":  # from the side
        return _in_opening(obstacle.depth, height, tilted(along, up, tilt))
    return _in_opening(obstacle.depth, width, tilted(along, across, tilt))  # from above


def _in_opening(wide: float, high: float, work: Shape) -> Passage:
    middle = (wide - extent(work)[0]) / 2
    return Passage((), ((0.0, 0.0), (wide, high)), (moved(work, middle, 0.0),))


def round_corner(obstacle: Corner | QuarterLanding, box: Box, hold: Hold, tilt: float) -> Passage:
    """From above: the outer corner is the origin, the way comes from the left and goes on upwards.

    Args:
        obstacle: A corner or a quarter landing.
        box: The work.
        hold: How it is held.
        tilt: By how much. [rad]
    """
    along, up, across = box.edge(hold.along), box.edge(hold.up), box.edge(hold.across)
    if hold.tilt == "raise":
        along = along * cos(tilt) + up * sin(tilt)
    elif hold.tilt == "lean":
        across = across * cos(tilt) + up * sin(tilt)
    long, thick = max(along, across), min(along, across)
    before, after = obstacle.before, obstacle.after
    far = 1.15 * max(long, before, after)
    walls: tuple[Shape, ...] = (
        ((-after - far, 0.0), (0.0, 0.0), (0.0, before + far)),
        ((-after - far, before), (-after, before), (-after, before + far)),
    )
    return Passage(walls, None, _turned(before, after, pi / 2, long, thick))


def _turned(before: float, after: float, turn: float, long: float, thick: float) -> tuple[Shape, ...]:
    """Pressed into the outer corner of two passages, turned further and further; or slid in and out at one angle."""
    path = path_round(before=before, after=after, turn=turn, long=long, thick=thick)
    if path is not None and len(path) == 1:
        first, out = _pressed(turn, long, thick, path[0]), 0.9 * hypot(long, thick)
        return (first, moved(first, out * cos(turn), out * sin(turn)))
    if path is None:
        path = (0.0, corner_room(before=before, after=after, turn=turn, long=long, thick=thick)[1], turn)
    return tuple(_pressed(turn, long, thick, angle) for angle in path)


def _pressed(turn: float, long: float, thick: float, angle: float) -> Shape:
    """At an angle, pressed against both outer walls."""
    c, s = cos(angle), sin(angle)
    corners = [
        (x * c - y * s, x * s + y * c) for x, y in ((0.0, 0.0), (long, 0.0), (long, thick), (0.0, thick))
    ]
    low = min(y for _, y in corners)
    right = min(-x * sin(turn) + (y - low) * cos(turn) for x, y in corners) / sin(turn)
    return tuple((x + right, y - low) for x, y in corners)


def _side(box: Box, hold: Hold, tilt: float) -> tuple[float, float]:
    """What a work shows from the side on stairs: along and up."""
    along, up, across = box.edge(hold.along), box.edge(hold.up), box.edge(hold.across)
    return along, up * cos(tilt) + across * sin(tilt)


def raised_on_stairs(stairs: Stairs, box: Box, hold: Hold, tilt: float) -> float:
    """How far one end is up before the foot of stairs is met. [rad]

    Args:
        stairs: The stairs.
        box: The work.
        hold: How it is held.
        tilt: By how much it leans. [rad]
    """
    long, thick = _side(box, hold, tilt)
    path = path_round(before=stairs.height, after=stairs.clear, turn=stairs.pitch, long=long, thick=thick)
    if path is None:
        return 0.0
    turned = abs(path[0]) % pi
    return min(turned, abs(pi / 2 - turned), pi - turned)


def up_stairs(stairs: Stairs, box: Box, hold: Hold, tilt: float) -> Passage:
    """From the side: the foot of the line of nosings is the origin; at the head it turns the same way back.

    Args:
        stairs: The stairs.
        box: The work.
        hold: How it is held.
        tilt: By how much it leans. [rad]
    """
    along, high = _side(box, hold, tilt)
    pitch, c, s = stairs.pitch, cos(stairs.pitch), sin(stairs.pitch)
    foot = _turned(stairs.height, stairs.clear, pitch, along, high)
    out = 1.05 * hypot(along, high)
    works = foot if len(foot) == 2 else (*foot[:-1], moved(foot[-1], out * c, out * s))
    far = min(x for shape in works for x, _ in shape) - 100
    flight = max(x * c + y * s for shape in works for x, y in shape) + 100
    low = (stairs.height - stairs.headroom) * stairs.going / stairs.rise  # where the ceilings meet
    floor = ((far, 0.0), (0.0, 0.0), (flight * c, flight * s))
    end = low + (flight - low * c) * c
    ceiling = (
        (far, stairs.height),
        (low, stairs.height),
        (end, stairs.height + (end - low) * stairs.rise / stairs.going),
    )
    return Passage((floor, ceiling), None, works)
