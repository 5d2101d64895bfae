"""Full-size sheets: two check bars, square to each other, and the correction from what was measured on them.

Printers enlarge and shrink by a little, and not always equally both ways. Every full-size sheet therefore carries
a bar across and a bar up; what they measure on the print is entered, and the sheet is drawn again so much larger
or smaller each way.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.drawing.paper.extent import Box, box_of_all
from longpoint.drawing.paper.marks import (
    Arc,
    Layer,
    Line,
    Mark,
    Pen,
    Plain,
    Point,
    Polygon,
    Polyline,
    Shift,
    Text,
    plain,
)
from longpoint.drawing.paper.view import View
from longpoint.drawing.words.voice import Voice
from longpoint.errors import Fault, FaultsError

BAR = {"mm": Fraction(180), "cm": Fraction(180), "in": 7 * Fraction(254, 10)}
"""Length of a check bar in each system: 180 mm, or 7 in [mm]."""

MOST_OFF = 0.05
"""A print that is off by more than this was not printed at 100 %: no correction is made."""

_LEFT = 11.0
_FOOT = 11.0
"""Room that the bars take on the left and at the foot [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """How much larger each way a sheet is drawn, so that it comes out right on one printer.

    Attributes:
        across: Factor from left to right.
        up: Factor from foot to top.
    """

    across: float = 1.0
    up: float = 1.0

    @property
    def is_none(self) -> bool:
        """Whether nothing is corrected."""
        return self.across == 1.0 and self.up == 1.0


NO_CORRECTION = Correction()


def correction_from(*, across: float, up: float, bar: Fraction = BAR["mm"]) -> Correction:
    """The correction from what the two check bars measured on paper.

    Args:
        across: Measured length of the level bar. [mm]
        up: Measured length of the upright bar. [mm]
        bar: What they should measure. [mm]

    Raises:
        FaultsError: If a measure is further off than a printer at 100 % can be.
    """
    faults = []
    for name, measured in (("across", across), ("up", up)):
        if not measured > 0 or abs(measured / float(bar) - 1) > MOST_OFF:
            faults.append(
                Fault(
                    "check-bar-far-off",
                    f"The check bar {name} measures {measured:g} mm instead of {float(bar):g} mm.",
                    "Print at 100 % without fitting to the page, and measure again.",
                )
            )
    if faults:
        raise FaultsError(faults)
    return Correction(across=float(bar) / across, up=float(bar) / up)


def full_size_view(
    name: str,
    marks: Iterable[Mark],
    *,
    say: Voice,
    title: str = "",
    correction: Correction = NO_CORRECTION,
) -> View:
    """A full-size drawing between its check bars.

    Args:
        name: Short name.
        marks: What is drawn at full size, anywhere; it is moved beside the bars.
        say: How the sheet speaks.
        title: Caption.
        correction: For the printer at hand.
    """
    bar = float(BAR[say.lengths.system])
    drawn = tuple(plain(marks))
    edge = box_of_all(drawn)
    by = (_LEFT + 3.0 - edge.left, _FOOT + 3.0 - edge.foot)
    placed = [mark.moved(Shift(by)) for mark in drawn]
    everything = [*placed, *_bars(bar, say, correction)]
    right = max(edge.right + by[0], bar) + 0.6
    top = max(edge.top + by[1], bar) + 0.6
    stretched = tuple(stretch(mark, correction) for mark in everything)
    return View(
        name,
        stretched,
        Box(-0.6, -0.6, right * correction.across, top * correction.up),
        1.0,
        title,
        full_size=True,
    )


def _bars(bar: float, say: Voice, correction: Correction) -> list[Plain]:
    """The level bar along the foot, the upright one along the left side, and what to do with them."""
    pen = Pen(0.35)
    marks: list[Plain] = [
        Line((0.0, 0.0), (bar, 0.0), Layer.DIMENSION, pen),
        Line((0.0, 0.0), (0.0, bar), Layer.DIMENSION, pen),
    ]
    step = 25.4 if say.lengths.system == "in" else 10.0
    count = round(bar / step)
    for k in range(count + 1):
        long = 4.0 if k in (0, count) else 1.6
        marks.append(Line((k * step, 0.0), (k * step, long), Layer.DIMENSION, pen))
        marks.append(Line((0.0, k * step), (long, k * step), Layer.DIMENSION, pen))
    words = say("full-size.bar", length=say.length(bar, unit=True))
    marks.append(Text((bar / 2, 3.2), words, 2.6, "middle", "foot", layer=Layer.DIMENSION, weight="semibold"))
    marks.append(
        Text(
            (3.2, bar / 2),
            words,
            2.6,
            "middle",
            "top",
            math.pi / 2,
            layer=Layer.DIMENSION,
            weight="semibold",
        )
    )
    if not correction.is_none:
        note = say(
            "full-size.corrected",
            across=say.number(100 * correction.across, places=2),
            up=say.number(100 * correction.up, places=2),
        )
        marks.append(Text((bar / 2, 7.8), note, 2.5, "middle", "foot", layer=Layer.DIMENSION))
    return marks


def stretch(mark: Plain, correction: Correction) -> Plain:
    """A mark drawn larger or smaller each way; lettering keeps its size, circles become outlines if they must."""
    if correction.is_none:
        return mark

    def at(point: Point) -> Point:
        return (point[0] * correction.across, point[1] * correction.up)

    if isinstance(mark, Line):
        return replace(mark, start=at(mark.start), end=at(mark.end))
    if isinstance(mark, Polyline | Polygon):
        return replace(mark, points=tuple(at(point) for point in mark.points))
    if isinstance(mark, Text):
        return replace(mark, at=at(mark.at))
    if isinstance(mark, Arc):
        return Polyline(tuple(at(point) for point in mark.points()), mark.layer, mark.pen)
    whole = Arc(mark.centre, mark.radius, 0.0, 2 * math.pi)
    return Polygon(tuple(at(point) for point in whole.points()[:-1]), mark.layer, mark.fill, True, mark.pen)
