"""Rows of ``plan.json`` about works: what they are made of, and what they weigh."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from longpoint.drawing.words.choice import reason_words
from longpoint.drawing.words.voice import Voice
from longpoint.export.rows.build import BuildRow, JoinRow, build_row, join_rows
from longpoint.export.rows.canvas import CanvasRow, canvas_row
from longpoint.export.rows.row import Row, mm
from longpoint.export.rows.verdicts import TensionRow, VerdictRow, tension_rows, verdict_rows
from longpoint.model.batch import Batch
from longpoint.needs.planned import PlannedWork


class MarkRow(Row):
    """A pencil line across a part."""

    at: float = Field(description="From the reference end, mm.")
    covers: float = Field(description="Timber beyond the line, mm.")
    what: str = Field(description="The member that lies there.")


class PartRow(Row):
    """A finished part and how many are equal to it."""

    mark: str
    kind: str
    members: list[str]
    per_work: int
    how_many: int
    long_point: float = Field(description="mm; the length where ends are square.")
    short_point: float = Field(description="mm.")
    thickness: float = Field(description="Seen from the front, mm.")
    depth: float = Field(description="Off the wall, mm.")
    bevel_fall: float = Field(description="mm; 0 where there is no bevel.")
    ends: list[str]
    measured_on_frame: bool
    saw_round: int
    marks: list[MarkRow]
    overlap: float = Field(default=0.0, description="Length of the joins at its ends, mm.")
    hand: Literal["", "left", "right"] = Field(
        default="",
        description="Of a piece with one corner: the hand it lies at, face up, lip away from you.",
    )
    boards: int = Field(
        default=1,
        description="From how many boards it is glued face to face; those are cut square, longer and thinner.",
    )


class MemberRow(Row):
    """A member in its place; x right, y up, z out of the wall, lips at z = 0."""

    name: str
    kind: str
    axis: Literal["x", "y"]
    start: float
    stop: float
    low: float
    high: float
    back: float
    front: float


class WeightRow(Row):
    """What one work weighs and where its weight acts; estimates."""

    low: float = Field(description="Least mass: light timber, light cloth, kg.")
    high: float = Field(description="Greatest mass, kg.")
    across: float = Field(description="Centre of gravity from the middle of the face, to the right, mm.")
    up: float = Field(description="The same, upwards, mm.")
    behind: float = Field(description="Behind the canvas, mm.")


class WorkRow(Row):
    """One work."""

    code: str
    name: str
    how_many: int
    in_set: str
    width: float
    height: float
    corner: str
    gap: float = Field(description="From rails to canvas, mm.")
    strings: list[str]
    reason: str = Field(description="How the inside was settled.")
    mass: float = Field(description="Of one, kg; estimate.")
    weight: WeightRow | None = Field(
        default=None, description="Its range and its centre of gravity; null where nothing was computed."
    )
    answer: Literal["holds", "unless", "not"] | None = Field(
        default=None, description="Of all verdicts the worst; null where nothing was computed."
    )
    tensions: list[TensionRow] = Field(default_factory=list, description="At each stage.")
    verdicts: list[VerdictRow] = Field(
        default_factory=list,
        description="Every question, its limit and its answer; none where nothing was computed.",
    )
    cloth_width: float
    cloth_height: float
    members: list[MemberRow]
    parts: list[PartRow]
    build: BuildRow
    canvas: CanvasRow
    joins: list[JoinRow] = Field(default_factory=list, description="Bars joined in length.")
    seam: float | None = Field(
        default=None, description="Where a frame in two halves comes apart, along its long direction, mm."
    )


def _weight(work: PlannedWork) -> WeightRow | None:
    if work.strength is None:
        return None
    mass = next(v for v in work.strength.verdicts if v.key == "mass")
    return WeightRow(
        low=round(mass.low, 2),
        high=round(mass.high, 2),
        across=round(mass.number("across"), 1),
        up=round(mass.number("up"), 1),
        behind=round(mass.number("behind"), 1),
    )


def work_row(work: PlannedWork, batch: Batch, say: Voice) -> WorkRow:
    """One work as a row.

    Args:
        work: The work.
        batch: The batch.
        say: How sentences are said.
    """
    strength = work.strength
    design = work.designed.design
    return WorkRow(
        code=work.code,
        name=work.name,
        how_many=work.how_many,
        in_set=work.in_set,
        width=mm(design.width),
        height=mm(design.height),
        corner=design.corner,
        gap=mm(design.gap),
        strings=list(design.strings),
        reason=reason_words(work.designed, batch, batch.work[work.index], say),
        mass=round(work.mass, 2),
        weight=_weight(work),
        answer=None if strength is None else strength.answer,
        tensions=tension_rows(work.canvas.story),
        verdicts=[] if strength is None else verdict_rows(strength.verdicts, say, currency=batch.currency),
        cloth_width=mm(work.piece.width),
        cloth_height=mm(work.piece.height),
        members=[
            MemberRow(
                name=member.name,
                kind=str(member.kind),
                axis=member.axis,
                start=mm(member.start),
                stop=mm(member.stop),
                low=mm(member.low),
                high=mm(member.high),
                back=mm(member.back),
                front=mm(member.front),
            )
            for member in work.frame.members
        ],
        parts=[
            PartRow(
                mark=part.mark,
                kind=str(part.kind),
                members=list(part.members),
                per_work=part.per_work,
                how_many=part.how_many,
                long_point=mm(part.long_point),
                short_point=mm(part.short_point),
                thickness=mm(part.thickness),
                depth=mm(part.depth),
                bevel_fall=mm(part.bevel_fall),
                ends=list(part.ends),
                overlap=mm(part.overlap),
                hand=part.hand,
                boards=part.boards,
                measured_on_frame=part.measured,
                saw_round=part.saw_round,
                marks=[
                    MarkRow(at=mm(mark.at), covers=mm(mark.covers), what=mark.what) for mark in part.marks
                ],
            )
            for part in work.parts
        ],
        build=build_row(work.build, say),
        canvas=canvas_row(work.canvas, work.rehearsed),
        joins=join_rows(work.build.frame),
        seam=None if work.frame.design.seam is None else mm(work.frame.design.seam),
    )
