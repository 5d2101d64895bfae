"""Drawings made to fit their sheet: drawn again in less room, made smaller, turned, or continued on further sheets.

What stands beside a drawing keeps its size whatever the scale, so how much room it takes is known only once it is
drawn. Nothing that must be printed at full size is ever made smaller: it is continued, with marks to join the sheets.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Protocol

from longpoint.drawing.paper.extent import Box, box_of
from longpoint.drawing.paper.marks import Layer, Line, LineKind, Mark, Pen, Point, Shift, Text, moved
from longpoint.drawing.paper.view import View, scale_words

MOST_TRIES = 8
"""How often a drawing is drawn again before it is made smaller as a whole."""

OVERLAP = 10.0
"""What two sheets of one full-size drawing have in common. [mm]"""

MOST_SHEETS = 6
"""A full-size drawing that takes more sheets is not worth joining. Estimate."""

_FORGIVEN = 0.05
"""A drawing this much larger than its room still fits. [mm]"""

_JOIN = Pen(0.35, LineKind.DASHED)


class Draws(Protocol):
    """Draws one thing as large as some room allows; what stands beside it may overstep the room."""

    def __call__(self, *, room: tuple[float, float]) -> View:
        """The drawing."""
        ...


def drawn_within(room: tuple[float, float], draw: Draws) -> View:
    """A drawing that keeps to its room together with what stands beside it.

    Args:
        room: Width and height on paper. [mm]
        draw: Draws it.

    Returns:
        The largest found that keeps to the room; the smallest drawn where none does.
    """
    inner = room
    for _ in range(MOST_TRIES):
        view = draw(room=inner)
        over = (max(0.0, view.width - room[0]), max(0.0, view.height - room[1]))
        if max(over) <= _FORGIVEN:
            break
        inner = (max(inner[0] - over[0], 20.0), max(inner[1] - over[1], 20.0))
    return view


def fitted(view: View, *, room: tuple[float, float]) -> View:
    """A drawing made smaller as a whole, lettering and all, turned a quarter first where that makes less of it.

    Args:
        view: The drawing, not one at full size.
        room: Width and height on paper. [mm]

    Returns:
        The same drawing where it fits; otherwise one whose caption names its new scale.
    """
    upright = min(room[0] / view.width, room[1] / view.height)
    if upright >= 1.0 - _FORGIVEN / max(view.width, view.height):
        return view
    turned = min(room[0] / view.height, room[1] / view.width)
    turn = math.pi / 2 if min(1.0, turned) > 1.3 * upright else 0.0
    factor = min(1.0, turned if turn else upright)
    shift = Shift(scale=factor, turn=turn)
    edge = view.edge
    corners = [shift.point((x, y)) for x in (edge.left, edge.right) for y in (edge.foot, edge.top)]
    across, up = [x for x, _ in corners], [y for _, y in corners]
    scale = 10.0 / round(10.0 / (view.scale * factor))
    return replace(
        view,
        marks=moved(view.marks, shift),
        edge=Box(min(across), min(up), max(across), max(up)),
        scale=view.scale * factor,
        title=view.title.replace(scale_words(view.scale), scale_words(scale)),
    )


def continued(view: View, *, room: tuple[float, float]) -> tuple[View, ...]:
    """A full-size drawing on as many sheets as it takes, row by row from the top.

    Neighbours share a strip with a dashed line in its middle and a letter on it: cut one sheet along the line, lay it
    on the other's line, letter to letter.

    Args:
        view: The drawing.
        room: Width and height on paper. [mm]

    Returns:
        The drawing alone where it fits; none where it would take more than `MOST_SHEETS`.
    """
    columns, rows = (_count(view.width, room[0]), _count(view.height, room[1]))
    if columns * rows == 1:
        return (view,)
    if columns * rows > MOST_SHEETS:
        return ()
    edge = view.edge
    wide, high = (
        room[0] - OVERLAP,
        room[1] - OVERLAP,
    )  # the first sheet full, so that it holds both check bars
    joins = _joins(edge, wide, high, columns, rows)
    found: list[View] = []
    for row in reversed(range(rows)):
        for column in range(columns):
            left, foot = edge.left + column * wide, edge.foot + row * high
            tile = Box(left, foot, min(left + room[0], edge.right), min(foot + room[1], edge.top))
            inside = tuple(mark for mark in (*view.marks, *joins) if _meets(box_of(mark), tile))
            found.append(replace(view, name=f"{view.name}-{len(found) + 1}", marks=inside, edge=tile))
    return tuple(found)


def _count(size: float, room: float) -> int:
    if size <= room + _FORGIVEN:
        return 1
    return math.ceil((size - OVERLAP) / (room - OVERLAP) - 1e-9)


def _joins(edge: Box, wide: float, high: float, columns: int, rows: int) -> list[Mark]:
    """Dashed lines where the sheets are joined, with the same letter on both sheets of each."""
    marks: list[Mark] = []
    letters = iter("ABCDEFGHIJKLMNOP")

    def named(at: Point) -> None:
        marks.append(Text(at, next(letters), 4.0, "middle", "middle", weight="bold", backed=True))

    for column in range(1, columns):
        x = edge.left + column * wide + OVERLAP / 2
        marks.append(Line((x, edge.foot), (x, edge.top), Layer.DIMENSION, _JOIN))
        for row in range(rows):
            foot = edge.foot + row * high
            named((x, (foot + min(foot + high, edge.top)) / 2))
    for row in range(1, rows):
        y = edge.foot + row * high + OVERLAP / 2
        marks.append(Line((edge.left, y), (edge.right, y), Layer.DIMENSION, _JOIN))
        for column in range(columns):
            left = edge.left + column * wide
            named(((left + min(left + wide, edge.right)) / 2, y))
    return marks


def _meets(one: Box, other: Box) -> bool:
    return (
        one.left <= other.right
        and other.left <= one.right
        and one.foot <= other.top
        and other.foot <= one.top
    )
