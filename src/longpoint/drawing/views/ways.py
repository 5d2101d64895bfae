"""A work at an obstacle, small: the walls, and the work position after position with their numbers."""

from __future__ import annotations

from math import radians

from longpoint.drawing.paper.marks import Layer, Mark, Pen, Point, Polygon, Polyline, Text, rectangle
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.voice import Voice
from longpoint.drawing.words.ways import tilt_of
from longpoint.handling.obstacles import Corner, Door, Obstacle, QuarterLanding, Space, Stairs
from longpoint.handling.passing import Passing
from longpoint.handling.positions import Passage, round_corner, through, up_stairs
from longpoint.works.leaving import WayOut

_WALL = Pen(0.5)
_TONE = 0.86


def passing_view(
    way: WayOut, obstacle: Obstacle, one: Passing, *, name: str, room: Point, say: Voice
) -> View:
    """One work at one obstacle.

    Args:
        way: The work on its way.
        obstacle: What it passes.
        one: How.
        name: Of the view.
        room: Width and height on paper. [mm]
        say: How the sheet speaks.
    """
    passage = _passage(way, obstacle, one)
    shapes = [*passage.walls, *passage.works, *([passage.opening] if passage.opening else [])]
    xs, ys = zip(*(point for shape in shapes for point in shape), strict=True)
    scale = min((room[0] - 4) / (max(xs) - min(xs)), (room[1] - 8) / (max(ys) - min(ys)))

    def paper(point: Point) -> Point:
        return ((point[0] - min(xs)) * scale, (point[1] - min(ys)) * scale)

    marks: list[Mark] = []
    if passage.opening is not None:
        low, high = passage.opening
        marks.append(rectangle(paper(low), paper(high), layer=Layer.OUTLINE, pen=_WALL))
    marks += [
        Polygon(tuple(paper(point) for point in shape), Layer.EDGE, fill=_TONE) for shape in passage.works
    ]
    marks += [
        Polyline(tuple(paper(point) for point in shape), Layer.OUTLINE, _WALL) for shape in passage.walls
    ]
    if len(passage.works) > 1:
        for number, shape in enumerate(passage.works, start=1):
            marks.append(_number(number, [paper(point) for point in shape]))
    words = _measures(obstacle, one, say)
    foot = min(y for mark in shapes for _, y in map(paper, mark))
    marks.append(Text((0.0, foot - 2.0), words, upright="top"))
    return view_of(name, marks, scale=scale)


def _passage(way: WayOut, obstacle: Obstacle, one: Passing) -> Passage:
    tilt = radians(tilt_of(one))
    match obstacle:
        case Door() | Space():
            return through(obstacle, way.box, one.hold, tilt)
        case Corner() | QuarterLanding():
            return round_corner(obstacle, way.box, one.hold, tilt)
        case Stairs():
            return up_stairs(obstacle, way.box, one.hold, tilt)


def _number(number: int, shape: list[Point]) -> Text:
    """A position's number, in its middle."""
    x, y = (sum(point[axis] for point in shape) / len(shape) for axis in (0, 1))
    return Text((x, y), str(number), across="middle", upright="middle", weight="semibold", backed=True)


def _measures(obstacle: Obstacle, one: Passing, say: Voice) -> str:
    """From where it is seen, and the clear measures that are drawn."""
    match obstacle:
        case Door():
            return say("leave.from-front", size=say.face(obstacle.width, obstacle.height))
        case Space():
            wide, high = obstacle.opening
            if one.hold.tilt == "raise":
                return say("leave.from-side", size=say.face(obstacle.depth, high))
            if one.hold.tilt == "swing":
                return say("leave.from-above", size=say.face(obstacle.depth, wide))
            return say("leave.from-front", size=say.face(wide, high))
        case Corner() | QuarterLanding():
            return say("leave.from-above", size=say.face(obstacle.before, obstacle.after))
        case Stairs():
            return say("leave.stairs-side", headroom=say.length(obstacle.headroom, unit=True))
