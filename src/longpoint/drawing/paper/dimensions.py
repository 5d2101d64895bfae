"""Dimensions as in technical drawing: single ones, and running ones from one reference end.

Follows ISO 129-1 where it is named: extension lines leave a small gap at the thing and pass the dimension line
a little; figures stand above the line, along it, readable from below or from the right; running dimensions
start from one ring-shaped origin and are written at the end of their extension lines. (From memory; the
standard was not at hand.)

Where figures would lie on one another they are moved apart by the least possible amount and their extension
lines are bent to reach them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import (
    SMALLEST_LETTERING,
    Across,
    Circle,
    Layer,
    Line,
    Measure,
    Plain,
    Point,
    Polygon,
    Polyline,
    Text,
    Weight,
)

GAP = 1.2
"""Between the thing and the extension line [mm]."""

PAST = 1.6
"""How far the extension line passes the dimension line [mm]."""

ABOVE = 0.9
"""Between the dimension line and the foot of the figure [mm]."""

ARROW = 3.0
"""Length of an arrowhead; it is a third as wide [mm]."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """A little frame of axes: along the measured direction and away from the thing."""

    origin: Point
    along: Point
    away: Point

    def at(self, s: float, t: float) -> Point:
        return (
            self.origin[0] + s * self.along[0] + t * self.away[0],
            self.origin[1] + s * self.along[1] + t * self.away[1],
        )


def readable(turn: float) -> float:
    """The same line of writing turned so that it reads from below or from the right."""
    turned = math.remainder(turn, 2 * math.pi)
    if turned > math.pi / 2 + 1e-9:
        turned -= math.pi
    elif turned <= -math.pi / 2 + 1e-9:
        turned += math.pi
    return turned


def arrowhead(tip: Point, direction: Point, *, layer: Layer = Layer.DIMENSION) -> Polygon:
    """A filled arrowhead at ``tip`` that points along ``direction`` (length 1)."""
    dx, dy = direction
    back = (tip[0] - ARROW * dx, tip[1] - ARROW * dy)
    half = ARROW / 6
    return Polygon(
        (tip, (back[0] - half * dy, back[1] + half * dx), (back[0] + half * dy, back[1] - half * dx)),
        layer,
        fill=0.0,
        drawn=False,
    )


def linear(
    start: Point,
    end: Point,
    *,
    offset: float,
    words: str,
    height: float = SMALLEST_LETTERING,
    weight: Weight = "regular",
    extended: bool = True,
) -> Measure:
    """A single dimension between two points, along the line that joins them.

    Args:
        start: First point.
        end: Second point, elsewhere.
        offset: Distance of the dimension line, to the left of the way from start to end if positive. [mm]
        words: The figure.
        height: Of its capitals. [mm]
        weight: Of the figure.
        extended: Whether extension lines lead from the points to the dimension line.
    """
    span = math.hypot(end[0] - start[0], end[1] - start[1])
    along = ((end[0] - start[0]) / span, (end[1] - start[1]) / span)
    sign = 1.0 if offset >= 0 else -1.0
    axes = _Frame(start, along, (-along[1] * sign, along[0] * sign))
    level = abs(offset)
    marks: list[Plain] = []
    if extended and level > GAP:
        for s in (0.0, span):
            marks.append(Line(axes.at(s, min(GAP, level)), axes.at(s, level + PAST), Layer.DIMENSION))
    width = width_of(words, height=height, weight=weight)
    inside = span >= 2 * ARROW + 2
    if inside:
        marks.append(Line(axes.at(0, level), axes.at(span, level), Layer.DIMENSION))
        marks.append(arrowhead(axes.at(0, level), (-along[0], -along[1])))
        marks.append(arrowhead(axes.at(span, level), along))
    else:
        marks.append(Line(axes.at(-ARROW - 2, level), axes.at(span + ARROW + 2, level), Layer.DIMENSION))
        marks.append(arrowhead(axes.at(0, level), along))
        marks.append(arrowhead(axes.at(span, level), (-along[0], -along[1])))
    turn = math.atan2(along[1], along[0])
    shown_turn = readable(turn)
    up = (-math.sin(shown_turn), math.cos(shown_turn))
    fits = width + 1.0 <= span  # figures stand above the line, so arrowheads are not in their way
    s = span / 2
    if not fits:  # beside the second point, over a longer line
        shoulder = span + (0.0 if inside else ARROW + 2)
        marks.append(Line(axes.at(shoulder, level), axes.at(shoulder + width + 2, level), Layer.DIMENSION))
        s = shoulder + 1 + width / 2
    foot = axes.at(s, level)
    # letters that reach below their line keep off the dimension line, too
    lift = max(ABOVE, DESCENT * height + CLEAR) if set(words) & _BELOW else ABOVE
    marks.append(
        Text(
            (foot[0] + lift * up[0], foot[1] + lift * up[1]),
            words,
            height,
            "middle",
            "foot",
            shown_turn,
            weight,
            Layer.DIMENSION,
        )
    )
    return Measure(start, end, axes.at(0, level), words, tuple(marks))


@dataclass(frozen=True, slots=True)
class Station:
    """One place in a row of running dimensions.

    Attributes:
        at: Distance from the origin, on paper. [mm]
        words: The figure, with what lies there if wished.
        strong: Whether it is set strong.
        foot: Where its extension line starts, measured away from the base line; 0 is the base line. [mm]
    """

    at: float
    words: str
    strong: bool = False
    foot: float = 0.0


def running(
    origin: Point,
    stations: Sequence[Station],
    *,
    along: Point,
    away: Point,
    offset: float,
    height: float = SMALLEST_LETTERING,
    origin_words: str = "0",
    level: bool = False,
    between: tuple[float, float] | None = None,
) -> tuple[Plain, ...]:
    """Running dimensions from one origin: ring, one line, an arrowhead and a figure for every place.

    Args:
        origin: The reference end, on the thing.
        stations: The places, none at the origin itself.
        along: Direction in which distances grow, length 1.
        away: Direction away from the thing, square to ``along``, length 1.
        offset: Of the dimension line from the base line. [mm]
        height: Of capitals. [mm]
        origin_words: Written at the origin.
        level: Whether figures stand along the dimension line instead of along their extension lines.
        between: Where figures may stand, as distances from the origin; None for anywhere. [mm]
    """
    axes = _Frame(origin, along, away)
    ordered = sorted(stations, key=lambda station: station.at)
    marks: list[Plain] = [
        Circle(axes.at(0, offset), 0.9, Layer.DIMENSION, fill=1.0),
    ]
    if ordered:
        marks.insert(0, Line(axes.at(0, offset), axes.at(ordered[-1].at, offset), Layer.DIMENSION))
    everything = [Station(0.0, origin_words), *ordered]
    sizes = [height * 1.75] * len(everything)
    if level:
        sizes = [width_of(s.words, height=height, weight=_weight(s)) + 2.5 for s in everything]
    places = spread([station.at for station in everything], sizes, between=between)
    bend = max((abs(p - s.at) for p, s in zip(places, everything, strict=True)), default=0.0)
    rise = 0.0 if bend < 0.3 else min(max(2.0, 0.8 * bend), 9.0)
    turn = readable(math.atan2(along[1], along[0]) if level else math.atan2(away[1], away[0]))
    forward = math.cos(turn) * away[0] + math.sin(turn) * away[1] > 0
    before = -math.inf
    for station, place in zip(everything, places, strict=True):
        foot = axes.at(station.at, station.foot + GAP)
        knee = axes.at(station.at, offset + PAST)
        top = axes.at(place, offset + PAST + rise)
        if rise:
            marks.append(Polyline((foot, knee, top), Layer.DIMENSION))
        else:
            marks.append(Line(foot, knee, Layer.DIMENSION))
        if station.at > 0:  # a dot where an arrowhead has no room (ISO 129-1)
            tip = axes.at(station.at, offset)
            roomy = station.at - before > ARROW + 0.8
            marks.append(arrowhead(tip, along) if roomy else Circle(tip, 0.45, Layer.DIMENSION, fill=0.0))
        before = station.at
        foot = axes.at(place, offset + PAST + rise + (0.9 + height / 2 if level else 0.9))
        across: Across = "middle" if level else "start" if forward else "end"
        marks.append(
            Text(foot, station.words, height, across, "middle", turn, _weight(station), Layer.DIMENSION)
        )
    return tuple(marks)


def _weight(station: Station) -> Weight:
    return "semibold" if station.strong else "regular"


def running_depth(stations: Sequence[Station], *, offset: float, height: float = SMALLEST_LETTERING) -> float:
    """How far running dimensions reach from the base line, without the figures' bends beyond 9 mm [mm]."""
    widest = max(
        (width_of(s.words, height=height, weight="semibold" if s.strong else "regular") for s in stations),
        default=0.0,
    )
    return offset + PAST + 9.0 + 0.9 + widest


