"""``plan.json``: the plan as versioned JSON with a published schema.

The document is described by the models below; lengths are millimetres, money is text with two decimals, and
what a solver proved stands beside its answer. The same plan gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from pydantic import Field

from longpoint.cutting.boards.values import millimetres
from longpoint.errors import refuse
from longpoint.export.plan_build import BuildRow, JoinRow, build_row, join_rows
from longpoint.export.plan_canvas import CanvasRow, canvas_row
from longpoint.export.plan_rows import Row, mm
from longpoint.jobs.boards import SectionCut
from longpoint.jobs.cloth import ClothCutting
from longpoint.jobs.plan import VERSION, Plan
from longpoint.jobs.planned import PlannedWork

FORMAT = "longpoint plan"


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


class CutRow(Row):
    """One part on its board."""

    part: str
    start: float
    end: float
    stop: float = Field(description="Stop setting on the long point, mm.")
    swing_start: str
    swing_end: str
    turned: bool


class BoardRow(Row):
    """One board with its cuts from left to right."""

    board: str
    copy_number: int
    length: float
    cost: float
    at_hand: bool
    cuts: list[CutRow]
    remains: float
    good_for: str


class SectionRow(Row):
    """The boards of one section and use."""

    use: str
    section: str
    cost: float = Field(description="Money; metres where no price is stated.")
    at_least: float
    proven: bool
    gap: float
    left_worth: float = Field(description="What is left that serves again, counted as in cost.")
    left_worth_at_most: float | None = Field(
        description="No plan of that cost leaves more; null where that was not asked."
    )
    priced: bool
    boards: list[BoardRow]


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


class RollRow(Row):
    """What is taken from one roll."""

    roll: str
    used: float
    bought: float
    remains: float | None


class ClothRow(Row):
    """One lay."""

    cost: str
    at_least: str
    proven: bool
    gap: float
    priced: bool
    rolls: list[RollRow]
    laid: list[LaidRow]


class BuyRow(Row):
    """A line of the buying list."""

    group: str
    what: str
    need: float
    have: float
    unit: str
    buy: float
    pack: str
    each: str | None
    total: str | None
    spare: float
    note: str


class CostRow(Row):
    """Cost of all pieces of one work, and the price of one."""

    work: str
    how_many: int
    timber: str
    cloth: str
    sundries: str
    hours: float = Field(description="Estimate.")
    labour: str
    overhead: str
    waste: str
    total: str
    price_each: str


class CautionRow(Row):
    """Something a person should know."""

    code: str
    what: str
    about: str


class PlanDocument(Row):
    """A plan of longpoint."""

    format: Literal["longpoint plan"]
    version: Literal[1]
    revision: str
    title: str
    currency: str
    batch: dict[str, Any] = Field(description="What was stated, in full; see the batch file's schema.")
    works: list[WorkRow]
    boards: list[SectionRow]
    cloth: list[ClothRow]
    buying: list[BuyRow]
    costs: list[CostRow]
    missing_prices: list[str]
    cautions: list[CautionRow]


def plan_document(plan: Plan) -> PlanDocument:
    """The document of a plan."""
    return PlanDocument(
        format=FORMAT,
        version=VERSION,
        revision=plan.revision,
        title=plan.batch.title,
        currency=plan.batch.currency,
        # What was not said stays unsaid: read again, a work's own wish must not hide the batch's.
        batch=plan.batch.model_dump(mode="json", exclude_unset=True),
        works=[_work(work) for work in plan.works],
        boards=[_section(section) for section in plan.boards],
        cloth=[_cloth(cloth) for cloth in plan.cloths],
        buying=[
            BuyRow(
                group=line.group,
                what=line.what,
                need=line.need,
                have=line.have,
                unit=line.unit,
                buy=line.buy,
                pack=line.pack,
                each=_money(line.each),
                total=_money(line.total),
                spare=line.spare,
                note=line.note,
            )
            for line in plan.buying
        ],
        costs=[
            CostRow(
                work=work.work,
                how_many=work.how_many,
                timber=str(work.timber),
                cloth=str(work.cloth),
                sundries=str(work.sundries),
                hours=work.hours,
                labour=str(work.labour),
                overhead=str(work.overhead),
                waste=str(work.waste),
                total=str(work.total),
                price_each=str(plan.cost.price_of(work)),
            )
            for work in plan.cost.works
        ],
        missing_prices=list(plan.cost.missing),
        cautions=[
            CautionRow(code=caution.code, what=caution.what, about=caution.about) for caution in plan.cautions
        ],
    )


def plan_json(plan: Plan) -> bytes:
    """The plan as bytes, the same for the same plan."""
    document = plan_document(plan).model_dump(mode="json")
    return (json.dumps(document, indent=1, ensure_ascii=False) + "\n").encode()


def plan_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of ``plan.json``."""
    schema = PlanDocument.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def parse_plan(text: str | bytes, *, file: str = "") -> PlanDocument:
    """Reads a ``plan.json``.

    Raises:
        FaultsError: If it is not one, or of a version that this program does not know.
    """
    try:
        data = json.loads(text)
    except (ValueError, UnicodeDecodeError):
        raise refuse(
            "not-a-plan", f"{file} is not JSON.", "Give a plan.json written by longpoint plan."
        ) from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise refuse("not-a-plan", f"{file} is no plan.", "Give a plan.json written by longpoint plan.")
    if data.get("version") != VERSION:
        raise refuse(
            "plan-too-new",
            f"{file} is a plan of version {data.get('version')!r}; this program reads version {VERSION}.",
            "Use a newer longpoint, or plan the batch again.",
        )
    try:
        return PlanDocument.model_validate(data)
    except ValueError as error:
        first = str(error).splitlines()[1:2]
        raise refuse(
            "plan-damaged", f"{file} is damaged at {', '.join(first)}.", "Plan the batch again."
        ) from None


