"""Words for parts too narrow to bear their own: in rows below the board, each led straight up to its part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import Circle, Layer, Line, Mark, Text

FIGURE = 3.0
_ROW = 4.6
_AIR = 1.2
_MOST_ROWS = 12

Across = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Below:
    """Words that belong to a place on a board.

    Attributes:
        x: The place. [mm of paper]
        words: What is said of it.
        strong: Whether it is set bold.
    """

    x: float
    words: str
    strong: bool = True


def labels_below(wanted: Sequence[Below], *, width: float) -> list[Mark]:
    """Words in rows below the foot of a board, none on another and none crossed by what leads to another.

    Places close together are gone through from the left, words to the left of their lead; where the board's left end
    leaves no room for that, from the right.

    Args:
        wanted: Words with their places.
        width: Room on paper. [mm]
    """
    ordered = sorted(wanted, key=lambda one: one.x)
    placed = _placed(ordered, width) or _placed(ordered[::-1], width)
    if placed is None:  # each in a row of its own
        placed = [
            _Placed(one, row, "middle", max(0.0, min(one.x - _length(one) / 2, width - _length(one))))
            for row, one in enumerate(ordered)
        ]
    marks: list[Mark] = []
    for it in placed:
        foot = -_ROW * (it.row + 1)
        at = it.low + {"start": 0.0, "middle": 0.5, "end": 1.0}[it.across] * _length(it.one)
        marks.append(Circle((it.one.x, 1.0), 0.45, Layer.NOTE, fill=0.0))
        marks.append(Line((it.one.x, 1.0), (it.one.x, foot + FIGURE + 0.6), Layer.NOTE))
        marks.append(Text((at, foot), it.one.words, FIGURE, it.across, weight=_weight(it.one)))
    return marks


@dataclass(frozen=True, slots=True)
class _Placed:
    """Words in their place: the row and where they begin."""

    one: Below
    row: int
    across: Across
    low: float


def _weight(one: Below) -> Literal["bold", "regular"]:
    return "bold" if one.strong else "regular"


def _length(one: Below) -> float:
    return width_of(one.words, height=FIGURE, weight=_weight(one))


def _placed(ordered: Sequence[Below], width: float) -> list[_Placed] | None:
    """Every one in the first row that has room for it; None where one finds none."""
    done: list[_Placed] = []
    for number, one in enumerate(ordered):
        found = _free(one, done, ordered[number + 1 :], width)
        if found is None:
            return None
        done.append(found)
    return done


def _free(one: Below, done: Sequence[_Placed], later: Sequence[Below], width: float) -> _Placed | None:
    length = _length(one)
    sides: tuple[tuple[Across, float], ...] = (
        ("middle", one.x - length / 2),
        ("end", one.x + 1.0 - length),
        ("start", one.x - 1.0),
    )
    for row in range(_MOST_ROWS):
        over = [it for it in done if it.row < row]
        if any(it.low - _AIR < one.x < it.low + _length(it.one) + _AIR for it in over):
            return None  # what leads down would cross words above
        for across, low in sides:
            high = low + length
            if low < 0.0 or high > width:
                continue
            beside = [it for it in done if it.row == row]
            apart = all(high + _AIR < it.low or it.low + _length(it.one) + _AIR < low for it in beside)
            leads = [it.one.x for it in done if it.row > row] + [other.x for other in later]
            if apart and not any(low - _AIR < at < high + _AIR for at in leads):
                return _Placed(one, row, across, low)
    return None