def spread(
    wanted: Sequence[float], sizes: Sequence[float], *, between: tuple[float, float] | None = None
) -> list[float]:
    """Places in a row, as near as possible to the wanted ones, that keep their sizes apart.

    The least sum of squared moves, by pooling neighbours (isotonic regression); exact and without iteration.

    Args:
        wanted: Rising places of the middles. [mm]
        sizes: Room that each takes. [mm]
        between: Where they must stand, if there is room for all; None for anywhere. [mm]
    """
    starts = []
    before = 0.0
    for index, size in enumerate(sizes):
        if index:
            before += (sizes[index - 1] + size) / 2
        starts.append(before)
    blocks: list[tuple[float, int]] = []  # mean, count
    for want, start in zip(wanted, starts, strict=True):
        mean, count = want - start, 1
        while blocks and blocks[-1][0] > mean:
            other, others = blocks.pop()
            mean, count = (mean * count + other * others) / (count + others), count + others
        blocks.append((mean, count))
    means = [mean for mean, count in blocks for _ in range(count)]
    if between is not None and means:  # clipping keeps the least sum of squares under the two bounds
        least = between[0] + sizes[0] / 2 - starts[0]
        most = max(least, between[1] - sizes[-1] / 2 - starts[-1])
        means = [min(max(mean, least), most) for mean in means]
    return [mean + start for mean, start in zip(means, starts, strict=True)]


DESCENT = 0.31
"""How far letters such as g and p reach below their line, over the height of capitals; of the font, rounded up."""

CLEAR = 0.4
"""Paper left between such letters and a line. [mm]"""

_BELOW = frozenset("gjpqyß()[],;")
