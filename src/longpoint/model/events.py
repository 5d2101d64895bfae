"""What happened at the bench since a plan, or its rest, was made: cuts made, pieces spoiled, boards that failed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from longpoint.model.quantities import Count, Length, LengthAboveZero, Name, Stated, Text, Whole
from longpoint.units import LARGEST


def _as_text(value: Any) -> Any:
    """A board named by a bare number is meant as written on the page."""
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return f"{value:g}" if is_number and -LARGEST < value < LARGEST else value


BoardName = Annotated[str, BeforeValidator(_as_text), Field(max_length=80)]


class OnBoard(Stated):
    """Something that happened to one board of the plan.

    Attributes:
        board: Its name in the plan, or its length where it is named by nothing else; left out: ``number`` is the
            one beside the board on the saw pages of ``section``.
        number: Which one of that name, counted from 1 in the order of the plan.
        section: "bars", "rails" or the name of a section, where boards of several bear the name.
    """

    board: BoardName = ""
    number: Count = 1
    section: Text = ""


class CutMade(OnBoard):
    """A board that has been cut, wholly or in part.

    Attributes:
        cuts: How many parts have come off it, counted from its left end on the pages in hand; left out: all of them.
    """

    cuts: Annotated[Whole, Field(ge=0, le=10_000)] | None = None


class SpoiledPiece(Stated):
    """Pieces that were cut and are no good.

    Attributes:
        part: The mark of the part.
        how_many: How many pieces of it.
    """

    part: Name
    how_many: Count = 1


class SplitBoard(OnBoard):
    """A board with a stretch that must not be used.

    Attributes:
        at: Where it begins, from the left end of the board as it was before any cut.
        to: Where it ends; left out: nothing to the right of ``at`` is trusted.
        why: What is there.
    """

    at: Length
    to: LengthAboveZero | None = None
    why: Text = "split"


class ShortBoard(OnBoard):
    """A board that turned out shorter than planned.

    Attributes:
        by: How much shorter; the right end is missing.
    """

    by: LengthAboveZero


class TimberCame(Stated):
    """What timber that came really measures; give thickness, depth or both.

    Attributes:
        name: Name of the yard timber or rack board in the batch.
        thickness: Readings of its thickness along a board.
        depth: Readings of its depth.
    """

    name: Name
    thickness: tuple[LengthAboveZero, ...] = Field(default=(), max_length=9)
    depth: tuple[LengthAboveZero, ...] = Field(default=(), max_length=9)

    @model_validator(mode="after")
    def _one_reading(self) -> TimberCame:
        if not self.thickness and not self.depth:
            msg = "there is no reading; give thickness = [...], depth = [...] or both"
            raise ValueError(msg)
        return self


class MeasuredInside(Stated):
    """An inside length measured on the frame.

    Attributes:
        part: The mark of the rail or middle piece that goes there.
        length: What was measured; the piece is cut to it.
        how_many: How many pieces it holds for; left out: all that are not cut yet.
    """

    part: Name
    length: LengthAboveZero
    how_many: Count | None = None


class Events(Stated):
    """Everything that happened since a plan was made.

    Attributes:
        unit: Unit of bare lengths here; left out: that of the batch.
        bought: Whether all boards that the plan wants bought have been, or only those named here.
        cut: What has been cut.
        spoiled: What was cut and is no good.
        split: Boards that split.
        short: Boards that are shorter than planned.
        timber: What timber that came measures.
        measured: Inside lengths measured on frames.
    """

    unit: Literal["mm", "cm", "m", "in", "ft"] | None = None
    bought: Literal["all", "named"] = "all"
    cut: tuple[CutMade, ...] = ()
    spoiled: tuple[SpoiledPiece, ...] = ()
    split: tuple[SplitBoard, ...] = ()
    short: tuple[ShortBoard, ...] = ()
    timber: tuple[TimberCame, ...] = ()
    measured: tuple[MeasuredInside, ...] = ()


EVENTS_STARTER = """\
# What happened since the plan was made, for: longpoint replan PLAN.json THIS-FILE -o OUT
# If something goes wrong again: longpoint replan OUT/replan.json ANOTHER-FILE, with only what happened since.
# Boards are named as in the plan and counted from 1 in its order; lengths count in the batch's unit
# ("1.1 m" is read too) and from a board's left end as it lay before any cut. Take away the # where a table
# applies; repeat a table as often as needed.
bought = "all"               # "all": every board of the plan lies here; "named": only those named below

# What has been cut. Nothing here is moved.
# [[cut]]
# board = "3600"             # its name in the plan
# number = 2                 # which one of that name; without board: the number on the saw pages of section
# cuts = 1                   # how many parts came off it, from its left end; left out: all of them
# section = "bars"           # needed only where bars and rails have boards of the same name

# Pieces that were cut and are no good.
# [[spoiled]]
# part = "A1"                # the mark on it
# how_many = 1

# A board that split, or shows a knot nobody saw.
# [[split]]
# board = "4200"
# number = 2
# at = 1100                  # where it begins, from the left end
# to = 1300                  # where it ends; left out: nothing to the right of it is trusted
# why = "split"

# A board that turned out short: its right end is missing.
# [[short]]
# board = "3600"
# number = 4
# by = 40

# Timber that came thicker or thinner than named: readings along a board. Lengths follow where they must.
# [[timber]]
# name = "bar timber"        # as under [[yard]] or [[rack]] in the batch
# thickness = [20.3, 20.2, 20.4]
# depth = [44.0, 44.1, 43.9]

# An inside length measured on the frame before its piece is cut.
# [[measured]]
# part = "A3"                # the mark of the rail or middle piece that goes there
# length = 1157
# how_many = 1               # left out: all pieces of that mark not cut yet
"""
"""A file of events with a comment for every key."""
