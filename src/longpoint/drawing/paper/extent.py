"""How much room marks take: boxes upright and turned, and whether lettering collides.

`overlaps` is the measure that every sheet is held to: no words over other words, none cut by a line, none
beyond the edge, none too small.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely import Point as Spot
from shapely import Polygon as Shape

from longpoint.drawing.paper.lettering import DEPTH, RISE, type_size, width_of
from longpoint.drawing.paper.marks import (
    SMALLEST_LETTERING,
    Arc,
    Circle,
    Layer,
    Line,
    Mark,
    Plain,
    Point,
    Polygon,
    Polyline,
    Text,
    pen_of,
    plain,
)


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle [mm]."""

    left: float
    foot: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From foot to top [mm]."""
        return self.top - self.foot

    @property
    def middle(self) -> Point:
        """The middle point."""
        return ((self.left + self.right) / 2, (self.foot + self.top) / 2)

    def grown(self, by: float) -> Box:
        """The box with a border of ``by`` all round [mm]."""
        return Box(self.left - by, self.foot - by, self.right + by, self.top + by)

    def holds(self, other: Box, *, slack: float = 1e-6) -> bool:
        """Whether the other box lies wholly inside."""
        return (
            other.left >= self.left - slack
            and other.foot >= self.foot - slack
            and other.right <= self.right + slack
            and other.top <= self.top + slack
        )

    def meets(self, other: Box) -> bool:
        """Whether the boxes share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.foot < other.top
            and other.foot < self.top
        )


