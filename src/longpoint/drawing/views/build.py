"""Pictures for building: the frame so far, and each kind of joint with its screws.

A picture of a step shows the side that is towards you: from the back while the frame lies face down. What has just
been put in is dark, what stands already is light, what is still to come is a thin broken outline.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import TypeAlias

from shapely import Point as Spot
from shapely import Polygon as Shape
from shapely import box

from longpoint.drawing.paper.marks import (
    Circle,
    Layer,
    Line,
    LineKind,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    rectangle,
)
from longpoint.drawing.paper.projection import Seen, projection_of
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.own_words import figures
from longpoint.drawing.words.voice import Voice
from longpoint.frame import BarJoin, Frame, Member, outline_xy, plates_of
from longpoint.joinery import Bolt, BuildPlan, Dowel, Fixing, Joint, JointKind, Step
from longpoint.joinery.joints.long_bars import bar_of
from longpoint.joinery.joints.seam import WASHER, WASHER_RADIUS

_Place: TypeAlias = Callable[[Fraction, Fraction], Point]
_Spot: TypeAlias = Callable[[float, float], Point]

_NEW = 0.35
_THERE = 0.88


def step_view(
    frame: Frame, step: Step, fixings: Sequence[Fixing | Bolt], *, size: tuple[float, float]
) -> View:
    """The frame as far as it is built when a step is done.

    Args:
        frame: The frame as it is built.
        step: The step.
        fixings: The screws driven in it and the bolts put in.
        size: Width and height of the picture. [mm]
    """
    design = frame.design
    width, height = float(design.width), float(design.height)
    scale = min((size[0] - 8.0) / width, (size[1] - 8.0) / height)
    seen: Seen = step.seen_from
    paper = projection_of(frame, scale=scale, seen=seen)
    marks: list[Mark] = []
    there = set(step.in_place)
    new = set(step.members)
    order = sorted(frame.members, key=lambda m: m.front if seen == "front" else -m.back)
    for member in order:
        if member.name not in there and member.name not in new:
            corners = _outline(member, frame, paper.point)
            marks.append(Polygon(corners, Layer.BEYOND, pen=Pen(0.18, LineKind.DASHED, 0.5)))
    for member in order:
        if member.name in there or member.name in new:
            corners = _outline(member, frame, paper.point)
            tone = _NEW if member.name in new else _THERE
            marks.append(Polygon(corners, Layer.OUTLINE, fill=tone, pen=Pen(0.3)))
    marks += join_marks(frame, paper.point)
    for fixing in fixings:
        marks += _screw_arrow(fixing, paper.point)
    return view_of(f"step-{step.number}", marks, scale=scale, border=0.5)


def _outline(member: Member, frame: Frame, point: _Place) -> tuple[Point, ...]:
    return tuple(point(x, y) for x, y in outline_xy(member, frame.design))


def _screw_arrow(fixing: Fixing | Bolt, point: _Place) -> list[Mark]:
    """An arrow from outside to where a screw is driven; a dot where it is driven towards or away from you."""
    at = point(fixing.start[0], fixing.start[1])
    ahead = point(fixing.start[0] + fixing.axis[0], fixing.start[1] + fixing.axis[1])
    dx, dy = ahead[0] - at[0], ahead[1] - at[1]
    length = math.hypot(dx, dy)
    if length < 1e-9:
        return [Circle(at, 0.8, Layer.SCREW, fill=0.0)]
    dx, dy = dx / length, dy / length
    tail = (at[0] - 3.4 * dx, at[1] - 3.4 * dy)
    neck = (at[0] - 1.6 * dx, at[1] - 1.6 * dy)
    half = 0.75
    head = (
        (at[0], at[1]),
        (neck[0] - half * dy, neck[1] + half * dx),
        (neck[0] + half * dy, neck[1] - half * dx),
    )
    return [
        Line(tail, neck, Layer.SCREW, Pen(0.35)),
        Polygon(head, Layer.SCREW, fill=0.0, drawn=False),
    ]


def joint_view(
    frame: Frame, build: BuildPlan, joint: Joint, *, say: Voice, size: tuple[float, float]
) -> View:
    """One joint at full size or smaller, cut level with its screws: holes, thread and how deep each reaches.

    Args:
        frame: The frame.
        build: Its build plan.
        joint: The joint.
        say: How the sheet speaks.
        size: Width and height of the picture. [mm]
    """
    window = _window(joint, build, frame)
    scale = min(1.0, (size[0] - 4.0) / (window[2] - window[0]), (size[1] - 4.0) / (window[3] - window[1]))

    def place(x: float, y: float) -> Point:
        return ((x - window[0]) * scale, (y - window[1]) * scale)

    marks: list[Mark] = []
    shape = box(*window)
    everything = (*frame.members, *plates_of(frame))
    named = [member for member in everything if member.name in _all_members(joint)]
    for member in sorted(named, key=lambda m: m.front):
        piece = Shape([(float(x), float(y)) for x, y in outline_xy(member, frame.design)]).intersection(shape)
        if piece.is_empty or piece.geom_type != "Polygon":
            continue
        corners = tuple(place(x, y) for x, y in list(piece.exterior.coords)[:-1])
        marks.append(Polygon(corners, Layer.OUTLINE, fill=0.93 if member.kind.value == "bar" else 0.97))
    low, high = place(window[0], window[1]), place(window[2], window[3])
    marks.append(rectangle(low, high, layer=Layer.BEYOND, pen=Pen(0.18, grey=0.6)))
    if joint.kind in (JointKind.SCARF, JointKind.SPLICED_LAP):
        marks += join_marks(frame, place, only=_join_of(joint, frame), layer=Layer.OUTLINE)
    for bolt in joint.bolts:
        if shape.covers(Spot(float(bolt.start[0]), float(bolt.start[1]))):
            marks += _bolt(bolt, place, scale)
    for dowel in joint.dowels:
        marks += _dowel(dowel, place, scale)
    sentences = _said_of_long(joint, say)
    for fixing in joint.fixings:
        x, y = float(fixing.start[0]), float(fixing.start[1])
        if window[0] - 1 <= x <= window[2] + 1 and window[1] - 1 <= y <= window[3] + 1:
            marks += _screw(fixing, place, scale)
        name = figures(fixing.screw.name.removeprefix("screw "), say)
        passed, thread = say.fine(fixing.passed), say.fine(fixing.thread)
        sentences.append(say("joint.screw", name=name, passed=passed, thread=thread))
    words = "; ".join(dict.fromkeys(sentences))
    return view_of(f"joint-{joint.name}", marks, scale=scale, border=0.6, title=words)


def _all_members(joint: Joint) -> set[str]:
    names = set(joint.members)
    if joint.bolts:
        names |= {f"{side} bar {half}" for side in ("left", "right", "bottom", "top") for half in (1, 2)}
    for fixing in joint.fixings:
        names |= set(fixing.members)
    return names


def _window(joint: Joint, build: BuildPlan, frame: Frame) -> tuple[float, float, float, float]:
    """The part of the frame that is shown: the screws with a border; a join in its whole length."""
    if (join := _join_of(joint, frame)) is not None:
        bar = bar_of(frame, join)
        low, high = (float(end) for end in join.reach)
        across = (float(bar.low) - 34.0, float(bar.high) + 34.0)
        if bar.axis == "x":
            return (low - 16.0, across[0], high + 16.0, across[1])
        return (across[0], low - 16.0, across[1], high + 16.0)
    if joint.bolts:
        # Half a dozen bolts alike: the first of them, beside its bar.
        return _round_bolt(joint.bolts[0], frame)
    xs = [float(joint.at[0])]
    ys = [float(joint.at[1])]
    for dowel in joint.dowels:
        half = float(dowel.length) / 2
        for sign in (-1.0, 1.0):
            xs.append(float(dowel.centre[0]) + sign * half * dowel.axis[0])
            ys.append(float(dowel.centre[1]) + sign * half * dowel.axis[1])
    for fixing in joint.fixings:
        for point in (fixing.start, fixing.tip):
            xs.append(float(point[0]))
            ys.append(float(point[1]))
    border = 16.0
    left, right = min(xs) - border, max(xs) + border
    low, high = min(ys) - border, max(ys) + border
    # not narrower than it is useful to see, not longer than a rod of screws needs
    wide = min(max(right - left, 64.0), 150.0)
    tall = min(max(high - low, 56.0), 110.0)
    cx, cy = (left + right) / 2, (low + high) / 2
    if joint.fixings and right - left > wide:
        cx = float(joint.fixings[0].start[0])
    if joint.fixings and high - low > tall:
        cy = float(joint.fixings[0].start[1])
    return (cx - wide / 2, cy - tall / 2, cx + wide / 2, cy + tall / 2)


def _join_of(joint: Joint, frame: Frame) -> BarJoin | None:
    """The join that a joint glues; None where it is another kind of joint."""
    if joint.kind not in (JointKind.SCARF, JointKind.SPLICED_LAP):
        return None
    for join in frame.design.joins:
        bar = bar_of(frame, join)
        if joint.at[:2] == ((join.centre, bar.centre) if bar.axis == "x" else (bar.centre, join.centre)):
            return join
    return None


def _round_bolt(bolt: Bolt, frame: Frame) -> tuple[float, float, float, float]:
    """A window with the first bolt, the end of the doubled members and the long bar they end on."""
    x, y = float(bolt.start[0]), float(bolt.start[1])
    passed = float(bolt.passed)
    if bolt.axis[0]:
        return (x - 30.0, -8.0, x + passed + 30.0, max(y + 30.0, 96.0))
    return (-8.0, y - 30.0, max(x + 30.0, 96.0), y + passed + 30.0)


def join_marks(
    frame: Frame, point: _Spot | _Place, *, only: BarJoin | None = None, layer: Layer = Layer.HIDDEN
) -> list[Mark]:
    """The line in which each joined bar is joined, as seen from the front.

    Args:
        frame: The frame as it is built.
        point: From the frame to paper.
        only: The only join that is looked at; all if not given.
        layer: What kind of line.
    """
    marks: list[Mark] = []
    joined = [(join, bar_of(frame, join)) for join in frame.design.joins]
    for join, member in joined:
        if only is not None and join is not only:
            continue
        low, high = join.centre - join.length / 2, join.centre + join.length / 2
        sides = (member.low, member.high)
        outer, inner = sides if join.side in ("left", "bottom") else sides[::-1]
        # Bars that face each other are cut alike: turned end for end, one's join is the other's.
        first, last = (outer, inner) if join.side in ("left", "top") else (inner, outer)
        line = [(low, first), (high, last)]
        if join.kind != "scarf":
            middle = member.centre
            line = [(low, first), (low, middle), (high, middle), (high, last)]
        placed = tuple(
            point(*_xy(float(along), float(across), member.axis))  # type: ignore[arg-type]
            for along, across in line
        )
        marks.append(Polyline(placed, layer))
    return marks


def _xy(along: float, across: float, axis: str) -> tuple[float, float]:
    return (along, across) if axis == "x" else (across, along)


def _bolt(bolt: Bolt, place: _Spot, scale: float) -> list[Mark]:
    """A bolt from the side: head, washers, shank, nut."""
    ax, ay = float(bolt.axis[0]), float(bolt.axis[1])
    sx, sy = float(bolt.start[0]), float(bolt.start[1])

    def at(along: float, aside: float) -> Point:
        return place(sx + ax * along - ay * aside, sy + ay * along + ax * aside)

    def block(start: float, stop: float, half: float, fill: float) -> Polygon:
        corners = (at(start, half), at(stop, half), at(stop, -half), at(start, -half))
        return Polygon(corners, Layer.SCREW, fill=fill)

    passed, radius = float(bolt.passed), float(bolt.diameter) / 2
    washer, wide = float(WASHER), float(WASHER_RADIUS)
    stop = float(bolt.length) - washer
    return [
        block(0.0, stop, radius, 0.55),
        block(-washer, 0.0, wide, 0.8),
        block(-washer - 4.0, -washer, 5.0, 0.55),  # head, about 10 mm over its flats
        block(passed, passed + washer, wide, 0.8),
        block(passed + washer, passed + washer + 5.0, 5.0, 0.55),
        Line(at(-washer - 9.0, 0.0), at(stop + 5.0, 0.0), Layer.CENTRE),
    ]


def _dowel(dowel: Dowel, place: _Spot, scale: float) -> list[Mark]:
    """A dowel across two butted ends; the dotted line is glue."""
    half, radius = float(dowel.length) / 2, float(dowel.diameter) / 2
    cx, cy = float(dowel.centre[0]), float(dowel.centre[1])
    ax, ay = float(dowel.axis[0]), float(dowel.axis[1])

    def at(along: float, aside: float) -> Point:
        return place(cx + ax * along - ay * aside, cy + ay * along + ax * aside)

    body = (at(-half, radius), at(half, radius), at(half, -radius), at(-half, -radius))
    return [
        Polygon(body, Layer.SCREW, fill=0.8),
        *(Line(at(-half, side), at(0.0, side), Layer.GLUE) for side in (radius, -radius)),
    ]


def _said_of_long(joint: Joint, say: Voice) -> list[str]:
    """What is said under the picture of a join or a seam, beside its screws."""
    if joint.kind is JointKind.SCARF:
        return [say("joint.scarf", length=say.fine(joint.glue[0].length))]
    if joint.kind is JointKind.SPLICED_LAP:
        plate = joint.glue[1]
        size = f"{say.fine(plate.length)} × {say.fine(plate.width)}"
        return [say("joint.lap", length=say.fine(joint.glue[0].length), plate=size)]
    if joint.bolts:
        return [say("joint.dry")]
    return []


def _screw(fixing: Fixing, place: _Spot, scale: float) -> list[Mark]:
    """A screw seen from the side, or its head from above."""
    ax, ay = float(fixing.axis[0]), float(fixing.axis[1])
    radius = max(float(fixing.screw.diameter) / 2 * scale, 0.5)
    sx, sy = float(fixing.start[0]), float(fixing.start[1])
    if not ax and not ay:
        x, y = place(sx, sy)
        return [
            Circle((x, y), max(float(fixing.countersink) / 2 * scale, 1.2), Layer.SCREW, fill=1.0),
            Line((x - 1.0, y - 1.0), (x + 1.0, y + 1.0), Layer.SCREW),
            Line((x - 1.0, y + 1.0), (x + 1.0, y - 1.0), Layer.SCREW),
        ]

    def at(along: float, aside: float) -> Point:
        x, y = place(sx + ax * along, sy + ay * along)
        return (x - ay * aside, y + ax * aside)

    sunk, deep = float(fixing.sunk), float(fixing.depth)
    passed = sunk + max(float(fixing.passed) - sunk, 0.0)
    head = max(float(fixing.countersink) / 2 * scale, radius * 1.6)
    cone = sunk + (head - radius) / max(scale, 1e-6)
    point = deep - 2.2 * radius / max(scale, 1e-6)
    body = (
        at(sunk, head),
        at(cone, radius),
        at(point, radius),
        at(deep, 0.0),
        at(point, -radius),
        at(cone, -radius),
        at(sunk, -head),
    )
    hole = float(fixing.clearance_hole) / 2 * scale
    marks: list[Mark] = [Polygon(body, Layer.SCREW, fill=0.55)]
    if sunk > 0:
        marks.append(Polyline((at(0.0, head), at(sunk, head)), Layer.SCREW))
        marks.append(Polyline((at(0.0, -head), at(sunk, -head)), Layer.SCREW))
    for side in (hole, -hole):
        marks.append(Line(at(cone, side), at(passed, side), Layer.HIDDEN))
    count = max(0, round((deep - passed) * scale / 1.6))
    for k in range(count):
        along = passed + (k + 0.5) * (point - passed) / max(count, 1)
        if along < point:
            low, high = at(along, -radius * 1.25), at(along + 0.6 / max(scale, 0.3), radius * 1.25)
            marks.append(Line(low, high, Layer.SCREW, Pen(0.25)))
    marks.append(Line(at(-4.0 / max(scale, 0.3), 0.0), at(deep + 4.0 / max(scale, 0.3), 0.0), Layer.CENTRE))
    return marks
