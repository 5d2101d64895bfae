"""The canvas on paper: where the runs of staples lie, and how a corner is folded."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from longpoint.drawing.paper.extent import Box, box_of_all, box_round, overlaps
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import (
    Circle,
    Layer,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Text,
    Upright,
    rectangle,
)
from longpoint.drawing.paper.view import View, beside, view_of
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.fold import CornerFold
from longpoint.stretching.fold_lay import Lay
from longpoint.stretching.staple_map import MappedStaple, StapleMap, StapleUse

_Place: TypeAlias = Callable[[MappedStaple], Point]
_Group: TypeAlias = tuple[
    int, Sequence[MappedStaple]
]  # number of a run, and staples of it that lie side by side
_Taken: TypeAlias = tuple[Point, tuple[float, float], bool]  # centre, half sizes, whether it is round

_MOST_ROWS = 14  # of numbers outside one side
_STEP = 0.94  # how much smaller the face is tried next, where its numbers have no room
_TRIES = 24

_OUT = {"bottom": (0.0, -1.0), "top": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}


@dataclass(frozen=True, slots=True)
class _Numbers:
    """How runs are numbered: in discs as long as there is room, else as plain figures.

    Attributes:
        height: Of the figures. [mm]
        discs: Whether they stand in discs.
    """

    height: float
    discs: bool

    def half(self, number: int, *, ringed: bool) -> tuple[float, float]:
        """Half of what a number takes across and up. [mm]"""
        figures = len(str(number))
        if self.discs or ringed:
            radius = self.height * (_DISC if figures < 3 else _WIDE_DISC)
            return radius, radius
        return width_of("8" * figures, height=self.height, weight="bold") / 2 + 0.3, self.height / 2 + 0.5


_DISC, _WIDE_DISC = 1.08, 1.4  # radius over the height of figures, for two of them and for three
_NUMBERS = (_Numbers(3.2, True), _Numbers(2.5, True), _Numbers(2.5, False))
"""Read at arm's length; close by; and where runs are too many for discs."""


def staple_map_view(staples: StapleMap, *, say: Voice, room: tuple[float, float]) -> View:
    """The work from the back, every run of staples as a bar with its number outside.

    Args:
        staples: The map.
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    largest = min(
        (space - 22.0) / size
        for space, size in zip(room, (staples.face_width, staples.face_height), strict=True)
    )
    groups = _groups(staples)
    for numbers in _NUMBERS:
        scale = largest
        for _ in range(_TRIES):
            small = scale * max(staples.face_width, staples.face_height) < 0.6 * min(room)
            if small and numbers is not _NUMBERS[-1]:  # it must not shrink to a strip between its numbers
                break
            numbered, free = _run_numbers(groups, _placing(staples, scale), numbers)
            if free:
                view = _map_at(staples, numbered, scale, say, numbers)
                if view.width <= room[0] and view.height <= room[1]:
                    return view
            last = scale
            scale *= _STEP
    return _map_at(staples, numbered, last, say, numbers)


def _placing(staples: StapleMap, scale: float) -> _Place:
    """Where staples are on paper, seen from the back: left and right change places."""

    def place(staple: MappedStaple) -> Point:
        x, y = staples.place(staple)
        return (staples.face_width * scale - x * scale, y * scale)

    return place


def _map_at(
    staples: StapleMap, numbered: Sequence[Mark], scale: float, say: Voice, numbers: _Numbers
) -> View:
    """The map at one scale, with its numbers as they were placed."""
    width, height = staples.face_width * scale, staples.face_height * scale
    place = _placing(staples, scale)
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, height), layer=Layer.OUTLINE, fill=0.93),
        rectangle((7.0, 7.0), (width - 7.0, height - 7.0), layer=Layer.EDGE, fill=1.0),
    ]
    for staple in staples.staples:
        x, y = place(staple)
        ox, oy = _outward(staple.side)
        if staple.use is StapleUse.EDGE:
            inner = (x - ox * 3.6, y - oy * 3.6)
            marks.append(
                Line(_along(inner, staple.side, -0.7), _along(inner, staple.side, 0.7), Layer.STAPLE)
            )
        elif staple.use is StapleUse.HOLDING:
            inner = (x - ox * 3.6, y - oy * 3.6)
            marks.append(Circle(inner, 1.1, Layer.STAPLE, fill=1.0, pen=Pen(0.5)))
    named = _side_names(width, height, say)
    inside = not overlaps([marks[1], *named])
    marks += numbered
    marks += named if inside else _side_names_outside(width, height, box_of_all(marks), say)
    caption = say("canvas.map-caption" if numbers.discs else "canvas.map-caption-plain")
    return view_of("staples", marks, scale=scale, title=caption)


def _side_names(width: float, height: float, say: Voice) -> list[Mark]:
    """The four sides named on the face, along their bars."""
    at = {
        "bottom": (width / 2, 9.6),
        "top": (width / 2, height - 9.6),
        "left": (width - 9.6, height / 2),
        "right": (9.6, height / 2),
    }
    return [
        Text(point, say(f"side.{side}"), 3.0, "middle", "middle", _turn_along(side), weight="semibold")
        for side, point in at.items()
    ]


def _side_names_outside(width: float, height: float, box: Box, say: Voice) -> list[Mark]:
    """The four sides named outside everything, for faces that are too small on paper."""
    at: dict[str, tuple[Point, Upright]] = {
        "bottom": ((width / 2, box.foot - 1.5), "top"),
        "top": ((width / 2, box.top + 1.8), "foot"),
        "left": ((box.right + 1.5, height / 2), "top"),
        "right": ((box.left - 1.8, height / 2), "foot"),
    }
    return [
        Text(point, say(f"side.{side}"), 3.0, "middle", upright, _turn_along(side), weight="semibold")
        for side, (point, upright) in at.items()
    ]


def _turn_along(side: str) -> float:
    return 0.0 if side in ("bottom", "top") else math.pi / 2


def _outward(side: str) -> Point:
    """Outward direction on paper, from the back."""
    x, y = _OUT[side]
    return (-x, y)


def _along(at: Point, side: str, by: float) -> Point:
    return (at[0] + by, at[1]) if side in ("bottom", "top") else (at[0], at[1] + by)


def _groups(staples: StapleMap) -> tuple[_Group, ...]:
    """The staples of every run that lie side by side, with the run's number."""
    by_label = {staple.label: staple for staple in staples.staples}
    rank = _ranks(staples)
    return tuple(
        (run.number, group)
        for run in staples.runs
        for group in _neighbours([by_label[x] for x in run.puts_in if x in by_label], rank)
    )


