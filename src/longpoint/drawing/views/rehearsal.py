"""What a stapling order leaves in the cloth, as two maps in tones of grey: they print and copy as they look.

Light is slack, dark is tight, in even steps that are the same for every order of a comparison, so that maps may be
laid side by side. Tones alone carry the meaning, so no eye and no copier is left out.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from longpoint.drawing.paper.marks import Layer, Line, LineKind, Mark, Pen, Polygon, Text, rectangle
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.voice import Voice
from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.rehearsal.field import NEAR_CORNER, Field

TONES = 10
"""Steps of grey; more cannot be told apart on paper. Estimate."""

_LIGHTEST, _DARKEST = 1.0, 0.28
_FIGURE = 3.0
_GAP = 10.0


def top_of(fields: Iterable[Field]) -> float:
    """A round tension that the darkest tone stands for: about twice the mean of all [N/mm].

    Args:
        fields: The fields that are compared.

    Returns:
        The tension.
    """
    means = [0.5 * (field.mean_level + field.mean_upright) for field in fields]
    wished = 1.6 * max(*means, 1e-4)
    power = 10.0 ** np.floor(np.log10(wished))
    return float(
        power * min(step for step in (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 8.0, 10.0) if step >= wished / power)
    )


def field_view(
    field: Field, *, name: str, order: str, size: tuple[float, float], top: float, say: Voice, width: float
) -> View:
    """Both directions of a field side by side, with the scale of tones below.

    Args:
        field: What is left.
        name: Short name of the view.
        order: Name of the order, for the caption.
        size: Width and height of the face. [mm]
        top: Tension of the darkest tone. [N/mm]
        say: How the sheet speaks.
        width: Room on paper. [mm]
    """
    scale = (width - _GAP) / 2 / size[0]
    panel = (size[0] * scale, size[1] * scale)
    unit = say("rehearsal.unit")
    marks: list[Mark] = []
    for number, (word, values) in enumerate((("level", field.level), ("upright", field.upright))):
        left = number * (panel[0] + _GAP)
        marks += _panel(values, field, left=left, panel=panel, scale=scale, top=top)
        head = (left, panel[1] + 7.0)
        marks.append(Text(head, say(f"rehearsal.{word}"), _FIGURE, weight="semibold"))
        mean = field.mean_level if word == "level" else field.mean_upright
        figures = say(
            "rehearsal.mean", mean=_shown(mean), low=_shown(values.min()), high=_shown(values.max())
        )
        marks.append(Text((left, panel[1] + 2.2), figures, _FIGURE))
    marks += _scale(top, width=width, unit=unit, say=say)
    return view_of(
        name, marks, scale=scale, title=say("rehearsal.caption", order=order, unit=unit), border=2.0
    )


def tone(value: float, top: float) -> float:
    """Grey of a tension, 1 white to 0 black, in even steps."""
    step = int(np.clip(np.floor(value / top * TONES), 0, TONES - 1))
    return _LIGHTEST + (_DARKEST - _LIGHTEST) * step / (TONES - 1)


def _shown(value: float) -> str:
    """N/mm as N/m."""
    return (
        f"{1000 * value:.0f}".replace("-", "−").replace("−0", "0")
        if abs(value) < 5e-4
        else f"{1000 * value:.0f}"
    )


def _edges(middles: Floats, length: float) -> list[float]:
    return [length * k / len(middles) for k in range(len(middles) + 1)]


def _panel(
    values: Floats, field: Field, *, left: float, panel: tuple[float, float], scale: float, top: float
) -> list[Mark]:
    xs, ys = _edges(field.x, panel[0]), _edges(field.y, panel[1])
    marks: list[Mark] = []
    crosses: list[Mark] = []
    for row in range(len(field.y)):
        for column in range(len(field.x)):
            low, high = (left + xs[column], ys[row]), (left + xs[column + 1], ys[row + 1])
            marks.append(
                rectangle(
                    low, high, layer=Layer.NOTE, fill=tone(float(values[row, column]), top), drawn=False
                )
            )
            if field.rippled[row, column] > 0.5:
                crosses.append(Line(low, high, Layer.NOTE, Pen(0.25)))
                crosses.append(Line((low[0], high[1]), (high[0], low[1]), Layer.NOTE, Pen(0.25)))
    marks += crosses
    near = min(NEAR_CORNER * scale, 0.5 * min(panel))
    for x, dx in ((left, near), (left + panel[0], -near)):
        for y, dy in ((0.0, near), (panel[1], -near)):
            marks += [
                Line((x + dx, y), (x + dx, y + dy), Layer.NOTE, Pen(0.35, LineKind.DASHED)),
                Line((x, y + dy), (x + dx, y + dy), Layer.NOTE, Pen(0.35, LineKind.DASHED)),
            ]
    marks.append(
        Polygon(
            ((left, 0.0), (left + panel[0], 0.0), (left + panel[0], panel[1]), (left, panel[1])),
            Layer.OUTLINE,
        )
    )
    for place in (int(values.argmin()), int(values.argmax())):
        row, column = divmod(place, values.shape[1])
        at = (left + (xs[column] + xs[column + 1]) / 2, (ys[row] + ys[row + 1]) / 2)
        # A figure at the rim would stand half outside: it moves in, to where its window's side still is.
        inside = (
            min(max(at[0], left + 5.0), left + panel[0] - 5.0),
            min(max(at[1], 2.6), panel[1] - 2.6),
        )
        figure = _shown(float(values.flat[place]))
        marks.append(Text(inside, figure, _FIGURE, "middle", "middle", weight="bold", backed=True))
    return marks


def _scale(top: float, *, width: float, unit: str, say: Voice) -> list[Mark]:
    """The tones with the tensions between them."""
    marks: list[Mark] = []
    size = 10.0
    for step in range(TONES):
        low, high = (step * size, -9.0), ((step + 1) * size, -4.0)
        marks.append(rectangle(low, high, layer=Layer.OUTLINE, fill=tone((step + 0.5) * top / TONES, top)))
        if step:
            figure = _shown(step * top / TONES)
            marks.append(Text((step * size, -12.8), figure, _FIGURE, "middle"))
    marks.append(Text((TONES * size + 2.0, -8.0), unit, _FIGURE))
    words = with_pounds(f"{say('rehearsal.slack')}; {say('rehearsal.corner')}", say)
    marks.append(Text((TONES * size + 16.0, -8.0), words, _FIGURE))
    return marks
