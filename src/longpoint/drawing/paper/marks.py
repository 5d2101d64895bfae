"""The few kinds of mark that every sheet is made of, in millimetres of paper.

A drawing is a tuple of marks and nothing else: no file format, no page, no printer. x runs right, y runs up,
angles are radians counter-clockwise. Each mark names the *layer* it belongs to by meaning (outline, hidden,
staple, ...); the pen follows from the layer, so that a drawing looks the same on every sheet and a machine
shop can switch off what it does not need.

Lines follow ISO 128-2:2020: kind 01 continuous, 02 dashed, 04 long-dashed dotted ("chain"), 05
long-dashed double-dotted, 07 dotted, in two widths in the proportion 2 : 1; dash and gap lengths are
multiples of the line width as in ISO 128-20. Lettering heights follow ISO 3098-1, where the height is that of
a capital letter. (Both from memory; neither standard was at hand.)
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Literal, TypeAlias

Point: TypeAlias = tuple[float, float]

SMALLEST_LETTERING = 2.5
"""No capital letter on paper is lower than this [mm]."""

WIDE = 0.5
NARROW = 0.25
"""Widths of the two pens of line group 0.5 [mm]."""


class LineKind(Enum):
    """How a line is broken; the value is its number in ISO 128-2."""

    CONTINUOUS = "01"
    DASHED = "02"
    CHAIN = "04"
    CHAIN_TWO_DOTS = "05"
    DOTTED = "07"


DASHES: dict[LineKind, tuple[float, ...]] = {
    LineKind.CONTINUOUS: (),
    LineKind.DASHED: (12, 3),
    LineKind.CHAIN: (24, 3, 0.5, 3),
    LineKind.CHAIN_TWO_DOTS: (24, 3, 0.5, 3, 0.5, 3),
    LineKind.DOTTED: (0.5, 3),
}
"""Dash and gap lengths in line widths (ISO 128-20, from memory)."""


class Layer(Enum):
    """What a mark means."""

    OUTLINE = "outline"
    EDGE = "edge"
    HIDDEN = "hidden"
    CENTRE = "centre"
    DIMENSION = "dimension"
    HATCH = "hatch"
    CLOTH = "cloth"
    FOLD = "fold"
    CUT = "cut"
    PENCIL = "pencil"
    STAPLE = "staple"
    SCREW = "screw"
    GLUE = "glue"
    NOTE = "note"
    BEYOND = "beyond"


@dataclass(frozen=True, slots=True)
class Pen:
    """A line's width, kind and tone.

    Attributes:
        width: Line width. [mm]
        kind: How it is broken.
        grey: 0 is black, 1 is white.
    """

    width: float = NARROW
    kind: LineKind = LineKind.CONTINUOUS
    grey: float = 0.0

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash and gap lengths [mm]."""
        return tuple(length * self.width for length in DASHES[self.kind])


PENS: dict[Layer, Pen] = {
    Layer.OUTLINE: Pen(WIDE),
    Layer.EDGE: Pen(NARROW),
    Layer.HIDDEN: Pen(NARROW, LineKind.DASHED),
    Layer.CENTRE: Pen(NARROW, LineKind.CHAIN),
    Layer.DIMENSION: Pen(NARROW),
    Layer.HATCH: Pen(0.18, LineKind.CONTINUOUS, 0.35),
    Layer.CLOTH: Pen(0.7),
    Layer.FOLD: Pen(NARROW, LineKind.CHAIN_TWO_DOTS),
    Layer.CUT: Pen(WIDE),
    Layer.PENCIL: Pen(0.35),
    Layer.STAPLE: Pen(0.7),
    Layer.SCREW: Pen(0.35),
    Layer.GLUE: Pen(0.7, LineKind.DOTTED),
    Layer.NOTE: Pen(NARROW),
    Layer.BEYOND: Pen(NARROW, LineKind.CHAIN_TWO_DOTS, 0.3),
}
"""The pen of each layer: what is cut or seen is wide, everything that explains it is narrow."""


@dataclass(frozen=True, slots=True)
class Shift:
    """A similarity: turn, then enlarge, then move. Text stays readable since nothing is mirrored.

    Attributes:
        by: The move. [mm]
        scale: Enlargement, above 0.
        turn: Counter-clockwise. [rad]
    """

    by: Point = (0.0, 0.0)
    scale: float = 1.0
    turn: float = 0.0

    def point(self, at: Point) -> Point:
        """Where a point goes."""
        c, s = math.cos(self.turn) * self.scale, math.sin(self.turn) * self.scale
        return (at[0] * c - at[1] * s + self.by[0], at[0] * s + at[1] * c + self.by[1])


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    layer: Layer = Layer.OUTLINE
    pen: Pen | None = None

    def moved(self, shift: Shift) -> Line:
        """The same line elsewhere."""
        return replace(self, start=shift.point(self.start), end=shift.point(self.end))


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines from point to point, left open."""

    points: tuple[Point, ...]
    layer: Layer = Layer.OUTLINE
    pen: Pen | None = None

    def moved(self, shift: Shift) -> Polyline:
        """The same line elsewhere."""
        return replace(self, points=tuple(shift.point(p) for p in self.points))


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline, filled with a tone or not, drawn round or not.

    Attributes:
        points: Corners in order, the first not repeated.
        fill: Tone inside, 0 black to 1 white; None lets what lies below show through.
        drawn: Whether the outline itself is drawn.
    """

    points: tuple[Point, ...]
    layer: Layer = Layer.OUTLINE
    fill: float | None = None
    drawn: bool = True
    pen: Pen | None = None

    def moved(self, shift: Shift) -> Polygon:
        """The same outline elsewhere."""
        return replace(self, points=tuple(shift.point(p) for p in self.points))


