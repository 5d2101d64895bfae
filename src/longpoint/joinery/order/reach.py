"""Whether drill and driver reach a screw: a clear straight cylinder outside the wood that is already there."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from longpoint.joinery.joints.joint import Fixing
from longpoint.joinery.order.solid import HAIR, Prism
from longpoint.model.shop import Drill

BIT_RADIUS = 4.0
"""Of a bit or a driver's blade, with a little room; estimate. [mm]"""
DRIVER_BLADE = Fraction(50)
"""Free length of a driver's blade; estimate. [mm]"""
BESIDE_CHUCK = Fraction(2)
"""Air left beside the chuck; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cylinder:
    """A straight round space along one axis.

    Attributes:
        axis: 0 along x, 1 along y, 2 along z.
        low: Where it starts along that axis. [mm]
        high: Where it stops. [mm]
        centre: Its middle in the other two, in the order x, y, z. [mm]
        radius: Its radius. [mm]
    """

    axis: int
    low: float
    high: float
    centre: tuple[float, float]
    radius: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """What stands in the way of a screw.

    Attributes:
        fixing: Name of the screw.
        member: The member in the way.
    """

    fixing: str
    member: str


def needed_shift(*, rail_thickness: Fraction, drill: Drill) -> Fraction:
    """How far a middle piece must stand aside, so that a drill on its centre line passes beside its neighbour.

    Half the neighbour's thickness, the chuck and a little air, in whole 5 mm.

    Args:
        rail_thickness: Of the middle pieces, seen from the front. [mm]
        drill: The drill.
    """
    need = rail_thickness / 2 + drill.chuck_radius + BESIDE_CHUCK
    return Fraction(5 * math.ceil(need / 5))


def room_behind(fixing: Fixing, *, drill: Drill) -> Fraction:
    """How much straight room a screw needs in front of the face it is driven from. [mm]

    Boring, the bit's tip stands on the face with the machine behind it. Driving, the screw has been pushed into its
    clearance hole by hand; what stands out of it has a driver's blade and the machine behind it.
    """
    machine = drill.length - drill.bit
    driving = machine + DRIVER_BLADE + max(fixing.screw.length - fixing.passed, Fraction(0))
    return max(drill.length, driving)


def drill_room(fixing: Fixing, *, drill: Drill) -> tuple[Cylinder, ...]:
    """The space that boring and driving take outside the wood.

    Near the wood only the bit needs room; from where the chuck stands at the bottom of the hole, the whole machine.
    """
    bored = fixing.passed + fixing.pilot_depth
    chuck_from = max(drill.bit - bored, Fraction(0))
    end = room_behind(fixing, drill=drill)
    return (
        _outward(fixing, Fraction(0), chuck_from, BIT_RADIUS),
        _outward(fixing, chuck_from, end, float(drill.chuck_radius)),
    )


def obstacles(
    fixing: Fixing, solids: dict[str, tuple[Prism, ...]], *, drill: Drill, there: Iterable[str]
) -> tuple[Obstacle, ...]:
    """The members that stand where the drill must go.

    Args:
        fixing: The screw.
        solids: Every member as prisms.
        drill: The drill.
        there: Names of the members that are in their place.

    Returns:
        Obstacles in the order of ``there``; none: the screw is reached.
    """
    rooms = drill_room(fixing, drill=drill)
    return tuple(
        Obstacle(fixing=fixing.name, member=name)
        for name in there
        if any(_hits(room, prism) for room in rooms for prism in solids[name])
    )


def bench_lift(fixings: Iterable[Fixing], *, drill: Drill) -> Fraction:
    """How far a frame lying face down must be packed up, so that the drill clears the bench. [mm]"""
    lifts = [drill.chuck_radius + BESIDE_CHUCK + fixing.start[2] for fixing in fixings if not fixing.axis[2]]
    return max([Fraction(0), *lifts])


def _outward(fixing: Fixing, near: Fraction, far: Fraction, radius: float) -> Cylinder:
    axis = next(index for index in range(3) if fixing.axis[index])
    sign = fixing.axis[axis]
    start = fixing.start[axis]
    ends = sorted((float(start - sign * near), float(start - sign * far)))
    others = [float(fixing.start[index]) for index in range(3) if index != axis]
    return Cylinder(axis=axis, low=ends[0], high=ends[1], centre=(others[0], others[1]), radius=radius)


def _hits(room: Cylinder, prism: Prism) -> bool:
    if room.high - room.low <= HAIR:
        return False
    if room.axis == 2:
        if min(room.high, prism.front) - max(room.low, prism.back) <= HAIR:
            return False
        return _distance_to_outline(room.centre, prism.outline) < room.radius - HAIR
    span = _clipped(prism.outline, room.axis, room.low, room.high)
    if span is None:
        return False
    across = max(span[0] - room.centre[0], room.centre[0] - span[1], 0.0)
    off = max(prism.back - room.centre[1], room.centre[1] - prism.front, 0.0)
    return math.hypot(across, off) < room.radius - HAIR


def _clipped(
    outline: tuple[tuple[float, float], ...], axis: int, low: float, high: float
) -> tuple[float, float] | None:
    """Extent across, of the part of a convex outline that lies within a strip; None: nothing lies in it."""
    along = [point[axis] for point in outline]
    if min(max(along), high) - max(min(along), low) <= HAIR:
        return None
    found: list[float] = []
    for here, there in zip(outline, (*outline[1:], outline[0]), strict=True):
        if low <= here[axis] <= high:
            found.append(here[1 - axis])
        run = there[axis] - here[axis]
        for limit in (low, high):
            if run and 0.0 < (limit - here[axis]) / run < 1.0:
                share = (limit - here[axis]) / run
                found.append(here[1 - axis] + share * (there[1 - axis] - here[1 - axis]))
    return min(found), max(found)


def _distance_to_outline(point: tuple[float, float], outline: tuple[tuple[float, float], ...]) -> float:
    """From a point to a convex outline; 0 inside."""
    inside = True
    nearest = math.inf
    px, py = point
    for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True):
        dx, dy = x1 - x0, y1 - y0
        if dx * (py - y0) - dy * (px - x0) < 0.0:
            inside = False
        size = dx * dx + dy * dy
        share = min(max(((px - x0) * dx + (py - y0) * dy) / size, 0.0), 1.0) if size else 0.0
        nearest = min(nearest, math.hypot(px - x0 - share * dx, py - y0 - share * dy))
    return 0.0 if inside else nearest
