"""How a frame moves and how tension lies in its canvas, as drawings.

Tension is shown by tone alone, dark for much, in steps that a grey printer and any eye can tell apart, with the
step's numbers beside the scale and the lowest and highest place named on the map.
"""

from __future__ import annotations

from math import floor, log10

import numpy as np

from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.marks import (
    Across,
    Circle,
    Layer,
    Line,
    Mark,
    Pen,
    Point,
    Polyline,
    Text,
    Upright,
    rectangle,
)
from longpoint.drawing.paper.projection import frame_marks, projection_of
from longpoint.drawing.paper.view import View, scale_for, view_of
from longpoint.drawing.sheets.stages_table import rough
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame
from longpoint.strength.answer import TensionMap, shape_along
from longpoint.strength.beams.beam import Floats
from longpoint.strength.coupled import centred
from longpoint.strength.verdicts.cases import Look

_FIGURE = 2.6
_DRAWN = 5.0
"""The greatest movement is drawn about this long at most [mm of paper]."""

_STEPS = 6
"""Tones of the map: more cannot be told apart in print."""


def exaggeration(*, greatest: float, scale: float) -> float:
    """How many times too large movements are drawn: 1, 2 or 5 times a power of ten.

    Args:
        greatest: Greatest movement. [mm]
        scale: mm of paper per mm.
    """
    wanted = _DRAWN / max(greatest * scale, 1e-9)
    if wanted >= 1000:
        return 1000.0
    power = 10.0 ** floor(log10(max(wanted, 1.0)))
    return power * max(step for step in (1.0, 2.0, 5.0) if step * power <= max(wanted, 1.0))


