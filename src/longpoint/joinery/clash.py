"""Screws never meet: each is a solid, a cylinder with clearance, and gives way to those placed before it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.joinery.joint import Direction, Fixing, along

Vector = tuple[float, float, float]

CLEARANCE = Fraction(2)
"""Timber kept between two screws, for a bit that wanders; estimate. [mm]"""
STEP = Fraction(1)
"""Screws are moved in whole millimetres from where the rule puts them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Two screws that meet, or come too near.

    Attributes:
        first: Name of one.
        second: Name of the other.
        apart: Between their surfaces; negative where they cut into each other. [mm]
        wanted: What should lie between. [mm]
    """

    first: str
    second: str
    apart: float
    wanted: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Movable:
    """A screw and how far it may be moved.

    Attributes:
        fixing: The screw where its rule puts it.
        slide: Direction it may be moved.
        back_by: Against that direction. [mm]
        on_by: In that direction. [mm]
        rank: Low ranks are placed first and keep their position.
    """

    fixing: Fixing
    slide: Direction
    back_by: Fraction
    on_by: Fraction
    rank: int


def find_clashes(fixings: Iterable[Fixing], *, clearance: Fraction = CLEARANCE) -> tuple[Clash, ...]:
    """Every pair of screws with less timber between them than the clearance.

    Args:
        fixings: The screws.
        clearance: Timber kept between two. [mm]

    Returns:
        The clashes, in the order of the screws.
    """
    every = tuple(fixings)
    found = []
    for index, first in enumerate(every):
        for second in every[index + 1 :]:
            apart = surfaces_apart(first, second)
            if apart < float(clearance) - 1e-9:
                found.append(
                    Clash(first=first.name, second=second.name, apart=apart, wanted=float(clearance))
                )
    return tuple(found)


def move_apart(
    movable: Iterable[Movable], *, clearance: Fraction = CLEARANCE
) -> tuple[tuple[Fixing, ...], tuple[Clash, ...]]:
    """Places screws one after another, each as near as it can to where its rule puts it.

    Args:
        movable: The screws; the order decides between equal ranks.
        clearance: Timber kept between two. [mm]

    Returns:
        The screws in the order given, and the clashes that no move within the limits cures.
    """
    every = tuple(movable)
    order = sorted(range(len(every)), key=lambda index: (every[index].rank, index))
    placed: dict[int, Fixing] = {}
    for index in order:
        one = every[index]
        others = tuple(placed.values())
        placed[index] = next(
            (
                moved
                for moved in _positions(one)
                if all(surfaces_apart(moved, other) >= float(clearance) - 1e-9 for other in others)
            ),
            one.fixing,
        )
    for _ in range(len(every)):
        fixings = [placed[index] for index in range(len(every))]
        if not _move_both(every, fixings, clearance):
            break
        placed = dict(enumerate(fixings))
    fixings = [placed[index] for index in range(len(every))]
    return tuple(fixings), find_clashes(fixings, clearance=clearance)


def _move_both(every: tuple[Movable, ...], fixings: list[Fixing], clearance: Fraction) -> bool:
    """Cures one clash by moving both screws, each as little as it can; whether one was cured."""
    limit = float(clearance) - 1e-9
    index_of = {fixing.name: index for index, fixing in enumerate(fixings)}
    for clash in find_clashes(fixings, clearance=clearance):
        i, j = index_of[clash.first], index_of[clash.second]
        others = [fixing for index, fixing in enumerate(fixings) if index not in (i, j)]
        firsts = _clear_of(every[i], others, limit)
        seconds = _clear_of(every[j], others, limit)
        pairs = [(one, two) for one in firsts for two in seconds if surfaces_apart(one, two) >= limit]
        if pairs:
            # The pair that is moved least as a whole, the two shares as equal as can be.
            fixings[i], fixings[j] = min(
                pairs, key=lambda pair: (abs(pair[0].moved) + abs(pair[1].moved), abs(pair[0].moved))
            )
            return True
    return False


def _clear_of(one: Movable, others: list[Fixing], limit: float) -> list[Fixing]:
    return [
        moved for moved in _positions(one) if all(surfaces_apart(moved, other) >= limit for other in others)
    ]


def _positions(one: Movable) -> Iterable[Fixing]:
    yield one.fixing
    reach = max(one.back_by, one.on_by)
    for step in range(1, int(reach / STEP) + 1):
        for offset, limit in ((step * STEP, one.on_by), (-step * STEP, one.back_by)):
            if abs(offset) <= limit:
                start = along(one.fixing.start, one.slide, offset)
                yield replace(one.fixing, start=start, moved=offset)


def surfaces_apart(first: Fixing, second: Fixing) -> float:
    """Timber between the surfaces of two screws, heads counted; negative where they cut. [mm]"""
    # Far apart: no exact answer is needed, and most pairs are.
    near = float(first.depth + second.depth) + 20
    gap = max(abs(float(a - b)) for a, b in zip(first.start, second.start, strict=True))
    if gap > near:
        return gap - near + 20
    return min(
        segment_distance(a[0], a[1], b[0], b[1]) - a[2] - b[2]
        for a in _solids(first)
        for b in _solids(second)
    )


def _solids(fixing: Fixing) -> tuple[tuple[Vector, Vector, float], ...]:
    """Shank and head as segments with radii."""
    radius = float(fixing.screw.diameter) / 2
    head_end = along(fixing.start, fixing.axis, fixing.sunk + fixing.screw.diameter / 2)
    return (
        (_plain(fixing.start), _plain(fixing.tip), radius),
        (_plain(fixing.start), _plain(head_end), float(fixing.countersink) / 2),
    )


def _plain(point: tuple[Fraction, Fraction, Fraction]) -> Vector:
    return (float(point[0]), float(point[1]), float(point[2]))


def segment_distance(p0: Vector, p1: Vector, q0: Vector, q1: Vector) -> float:
    """Least distance between two segments in space.

    The distance is convex in the two parameters, so the least one lies where both are free, or on an edge of the
    unit square, where it is a distance from a point to a segment.
    """
    u = _minus(p1, p0)
    v = _minus(q1, q0)
    w = _minus(p0, q0)
    a, b, c, d, e = _dot(u, u), _dot(u, v), _dot(v, v), _dot(u, w), _dot(v, w)
    best = min(
        _point_to_segment(p0, q0, v, c),
        _point_to_segment(p1, q0, v, c),
        _point_to_segment(q0, p0, u, a),
        _point_to_segment(q1, p0, u, a),
    )
    steepness = a * c - b * b
    if steepness > 1e-12 * max(a * c, 1.0):
        s = (b * e - c * d) / steepness
        t = (a * e - b * d) / steepness
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            gap = tuple(w[i] + s * u[i] - t * v[i] for i in range(3))
            best = min(best, _dot(gap, gap) ** 0.5)
    return best


def _point_to_segment(point: Vector, start: Vector, run: Vector, run_squared: float) -> float:
    away = _minus(point, start)
    share = 0.0 if run_squared == 0.0 else min(max(_dot(away, run) / run_squared, 0.0), 1.0)
    gap = tuple(away[i] - share * run[i] for i in range(3))
    return float(_dot(gap, gap) ** 0.5)


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
