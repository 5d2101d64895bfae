"""A frame from the front and from the back, with its dimensions.

From the front stands what is checked on the finished frame: outer and inner sizes, one diagonal, the sides that
carry the strings. From the back stands what is needed to build it: every rail's place from one reference end, and
which part goes where.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from longpoint.drawing.paper.dimensions import Station, linear, running, running_depth
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import Circle, Layer, Line, Mark, Point, Polygon, Text
from longpoint.drawing.paper.projection import Projection, frame_marks, middle_of, projection_of
from longpoint.drawing.paper.view import View, scale_for, scale_words, view_of
from longpoint.drawing.views.build import join_marks
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, Kind, Member, Part, as_built, marks_of_members
from longpoint.joinery.joints.long_bars import bar_of

_FIGURE = 3.0
"""Height of figures on these views [mm]."""

_STEP = 8.0
"""Distance between parallel dimension lines [mm]."""


def front_view(frame: Frame, *, say: Voice, room: tuple[float, float], scale: float | None = None) -> View:
    """A frame from the front: outer and inner sizes, a diagonal, the sides with the strings.

    Args:
        frame: The frame.
        say: How the sheet speaks.
        room: Width and height on paper that the view may take. [mm]
        scale: mm of paper per mm; the largest usual one that fits if not given.
    """
    design = frame.design
    width, height = float(design.width), float(design.height)
    if scale is None:
        scale = scale_for(real=(width, height), room=(room[0] - 34, room[1] - 26))
    paper = projection_of(frame, scale=scale, seen="front")
    marks: list[Mark] = [*frame_marks(frame, paper), *_joins_and_seam(frame, paper, say, words=False)]
    diagonal = math.hypot(width, height)
    far = paper.point(width, height)
    marks.append(Line((0.0, 0.0), far, Layer.CENTRE))
    spot = (far[0] * 0.31, far[1] * 0.31)
    marks.append(
        Text(
            spot,
            say("frame.diagonal", length=say.length(diagonal)),
            _FIGURE,
            "middle",
            "middle",
            math.atan2(far[1], far[0]),
            layer=Layer.DIMENSION,
            backed=True,
        )
    )
    inset = float(design.bar_thickness)
    if "mitre" in design.corner or design.corner == "half-lap":
        inner = (paper.point(inset, inset), paper.point(width - inset, height - inset))
        marks.append(
            linear(
                (inner[0][0], 0.0),
                (inner[1][0], 0.0),
                offset=-_STEP,
                words=_inside(width - 2 * inset, scale, say),
                height=_FIGURE,
            )
        )
        marks.append(
            linear(
                (0.0, inner[0][1]),
                (0.0, inner[1][1]),
                offset=_STEP,
                words=_inside(height - 2 * inset, scale, say),
                height=_FIGURE,
            )
        )
    marks.append(
        linear(
            (0.0, 0.0),
            (far[0], 0.0),
            offset=-2 * _STEP,
            words=say.length(width),
            height=_FIGURE + 0.5,
            weight="semibold",
        )
    )
    marks.append(
        linear(
            (0.0, 0.0),
            (0.0, far[1]),
            offset=2 * _STEP,
            words=say.length(height),
            height=_FIGURE + 0.5,
            weight="semibold",
        )
    )
    marks += _strings(frame, paper, say, marks)
    title = say("frame.from-the-front", scale=scale_words(scale))
    return view_of("front", marks, scale=scale, title=title)


def _inside(length: float, scale: float, say: Voice) -> str:
    """An inner size with the word for it where there is room, else the figure alone."""
    words = say("frame.inside", length=say.length(length))
    return words if width_of(words, height=_FIGURE) + 3.0 < length * scale else say.length(length)


def back_view(
    frame: Frame,
    parts: Sequence[Part] = (),
    *,
    say: Voice,
    room: tuple[float, float],
    scale: float | None = None,
) -> View:
    """A frame from the back, as it lies face down: every rail from one reference end, and the marks of its parts.

    Args:
        frame: The frame.
        parts: Its parts, for the marks written on them; none leaves the names of the members out.
        say: How the sheet speaks.
        room: Width and height on paper that the view may take. [mm]
        scale: mm of paper per mm; the largest usual one that fits if not given.
    """
    design = frame.design
    width, height = float(design.width), float(design.height)
    along, across = _stations(frame, say)
    deep = running_depth([Station(0, words) for _, words, _ in along], offset=6, height=_FIGURE)
    side = running_depth([Station(0, words) for _, words, _ in across], offset=6, height=_FIGURE)
    if design.long_axis == "y":
        deep, side = side, deep
    if scale is None:
        scale = scale_for(real=(width, height), room=(room[0] - side - 14, room[1] - deep - 8))
    paper = projection_of(frame, scale=scale, seen="back")
    frame = as_built(frame)
    marks: list[Mark] = [*frame_marks(frame, paper), *_joins_and_seam(frame, paper, say, words=True)]
    corner = paper.point(0, 0)
    for axis, stations in ((design.long_axis, along), (_other(design.long_axis), across)):
        placed = [Station(at * scale, words, strong) for at, words, strong in stations]
        if axis == "x":
            top = paper.point(0, height)
            marks += running(top, placed, along=(-1.0, 0.0), away=(0.0, 1.0), offset=6, height=_FIGURE)
        else:
            marks += running(corner, placed, along=(0.0, 1.0), away=(1.0, 0.0), offset=6, height=_FIGURE)
    marks += _reference(corner)
    marks += _part_marks(frame, parts, paper, marks)
    title = say("frame.from-the-back", scale=scale_words(scale))
    return view_of("back", marks, scale=scale, title=title)


def _joins_and_seam(frame: Frame, paper: Projection, say: Voice, *, words: bool) -> list[Mark]:
    """Where bars are joined in length and where two halves meet; the words for it stand outside the frame."""
    design = frame.design
    built = as_built(frame)
    marks = join_marks(built, paper.point)
    wanted = []
    along = math.pi / 2
    for join in design.joins:
        bar = bar_of(built, join)
        x, y = (join.centre, bar.centre) if bar.axis == "x" else (bar.centre, join.centre)
        toward = {"top": along, "bottom": -along, "left": math.pi, "right": 0.0}[join.side]
        if paper.rightward < 0 and join.side in ("left", "right"):
            toward = math.pi - toward
        spot = paper.point(x, y)
        wanted.append(Wanted(spot, say("frame.join"), height=_FIGURE, toward=toward, backed=True))
    if design.seam is not None:
        level = design.long_axis == "x"
        low, high = (
            paper.point(*((design.seam, at) if level else (at, design.seam)))
            for at in (-design.breadth / 40, design.breadth * 41 / 40)
        )
        marks.append(Line(low, high, Layer.CENTRE))
        wanted.append(
            Wanted(low, say("frame.seam"), height=_FIGURE, toward=-along if level else 0.0, dot=False)
        )
    return [*marks, *(place_labels(wanted, among=marks) if words else ())]


def _other(axis: str) -> str:
    return "y" if axis == "x" else "x"


def _stations(
    frame: Frame, say: Voice
) -> tuple[list[tuple[float, str, bool]], list[tuple[float, str, bool]]]:
    """Places along and across the long direction: (from the reference end, figure, strong)."""
    design = frame.design
    long_axis = design.long_axis
    upright: dict[Fraction, bool] = {}
    level: dict[Fraction, bool] = {}
    for member in frame.members:
        faces = upright if member.axis != long_axis else level
        if member.kind is Kind.BAR:
            faces[member.high if member.low == 0 else member.low] = False
        else:
            faces.setdefault(member.low, True)
            faces.setdefault(member.high, False)
    upright[design.length] = True
    level[design.breadth] = True
    return (
        [(float(at), say.fine(at), strong) for at, strong in sorted(upright.items())],
        [(float(at), say.fine(at), strong) for at, strong in sorted(level.items())],
    )


def _reference(corner: Point) -> list[Mark]:
    """A filled corner at the reference end, so that it is found on the wood."""
    x, y = corner
    return [
        Polygon(
            ((x, y), (x - 3.2, y), (x, y + 3.2)),
            Layer.DIMENSION,
            fill=0.0,
            drawn=False,
        )
    ]


def _part_marks(frame: Frame, parts: Sequence[Part], paper: Projection, among: Sequence[Mark]) -> list[Mark]:
    marks = marks_of_members(tuple(parts))
    wanted = []
    for member in frame.members:
        if member.name not in marks:
            continue
        share = {Kind.MIDDLE_PIECE: 0.5, Kind.BAR: 0.2}.get(member.kind, 0.32)
        # a bar is named from outside, what lies along it from inside: side by side their marks cannot be exchanged
        inward = _inward(member, frame, paper)
        wanted.append(
            Wanted(
                middle_of(member, paper, share=share),
                marks[member.name],
                height=_FIGURE,
                weight="bold",
                toward=inward + math.pi if member.kind is Kind.BAR else inward,
                least=float(member.thickness) * paper.scale / 2,
                backed=True,
            )
        )
    return list(place_labels(wanted, among=among))


def _inward(member: Member, frame: Frame, paper: Projection) -> float:
    """The direction from a member into the open frame, on paper [rad]."""
    design = frame.design
    if member.axis == "x":
        return math.pi / 2 if member.centre * 2 <= design.height else -math.pi / 2
    left = member.centre * 2 <= design.width
    toward_right = left == (paper.rightward > 0)
    return 0.0 if toward_right else math.pi


def _strings(frame: Frame, paper: Projection, say: Voice, among: Sequence[Mark]) -> list[Mark]:
    """A pair of rings at a third from the top on the two sides that carry the strings, and what they are."""
    design = frame.design
    rings: list[Mark] = []
    for side in design.strings:
        bar = next((m for m in frame.members if m.kind is Kind.BAR and m.side == side), None)
        if bar is not None:
            rings.append(Circle(middle_of(bar, paper, share=0.7), 1.1, Layer.SCREW, fill=1.0))
    if not rings:
        return []
    # One label is enough: beside the right bar or above the top one, where no dimension stands.
    last = rings[-1]
    assert isinstance(last, Circle)
    toward = 0.0 if design.strings == ("left", "right") else math.pi / 2
    wanted = [Wanted(last.centre, say("frame.strings"), toward=toward, least=1.2, dot=False)]
    return rings + list(place_labels(wanted, among=[*among, *rings]))
