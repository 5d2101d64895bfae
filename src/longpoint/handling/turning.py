"""Rectangles that turn: through an opening, and round the corner of two passages. Closed forms, exact.

A box that is carried without being tilted about two axes at once shows every obstacle a rectangle: a section to an
opening, a plan to walls, a side to a ceiling. Two questions about rectangles therefore answer everything here.

Angles in radians, lengths in mm, all floating; what fits to within a millionth of a millimetre fits.
"""

from __future__ import annotations

from itertools import pairwise
from math import acos, asin, atan2, cos, hypot, pi, sin

import numpy as np

SLACK = 1e-6
"""What fits to within this fits. [mm]"""

Window = tuple[float, float]
"""Angles from and to. [rad]"""


def lean_windows(*, up: float, across: float, height: float, width: float) -> tuple[Window, ...]:
    """Angles at which a rectangle fits an upright opening: at 0 its side ``up`` stands, at a right angle it lies.

    The two conditions are ``up cos f + across sin f <= height`` and ``up sin f + across cos f <= width``; both sides
    are one cosine each, so the angles are intervals with closed ends. There is one if and only if the rectangle
    fits by the criterion of Carver (1957) and Wetzel, "Rectangles in rectangles", Mathematics Magazine 73 (2000).

    Args:
        up: Side that stands at angle 0. [mm]
        across: The other side. [mm]
        height: Of the opening. [mm]
        width: Of the opening. [mm]

    Returns:
        Intervals within 0 to π/2, rising; empty where it fits at no angle.
    """
    long, tilt = hypot(up, across), atan2(across, up)
    height, width = height + SLACK, width + SLACK
    # |f − tilt| ≥ low keeps under the height; |f − (π/2 − tilt)| ≥ wide keeps within the width.
    low = acos(height / long) if height < long else 0.0
    wide = pi / 2 - asin(width / long) if width < long else 0.0
    below = _outside(tilt, low)
    within = _outside(pi / 2 - tilt, wide)
    found = [(max(first[0], second[0]), min(first[1], second[1])) for first in below for second in within]
    return tuple(sorted((start, stop) for start, stop in found if start <= stop))


def _outside(middle: float, half: float) -> list[Window]:
    """What of 0 to π/2 lies at least ``half`` from ``middle``."""
    if half <= 0:
        return [(0.0, pi / 2)]
    return [(start, stop) for start, stop in ((0.0, middle - half), (middle + half, pi / 2)) if start <= stop]


def corner_room(
    *,
    before: float,
    after: float,
    turn: float,
    long: float,
    thick: float,
    between: Window | None = None,
) -> tuple[float, float]:
    """What a rectangle has to spare where it is pressed into the outer corner and comes nearest to the inner one.

    Both ends of its outer side touch the outer walls. At angle θ its inner side is
    ``(before sin(turn − θ) + after sin θ − long sin θ sin(turn − θ)) / sin turn − thick`` away from the inner corner
    (for a right angle the textbook's ladder, made thick). Its stationary points are the roots of a quartic in
    ``exp(iθ)``; the least is sought among all of them and both ends.

    Args:
        before: Clear width of the passage it comes from. [mm]
        after: Clear width of the passage it goes to. [mm]
        turn: Angle between the two, above 0, at most a right angle. [rad]
        long: Side that goes along the passage. [mm]
        thick: The other side. [mm]
        between: Angles from lengthwise that are looked at; None: 0 to ``turn``. [rad]

    Returns:
        Room to the inner corner, negative where it is missing [mm], and the angle turned where it is least [rad].
    """
    first, last = between or (0.0, turn)
    cut = np.exp(-1j * turn)
    # −before cos(turn − θ) + after cos θ − long sin(turn − 2θ) = 0, times 2 exp(2iθ)
    one, other = after - before * cut, after - before / cut
    roots = np.roots([-1j * long * cut, one, 0.0, other, 1j * long / cut])
    angles = [first, last, *(float(angle) for angle in np.angle(roots) if first < angle < last)]
    return min((_room(before, after, turn, long, angle) - thick, angle) for angle in angles)


def _room(before: float, after: float, turn: float, long: float, angle: float) -> float:
    rest = turn - angle
    reach = before * sin(rest) + after * sin(angle) - long * sin(angle) * sin(rest)
    return reach / sin(turn)


