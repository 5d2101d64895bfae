"""Rows of ``plan.json`` about cutting: boards with their cuts, pieces on their rolls, and what is proven of both."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from pydantic import Field

from longpoint.cutting.boards.saw import bevel_ends_at
from longpoint.cutting.lay.evidence import evidence_rows
from longpoint.export.rows.boards import (
    BeyondRow,
    CertificateRow,
    RoundRow,
    SawRow,
    SortingRow,
    SpanRow,
    beyond_row,
    certificate_row,
    nm,
    rests_on,
    round_rows,
    saw_row,
    sorting_row,
)
from longpoint.export.rows.row import Row
from longpoint.needs.boards import SectionCut
from longpoint.needs.cloth import ClothCutting


class CutRow(Row):
    """One part on its board."""

    part: str
    start: float
    end: float
    stop: float = Field(description="Stop setting on the long point, mm.")
    swing_start: str
    swing_end: str
    turned: bool
    triangle: float = Field(
        description="Base of the triangle that falls out before its left end, mm; 0 where none does."
    )


class BoardRow(Row):
    """One board with its cuts from left to right."""

    board: str
    copy_number: int
    length: float
    cost: float
    at_hand: bool
    sawn: bool = Field(description="Whether its left end is freshly sawn, so that no trim is taken there.")
    spoiled: list[SpanRow]
    cuts: list[CutRow]
    remains: float
    mitred_end: bool = Field(description="Whether what remains begins with a mitre.")
    good_for: str = Field(
        description='What the remains serve as again: "bar", "rail", "middle piece", "block" or nothing.'
    )


class RippedRow(Row):
    """What is ripped along its length before anything is cut to length; boards below are then strips."""

    thickness: float
    wide: float = Field(description="Width of the boards that are ripped.")
    strip: float = Field(description="Width of a strip, finished.")
    strips: int = Field(description="How many a board gives.")
    fence: float = Field(description="Where the fence stands: the strip with what is planed off.")
    falls: float = Field(description="Width of what falls off and is kept; 0 for nothing.")
    boards: int = Field(description="How many boards are ripped.")


class SectionRow(Row):
    """The boards of one section and use."""

    use: str
    section: str
    cost: float = Field(description="Money; metres where no price is stated.")
    at_least: float
    proven: bool
    gap: float
    proof: str = Field(
        description='How the least cost is known: "bound", "branching", "enumeration" or nothing.'
    )
    proof_rests_on: str = Field(description="The same in a sentence.")
    certificate: CertificateRow
    beyond: BeyondRow | None = Field(
        default=None,
        description="What proves more than the certificate; null where nothing does or is needed.",
    )
    left_worth: float = Field(description="What is left that serves again, counted as in cost.")
    left_worth_at_most: float | None = Field(
        description="No plan of that cost leaves more; null where that was not asked."
    )
    stop_settings: int = Field(description="Each round worked length by length over all boards.")
    pickups: int = Field(
        description="How often a board is picked up: once for each length it gives in a round."
    )
    sorting: SortingRow | None = Field(description="What least sorting came to; null where it was not asked.")
    priced: bool
    ripped: RippedRow | None = Field(
        default=None, description="Null where boards are cut as they are bought."
    )
    saw: SawRow
    boards: list[BoardRow]
    rounds: list[RoundRow] = Field(description="The order at the saw.")


class LaidRow(Row):
    """One piece of cloth on its roll; x across, y along, mm."""

    piece: str
    number: int
    roll: str
    x: float
    y: float
    across: float
    along: float
    turned: bool
    breadth: int = Field(
        default=0, description="Which breadth of a piece sewn from several, from 1; 0 for one in one piece."
    )


class ClothCutRow(Row):
    """One straight cut through one sheet, in the order a person makes them; x across, y along, mm."""

    roll: str
    x: float = Field(description="Left edge of the sheet that is cut, from the roll's left edge.")
    y: float = Field(description="Its near edge, from the roll's free end.")
    across: float = Field(description="Its size across the roll.")
    along: float | None = Field(description="Its size along the roll; null for as far as the roll goes.")
    way: Literal["across", "along"] = Field(description="Which way the cut runs.")
    at: float = Field(description="Where on the roll: y of a cut across, x of a cut along.")
    measure: float = Field(description="What the tape shows, from the sheet's own near or left edge.")
    frees: list[str] = Field(description="Pieces that come free.")


class RollRow(Row):
    """What is taken from one roll."""

    roll: str
    used: float
    bought: float
    remains: float | None


class WorthRow(Row):
    """What one rectangle of cloth counts in a bound; a bound follows from any such numbers."""

    across: int = Field(description="Across the warp, allowance included, nm.")
    along: int = Field(description="Along the warp, nm.")
    may_turn: bool
    worth: int


class ColumnsRow(Row):
    """Worths for slices along the roll: a roll as long as this is not wide enough."""

    length: int = Field(description="nm.")
    worths: list[WorthRow]


class EvidenceRow(Row):
    """What the bound of a lay rests on besides the statement."""

    worths: list[list[WorthRow]]
    columns: ColumnsRow | None


class ClothRow(Row):
    """One lay."""

    cost: str
    at_least: str
    proven: bool
    gap: float
    priced: bool
    rolls: list[RollRow]
    laid: list[LaidRow]
    cuts: list[ClothCutRow] = Field(default=[], description="The cuts, roll by roll.")
    bound_by: str = Field(
        default="",
        description='What confirms at_least: "arithmetic", "listing", "every cut", "shares", or nothing.',
    )
    evidence: EvidenceRow | None = Field(
        default=None, description="Whole numbers from which at_least is confirmed."
    )


def section_row(section: SectionCut) -> SectionRow:
    """The boards of one section as a row."""
    plan = section.plan
    stated = {board.name: board for board in section.problem.boards}
    free = {
        (board.board, board.copy, at + section.problem.shop.kerf)
        for board in plan.boards
        for at in bevel_ends_at(section.problem, board)
    }
    return SectionRow(
        use=section.use,
        section=plan.section,
        cost=_number(plan.cost),
        at_least=_number(plan.at_least),
        proven=plan.proven,
        gap=_number(plan.gap),
        proof=plan.proof,
        proof_rests_on=rests_on(plan),
        certificate=certificate_row(plan),
        beyond=beyond_row(plan),
        left_worth=_number(plan.left_worth),
        left_worth_at_most=None if plan.left_worth_at_most is None else _number(plan.left_worth_at_most),
        stop_settings=plan.settings,
        pickups=plan.pickups,
        sorting=sorting_row(plan),
        priced=section.priced,
        ripped=_ripped_row(section),
        saw=saw_row(section),
        rounds=round_rows(section),
        boards=[
            BoardRow(
                board=board.board,
                copy_number=board.copy,
                length=nm(board.length),
                cost=_number(board.cost),
                at_hand=board.at_hand,
                sawn=stated[board.board].sawn,
                spoiled=[
                    SpanRow(start=nm(span.start), end=nm(span.end), why=span.why)
                    for span in stated[board.board].spoiled
                ],
                cuts=[
                    CutRow(
                        part=cut.part,
                        start=nm(cut.start),
                        end=nm(cut.end),
                        stop=nm(cut.stop),
                        swing_start=str(cut.swing_start),
                        swing_end=str(cut.swing_end),
                        turned=cut.turned,
                        triangle=0.0 if (board.board, board.copy, cut.start) in free else nm(cut.triangle),
                    )
                    for cut in board.cuts
                ],
                remains=nm(board.remains),
                mitred_end=board.mitred_end,
                good_for=board.good_for,
            )
            for board in plan.boards
        ],
    )


def _ripped_row(section: SectionCut) -> RippedRow | None:
    how = section.section.ripped
    if how is None:
        return None
    return RippedRow(
        thickness=float(how.thickness),
        wide=float(how.wide),
        strip=float(how.strip),
        strips=how.strips,
        fence=float(how.fence),
        falls=float(how.falls),
        boards=sum(section.boards_taken.values()),
    )


def cloth_row(cloth: ClothCutting) -> ClothRow:
    """One lay as a row."""
    plan = cloth.plan
    return ClothRow(
        cost=str(plan.cost),
        at_least=str(plan.at_least),
        proven=plan.proven,
        gap=round(plan.gap, 6),
        priced=cloth.priced,
        rolls=[
            RollRow(
                roll=use.roll,
                used=round(use.used, 4),
                bought=round(use.bought, 4),
                remains=None if use.remains is None else round(use.remains, 4),
            )
            for use in plan.uses
        ],
        laid=[
            LaidRow(
                piece=piece.piece,
                number=piece.number,
                roll=piece.roll,
                x=round(piece.x, 4),
                y=round(piece.y, 4),
                across=round(piece.across, 4),
                along=round(piece.along, 4),
                turned=piece.turned,
                breadth=piece.breadth,
            )
            for piece in plan.laid
        ],
        cuts=[
            ClothCutRow(
                roll=cut.roll,
                x=round(cut.x, 4),
                y=round(cut.y, 4),
                across=round(cut.across, 4),
                along=None if cut.along is None else round(cut.along, 4),
                way=cut.way,
                at=round(cut.at, 4),
                measure=round(cut.measure, 4),
                frees=list(cut.frees),
            )
            for cut in plan.cuts
        ],
        bound_by=plan.bound_by,
        evidence=EvidenceRow.model_validate(evidence_rows(plan.evidence)),
    )


def _number(value: Fraction) -> float:
    return round(float(value), 6)
