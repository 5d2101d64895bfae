"""The canvas on paper: where the runs of staples lie, and how a corner is folded."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TypeAlias

from longpoint.drawing.extent import box_round
from longpoint.drawing.hatching import hatch
from longpoint.drawing.labels import Wanted, place_labels
from longpoint.drawing.marks import Circle, Layer, Line, Mark, Pen, Point, Polygon, Text, rectangle
from longpoint.drawing.views import View, beside, view_of
from longpoint.drawing.voice import Voice
from longpoint.stretching.fold import CornerFold
from longpoint.stretching.fold_lay import Lay
from longpoint.stretching.staple_map import MappedStaple, StapleMap, StapleUse

_Place: TypeAlias = Callable[[MappedStaple], Point]

_LETTERS = (
    3.2,
    2.5,
)  # height of numbers: read at arm's length, or, where runs are too many for that, close by
_DISC, _WIDE_DISC = 1.08, 1.4  # radius over that height, for two figures and for three
_MOST_ROWS = 5  # of numbers; past that they may touch, or the face would have no room left
_OUT = {"bottom": (0.0, -1.0), "top": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}


def staple_map_view(staples: StapleMap, *, say: Voice, room: tuple[float, float]) -> View:
    """The work from the back, every run of staples as a bar with its number outside.

    Args:
        staples: The map.
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    for letter in _LETTERS:
        border = [19.0, 19.0]
        for _ in range(
            8
        ):  # where runs lie close, their numbers stand in more rows and the face must be smaller
            scale = min(
                (space - 2 * rim) / size
                for space, rim, size in zip(
                    room, border, (staples.face_width, staples.face_height), strict=True
                )
            )
            view = _map_at(staples, scale, say, letter)
            over = (view.width - room[0], view.height - room[1])
            if max(over) <= 0:
                break
            border = [rim + max(by, 0.0) / 2 + 0.25 for rim, by in zip(border, over, strict=True)]
        # the face must not shrink to a strip between its numbers
        if max(over) <= 0 and scale * max(staples.face_width, staples.face_height) > 0.6 * min(room):
            break
    return view


def _map_at(staples: StapleMap, scale: float, say: Voice, letter: float) -> View:
    """The map at one scale."""
    width, height = staples.face_width * scale, staples.face_height * scale

    def place(staple: MappedStaple) -> Point:
        x, y = staples.place(staple)
        return (width - x * scale, y * scale)  # seen from the back: left and right change places

    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, height), layer=Layer.OUTLINE, fill=0.93),
        rectangle((7.0, 7.0), (width - 7.0, height - 7.0), layer=Layer.EDGE, fill=1.0),
    ]
    by_label = {staple.label: staple for staple in staples.staples}
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
    marks += _run_numbers(staples, by_label, place, letter)
    for side, key in (("bottom", "bottom"), ("top", "top"), ("left", "left"), ("right", "right")):
        middle = {
            "bottom": (width / 2, 9.6),
            "top": (width / 2, height - 9.6),
            "left": (width - 9.6, height / 2),
            "right": (9.6, height / 2),
        }[side]
        turn = 0.0 if side in ("bottom", "top") else math.pi / 2
        marks.append(Text(middle, say(f"side.{key}"), 3.0, "middle", "middle", turn, weight="semibold"))
    return view_of("staples", marks, scale=scale, title=say("canvas.map-caption"))


def _outward(side: str) -> Point:
    """Outward direction on paper, from the back."""
    x, y = _OUT[side]
    return (-x, y)


def _along(at: Point, side: str, by: float) -> Point:
    return (at[0] + by, at[1]) if side in ("bottom", "top") else (at[0], at[1] + by)


def _run_numbers(
    staples: StapleMap, by_label: dict[str, MappedStaple], place: _Place, letter: float
) -> list[Mark]:
    """A heavy bar over neighbours of each run and its number in a disc, alternating outwards where it is tight.

    A run whose staples do not lie side by side carries its number at each of them.
    """
    marks: list[Mark] = []
    taken: dict[str, list[tuple[float, int]]] = {side: [] for side in _OUT}
    rank = _ranks(staples)
    disc = letter * (_DISC if len(staples.runs) < 100 else _WIDE_DISC)
    for run in staples.runs:
        for group in _neighbours([by_label[x] for x in run.puts_in if x in by_label], rank):
            marks += _numbered(run.number, group, place, taken[group[0].side], disc, letter)
    return marks


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
    taken: list[tuple[float, int]],
    disc: float,
    letter: float,
) -> list[Mark]:
    """One bar with its disc in the first free lane."""
    holding = all(staple.use is StapleUse.HOLDING for staple in group)
    side = group[0].side
    box = box_round([place(staple) for staple in group])
    ox, oy = _outward(side)
    middle = box.middle
    level = side in ("bottom", "top")
    at = middle[0] if level else middle[1]
    row = 0
    while row < _MOST_ROWS - 1 and any(
        abs(at - other) < 2 * disc + 0.4 and row == lane for other, lane in taken
    ):
        row += 1
    taken.append((at, row))
    reach = 3.2 + disc + row * (2 * disc + 0.5)
    centre = (middle[0] + ox * reach, middle[1] + oy * reach)
    marks: list[Mark] = []
    if not holding:
        start, end = (
            ((box.left - 0.7, middle[1] + oy * 1.6), (box.right + 0.7, middle[1] + oy * 1.6))
            if level
            else ((middle[0] + ox * 1.6, box.foot - 0.7), (middle[0] + ox * 1.6, box.top + 0.7))
        )
        marks.append(Line(start, end, Layer.STAPLE, Pen(0.9)))
    grey = 0.0 if holding else 1.0
    return [
        *marks,
        Circle(centre, disc, Layer.NOTE, fill=1.0 - grey, pen=Pen(0.35)),
        Text(centre, str(number), letter, "middle", "middle", weight="bold", grey=grey),
    ]


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
