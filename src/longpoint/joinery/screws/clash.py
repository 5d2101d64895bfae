"""Screws never meet: each is a solid, a cylinder with clearance, and gives way to those placed before it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import islice

from longpoint.joinery.joints.joint import Direction, Fixing, along
from longpoint.tables import screw_spacing

Vector = tuple[float, float, float]
Segment = tuple[Vector, Vector, float]

CLEARANCE = Fraction(2)
"""Timber kept between two screws, for a bit that wanders; estimate. [mm]"""
MOST_TRIED = 48
"""Clear places, the nearest first, that are tried for each screw of a pair; a limit on work."""
STEP = Fraction(1)
"""Screws are moved in whole millimetres from where the rule puts them."""
HAIR = 1e-9
LOOSE_PIECES = ("glue block", "gusset")


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
class Slide:
    """A direction in which a screw may be moved, and how far.

    Attributes:
        way: The direction.
        back_by: Against it. [mm]
        on_by: In it. [mm]
    """

    way: Direction
    back_by: Fraction = Fraction(0)
    on_by: Fraction = Fraction(0)

    @property
    def reach(self) -> tuple[int, int]:
        """Whole steps against the direction and in it."""
        return int(self.back_by / STEP), int(self.on_by / STEP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Movable:
    """A screw and how far it may be moved.

    Attributes:
        fixing: The screw where its rule puts it.
        slides: Directions it may be moved, at most two, square to each other.
        rank: Low ranks are placed first and keep their position.
    """

    fixing: Fixing
    slides: tuple[Slide, ...]
    rank: int

    def offsets(self) -> tuple[Vector, ...]:
        """Ways it may be moved, the least first. [mm]"""
        return _offsets(tuple((slide.way, *slide.reach) for slide in self.slides))

    def moved(self, by: Vector) -> Fixing:
        """The screw moved; ``moved`` then keeps the sign of its greatest part along its slide."""
        if not any(by):
            return self.fixing
        exact = tuple(Fraction(int(value)) for value in by)
        start = self.fixing.start
        signed = sum(
            (
                exact[index] * slide.way[index]
                for slide in self.slides
                for index in range(3)
                if abs(exact[index]) == max(abs(value) for value in exact)
            ),
            Fraction(0),
        )
        return replace(
            self.fixing,
            start=(start[0] + exact[0], start[1] + exact[1], start[2] + exact[2]),
            moved=signed,
            off_depth=exact[2],
        )


@cache
def _offsets(slides: tuple[tuple[Direction, int, int], ...]) -> tuple[Vector, ...]:
    """Moves along slides of whole steps, the least first; many screws have the same."""
    found: list[tuple[int, Vector]] = [(0, (0.0, 0.0, 0.0))]
    for way, back, on in slides:
        steps = sorted(range(-back, on + 1), key=lambda step: (abs(step), -step))  # 0, 1, −1, 2, −2 and so on
        found = [
            (moved + abs(step), (at[0] + way[0] * step, at[1] + way[1] * step, at[2] + way[2] * step))
            for moved, at in found
            for step in steps
        ]
    # The sort keeps the order of the slides where two moves are equally long.
    return tuple(at for _, at in sorted(found, key=lambda each: each[0]))


def find_clashes(fixings: Iterable[Fixing], *, clearance: Fraction = CLEARANCE) -> tuple[Clash, ...]:
    """Every pair of screws with less timber between them than the clearance.

    Args:
        fixings: The screws.
        clearance: Timber kept between two. [mm]

    Returns:
        The clashes, in the order of the screws.
    """
    every = tuple(fixings)
    bodies = [body_of(fixing) for fixing in every]
    clear = float(clearance)
    found = []
    for index, first in enumerate(every):
        for other in range(index + 1, len(every)):
            if boxes_apart(bodies[index], bodies[other]) > clear:
                continue
            apart = bodies_apart(bodies[index], bodies[other])
            if apart < float(clearance) - HAIR:
                found.append(
                    Clash(first=first.name, second=every[other].name, apart=apart, wanted=float(clearance))
                )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _GrainLine:
    """What two screws that could stand in one line of grain keep.

    Attributes:
        axis: Along the grain: 0 for x, 1 for y.
        along: Distance along the grain. [mm]
        across: Across it, from which on they are in different lines. [mm]
    """

    axis: int
    along: float
    across: float

    def lacks(self, first: Vector, second: Vector) -> float:
        """What is missing between two heads. [mm]"""
        if abs(first[2] - second[2]) >= self.across:
            return 0.0
        return max(self.along - abs(first[self.axis] - second[self.axis]), 0.0)


@dataclass(frozen=True, slots=True)
class InGrain:
    """What of a screw decides which fibres it wedges.

    Attributes:
        start: Where its head is. [mm]
        level: Whether it runs along x, along y.
        crossed: The members whose grain it crosses.
        into: The member it bites in.
        diameter: Of its shank. [mm]
    """

    start: Vector
    level: tuple[bool, bool]
    crossed: frozenset[str]
    into: str
    diameter: float


def in_grain(fixing: Fixing) -> InGrain:
    """A screw as it stands in the grain."""
    level = (bool(fixing.axis[0]), bool(fixing.axis[1]))
    crossed = frozenset(_crossed(fixing))
    return InGrain(_plain(fixing.start), level, crossed, fixing.into, float(fixing.screw.diameter))


def _grain_line(first: InGrain, second: InGrain) -> _GrainLine | None:
    level = next((k for k in (0, 1) if first.level[k] and second.level[k]), None)
    if level is None:
        return None
    shared = first.crossed & second.crossed
    # in a clearance hole a screw wedges nothing: one of the two must bite in what both cross
    if first.into not in shared and second.into not in shared:
        return None
    thick = max(first.diameter, second.diameter)
    rule = screw_spacing(diameter=min(thick, 7.9), angle=0.0, predrilled=True)
    return _GrainLine(1 - level, rule.along_grain, rule.across_grain)


def wedge_together(first: InGrain, second: InGrain) -> bool:
    """Whether two screws stand so near in one line of grain that both wedge the same fibres."""
    line = _grain_line(first, second)
    return line is not None and line.lacks(first.start, second.start) > HAIR


def _crossed(fixing: Fixing) -> tuple[str, ...]:
    """The members whose grain a screw crosses; of gussets and blocks there is one at every corner."""
    crossed = fixing.members if fixing.grain == "side grain" else fixing.through
    return tuple(name for name in crossed if name not in LOOSE_PIECES)


def move_apart(
    movable: Iterable[Movable], *, clearance: Fraction = CLEARANCE
) -> tuple[tuple[Fixing, ...], tuple[Clash, ...]]:
    """Places screws one after another, each as near as it can to where its rule puts it.

    Where one cannot give way enough, both of a pair are moved. Screws keep the splitting rule's distance in a line of
    grain wherever they can be moved that far.

    Args:
        movable: The screws; the order decides between equal ranks.
        clearance: Timber kept between two. [mm]

    Returns:
        The screws in the order given, and the clashes that no move within the limits cures.
    """
    every = tuple(movable)
    room = _Room(every, float(clearance) - HAIR)
    for index in sorted(range(len(every)), key=lambda each: (every[each].rank, each)):
        room.place(index)
    # Each pass cures one clash; there are never more than screws.
    for _ in every:
        if not room.move_a_pair():
            break
    fixings = tuple(one.moved(room.offsets[index]) for index, one in enumerate(every))
    return fixings, find_clashes(fixings, clearance=clearance)


class _Room:
    """Screws being placed: their offsets, and their bodies at those offsets."""

    def __init__(self, every: Sequence[Movable], limit: float) -> None:
        self._every = every
        self._limit = limit
        self._bodies = [body_of(one.fixing) for one in every]
        self._reach = [body.grown(one.slides) for body, one in zip(self._bodies, every, strict=True)]
        self._in_grain = [in_grain(one.fixing) for one in every]
        self._lines: dict[int, list[tuple[int, _GrainLine]]] = {}
        self.offsets: dict[int, Vector] = {}
        self._placed: dict[int, Body] = {}

    def _body(self, index: int, by: Vector) -> Body:
        return self._bodies[index].shifted(by) if any(by) else self._bodies[index]

    def _put(self, index: int, by: Vector) -> None:
        self.offsets[index], self._placed[index] = by, self._body(index, by)

    def _is_clear(self, body: Body, others: list[Body]) -> bool:
        return all(
            boxes_apart(body, other) >= self._limit or are_apart(body, other, self._limit) for other in others
        )

    def _others(self, index: int, *without: int) -> list[Body]:
        """Screws that are placed where this one could meet them."""
        reach, limit = self._reach[index], self._limit
        return [
            body
            for other, body in self._placed.items()
            if other != index and other not in without and boxes_apart(reach, body) < limit
        ]

    def place(self, index: int) -> None:
        """Places one screw clear of those placed; where it cannot be, both it and the one it meets move."""
        others = self._others(index)
        nearest: Vector | None = None
        for by in self._every[index].offsets():
            if not self._is_clear(self._body(index, by), others):
                continue
            if not self._splits(index, by):
                self._put(index, by)
                return
            nearest = by if nearest is None else nearest
        if nearest is not None:
            self._put(index, nearest)
            return
        self._put(index, (0.0, 0.0, 0.0))
        here = self._placed[index]
        for other in sorted(self.offsets):
            if other == index:
                continue
            if bodies_apart(here, self._placed[other]) < self._limit and self._move_both(other, index):
                return

    def _splits(self, index: int, by: Vector) -> bool:
        """Whether a screw would stand too near another in one line of grain."""
        here = _plus(self._in_grain[index].start, by)
        return any(
            line.lacks(here, _plus(self._in_grain[other].start, self.offsets[other])) > HAIR
            for other, line in self._in_line(index)
            if other in self.offsets
        )

    def _in_line(self, index: int) -> list[tuple[int, _GrainLine]]:
        """The screws that could stand in one line of grain with this one."""
        if index not in self._lines:
            mine = self._in_grain[index]
            lines = (
                (other, _grain_line(mine, one)) for other, one in enumerate(self._in_grain) if other != index
            )
            self._lines[index] = [(other, line) for other, line in lines if line is not None]
        return self._lines[index]

    def move_a_pair(self) -> bool:
        """Cures one clash by moving both screws, as little as can be; whether one was cured."""
        placed = sorted(self.offsets)
        for at, first in enumerate(placed):
            for second in placed[at + 1 :]:
                one, two = self._placed[first], self._placed[second]
                if boxes_apart(one, two) >= self._limit or bodies_apart(one, two) >= self._limit:
                    continue
                if self._move_both(first, second):
                    return True
        return False

    def _move_both(self, first: int, second: int) -> bool:
        choices: list[list[tuple[Vector, Body]]] = []
        for index in (first, second):
            others = self._others(index, first, second)
            clear = (
                (by, body)
                for by in self._every[index].offsets()
                if self._is_clear(body := self._body(index, by), others)
            )
            choices.append(list(islice(clear, MOST_TRIED)))
        pairs = [
            (_length(a) + _length(b), _length(a), i, j, a, b)
            for i, (a, one) in enumerate(choices[0])
            for j, (b, two) in enumerate(choices[1])
            if are_apart(one, two, self._limit)
        ]
        if not pairs:
            return False
        *_, by_first, by_second = min(pairs)
        self._put(first, by_first)
        self._put(second, by_second)
        return True


def _length(by: Vector) -> float:
    return abs(by[0]) + abs(by[1]) + abs(by[2])


@dataclass(frozen=True, slots=True)
class Body:
    """A screw as segments with radii, and the box around it."""

    segments: tuple[Segment, ...]
    low: Vector
    high: Vector

    def shifted(self, by: Vector) -> Body:
        """The same moved."""
        dx, dy, dz = by

        def moved(point: Vector) -> Vector:
            return (point[0] + dx, point[1] + dy, point[2] + dz)

        return Body(
            tuple((moved(a), moved(b), radius) for a, b, radius in self.segments),
            moved(self.low),
            moved(self.high),
        )

    def grown(self, slides: Sequence[Slide]) -> Body:
        """The box of every place it may be moved to, without its segments."""
        low, high = list(self.low), list(self.high)
        for slide in slides:
            back, on = float(slide.back_by), float(slide.on_by)
            for k in range(3):
                ends = (-back * slide.way[k], on * slide.way[k])
                low[k] += min(0.0, *ends)
                high[k] += max(0.0, *ends)
        return Body((), (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def body_of(fixing: Fixing) -> Body:
    """Shank and head of a screw."""
    radius = float(fixing.screw.diameter) / 2
    head = float(fixing.countersink) / 2
    head_end = along(fixing.start, fixing.axis, fixing.sunk + fixing.screw.diameter / 2)
    start, tip = _plain(fixing.start), _plain(fixing.tip)
    thick = max(radius, head)
    return Body(
        ((start, tip, radius), (start, _plain(head_end), head)),
        tuple(min(a, b) - thick for a, b in zip(start, tip, strict=True)),  # type: ignore[arg-type]
        tuple(max(a, b) + thick for a, b in zip(start, tip, strict=True)),  # type: ignore[arg-type]
    )


def surfaces_apart(first: Fixing, second: Fixing) -> float:
    """Timber between the surfaces of two screws, heads counted; negative where they cut. [mm]"""
    return bodies_apart(body_of(first), body_of(second))


def boxes_apart(first: Body, second: Body) -> float:
    """Between the boxes around two bodies, never more than between the bodies. [mm]"""
    a, b, c, d = first.low, first.high, second.low, second.high
    return max(a[0] - d[0], c[0] - b[0], a[1] - d[1], c[1] - b[1], a[2] - d[2], c[2] - b[2])


def bodies_apart(first: Body, second: Body) -> float:
    """Between two bodies; where their boxes lie more than 20 mm apart, the distance of the boxes. [mm]"""
    gap = boxes_apart(first, second)
    if gap > 20.0:
        return gap
    return min(
        segment_distance(a[0], a[1], b[0], b[1]) - a[2] - b[2]
        for a in first.segments
        for b in second.segments
    )


def are_apart(first: Body, second: Body, limit: float) -> bool:
    """Whether `bodies_apart` is at least a limit below 20 mm; it stops at the first two segments that are nearer."""
    if boxes_apart(first, second) > 20.0:
        return True
    return all(
        segment_distance(a[0], a[1], b[0], b[1]) - a[2] - b[2] >= limit
        for a in first.segments
        for b in second.segments
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
            gap = (w[0] + s * u[0] - t * v[0], w[1] + s * u[1] - t * v[1], w[2] + s * u[2] - t * v[2])
            best = min(best, _dot(gap, gap) ** 0.5)
    return best


def _point_to_segment(point: Vector, start: Vector, run: Vector, run_squared: float) -> float:
    away = _minus(point, start)
    share = 0.0 if run_squared == 0.0 else min(max(_dot(away, run) / run_squared, 0.0), 1.0)
    gap = (away[0] - share * run[0], away[1] - share * run[1], away[2] - share * run[2])
    return float(_dot(gap, gap) ** 0.5)


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _plus(a: Vector, b: Vector) -> Vector:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
