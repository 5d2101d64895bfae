"""How a work hangs: wire and rings by statics, how far it leans, where the hooks go on the wall.

Lengths in mm, forces in N, angles in radians. x counts from the left, y from the top of a work or from the floor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, atan2, cos, hypot, pi, sin, sqrt, tan

GRAVITY = 9.81
"""[m/s²]"""

STEEPEST = pi / 6
"""A wire at this angle pulls at each end as hard as the whole work weighs; steeper is not sought. [rad]"""

FLATTEST = pi / 12
"""A wire flatter than this pulls at each end with almost twice the weight: two points are taken. [rad]

Estimate; the pull is statics.
"""

HIDDEN = 40.0
"""How far below the top edge a hook stays out of sight. [mm] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """A wire between two rings over one or two hooks.

    Attributes:
        sag: From the rings up to the hooks, loaded. [mm]
        angle: Of its ends to the level. [rad]
        tension: In its ends. [N]
        inward: Pull on each ring towards the other. [N]
        length: From ring to ring over the hooks. [mm]
    """

    sag: float
    angle: float
    tension: float
    inward: float
    length: float


def wire(*, weight: float, span: float, sag: float, hooks_apart: float = 0.0) -> Wire:
    """A wire by statics: each end carries half the weight, ``T = W / (2 sin θ)``.

    Args:
        weight: Of the work. [N]
        span: From ring to ring. [mm]
        sag: From the line of the rings up to the hooks, above 0. [mm]
        hooks_apart: Between two hooks; 0 for one. [mm]
    """
    free = (span - hooks_apart) / 2
    angle = atan2(sag, free)
    tension = weight / (2 * sin(angle))
    return Wire(
        sag=sag,
        angle=angle,
        tension=tension,
        inward=tension * cos(angle),
        length=2 * hypot(free, sag) + hooks_apart,
    )


def wire_of(*, weight: float, span: float, length: float) -> Wire | None:
    """A wire of a given length over one hook; None where it does not reach.

    Args:
        weight: Of the work. [N]
        span: From ring to ring. [mm]
        length: From ring to ring over the hook. [mm]
    """
    if length <= span:
        return None
    return wire(weight=weight, span=span, sag=sqrt(length**2 - span**2) / 2)


def wire_for(*, weight: float, span: float, below_top: float) -> Wire | None:
    """The wire over one hook that pulls least and stays hidden; None where it would be too flat.

    Args:
        weight: Of the work. [N]
        span: From ring to ring. [mm]
        below_top: Of the rings. [mm]
    """
    sag = min(span / 2 * tan(STEEPEST), below_top - HIDDEN)
    if sag < span / 2 * tan(FLATTEST):
        return None
    return wire(weight=weight, span=span, sag=sag)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """How a hung work leans: its bottom edge on the wall, its rings held off it.

    Attributes:
        tilt: From upright, top forward. [rad]
        top_gap: Between the back of its top edge and the wall. [mm]
        push: Of the bottom edge on the wall, and the pull of both rings off it. [N]
    """

    tilt: float
    top_gap: float
    push: float


def lean(*, weight: float, height: float, below_top: float, ring_off: float, centre_off: float) -> Lean:
    """How a hung work leans: the moment of its weight about the rings, carried by its bottom edge.

    Args:
        weight: Of the work. [N]
        height: Of the work. [mm]
        below_top: Of the rings. [mm]
        ring_off: How far the rings hold the back off the wall. [mm]
        centre_off: The mass's centre in front of the back. [mm]
    """
    arm = height - below_top
    tilt = asin(min(1.0, ring_off / arm))
    return Lean(
        tilt=tilt, top_gap=ring_off + below_top * sin(tilt), push=weight * (centre_off + ring_off) / arm
    )


def place_clear(
    wished: float,
    *,
    low: float,
    high: float,
    screws: Sequence[float],
    taken: Sequence[tuple[float, float]],
) -> float | None:
    """The place of a hanger nearest to a wished one, its screws clear of others along a bar.

    Args:
        wished: Where its middle is wanted. [mm]
        low: No nearer to one end. [mm]
        high: No nearer to the other. [mm]
        screws: Each of its screws from its middle. [mm]
        taken: Places of what must not be met, and how far a screw keeps from each. [mm]

    Returns:
        The place; None where there is none.
    """
    edges = (at + side * clear - screw for at, clear in taken for side in (-1, 1) for screw in screws)
    fit = [
        place
        for place in (wished, low, high, *edges)
        if low <= place <= high
        and all(abs(place + screw - at) >= clear - 1e-9 for screw in screws for at, clear in taken)
    ]
    return min(fit, key=lambda place: (abs(place - wished), place), default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnWall:
    """A work in its place on a wall.

    Attributes:
        left: Of its left edge from the wall's left corner. [mm]
        foot: Of its lower edge above the floor. [mm]
        width: Of its face. [mm]
        height: Of its face. [mm]
        hooks: Each from the left corner and above the floor. [mm]
    """

    left: float
    foot: float
    width: float
    height: float
    hooks: tuple[tuple[float, float], ...]


def hook_height(*, centre: float, height: float, drop: float) -> float:
    """Height of hooks above the floor: centre line, half the height up, the drop down. [mm]

    Args:
        centre: Of the work above the floor. [mm]
        height: Of the work. [mm]
        drop: From its top edge to the hook. [mm]
    """
    return centre + height / 2 - drop


def on_wall(
    *, left: float, centre: float, width: float, height: float, drop: float, from_left: Sequence[float]
) -> OnWall:
    """A work and its hooks in their place.

    Args:
        left: Of its left edge from the left corner. [mm]
        centre: Of its middle above the floor. [mm]
        width: Of its face. [mm]
        height: Of its face. [mm]
        drop: From its top edge to the hooks. [mm]
        from_left: Each hook from its left edge. [mm]
    """
    up = hook_height(centre=centre, height=height, drop=drop)
    return OnWall(
        left=left,
        foot=centre - height / 2,
        width=width,
        height=height,
        hooks=tuple((left + at, up) for at in from_left),
    )