@dataclass(frozen=True, slots=True)
class Circle:
    """A whole circle; filled with a tone or not."""

    centre: Point
    radius: float
    layer: Layer = Layer.OUTLINE
    fill: float | None = None
    pen: Pen | None = None

    def moved(self, shift: Shift) -> Circle:
        """The same circle elsewhere."""
        return replace(self, centre=shift.point(self.centre), radius=self.radius * shift.scale)


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, counter-clockwise from ``start`` to ``end`` [rad]."""

    centre: Point
    radius: float
    start: float
    end: float
    layer: Layer = Layer.OUTLINE
    pen: Pen | None = None

    def moved(self, shift: Shift) -> Arc:
        """The same arc elsewhere."""
        return replace(
            self,
            centre=shift.point(self.centre),
            radius=self.radius * shift.scale,
            start=self.start + shift.turn,
            end=self.end + shift.turn,
        )

    def points(self, *, step: float = math.radians(4)) -> tuple[Point, ...]:
        """Points along the arc, not further apart than ``step``."""
        pieces = max(2, math.ceil((self.end - self.start) / step))
        angles = [self.start + (self.end - self.start) * i / pieces for i in range(pieces + 1)]
        return tuple(
            (self.centre[0] + self.radius * math.cos(a), self.centre[1] + self.radius * math.sin(a))
            for a in angles
        )


Across: TypeAlias = Literal["start", "middle", "end"]
Upright: TypeAlias = Literal["foot", "middle", "top"]
Weight: TypeAlias = Literal["regular", "semibold", "bold"]


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering.

    Attributes:
        at: The point the words are hung on.
        words: What is written; no line breaks.
        height: Height of a capital letter. [mm]
        across: Which part of the line lies at the point.
        upright: Whether the foot, the middle or the top of the capitals lies at the point.
        turn: Direction of writing, counter-clockwise from the right. [rad]
        weight: How heavy.
        grey: 0 black to 1 white.
        backed: Whether the paper shows through behind the words, so that lines stop at them.
    """

    at: Point
    words: str
    height: float = SMALLEST_LETTERING
    across: Across = "start"
    upright: Upright = "foot"
    turn: float = 0.0
    weight: Weight = "regular"
    layer: Layer = Layer.NOTE
    grey: float = 0.0
    backed: bool = False

    def moved(self, shift: Shift) -> Text:
        """The same words elsewhere."""
        return replace(
            self,
            at=shift.point(self.at),
            height=self.height * shift.scale,
            turn=self.turn + shift.turn,
        )


@dataclass(frozen=True, slots=True)
class Measure:
    """A dimension: two points, a line beside them and what is written, with the marks that show it.

    Files that know dimensions of their own are given the two points and the line; paper is given the marks.

    Attributes:
        start: First measured point.
        end: Second measured point.
        through: A point that the dimension line passes through.
        words: What is written.
        marks: Lines, arrowheads and lettering.
    """

    start: Point
    end: Point
    through: Point
    words: str
    marks: tuple[Line | Polyline | Polygon | Circle | Arc | Text, ...] = field(repr=False)
    layer: Layer = Layer.DIMENSION

    def moved(self, shift: Shift) -> Measure:
        """The same dimension elsewhere."""
        return replace(
            self,
            start=shift.point(self.start),
            end=shift.point(self.end),
            through=shift.point(self.through),
            marks=tuple(mark.moved(shift) for mark in self.marks),
        )


Plain: TypeAlias = Line | Polyline | Polygon | Circle | Arc | Text
Mark: TypeAlias = Plain | Measure


def plain(marks: Iterable[Mark]) -> Iterator[Plain]:
    """The marks with every dimension taken apart, in the order of drawing."""
    for mark in marks:
        if isinstance(mark, Measure):
            yield from mark.marks
        else:
            yield mark


def pen_of(mark: Line | Polyline | Polygon | Circle | Arc) -> Pen:
    """The pen a mark is drawn with: its own, else that of its layer."""
    return mark.pen or PENS[mark.layer]


def moved(marks: Iterable[Mark], shift: Shift) -> tuple[Mark, ...]:
    """All marks elsewhere."""
    return tuple(mark.moved(shift) for mark in marks)


def rectangle(
    corner: Point,
    opposite: Point,
    *,
    layer: Layer = Layer.OUTLINE,
    fill: float | None = None,
    drawn: bool = True,
    pen: Pen | None = None,
) -> Polygon:
    """A rectangle from two opposite corners."""
    (x0, y0), (x1, y1) = corner, opposite
    return Polygon(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), layer, fill, drawn, pen)
