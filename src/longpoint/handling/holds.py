"""How a work is held: which of its edges goes along, which stands up, and about which axis it is tilted.

Tilts about two axes at once are not tried: a work that is said not to pass may yet pass so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin
from typing import Literal

from longpoint.handling.obstacles import Corner, Door, Obstacle, QuarterLanding, Space, Stairs
from longpoint.handling.turning import (
    SLACK,
    Window,
    lean_windows,
    lengthwise_least,
    rounds_corner,
)

Edge = Literal["width", "height", "depth"]
Tilt = Literal["none", "lean", "raise", "swing"]

EDGES: tuple[Edge, ...] = ("width", "height", "depth")

LEANS = tuple(radians(degree) for degree in range(91))
"""Leans that are tried where plan and ceiling both ask something of them: on landings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A work as it is carried, wrapped, with its hangers. [mm]

    Attributes:
        width: Of the face, as it hangs.
        height: Of the face, as it hangs.
        depth: Off the wall.
    """

    width: float
    height: float
    depth: float

    def edge(self, edge: Edge) -> float:
        """The length of one edge."""
        return {"width": self.width, "height": self.height, "depth": self.depth}[edge]

    def grown(self, by: float) -> Box:
        """With so much air around it; below zero: its face so much smaller and its depth as it is."""
        return Box(
            width=max(0.0, self.width + by),
            height=max(0.0, self.height + by),
            depth=self.depth + max(0.0, by),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How a work is held on its way.

    Attributes:
        along: The edge that goes along the way.
        up: The edge that stands up while nothing is tilted.
        tilt: ``lean``: about the edge that goes along; ``raise``: one end up; ``swing``: about the upright.
    """

    along: Edge
    up: Edge
    tilt: Tilt = "none"

    @property
    def across(self) -> Edge:
        """The edge that goes across the way."""
        return next(edge for edge in EDGES if edge not in (self.along, self.up))


def _holds(*tilts: Tilt) -> tuple[Hold, ...]:
    # What is simplest to do comes first: upright, on a side, flat, face first; then tilted.
    plain: tuple[tuple[Edge, Edge], ...] = (
        ("width", "height"), ("height", "width"), ("width", "depth"), ("height", "depth"),
        ("depth", "height"), ("depth", "width"),
    )  # fmt: skip
    return tuple(Hold(along=along, up=up, tilt=tilt) for tilt in tilts for along, up in plain)


def holds_for(obstacle: Obstacle) -> tuple[Hold, ...]:
    """Every hold that is tried at an obstacle, the simplest first."""
    match obstacle:
        case Door() | Stairs():
            return _holds("none", "lean")
        case Corner() | QuarterLanding():
            return _holds("none", "lean", "raise")
        case Space():
            return _holds("none", "lean", "raise", "swing")


def passing_angles(obstacle: Obstacle, box: Box, hold: Hold) -> Window | None:
    """Tilts at which a work passes in one hold.

    Args:
        obstacle: What it must get past.
        box: The work.
        hold: How it is held.

    Returns:
        The least and greatest tilt of one interval in which it passes [rad]; None where it passes at none.
    """
    along, up, across = box.edge(hold.along), box.edge(hold.up), box.edge(hold.across)
    match obstacle:
        case Door():
            width, height = obstacle.opening
            return _through(hold, up=up, across=across, height=height, width=width)
        case Space():
            return _into(obstacle, hold, along=along, up=up, across=across)
        case Corner():
            return _round(obstacle, hold, along=along, up=up, across=across)
        case Stairs():
            return _climbing(obstacle, hold, along=along, up=up, across=across)
        case QuarterLanding():
            return _on_landing(obstacle, hold, along=along, up=up, across=across)


def passes(obstacle: Obstacle, box: Box) -> bool:
    """Whether a work passes in any hold that is tried."""
    return any(passing_angles(obstacle, box, hold) is not None for hold in holds_for(obstacle))


_STRAIGHT: Window = (0.0, 0.0)


def _through(hold: Hold, *, up: float, across: float, height: float, width: float) -> Window | None:
    if hold.tilt == "none":
        return _STRAIGHT if up <= height + SLACK and across <= width + SLACK else None
    return _widest(lean_windows(up=up, across=across, height=height, width=width))


