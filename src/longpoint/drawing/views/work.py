"""A frame from the back as it is read at the bench: timbers drawn wide enough to bear their marks.

Timbers are as wide as their marks need, free distances share what is left; what is measured is read from the figures.
So a mark always stands on its own timber, however thin that is.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TypeAlias

from longpoint.drawing.paper.dimensions import Station, running
from longpoint.drawing.paper.extent import clashes_of
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import Layer, Line, Mark, Pen, Point, Polygon, Text
from longpoint.drawing.paper.projection import WOOD
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.views.build import join_marks
from longpoint.drawing.words.members import side_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, Kind, Member, Part, as_built, marks_of_members, outline_xy
from longpoint.frame.design import Axis

_At: TypeAlias = Callable[[Fraction | float, Fraction | float], Point]

_Timber: TypeAlias = tuple[Fraction, Fraction, float]
"""Where a timber begins and ends along a direction, and how long it must be on paper. [mm]"""

_Piece: TypeAlias = tuple[float, float, float, float]
"""Where a stretch between two edges begins and ends, how long it is [mm], and its least scale."""

_WIDEST = 5.4
"""Timbers are drawn at least this wide, so that a mark stands on them. [mm]"""

_MOST_UNLIKE = 1.2
"""How much larger one direction may be drawn than the other."""

_BROADER = 1.5
"""How much broader or higher a frame may come out than it is, where wide timbers make it so."""

_LEAST_ALIKE = 0.35
"""Free distances of one direction are drawn at least so large, beside those of the other."""

_MARK = 3.3
_SMALL_MARK = 2.6
_FIGURE = 3.2
_SIDE = 2.6


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Places along one direction of a frame on paper: straight between given points."""

    real: tuple[float, ...]
    paper: tuple[float, ...]

    def __call__(self, at: Fraction | float) -> float:
        place = float(at)
        k = min(max(bisect_right(self.real, place) - 1, 0), len(self.real) - 2)
        share = (place - self.real[k]) / (self.real[k + 1] - self.real[k])
        return self.paper[k] + share * (self.paper[k + 1] - self.paper[k])

    @property
    def length(self) -> float:
        return self.paper[-1]


