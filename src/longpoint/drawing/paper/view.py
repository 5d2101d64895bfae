"""A drawing with its name, its scale and its edge.

Marks are in millimetres of paper; ``scale`` says how many of them stand for one millimetre of the thing, so
that a drawing exchange file can be written at real size from the same marks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from longpoint.drawing.paper.extent import Box, box_of_all
from longpoint.drawing.paper.marks import Mark, Point, Shift, moved

SCALES = tuple(
    1 / part
    for part in (
        1,
        2,
        2.5,
        3,
        4,
        5,
        6,
        7,
        8,
        9,
        10,
        11,
        12,
        13,
        14,
        15,
        16,
        18,
        20,
        22,
        24,
        26,
        28,
        30,
        35,
        40,
        50,
    )
)
"""Reductions used on sheets. ISO 5455 recommends 1 : 2, 1 : 5, 1 : 10, 1 : 20, 1 : 50 (from memory); the steps
between them are ours, since a drawing at the bench is read by its figures and wants to be as large as the sheet
allows."""


@dataclass(frozen=True, slots=True)
class View:
    """One drawing.

    Attributes:
        name: Short name, good as the end of a file name, e.g. ``back``.
        marks: What is drawn, in mm of paper.
        edge: The rectangle it fills, border included.
        scale: mm of paper per mm of the thing; 1 for full size.
        title: Caption in the reader's language; "" for none.
        full_size: Whether it must be printed at exactly the size it is drawn.
    """

    name: str
    marks: tuple[Mark, ...]
    edge: Box
    scale: float = 1.0
    title: str = ""
    full_size: bool = False

    @property
    def width(self) -> float:
        """Of the edge [mm]."""
        return self.edge.width

    @property
    def height(self) -> float:
        """Of the edge [mm]."""
        return self.edge.height

    def at(self, corner: Point) -> View:
        """The same view with the lower left corner of its edge at this point."""
        by = (corner[0] - self.edge.left, corner[1] - self.edge.foot)
        edge = Box(corner[0], corner[1], corner[0] + self.width, corner[1] + self.height)
        return replace(self, marks=moved(self.marks, Shift(by)), edge=edge)


def view_of(
    name: str,
    marks: Iterable[Mark],
    *,
    scale: float = 1.0,
    title: str = "",
    border: float = 1.0,
    full_size: bool = False,
) -> View:
    """A view whose edge is drawn closely round its marks."""
    drawn = tuple(marks)
    return View(name, drawn, box_of_all(drawn).grown(border), scale, title, full_size)


def beside(name: str, views: Sequence[View], *, gap: float = 8.0, title: str = "") -> View:
    """Several views in a row, feet level."""
    marks: list[Mark] = []
    x = top = 0.0
    for view in views:
        placed = view.at((x, 0.0))
        marks += placed.marks
        x += view.width + gap
        top = max(top, view.height)
    return View(name, tuple(marks), Box(0, 0, max(x - gap, 0), top), views[0].scale if views else 1.0, title)


def scale_for(*, real: tuple[float, float], room: tuple[float, float]) -> float:
    """The largest usual scale at which a thing fits the room.

    Args:
        real: Width and height of the thing. [mm]
        room: Width and height on paper. [mm]
    """
    for scale in SCALES:
        if real[0] * scale <= room[0] and real[1] * scale <= room[1]:
            return scale
    largest = max(real[0] / room[0], real[1] / room[1])
    return 1.0 / (10 * -(-largest // 10))


def scale_words(scale: float) -> str:
    """A scale as it is written beside a drawing, e.g. ``1 : 20``."""
    if scale >= 1:
        return f"{scale:g} : 1"
    return f"1 : {1 / scale:g}"