def path_round(
    *, before: float, after: float, turn: float, long: float, thick: float
) -> tuple[float, ...] | None:
    """How a rectangle gets round the corner of two passages, turned any way round. Exact.

    While it fits neither passage at its angle, a line parts it from the inner corner; pressed into the outer corner
    it is farthest from every such line. If none of its sides faces the inner corner only a vertex does, and then the
    line can be turned until it is one of the passages' own: so it must be a side, and the line along it is the last
    to go. It passes, therefore, if at one angle it fits both passages and slides round unturned; or if between an
    angle at which it fits the first and one at which it fits the second a side has `corner_room` all the way.

    Args:
        before: Clear width of the passage it comes from. [mm]
        after: Clear width of the passage it goes to. [mm]
        turn: Angle between the two, above 0, at most a right angle. [rad]
        long: One side. [mm]
        thick: The other side. [mm]

    Returns:
        Angles of ``long`` from the first passage: one where it slides, else the first, the tightest and the last of
        its turn [rad]; None where it does not pass.
    """
    quarter = pi / 2
    first = _across_at_most(long, thick, before)
    second = [(start + turn, stop + turn) for start, stop in _across_at_most(long, thick, after)]
    if not first or not second:
        return None
    second = [(start + move, stop + move) for move in (-pi, 0.0) for start, stop in second]
    both = [(max(one[0], two[0]), min(one[1], two[1])) for one in first for two in second]
    slides = [(start, stop) for start, stop in both if start <= stop + 1e-12]
    if slides:
        return (min((max(start, min(0.0, stop)) for start, stop in slides), key=abs),)
    for begin, side, other in ((0.0, long, thick), (quarter, thick, long)):
        found = _turned(before, after, turn, side, other, begin, first, second)
        if found is not None:
            return found
    return None


def _turned(
    before: float,
    after: float,
    turn: float,
    side: float,
    other: float,
    begin: float,
    first: list[Window],
    second: list[Window],
) -> tuple[float, ...] | None:
    """From one passage to the other while one side faces the inner corner: the angles from ``begin`` on."""
    pieces = sorted(
        (max(0.0, start - begin + move), min(turn, stop - begin + move), which)
        for which, windows in enumerate((first, second))
        for start, stop in windows
        for move in (-pi, 0.0, pi)
        if max(0.0, start - begin + move) <= min(turn, stop - begin + move)
    )
    for (_, left, here), (right, _, there) in pairwise(pieces):
        if here == there or _room(before, after, turn, side, (left + right) / 2) < other - SLACK:
            continue
        room, worst = corner_room(
            before=before, after=after, turn=turn, long=side, thick=other, between=(left, right)
        )
        if room >= -SLACK:
            path = (begin + left, begin + worst, begin + right)
            return path if here == 0 else path[::-1]
    return None


def _across_at_most(long: float, thick: float, width: float) -> list[Window]:
    """Angles from lengthwise, −π/2 to π/2, at which a rectangle is at most so wide across a passage."""
    width += SLACK
    across, middle = hypot(long, thick), atan2(long, thick)
    windows = _outside(middle, acos(width / across) if width < across else 0.0)
    return [*((-stop, -start) for start, stop in reversed(windows)), *windows]


def rounds_corner(*, before: float, after: float, turn: float, long: float, thick: float) -> bool:
    """Whether a rectangle gets round the corner of two passages: see `path_round`."""
    return path_round(before=before, after=after, turn=turn, long=long, thick=thick) is not None


def longest_round(*, before: float, after: float, thick: float) -> float:
    """The longest rectangle of a thickness that turns a right-angled corner. [mm]

    The least over θ of ``(before cos θ + after sin θ − thick) / (sin θ cos θ)``. For no thickness it is
    ``(before^⅔ + after^⅔)^(3/2)``; between equal widths w, ``2 √2 w − 2 thick``.

    Args:
        before: Clear width of one passage. [mm]
        after: Clear width of the other. [mm]
        thick: Thickness, at most either width. [mm]
    """

    def slope(angle: float) -> float:  # changes its sign once: falls, rises through zero, falls
        s, c = sin(angle), cos(angle)
        return after * s**3 - before * c**3 + thick * (c * c - s * s)

    low, high = 0.0, pi / 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if slope(middle) < 0 else (low, middle)
    s, c = sin(high), cos(high)
    return (before * c + after * s - thick) / (s * c)


def lengthwise_least(*, along: float, up: float, height: float) -> tuple[float, float] | None:
    """How far one end is raised so that a rectangle under a ceiling is shortest in plan.

    Both its height ``along sin f + up cos f`` and its length ``along cos f + up sin f`` are cosines, so the length is
    least at an end of an interval of the angles that the ceiling lets.

    Args:
        along: Side that lies at angle 0. [mm]
        up: Side that stands at angle 0. [mm]
        height: Of the ceiling. [mm]

    Returns:
        Length in plan [mm] and angle [rad]; None where it fits at no angle.
    """
    spread, middle = hypot(along, up), atan2(along, up)
    height += SLACK
    allowed = _outside(middle, acos(height / spread) if height < spread else 0.0)
    ends = [angle for window in allowed for angle in window]
    return min(((along * cos(angle) + up * sin(angle), angle) for angle in ends), default=None)
