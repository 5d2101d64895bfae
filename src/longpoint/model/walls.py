"""Walls that works hang on: in which order, how high, how far apart, and what is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pydantic import Field

from longpoint.model.quantities import Length, LengthAboveZero, Name, Stated, Text
from longpoint.model.works import Work, WorkSet

CENTRE = Fraction(1500)
"""Middle of a work above the floor. [mm] Museum habit: 1450 to 1520."""


class InTheWay(Stated):
    """A door, a window, a switch: nothing hangs over it.

    Attributes:
        left: From the wall's left corner to its left edge.
        right: From the wall's left corner to its right edge.
        bottom: Above the floor.
        top: Above the floor.
        why: What it is.
    """

    left: Length
    right: LengthAboveZero
    bottom: Length = Fraction(0)
    top: LengthAboveZero
    why: Text = ""


class Wall(Stated):
    """A wall and the row that hangs on it, level by the middles.

    Attributes:
        name: Its name; left out, it is numbered.
        works: Names of works or sets, left to right; one made several times may be named as often.
        width: Corner to corner; left out: not known, and the row begins at ``left``.
        left: From the left corner to the first work; left out: the row stands in the middle of the wall.
        centre: Middle of the works above the floor.
        gap: Between neighbours; within a set its own.
        avoid: What nothing may hang over.
    """

    name: Name = ""
    works: tuple[Name, ...] = Field(min_length=1)
    width: LengthAboveZero | None = None
    left: Length | None = None
    centre: LengthAboveZero = CENTRE
    gap: Length = Fraction(150)
    avoid: tuple[InTheWay, ...] = ()


def row_on(wall: Wall, works: Sequence[Work], sets: Sequence[WorkSet]) -> tuple[tuple[Work, Fraction], ...]:
    """The works of a wall with the left edge of each from the left corner.

    Args:
        wall: The wall; every name on it is a work's or a set's.
        works: All works.
        sets: All sets.
    """
    by_name = {work.name: work for work in works}
    members = {item.name: item for item in sets}
    row: list[tuple[Work, Fraction]] = []
    at = Fraction(0)
    for name in wall.works:
        group = members.get(name)
        for place, each in enumerate((name,) if group is None else group.members):
            if row:
                at += wall.gap if group is None or place == 0 else group.gap
            row.append((by_name[each], at))
            at += by_name[each].width
    left = (
        wall.left if wall.left is not None else Fraction(0) if wall.width is None else (wall.width - at) / 2
    )
    return tuple((work, left + start) for work, start in row)
