"""One work as planned: a value that the plan gathers and the buying list counts from."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.choosing.answer import WorkStrength
from longpoint.frame.members import Frame
from longpoint.frame.parts import Part
from longpoint.joinery import BuildPlan
from longpoint.works.canvas import CanvasPlan
from longpoint.works.cloth import WorkCloth
from longpoint.works.designed import Designed
from longpoint.works.piece import Piece
from longpoint.works.printed_order import PrintedRehearsal


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedWork:
    """One work, planned.

    Attributes:
        index: Which work of the batch, from 0.
        name: Its name.
        code: Letters that begin its marks.
        how_many: How many are made.
        notes: What the user wrote.
        in_set: Name of the set it hangs in; "" for none.
        bevel_by: By what its bars are bevelled, as stated.
        designed: Its design.
        frame: Its frame.
        parts: Its parts.
        cloth: Its cloth.
        piece: Its piece of it.
        build: How its frame goes together.
        canvas: How its canvas goes on.
        mass: Of one finished work: timber, cloth, primer. [kg]
        strength: What was computed for it; None where its design follows the rule of thumb.
        rehearsed: What its printed stapling order leaves; None where it was not rehearsed.
    """

    index: int
    name: str
    code: str
    how_many: int
    notes: str
    in_set: str
    bevel_by: str
    designed: Designed
    frame: Frame
    parts: tuple[Part, ...]
    cloth: WorkCloth
    piece: Piece
    build: BuildPlan
    canvas: CanvasPlan
    mass: float
    strength: WorkStrength | None = None
    rehearsed: PrintedRehearsal | None = None
