"""``replan.json``: the rest of a plan as versioned JSON, from which the rest can be planned again.

It holds its answer for people and programs, and all that the next stage goes on from: the batch, the first plan as
far as cutting goes, and every stage since with what happened and how it was answered. Lengths are millimetres to a
nanometre, positions count from each board's first left end. The same rest gives the same bytes.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from pydantic import Field, ValidationError

from longpoint.cutting.boards.values import Cut as PlacedCut
from longpoint.cutting.boards.values import CutBoard, millimetres, nanometres
from longpoint.cutting.boards.values import Swing as SawSwing
from longpoint.errors import FaultsError, refuse
from longpoint.export.rows.build import JoinRow
from longpoint.export.rows.plan import PlanDocument, json_of, parse_plan
from longpoint.export.rows.row import Row
from longpoint.frame.design import BarJoin
from longpoint.model.batch import Batch
from longpoint.model.events import Events
from longpoint.replanning.old import (
    OldBoard,
    OldMember,
    OldPart,
    OldPlan,
    OldSection,
    OldStage,
    OldWork,
    damaged,
)

FORMAT = "longpoint replan"
VERSION = 2


class MemberRow(Row):
    """A member; low and high across its axis."""

    name: str
    kind: str
    low: float
    high: float


class PartRow(Row):
    """A part as the first plan has it."""

    mark: str
    kind: str
    how_many: int
    long_point: float
    thickness: float
    depth: float
    boards: int = 1


class WorkRow(Row):
    """A work as the first plan has it."""

    name: str
    code: str
    how_many: int
    corner: str
    members: list[MemberRow]
    parts: list[PartRow]
    seam: float | None = None
    joins: list[JoinRow] = Field(default_factory=list)


class CutAtRow(Row):
    """A cut of the first plan."""

    part: str
    start: float


class BoardRow(Row):
    """A board of the first plan."""

    board: str
    copy_number: int
    cuts: list[CutAtRow]


class SectionRow(Row):
    """A section of the first plan."""

    section: str
    boards: list[BoardRow]


class BegunRow(Row):
    """The first plan, as far as cutting goes."""

    batch: dict[str, Any]
    works: list[WorkRow]
    sections: list[SectionRow]


class RestCutRow(Row):
    """A cut in its place."""

    part: str
    start: float
    end: float
    stop: float
    swing_start: str
    swing_end: str
    turned: bool
    triangle: float


class RestBoardRow(Row):
    """A board and what is cut from it from then on."""

    board: str
    number: int
    length: float
    cost: float
    at_hand: bool
    cuts: list[RestCutRow]
    remains: float
    mitred_end: bool
    good_for: str
    last_stick: float


class StageRow(Row):
    """What happened, and how the rest was cut from then on, section by section."""

    events: dict[str, Any]
    sections: list[list[RestBoardRow]]


def old_plan_of(document: PlanDocument) -> OldPlan:
    """What a plan file says, as far as cutting goes.

    Raises:
        FaultsError: If its batch cannot be read.
    """
    return OldPlan(
        batch=_batch(document.batch),
        revision=document.revision,
        works=tuple(_work(work) for work in document.works),
        sections=tuple(_section(section) for section in document.boards),
    )


def read_old_plan(text: str | bytes, *, file: str = "") -> OldPlan:
    """A plan, or a rest planned before, to go on from.

    Args:
        text: Of a ``plan.json`` or a ``replan.json``.
        file: Its name, for messages.

    Raises:
        FaultsError: If it is neither, of another version or damaged.
    """
    data = json_of(text)
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        return old_plan_of(parse_plan(text, file=file))
    if data.get("version") != VERSION:
        raise refuse(
            "plan-too-new" if _is_later(data.get("version")) else "plan-too-old",
            f"{file} is a rest of version {data.get('version')!r}; this program reads version {VERSION}.",
            "Plan the rest again from the plan.json it came from, with all that happened in one file.",
        )
    if not data.get("stages"):
        raise FaultsError([damaged(f"{file} tells nothing of what happened")])
    try:
        begun = BegunRow.model_validate(data.get("begun"))
        rows = [StageRow.model_validate(row) for row in data["stages"]]
        revision = str(data["revision"])
    except (ValidationError, KeyError, TypeError) as error:
        raise FaultsError([damaged(f"{file} is damaged at {_first(error)}")]) from None
    return OldPlan(
        batch=_batch(begun.batch),
        revision=revision,
        works=tuple(_work(work) for work in begun.works),
        sections=tuple(_section(section) for section in begun.sections),
        stages=tuple(_stage(row, number) for number, row in enumerate(rows, start=1)),
    )


def _join_row(join: BarJoin) -> dict[str, Any]:
    return {
        "bar": f"{join.side} bar",
        "kind": join.kind,
        "centre": float(join.centre),
        "length": float(join.length),
        "plate": None if join.plate is None else [float(side) for side in join.plate],
    }


def begun_document(plan: OldPlan) -> dict[str, Any]:
    """The first plan as plain values, as far as cutting goes."""
    return {
        # What was not said stays unsaid: read again, a work's own wish must not hide the batch's.
        "batch": plan.batch.model_dump(mode="json", exclude_unset=True),
        "works": [
            {
                "name": work.name,
                "code": work.code,
                "how_many": work.how_many,
                "corner": work.corner,
                "seam": None if work.seam is None else float(work.seam),
                "joins": [_join_row(join) for join in work.joins],
                "members": [
                    {"name": m.name, "kind": m.kind, "low": float(m.low), "high": float(m.high)}
                    for m in work.members
                ],
                "parts": [
                    {
                        "mark": part.mark,
                        "kind": part.kind,
                        "how_many": part.how_many,
                        "long_point": float(part.long_point),
                        "thickness": float(part.thickness),
                        "depth": float(part.depth),
                        "boards": part.boards,
                    }
                    for part in work.parts
                ],
            }
            for work in plan.works
        ],
        "sections": [
            {
                "section": section.section,
                "boards": [
                    {
                        "board": board.board,
                        "copy_number": board.copy,
                        "cuts": [{"part": part, "start": float(start)} for part, start in board.cuts],
                    }
                    for board in section.boards
                ],
            }
            for section in plan.sections
        ],
    }


def stages_document(plan: OldPlan) -> list[dict[str, Any]]:
    """Every stage as plain values."""
    return [
        {
            "events": stage.events.model_dump(mode="json", exclude_unset=True),
            "sections": [[board_document(board) for board in boards] for boards in stage.sections],
        }
        for stage in plan.stages
    ]


def board_document(board: CutBoard) -> dict[str, Any]:
    """A board with its cuts as plain values."""
    return {
        "board": board.board,
        "number": board.copy,
        "length": _mm(board.length),
        "cost": round(float(board.cost), 6),
        "at_hand": board.at_hand,
        "cuts": [
            {
                "part": cut.part,
                "start": _mm(cut.start),
                "end": _mm(cut.end),
                "stop": _mm(cut.stop),
                "swing_start": str(cut.swing_start),
                "swing_end": str(cut.swing_end),
                "turned": cut.turned,
                "triangle": _mm(cut.triangle),
            }
            for cut in board.cuts
        ],
        "remains": _mm(board.remains),
        "mitred_end": board.mitred_end,
        "good_for": board.good_for,
        "last_stick": _mm(board.last_stick),
    }


def _batch(data: dict[str, Any]) -> Batch:
    try:
        # Lengths in the file are millimetres, whatever unit the batch was written in.
        return Batch.model_validate(data, context={"unit": "mm"})
    except ValidationError as error:
        raise FaultsError([damaged(f"its batch cannot be read at {_first(error)}")]) from None


def _first(error: Exception) -> str:
    if isinstance(error, ValidationError):
        return ", ".join(str(part) for part in error.errors()[0]["loc"]) or "its head"
    return str(error.args[0]) if error.args else "its head"


def _is_later(version: object) -> bool:
    return isinstance(version, int) and version > VERSION


def _work(work: Any) -> OldWork:
    return OldWork(
        work.name,
        work.code,
        work.how_many,
        work.corner,
        tuple(OldMember(m.name, m.kind, _exact(m.low), _exact(m.high)) for m in work.members),
        tuple(
            OldPart(
                part.mark,
                part.kind,
                part.how_many,
                _exact(part.long_point),
                _exact(part.thickness),
                _exact(part.depth),
                part.boards,
            )
            for part in work.parts
        ),
        None if work.seam is None else _exact(work.seam),
        tuple(_join(join) for join in work.joins),
    )


def _join(row: JoinRow) -> BarJoin:
    side, kind = row.bar.split()[0], row.kind
    plate = None if row.plate is None else (_exact(row.plate[0]), _exact(row.plate[1]))
    return BarJoin(side=side, kind=kind, centre=_exact(row.centre), length=_exact(row.length), plate=plate)  # type: ignore[arg-type]


def _section(section: Any) -> OldSection:
    return OldSection(
        section.section,
        tuple(
            OldBoard(
                board.board, board.copy_number, tuple((cut.part, _exact(cut.start)) for cut in board.cuts)
            )
            for board in section.boards
        ),
    )


def _stage(row: StageRow, number: int) -> OldStage:
    try:
        events = Events.model_validate(row.events, context={"unit": "mm"})
        sections = tuple(tuple(_cut_board(board) for board in boards) for boards in row.sections)
    except ValueError as error:
        raise FaultsError([damaged(f"its stage {number} cannot be read at {_first(error)}")]) from None
    return OldStage(events, sections)


def _cut_board(row: RestBoardRow) -> CutBoard:
    cuts = tuple(
        PlacedCut(
            cut.part,
            nanometres(cut.start),
            nanometres(cut.end),
            nanometres(cut.stop),
            SawSwing(cut.swing_start),
            SawSwing(cut.swing_end),
            cut.turned,
            nanometres(cut.triangle),
        )
        for cut in row.cuts
    )
    return CutBoard(
        row.board,
        row.number,
        nanometres(row.length),
        Fraction(repr(row.cost)),
        row.at_hand,
        cuts,
        nanometres(row.remains),
        row.mitred_end,
        row.good_for,
        nanometres(row.last_stick),
    )


def _exact(number: float) -> Fraction:
    return Fraction(repr(number))


def _mm(length: int) -> float:
    return round(millimetres(length), 6)