def box_round(points: Iterable[Point]) -> Box:
    """The upright box round points; there must be at least one."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def text_corners(text: Text, *, border: float = 0.0) -> tuple[Point, Point, Point, Point]:
    """The corners of the rectangle that words fill, counter-clockwise from the foot of the first letter.

    Args:
        text: The words.
        border: Extra room all round. [mm]
    """
    size = type_size(text.height)
    width = width_of(text.words, height=text.height, weight=text.weight)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.across]
    foot = {"foot": 0.0, "middle": -text.height / 2, "top": -text.height}[text.upright]
    c, s = math.cos(text.turn), math.sin(text.turn)

    def place(x: float, y: float) -> Point:
        return (text.at[0] + x * c - y * s, text.at[1] + x * s + y * c)

    low, high = foot - DEPTH * size - border, foot + RISE * size + border
    return (
        place(left - border, low),
        place(left + width + border, low),
        place(left + width + border, high),
        place(left - border, high),
    )


def box_of(mark: Mark) -> Box:
    """The upright box of one mark, line width included."""
    boxes = [_plain_box(part) for part in plain([mark])]
    return _round_all(boxes)


def box_of_all(marks: Iterable[Mark]) -> Box:
    """The upright box of all marks; an empty drawing has an empty box at the origin."""
    boxes = [_plain_box(part) for part in plain(marks)]
    return _round_all(boxes) if boxes else Box(0, 0, 0, 0)


def _round_all(boxes: Sequence[Box]) -> Box:
    return Box(
        min(b.left for b in boxes),
        min(b.foot for b in boxes),
        max(b.right for b in boxes),
        max(b.top for b in boxes),
    )


def _plain_box(mark: Plain) -> Box:
    if isinstance(mark, Text):
        return box_round(text_corners(mark))
    half = pen_of(mark).width / 2
    if isinstance(mark, Line):
        return box_round((mark.start, mark.end)).grown(half)
    if isinstance(mark, Circle):
        x, y = mark.centre
        return Box(x - mark.radius, y - mark.radius, x + mark.radius, y + mark.radius).grown(half)
    if isinstance(mark, Arc):
        return box_round(mark.points()).grown(half)
    return box_round(mark.points).grown(half if not isinstance(mark, Polygon) or mark.drawn else 0)


@dataclass(frozen=True, slots=True)
class Clash:
    """Lettering that cannot be read as it should, or a mark that is cut off.

    Attributes:
        kind: ``over`` other words, ``crossed`` by a line, ``covered`` by a tone drawn later, ``off`` the edge, or
            ``small``.
        words: The words concerned; "" where it is another mark that is cut off.
        other: The other words, or the layer of the line or tone.
        depth: How far the two reach into one another. [mm]
    """

    kind: str
    words: str
    other: str = ""
    depth: float = 0.0


def overlaps(
    marks: Iterable[Mark], *, within: Box | None = None, lines: bool = True, slack: float = 0.3
) -> tuple[Clash, ...]:
    """Every place where lettering collides, is crossed by a strong line, covered, runs off or is too small.

    Words that are *backed* may lie over lines, since the paper stands behind them. Hatching and tones may
    pass below any words, tones that are drawn later may not lie on them. Nothing at all may run off.

    Args:
        marks: The drawing.
        within: The edge that nothing may cross; None if there is none.
        lines: Whether lines through words count.
        slack: Reaches up to this are forgiven: letters do not fill their boxes. [mm]
    """
    flat = list(plain(marks))
    texts = [mark for mark in flat if isinstance(mark, Text) and mark.words.strip()]
    quads = [text_corners(text) for text in texts]
    boxes = [box_round(quad) for quad in quads]
    found: list[Clash] = []
    for i, text in enumerate(texts):
        if text.height < SMALLEST_LETTERING - 1e-9:
            found.append(Clash("small", text.words, f"{text.height:.2f} mm"))
        if within is not None and not within.holds(boxes[i], slack=slack):
            found.append(Clash("off", text.words))
        found += _over(text, quads[i], boxes[i], zip(texts[:i], quads, boxes, strict=False), slack)
    if within is not None:
        found += [
            Clash("off", "", mark.layer.value)
            for mark in flat
            if not isinstance(mark, Text) and not within.holds(_plain_box(mark), slack=slack)
        ]
    found += _covered(flat, slack)
    if lines:
        found += _crossings(flat, texts, quads, boxes, slack)
    return tuple(found)


def clashes_of(text: Text, drawn: Iterable[Mark], *, slack: float = 0.3) -> tuple[Clash, ...]:
    """What words that are drawn last add to `overlaps`, as far as they can be read.

    Args:
        text: The words.
        drawn: What is drawn before them.
        slack: As of `overlaps`. [mm]
    """
    flat = list(plain(drawn))
    quad = text_corners(text)
    box = box_round(quad)
    others = (
        (mark, corners, box_round(corners))
        for mark in flat
        if isinstance(mark, Text) and mark.words.strip()
        for corners in (text_corners(mark),)
    )
    return (*_over(text, quad, box, others, slack), *_crossings([*flat, text], [text], [quad], [box], slack))


def _over(
    text: Text,
    quad: tuple[Point, ...],
    box: Box,
    others: Iterable[tuple[Text, tuple[Point, ...], Box]],
    slack: float,
) -> list[Clash]:
    """Other words that words lie on."""
    return [
        Clash("over", text.words, other.words, depth)
        for other, corners, around in others
        if box.meets(around) and (depth := reach(quad, corners)) > slack
    ]


def _covered(flat: Sequence[Plain], slack: float) -> list[Clash]:
    """Words that a tone drawn after them lies on."""
    found: list[Clash] = []
    before: list[tuple[Text, Box, Shape]] = []
    for mark in flat:
        if isinstance(mark, Text):
            if mark.words.strip():
                quad = text_corners(mark, border=-slack)
                before.append((mark, box_round(quad), Shape(quad)))
        elif isinstance(mark, Polygon | Circle) and mark.fill is not None:
            box = _plain_box(mark)
            near = [(text, quad) for text, around, quad in before if around.meets(box)]
            if near:
                tone = (
                    Spot(mark.centre).buffer(mark.radius) if isinstance(mark, Circle) else Shape(mark.points)
                )
                found += [
                    Clash("covered", text.words, mark.layer.value)
                    for text, quad in near
                    if tone.is_valid and tone.intersects(quad)
                ]
    return found


def _crossings(
    flat: Sequence[Plain],
    texts: Sequence[Text],
    quads: Sequence[tuple[Point, ...]],
    boxes: Sequence[Box],
    slack: float,
) -> list[Clash]:
    found: list[Clash] = []
    if not boxes:
        return found
    under = _discs_under(flat, texts, quads)
    pieces = [
        (order, start, end)
        for order, mark in enumerate(flat)
        if not isinstance(mark, Text) and mark.layer is not Layer.HATCH
        for start, end in segments(mark)
    ]
    if not pieces:
        return found
    edges = np.array([(b.left, b.foot, b.right, b.top) for b in boxes])
    ends = np.array([(start, end) for _, start, end in pieces])
    low, high = ends.min(axis=1)[:, None, :], ends.max(axis=1)[:, None, :]
    near = ((edges[:, :2] <= high) & (edges[:, 2:] >= low)).all(axis=2)
    for piece, i in np.argwhere(near).tolist():
        order, start, end = pieces[piece]
        if texts[i].backed or order <= under[i]:
            continue
        depth = reach(quads[i], (start, end))
        if depth > slack + 0.2:
            found.append(Clash("crossed", texts[i].words, flat[order].layer.value, depth))
    return found


def _discs_under(
    flat: Sequence[Plain], texts: Sequence[Text], quads: Sequence[tuple[Point, ...]]
) -> list[int]:
    """For every text, when the last filled disc that it stands wholly on is drawn: what came before is covered."""
    under = [-1] * len(texts)
    for order, mark in enumerate(flat):
        if not isinstance(mark, Circle) or mark.fill is None:
            continue
        for i, quad in enumerate(quads):
            if all(math.dist(corner, mark.centre) <= mark.radius + 0.3 for corner in quad):
                under[i] = max(under[i], order)
    return under


def segments(mark: Plain) -> tuple[tuple[Point, Point], ...]:
    """The straight pieces that a mark draws."""
    if isinstance(mark, Line):
        return ((mark.start, mark.end),)
    if isinstance(mark, Polyline):
        return tuple(pairwise(mark.points))
    if isinstance(mark, Polygon):
        if not mark.drawn:
            return ()
        return tuple(zip(mark.points, (*mark.points[1:], mark.points[0]), strict=True))
    if isinstance(mark, Arc):
        points = mark.points()
        return tuple(pairwise(points))
    if isinstance(mark, Circle):
        points = Arc(mark.centre, mark.radius, 0, 2 * math.pi).points(step=math.radians(30))
        return tuple(pairwise(points))
    return ()


def reach(first: Sequence[Point], second: Sequence[Point]) -> float:
    """How far two convex shapes reach into one another; zero or less if they are apart [mm].

    The separating-axis test over the sides of both shapes; a line counts as a shape with one side.
    """
    depth = math.inf
    for shape in (first, second):
        for k in range(len(shape) if len(shape) > 2 else 1):
            (x0, y0), (x1, y1) = shape[k], shape[(k + 1) % len(shape)]
            length = math.hypot(x1 - x0, y1 - y0)
            if length < 1e-9:
                continue
            n = (-(y1 - y0) / length, (x1 - x0) / length)
            a = [p[0] * n[0] + p[1] * n[1] for p in first]
            b = [p[0] * n[0] + p[1] * n[1] for p in second]
            depth = min(depth, min(max(a), max(b)) - max(min(a), min(b)) if len(second) > 2 else _into(a, b))
            if depth <= 0:
                return depth
    if len(second) == 2:  # along the line itself as well, so that a line ending before the words is apart
        (x0, y0), (x1, y1) = second
        length = math.hypot(x1 - x0, y1 - y0)
        if length > 1e-9:
            n = ((x1 - x0) / length, (y1 - y0) / length)
            a = [p[0] * n[0] + p[1] * n[1] for p in first]
            b = [p[0] * n[0] + p[1] * n[1] for p in second]
            depth = min(depth, min(max(a), max(b)) - max(min(a), min(b)))
    return depth


def _into(a: Sequence[float], b: Sequence[float]) -> float:
    """How far a thin thing's span lies inside a shape's span, seen along one axis [mm]."""
    return min(max(a) - min(b), max(b) - min(a))