def _run_numbers(groups: Sequence[_Group], place: _Place, numbers: _Numbers) -> tuple[list[Mark], bool]:
    """A heavy bar over neighbours of each run and its number outside, further out where it is tight.

    A run whose staples do not lie side by side carries its number at each of them.
    """
    marks: list[Mark] = []
    taken: list[_Taken] = []
    free = True
    for number, group in groups:
        drawn, stands = _numbered(number, group, place, taken, numbers)
        marks += drawn
        free &= stands
    return marks, free


def _ranks(staples: StapleMap) -> dict[str, int]:
    """Which staple of its side each is, among those that stay."""
    rank: dict[str, int] = {}
    for side in _OUT:
        row = [s for s in staples.staples if s.side == side and s.use is StapleUse.EDGE]
        rank.update({s.label: k for k, s in enumerate(sorted(row, key=lambda s: s.along))})
    return rank


def _neighbours(group: Sequence[MappedStaple], rank: dict[str, int]) -> list[list[MappedStaple]]:
    """Staples of a run in groups that lie side by side; those that do not stay lie together."""
    found: list[list[MappedStaple]] = []
    for staple in sorted(group, key=lambda s: s.along):
        here, before = rank.get(staple.label), rank.get(found[-1][-1].label) if found else None
        if found and (here is None or before is None or here == before + 1):
            found[-1].append(staple)
        else:
            found.append([staple])
    return found


def _numbered(
    number: int,
    group: Sequence[MappedStaple],
    place: _Place,
    taken: list[_Taken],
    numbers: _Numbers,
) -> tuple[list[Mark], bool]:
    """One bar with its number in the first free row, and whether there was one."""
    holding = all(staple.use is StapleUse.HOLDING for staple in group)
    side = group[0].side
    box = box_round([place(staple) for staple in group])
    ox, oy = _outward(side)
    middle = box.middle
    level = side in ("bottom", "top")
    half = numbers.half(number, ringed=holding)
    deep = numbers.half(number, ringed=False)[1 if level else 0]
    stands = False
    for row in range(_MOST_ROWS):
        reach = 3.2 + half[1 if level else 0] + row * (2 * deep + 0.5)
        centre = (middle[0] + ox * reach, middle[1] + oy * reach)
        if stands := not any(_touch(centre, half, numbers.discs or holding, other) for other in taken):
            break
    taken.append((centre, half, numbers.discs or holding))
    marks: list[Mark] = []
    if not holding:
        start, end = (
            ((box.left - 0.7, middle[1] + oy * 1.6), (box.right + 0.7, middle[1] + oy * 1.6))
            if level
            else ((middle[0] + ox * 1.6, box.foot - 0.7), (middle[0] + ox * 1.6, box.top + 0.7))
        )
        marks.append(Line(start, end, Layer.STAPLE, Pen(0.9)))
    black = numbers.discs and not holding
    if numbers.discs or holding:
        marks.append(Circle(centre, half[0], Layer.NOTE, fill=0.0 if black else 1.0, pen=Pen(0.35)))
    grey = 1.0 if black else 0.0
    marks.append(Text(centre, str(number), numbers.height, "middle", "middle", weight="bold", grey=grey))
    return marks, stands