def _widest(windows: tuple[Window, ...]) -> Window | None:
    return max(windows, key=lambda window: window[1] - window[0], default=None)


def _into(space: Space, hold: Hold, *, along: float, up: float, across: float) -> Window | None:
    """Straight in, its tilt kept: what stays across the way must pass the door, what goes along must fit the depth."""
    width, height = space.opening
    if hold.tilt in ("none", "lean"):
        if along > space.depth + SLACK:
            return None
        return _through(hold, up=up, across=across, height=height, width=width)
    if hold.tilt == "raise":
        if across > width + SLACK:
            return None
        return _widest(lean_windows(up=up, across=along, height=height, width=space.depth))
    if up > height + SLACK:
        return None
    return _widest(lean_windows(up=across, across=along, height=width, width=space.depth))


def _round(corner: Corner, hold: Hold, *, along: float, up: float, across: float) -> Window | None:
    """In plan the walls are upright, so only what the work covers of the floor counts."""
    angle = 0.0
    if hold.tilt == "none":
        if up > corner.height + SLACK:
            return None
    elif hold.tilt == "lean":
        found = lengthwise_least(along=across, up=up, height=corner.height)
        if found is None:
            return None
        across, angle = found
    else:
        found = lengthwise_least(along=along, up=up, height=corner.height)
        if found is None:
            return None
        along, angle = found
    return (angle, angle) if _turns_in_plan(corner, along, across) else None


def _turns_in_plan(corner: Corner | QuarterLanding, one: float, other: float) -> bool:
    return rounds_corner(
        before=corner.before, after=corner.after, turn=pi / 2, long=max(one, other), thick=min(one, other)
    )


def _climbing(stairs: Stairs, hold: Hold, *, along: float, up: float, across: float) -> Window | None:
    """Seen from the side, the work turns by the pitch at the foot and back at the head."""
    if hold.tilt == "none":
        leans: tuple[float, ...] = (0.0,)
    elif stairs.landing is not None:
        leans = LEANS
    else:  # least height for the width between the walls, as the least length under a ceiling
        found = lengthwise_least(along=up, up=across, height=stairs.width)
        leans = () if found is None else (found[1],)
    for angle in leans:
        c, s = cos(angle), sin(angle)
        high, wide = up * c + across * s, up * s + across * c
        if (
            wide <= stairs.width + 2 * SLACK
            and _goes_up(stairs, along, high)
            and _turns_aside(stairs, along, high, wide)
        ):
            return angle, angle
    return None


def _goes_up(stairs: Stairs, along: float, high: float) -> bool:
    ends = (stairs.height, stairs.clear)
    return all(
        rounds_corner(before=before, after=after, turn=stairs.pitch, long=along, thick=high)
        for before, after in (ends, ends[::-1])
    )


def _turns_aside(stairs: Stairs, along: float, high: float, wide: float) -> bool:
    """At the head, level, its tail lifted over the flight, under what slopes down there."""
    if stairs.landing is None:
        return True
    tail = max(0.0, hypot(along, wide) - stairs.landing)
    if tail > 0 and high + tail * stairs.rise / stairs.going > stairs.headroom + SLACK:
        return False
    aside = Corner(before=stairs.width, after=stairs.landing, height=stairs.height)
    return _turns_in_plan(aside, along, wide)


def _on_landing(
    landing: QuarterLanding, hold: Hold, *, along: float, up: float, across: float
) -> Window | None:
    """Level, lifted over the steps that it reaches above while it turns; pitching it meanwhile is not counted on."""
    for angle in (0.0,) if hold.tilt == "none" else LEANS:
        c, s = cos(angle), sin(angle)
        if hold.tilt == "raise":
            long, wide, high = along * c + up * s, across, along * s + up * c
        else:
            long, wide, high = along, across * c + up * s, up * c + across * s
        over = max(0.0, hypot(long, wide) - landing.before)
        if high + over * landing.rise / landing.going <= landing.height + SLACK and _turns_in_plan(
            landing, long, wide
        ):
            return angle, angle
    return None
