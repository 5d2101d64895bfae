"""Where labels go: beside their point where there is room, further off with a leader where it is tight.

Labels are placed one after the other, the ones with the least choice first only if the caller lists them so. Each
takes the nearest place at which it covers no other words, crosses as few lines as possible and stays inside the
edge. The search looks at a fixed list of places, so that equal drawings get equal labels.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from longpoint.drawing.paper.extent import Box, box_of, box_round, reach, segments, text_corners
from longpoint.drawing.paper.marks import (
    SMALLEST_LETTERING,
    Circle,
    Layer,
    Line,
    Mark,
    Plain,
    Point,
    Polygon,
    Text,
    Weight,
    plain,
)

_DISTANCES = (2.0, 3.5, 5.0, 7.0, 9.0, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0, 48.0, 60.0)
_CROSSING = 9.0
"""What a crossed line costs, in mm of distance."""
_LEADER = 2.5
"""Labels further away than this get a leader [mm]."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label that is to be placed.

    Attributes:
        at: The point it is about.
        words: What it says.
        height: Of its capitals. [mm]
        weight: How heavy.
        toward: Preferred direction from the point, an angle; None for any. [rad]
        layer: Layer of the words.
        dot: Whether the leader ends in a dot, as on a surface; else in nothing, as on a line.
        least: Least distance from the point, to stand clear of what the label is about. [mm]
        backed: Whether the paper shows through behind the words.
    """

    at: Point
    words: str
    height: float = SMALLEST_LETTERING
    weight: Weight = "regular"
    toward: float | None = None
    layer: Layer = Layer.NOTE
    dot: bool = True
    least: float = 0.0
    backed: bool = False


def place_labels(
    wanted: Sequence[Wanted], *, among: Iterable[Mark] = (), within: Box | None = None
) -> tuple[Mark, ...]:
    """Labels with their leaders.

    Args:
        wanted: The labels in the order in which they choose.
        among: What is drawn already.
        within: The edge that labels must not cross; None lets the drawing grow.

    Returns:
        Texts, leaders and dots, in the order of ``wanted``.
    """
    scene = _Scene(list(plain(among)))
    placed: list[Mark] = []
    for label in wanted:
        text, far = _best(label, scene, within)
        marks: list[Plain] = [text]
        if far:
            foot = _nearest_edge(text, label.at)
            marks.append(Line(label.at, foot, Layer.NOTE))
            if label.dot:
                marks.append(Circle(label.at, 0.5, Layer.NOTE, fill=0.0))
        for mark in marks:
            scene.add(mark)
        placed += marks
    return tuple(placed)


class _Scene:
    """What has been drawn so far, kept as boxes so that most of it is passed over quickly."""

    def __init__(self, marks: list[Plain]) -> None:
        self.words: list[tuple[Box, tuple[Point, ...]]] = []
        self.solids: list[Box] = []
        self._edges: list[tuple[float, ...]] = []
        self._table = np.zeros((0, 8))  # left, foot, right, top, and both ends of every line
        for mark in marks:
            self.add(mark)

    def add(self, mark: Plain) -> None:
        if isinstance(mark, Text):
            corners = text_corners(mark, border=0.4)
            self.words.append((box_round(corners), corners))
            return
        if mark.layer is Layer.HATCH:
            return
        if isinstance(mark, Polygon) and not mark.drawn and mark.fill is not None and mark.fill < 0.3:
            self.solids.append(box_of(mark))
        for start, end in segments(mark):
            box = box_round((start, end)).grown(0.2)
            self._edges.append((box.left, box.foot, box.right, box.top, *start, *end))

    def covers_words(self, corners: tuple[Point, ...], box: Box) -> bool:
        if any(box.meets(solid) for solid in self.solids):
            return True
        return any(box.meets(other) and reach(corners, quad) > 0 for other, quad in self.words)

    def crossed(self, box: Box) -> int:
        """How many lines run through a level box: those whose box meets it and that have corners on both sides."""
        if len(self._table) != len(self._edges):
            self._table = np.array(self._edges)
        t = self._table
        if not len(t):
            return 0
        near = t[(t[:, 0] < box.right) & (t[:, 2] > box.left) & (t[:, 1] < box.top) & (t[:, 3] > box.foot)]
        if not len(near):
            return 0
        x, y = near[:, 4], near[:, 5]
        dx, dy = near[:, 6] - x, near[:, 7] - y
        sides = [(cx - x) * dy - (cy - y) * dx for cx in (box.left, box.right) for cy in (box.foot, box.top)]
        least, most = np.minimum.reduce(sides), np.maximum.reduce(sides)
        return int(np.count_nonzero((least < 0) & (most > 0)))

    def leader_cost(self, start: Point, end: Point) -> float:
        box = box_round((start, end)).grown(0.1)
        cost = 0.0
        for other, quad in self.words:
            if box.meets(other) and reach(quad, (start, end)) > 0:
                cost += 4 * _CROSSING
        return cost


def _best(label: Wanted, scene: _Scene, within: Box | None) -> tuple[Text, bool]:
    best: tuple[float, Text, bool] | None = None
    for distance in _DISTANCES:
        if best is not None and distance > best[0]:
            break
        away = distance + label.least
        for step in range(24):
            angle = (label.toward or 0.0) + (1 if step % 2 else -1) * ((step + 1) // 2) * math.pi / 12
            text = _hung(label, away, angle)
            corners = text_corners(text, border=0.3)
            box = box_round(corners)
            if (within is not None and not within.holds(box)) or scene.covers_words(corners, box):
                continue
            far = distance > _LEADER
            cost = distance + _CROSSING * scene.crossed(box)
            if label.toward is not None:
                cost += 3.0 * abs(math.remainder(angle - label.toward, 2 * math.pi))
            if far:
                cost += 1.5 + scene.leader_cost(label.at, _nearest_edge(text, label.at))
            if best is None or cost < best[0] - 1e-9:
                best = (cost, text, far)
    if best is None:  # nowhere inside: let it stand clear of everything, above
        text = _hung(label, 2.0 + label.least, label.toward or math.pi / 2)
        top = max((box.top for box, _ in scene.words), default=text.at[1])
        return replace(text, at=(text.at[0], top + 2 + label.height)), True
    return best[1], best[2]


def _hung(label: Wanted, distance: float, angle: float) -> Text:
    """The label with the side that faces its point at the given distance and direction."""
    dx, dy = math.cos(angle), math.sin(angle)
    across = "start" if dx > 0.4 else "end" if dx < -0.4 else "middle"
    upright = "foot" if dy > 0.4 else "top" if dy < -0.4 else "middle"
    at = (label.at[0] + distance * dx, label.at[1] + distance * dy)
    return Text(
        at,
        label.words,
        label.height,
        across,  # type: ignore[arg-type]
        upright,  # type: ignore[arg-type]
        weight=label.weight,
        layer=label.layer,
        backed=label.backed,
    )


def _nearest_edge(text: Text, point: Point) -> Point:
    """Where a leader from the point meets the words: the nearest point of their box."""
    box = box_round(text_corners(text, border=0.2))
    return (min(max(point[0], box.left), box.right), min(max(point[1], box.foot), box.top))