def movement_view(frame: Frame, look: Look, *, say: Voice, room: tuple[float, float]) -> View:
    """The frame from the front with its movement drawn too large, and each bay's pull-in beside it.

    Args:
        frame: The frame.
        look: What was computed.
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    width, height = float(frame.design.width), float(frame.design.height)
    scale = scale_for(real=(width, height), room=(room[0] - 22, room[1] - 14))
    paper = projection_of(frame, scale=scale, seen="front")
    greatest = max(abs(look.answer.pulled_in), 1e-6)
    times = exaggeration(greatest=greatest, scale=scale)
    marks: list[Mark] = list(frame_marks(frame, paper))
    bold = Pen(0.7)
    movement = centred(look.system, look.state.movement)
    for member in look.system.model.members:
        if member.name in look.system.bars:
            continue
        shape = shape_along(look.system, movement, member.name)
        points = [
            paper.point(*(member.point(at)[:2] + times * np.array([ux, uy]))) for at, ux, uy, _ in shape
        ]
        marks.append(Polyline(tuple(points), Layer.EDGE, Pen(0.5)))
    corners = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    inward = ((0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 0.0))
    for side, name in enumerate(look.system.bars):
        start, end = np.array(corners[side]), np.array(corners[(side + 1) % 4])
        along, into = (end - start) / np.linalg.norm(end - start), np.array(inward[side])
        bar = look.bars[name]
        marks.append(Line(paper.point(*start), paper.point(*end), Layer.HIDDEN))
        moved = [
            paper.point(*(start + along * at + into * times * by))
            for at, by in zip(bar.places, bar.pulled_in, strict=True)
        ]
        marks.append(Polyline(tuple(moved), Layer.OUTLINE, bold))
        for index, bay in enumerate(look.case.bays):
            if bay.bar == name:
                at = paper.point(*(start + along * (bay.start + bay.stop) / 2))
                marks.append(_beside(at, into, _short(float(look.answer.bays[index]), say)))
    title = say(
        "strength.movement-caption",
        times=say.number(times),
        unit="in" if say.lengths.system == "in" else "mm",
    )
    return view_of("movement", marks, scale=scale, title=title)


def _short(value: float, say: Voice) -> str:
    if say.lengths.system == "in":
        return say.number(value / 25.4, places=3)
    return say.number(value, places=1)


def _beside(at: Point, into: Floats, words: str) -> Text:
    """A figure outside the bar, clear of it whichever way the bar runs."""
    across: Across = "middle" if abs(into[0]) < 0.5 else ("end" if into[0] > 0 else "start")
    upright: Upright = "middle" if abs(into[1]) < 0.5 else ("top" if into[1] > 0 else "foot")
    place = (at[0] - 2.0 * float(into[0]), at[1] - 2.0 * float(into[1]))
    return Text(place, words, _FIGURE, across, upright, weight="semibold", layer=Layer.DIMENSION)


def tension_view(
    tension: TensionMap, *, width: float, height: float, say: Voice, room: tuple[float, float]
) -> View:
    """The map of the tension left.

    Args:
        tension: The map.
        width: Of the canvas. [mm]
        height: Of the canvas. [mm]
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    scale = scale_for(real=(width, height), room=(room[0] - 22, room[1] - 14))
    field = 500 * (tension.along_x + tension.along_y)  # mean of both directions, N/m
    edges = _edges(float(field.min()), float(field.max()))
    rows, columns = field.shape
    across, up = width * scale / columns, height * scale / rows
    marks: list[Mark] = []
    for row in range(rows):
        for column in range(columns):
            corner = (column * across, row * up)
            far = (corner[0] + across, corner[1] + up)
            tone = _tone(
                int(np.clip(np.searchsorted(edges, field[row, column], side="right") - 1, 0, len(edges) - 2))
            )
            marks.append(rectangle(corner, far, layer=Layer.HATCH, fill=tone, drawn=False))
    marks.append(rectangle((0.0, 0.0), (width * scale, height * scale), layer=Layer.OUTLINE))
    marks += _scale(edges, at=(width * scale + 3.0, 0.0), high=min(height * scale, 48.0), say=say)
    named: list[Wanted] = []
    for flat in (int(np.argmin(field)), int(np.argmax(field))):
        row, column = divmod(flat, columns)
        at = ((column + 0.5) * across, (row + 0.5) * up)
        marks.append(Circle(at, 0.8, Layer.NOTE, fill=1.0))
        named.append(
            Wanted(
                at,
                say.number(round(float(field[row, column]))),
                height=_FIGURE,
                weight="semibold",
                backed=True,
                least=1.5,
            )
        )
    marks += place_labels(named, among=marks)
    title = say(
        "strength.tension-caption",
        mean=rough(tension.mean, say),
        along_x=rough(tension.mean_x, say),
        along_y=rough(tension.mean_y, say),
    )
    return view_of("tension", marks, scale=scale, title=title)


def _edges(low: float, high: float) -> list[float]:
    """Round limits of the steps, at most `_STEPS` of them, that hold every value."""
    span = max(high - low, 1.0)
    for step in (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000):
        first = step * floor(low / step)
        count = int(np.ceil((high - first) / step + 1e-9))
        if count <= _STEPS and step * _STEPS >= span:
            return [first + step * index for index in range(max(count, 1) + 1)]
    return [low, high]


def _tone(step: int) -> float:
    return 0.97 - 0.13 * step


def _scale(edges: list[float], *, at: Point, high: float, say: Voice) -> list[Mark]:
    """The scale: every step's tone with the numbers between them."""
    step = high / len(edges)
    marks: list[Mark] = []
    for index in range(len(edges) - 1):
        low = at[1] + index * step
        marks.append(rectangle((at[0], low), (at[0] + 5.0, low + step), layer=Layer.EDGE, fill=_tone(index)))
    for index, edge in enumerate(edges):
        marks.append(
            Text(
                (at[0] + 6.0, at[1] + index * step),
                say.number(edge),
                _FIGURE,
                "start",
                "middle" if index else "foot",
            )
        )
    marks.append(Text((at[0], at[1] + high - 0.6), say("strength.scale-words"), _FIGURE, "start", "middle"))
    return marks