def _touch(centre: Point, half: tuple[float, float], round_one: bool, other: _Taken) -> bool:
    """Whether two numbers come too near to one another."""
    at, size, round_other = other
    if round_one and round_other:
        return math.dist(centre, at) < half[0] + size[0] + 0.4
    return abs(centre[0] - at[0]) < half[0] + size[0] and abs(centre[1] - at[1]) < half[1] + size[1]


def fold_view(fold: CornerFold, *, say: Voice, room: float) -> View:
    """A corner in three pictures: flat with what is cut away, the folded side, the back.

    Args:
        fold: The corner.
        say: How the sheet speaks.
        room: Width on paper. [mm]
    """
    each = (room - 2 * 8.0) / 3 - 2.0
    low = fold.turnover - 2.1 * fold.turnover
    flat = _flat(fold, low, each, say)
    side = _laid(fold.side, each, say("canvas.fold-side"), "fold-side", flip=True)
    back = _laid(fold.back, each, say("canvas.fold-back"), "fold-back", flip=False)
    return beside("fold", (flat, side, back), gap=8.0)


def _flat(fold: CornerFold, low: float, size: float, say: Voice) -> View:
    scale = (size - 2.0) / (fold.turnover - low)

    def at(point: Point) -> Point:
        return ((max(point[0], low) - low) * scale, (max(point[1], low) - low) * scale)

    marks: list[Mark] = [rectangle(at((low, low)), at((0.0, 0.0)), layer=Layer.EDGE, fill=0.88)]
    for patch in fold.flat:
        marks.append(Polygon(tuple(at(p) for p in patch.outline), Layer.EDGE, fill=1.0))
    cut = tuple(at(p) for p in fold.cut.outline)
    marks += hatch(cut, pitch=1.5)
    marks.append(Polygon(cut, Layer.CUT))
    marks += [Line(at(a), at(b), Layer.FOLD) for a, b in fold.folds]
    middle = (sum(x for x, _ in cut) / len(cut), sum(y for _, y in cut) / len(cut))
    wanted = [
        Wanted(middle, say("template.cut-away"), height=2.5, weight="semibold", toward=math.pi, backed=True),
        Wanted(at((low * 0.5, low * 0.5)), say("template.face"), height=2.6, dot=False, backed=True),
    ]
    marks += place_labels(wanted, among=[m for m in marks if m.layer is not Layer.EDGE])
    words = say("canvas.fold-flat")
    return _captioned("fold-flat", marks, words, size, scale)


def _laid(lay: Lay, size: float, words: str, name: str, *, flip: bool) -> View:
    """Pieces one upon another: the more layers, the darker."""
    points = [point for patch in lay.patches for point in patch.outline]
    box = box_round(points) if points else box_round([(0.0, 0.0), (1.0, 1.0)])
    scale = min((size - 2.0) / max(box.width, 1e-6), (size - 2.0) / max(box.height, 1e-6))

    def at(point: Point) -> Point:
        y = box.top - point[1] if flip else point[1] - box.foot
        return ((point[0] - box.left) * scale, y * scale)

    marks: list[Mark] = []
    tones = (1.0, 0.9, 0.8, 0.7, 0.6)
    for number, patch in enumerate(lay.patches):
        tone = tones[min(number, len(tones) - 1)]
        marks.append(Polygon(tuple(at(p) for p in patch.outline), Layer.OUTLINE, fill=tone, pen=Pen(0.35)))
    for patch in lay.patches[:-1]:  # what lies below shows as a broken line
        corners = tuple(at(p) for p in patch.outline)
        marks.append(Polygon(corners, Layer.HIDDEN))
    return _captioned(name, marks, words, size, scale)


def _captioned(name: str, marks: Sequence[Mark], words: str, size: float, scale: float) -> View:
    text = Text((0.0, -5.0), words, 2.6)
    return view_of(name, [*marks, text], scale=scale, border=0.5)