def work_view(frame: Frame, parts: Sequence[Part], *, say: Voice, room: tuple[float, float]) -> View:
    """A frame from the back, as it lies face down, with its marks on its timbers and every rail's place.

    Args:
        frame: The frame, its bars whole.
        parts: Its parts.
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    built = as_built(frame)
    deep, high = 9.0 + _FIGURE, 11.0 + _figures_width(built, say)
    for _ in range(4):
        view = _drawn(built, parts, say, room=(room[0] - high, room[1] - deep))
        over = (view.width - room[0], view.height - room[1])
        if max(over) <= 0.05:
            break
        high, deep = high + max(over[0], 0.0), deep + max(over[1], 0.0)
    return view


def _figures_width(frame: Frame, say: Voice) -> float:
    words = [words for _, words, _ in _stations(frame, "y", say)]
    return max(width_of(each, height=_FIGURE, weight="semibold") for each in words)


def _drawn(frame: Frame, parts: Sequence[Part], say: Voice, *, room: tuple[float, float]) -> View:
    design = frame.design
    names = marks_of_members(tuple(parts))
    across, up = _stretches(frame, names, room)
    short = {
        piece.name
        for piece in frame.of_kind(Kind.MIDDLE_PIECE)
        if piece.axis == "y" and up(piece.stop) - up(piece.start) < _room_of(names.get(piece.name, ""))
    }
    if short:  # where its mark cannot stand upright a piece is drawn as wide as the mark
        across, up = _stretches(frame, names, room, short)
    wide = across.length

    def at(x: Fraction | float, y: Fraction | float) -> Point:
        return (wide - across(x), up(y))

    members = sorted(frame.members, key=lambda member: -member.back)
    marks: list[Mark] = [
        Polygon(
            tuple(at(x, y) for x, y in outline_xy(member, design)),
            Layer.OUTLINE,
            fill=WOOD[member.kind],
            pen=Pen(0.35),
        )
        for member in members
    ]
    marks += join_marks(frame, at)
    if design.seam is not None:
        level = design.long_axis == "x"
        ends = [(design.seam, y) if level else (y, design.seam) for y in (Fraction(0), design.breadth)]
        low, top = (at(*end) for end in ends)
        marks.append(Line(low, top, Layer.CUT, Pen(0.9)))
    for member in members:
        if member.name in names:
            marks.append(_mark_on(member, names[member.name], at, frame, marks))
    marks += _sides(frame, across, up, say)
    marks += _figures(frame, at, across, up, say)
    corner = at(0, 0)
    marks.append(
        Polygon(
            (corner, (corner[0] - 4.0, corner[1]), (corner[0], corner[1] + 4.0)),
            Layer.DIMENSION,
            fill=0.0,
            drawn=False,
        )
    )
    return view_of("bench", marks, scale=wide / float(design.width), title=say("work-sheet.view"), border=0.4)


def _room_of(mark: str) -> float:
    return width_of(mark, height=_MARK, weight="bold") + 1.0


def _stretches(
    frame: Frame, names: Mapping[str, str], room: tuple[float, float], short: Set[str] = frozenset()
) -> tuple[_Stretch, _Stretch]:
    """Both directions as large as they fit, their free distances to scales that are not too unlike."""
    axes: tuple[Axis, Axis] = ("x", "y")
    lengths = {"x": frame.design.width, "y": frame.design.height}
    pieces = {axis: _pieces(_timbers(frame, axis, names, short), lengths[axis]) for axis in axes}

    def stretch(axis: Axis, scale: float) -> _Stretch:
        return _stretch(pieces[axis], scale)

    scales = []
    for axis, space in zip(axes, room, strict=True):
        low, high = 0.0, space / float(lengths[axis])
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if stretch(axis, middle).length <= space else (low, middle)
        scales.append(low)
    most = _MOST_UNLIKE * min(scales)
    x, y = min(scales[0], most), min(scales[1], most)
    # Wide timbers make a frame broader than it is: what is upright shall stand upright on paper, too.
    shape = float(lengths["x"] / lengths["y"])
    while x > _LEAST_ALIKE * y and stretch("x", x).length > _BROADER * shape * stretch("y", y).length:
        x *= 0.95
    while y > _LEAST_ALIKE * x and stretch("y", y).length > _BROADER / shape * stretch("x", x).length:
        y *= 0.95
    return stretch("x", x), stretch("y", y)


def _timbers(frame: Frame, axis: Axis, names: Mapping[str, str], short: Set[str]) -> list[_Timber]:
    """Where timbers that lie across a direction begin and end along it, and short pieces that lie along it."""
    found = {
        (member.low, member.high, _room_of(names[member.name]) if member.name in short else _WIDEST)
        for member in frame.members
        if member.axis != axis
    }
    for piece in frame.of_kind(Kind.MIDDLE_PIECE):
        if piece.axis == axis:
            wide = _room_of(names.get(piece.name, ""))
            found.add((piece.start, piece.stop, wide if axis == "x" else _WIDEST))
    return sorted(found)


def _pieces(timbers: Sequence[_Timber], length: Fraction) -> list[_Piece]:
    """A direction cut at every edge of a timber."""
    edges = sorted({Fraction(0), length, *(edge for timber in timbers for edge in timber[:2])})
    return [
        (
            float(low),
            float(high),
            float(high - low),
            max(
                (
                    least / float(last - first)
                    for first, last, least in timbers
                    if first <= low and high <= last
                ),
                default=0.0,
            ),
        )
        for low, high in pairwise(edges)
    ]


def _stretch(pieces: Sequence[_Piece], scale: float) -> _Stretch:
    paper = [0.0]
    for _, _, length, least in pieces:
        paper.append(paper[-1] + max(scale, least) * length)
    return _Stretch((pieces[0][0], *(high for _, high, _, _ in pieces)), tuple(paper))


def _mark_on(member: Member, mark: str, at: _At, frame: Frame, drawn: Sequence[Mark]) -> Text:
    """A part's mark in the middle of its timber's width, where nothing crosses it if there is such a place."""
    best: tuple[int, Text] | None = None
    for height in (_MARK, _SMALL_MARK):
        wide = width_of(mark, height=height, weight="bold")
        for along in _free_places(member, frame, at):
            x, y = (along, member.centre) if member.axis == "x" else (member.centre, along)
            tall = at(member.centre, member.stop)[1] - at(member.centre, member.start)[1]
            upright = member.axis == "y" and _WIDEST - 0.4 < wide < tall
            for turn in (math.pi / 2, 0.0) if upright else (0.0,):
                text = Text(at(x, y), mark, height, "middle", "middle", turn, "bold")
                clashes = len(clashes_of(text, drawn))
                if clashes == 0:
                    return text
                if best is None or clashes < best[0]:
                    best = clashes, text
    assert best is not None  # every member has a place
    return best[1]


def _free_places(member: Member, frame: Frame, at: _At) -> list[float]:
    """Middles of a member's stretches that no other member covers, the roomiest on paper first."""
    low, high = float(member.start), float(member.stop)
    cuts = {low, high}
    for other in frame.members:
        if other.axis != member.axis and other.start < member.high and member.low < other.stop:
            cuts |= {min(max(float(edge), low), high) for edge in (other.low, other.high)}
    for join in frame.design.joins:
        if join.side == member.side and member.kind is Kind.BAR:
            cuts |= {min(max(float(edge), low), high) for edge in join.reach}

    def room(first: float, second: float) -> float:
        ends = [
            at(edge, member.centre) if member.axis == "x" else at(member.centre, edge)
            for edge in (first, second)
        ]
        return math.dist(*ends)

    gaps = [(room(first, second), (first + second) / 2) for first, second in pairwise(sorted(cuts))]
    longest = max(gap for gap, _ in gaps)
    roomy = [place for gap, place in gaps if gap > 0.8 * longest]
    return [*roomy, *(place for gap, place in sorted(gaps, reverse=True) if place not in roomy)]