def _weight(work: PlannedWork) -> WeightRow | None:
    """The range scaled to the plan's own mass, which counts turned-over cloth too."""
    if work.strength is None:
        return None
    mass = next(v for v in work.strength.verdicts if v.key == "mass")
    scale = work.mass / mass.value
    return WeightRow(
        low=round(mass.low * scale, 2),
        high=round(mass.high * scale, 2),
        across=round(mass.number("across"), 1),
        up=round(mass.number("up"), 1),
        behind=round(mass.number("behind"), 1),
    )


def _work(work: PlannedWork) -> WorkRow:
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
        reason=work.designed.reason,
        mass=round(work.mass, 2),
        weight=_weight(work),
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
                measured_on_frame=part.measured,
                saw_round=part.saw_round,
                marks=[
                    MarkRow(at=mm(mark.at), covers=mm(mark.covers), what=mark.what) for mark in part.marks
                ],
            )
            for part in work.parts
        ],
        build=build_row(work.build),
        canvas=canvas_row(work.canvas, work.rehearsed),
        joins=join_rows(work.build.frame),
        seam=None if work.frame.design.seam is None else mm(work.frame.design.seam),
    )


def _section(section: SectionCut) -> SectionRow:
    plan = section.plan
    return SectionRow(
        use=section.use,
        section=plan.section,
        cost=_number(plan.cost),
        at_least=_number(plan.at_least),
        proven=plan.proven,
        gap=_number(plan.gap),
        left_worth=_number(plan.left_worth),
        left_worth_at_most=None if plan.left_worth_at_most is None else _number(plan.left_worth_at_most),
        priced=section.priced,
        boards=[
            BoardRow(
                board=board.board,
                copy_number=board.copy,
                length=_nm(board.length),
                cost=_number(board.cost),
                at_hand=board.at_hand,
                cuts=[
                    CutRow(
                        part=cut.part,
                        start=_nm(cut.start),
                        end=_nm(cut.end),
                        stop=_nm(cut.stop),
                        swing_start=str(cut.swing_start),
                        swing_end=str(cut.swing_end),
                        turned=cut.turned,
                    )
                    for cut in board.cuts
                ],
                remains=_nm(board.remains),
                good_for=board.good_for,
            )
            for board in plan.boards
        ],
    )


def _cloth(cloth: ClothCutting) -> ClothRow:
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
            )
            for piece in plan.laid
        ],
    )


def _nm(length: int) -> float:
    return round(millimetres(length), 4)


def _number(value: Fraction) -> float:
    return round(float(value), 6)


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def schema_texts() -> Iterable[tuple[str, bytes]]:
    """Published schemas by file name: of the batch file and of ``plan.json``."""
    from longpoint.model.batch import Batch

    batch = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "longpoint batch file",
        **Batch.model_json_schema(),
    }
    for name, schema in (("batch.schema.json", batch), ("plan.schema.json", plan_schema())):
        yield name, (json.dumps(schema, indent=1, ensure_ascii=False) + "\n").encode()
