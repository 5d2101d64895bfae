"""What can happen at the saw, told in the cutting room's own values: whole nanometres and names of boards."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSoFar:
    """A board that has been cut.

    Attributes:
        board: Its name in the plan.
        copy: Which one of that name.
        count: Parts that have come off it since its cuts were last planned, from the left; None: all of them.
        key: Where the person said so.
    """

    board: str
    copy: int = 1
    count: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoiledPart:
    """Pieces that were cut and are no good."""

    part: str
    how_many: int = 1
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LostSpan:
    """A stretch of a board that must not be used, from its first left end; ``end`` None: to its right end. [nm]"""

    board: str
    copy: int = 1
    start: int
    end: int | None = None
    why: str = "split"
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortBy:
    """A board whose right end is missing. [nm]"""

    board: str
    copy: int = 1
    by: int
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredPart:
    """A length measured on the frame, for some or (None) all pieces of a part that are not cut yet. [nm]"""

    part: str
    length: int
    how_many: int | None = None
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """Everything that happened to one section since its cuts were last planned.

    Attributes:
        cut: Boards that have been cut.
        spoiled: Pieces that are no good.
        lost: Stretches that must not be used.
        short: Boards that are shorter than planned.
        measured: Lengths measured on the frame.
        only_named: Whether of the boards that the last plan wanted to be bought only those named here are.
    """

    cut: tuple[CutSoFar, ...] = ()
    spoiled: tuple[SpoiledPart, ...] = ()
    lost: tuple[LostSpan, ...] = ()
    short: tuple[ShortBy, ...] = ()
    measured: tuple[MeasuredPart, ...] = ()
    only_named: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether nothing happened."""
        return not (self.cut or self.spoiled or self.lost or self.short or self.measured)