def _sides(frame: Frame, across: _Stretch, up: _Stretch, say: Voice) -> list[Mark]:
    """Which bar is the top and which the right one, as the frame lies face down; where two halves meet."""
    seam = frame.design.seam
    level = frame.design.long_axis == "x"
    over, beside = (0.5 if seam is None or level != way else 0.2 for way in (True, False))
    words = [
        (True, across.length * over, side_words("top", say)),
        (False, up.length * beside, side_words("right", say)),
    ]
    if seam is not None:
        words.append((level, across.length - across(seam) if level else up(seam), say("frame.seam")))
    return [
        Text((at, up.length + 1.4), said, _SIDE, "middle")
        if above
        else Text((-1.4, at), said, _SIDE, "middle", turn=math.pi / 2)
        for above, at, said in words
    ]


def _stations(frame: Frame, axis: Axis, say: Voice) -> list[tuple[Fraction, str, bool]]:
    """Lines to be marked along a direction, from the reference end: the near face of every timber, then the whole."""
    design = frame.design
    length = design.width if axis == "x" else design.height
    found: dict[Fraction, bool] = {}
    for member in frame.members:
        if member.axis != axis and member.kind in (Kind.CROSS_RAIL, Kind.MIDDLE_PIECE):
            found[member.low] = True
    found.pop(length, None)
    return [
        *((place, say.place(place), strong) for place, strong in sorted(found.items())),
        (length, say.length(length), True),
    ]


def _figures(
    frame: Frame,
    at: _At,
    across: _Stretch,
    up: _Stretch,
    say: Voice,
) -> list[Mark]:
    """Running figures from the black corner: to the left below the frame, upwards beside it."""
    marks: list[Mark] = []
    corner = at(0, 0)
    ways: tuple[tuple[Axis, _Stretch], ...] = (("x", across), ("y", up))
    for axis, stretch in ways:
        stations = [
            Station(stretch(place), words, strong) for place, words, strong in _stations(frame, axis, say)
        ]
        wide = sum(width_of(s.words, height=_FIGURE, weight="semibold") + 2.5 for s in stations) + 6.0
        if axis == "x":
            level = wide < stretch.length + 8.0
            marks += running(
                corner, stations, along=(-1.0, 0.0), away=(0.0, -1.0), offset=3.5, height=_FIGURE, level=level
            )
        else:
            marks += running(corner, stations, along=(0.0, 1.0), away=(1.0, 0.0), offset=3.5, height=_FIGURE)
    return marks
