"""``plan.json``: the plan as versioned JSON with a published schema.

The document is described by the models below; lengths are millimetres, money is text with two decimals, and
what a solver proved stands beside its answer. The same plan gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, Literal

from pydantic import Field

from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import refuse
from longpoint.export.manifest import FileRow
from longpoint.export.rows.cutting import ClothRow, SectionRow, cloth_row, section_row
from longpoint.export.rows.days import DaysRow, ToolRow, days_row, tool_row
from longpoint.export.rows.money import (
    BuyRow,
    CostRow,
    MaterialRow,
    PricesRow,
    buy_row,
    cost_rows,
    material_row,
    missing_prices,
    prices_row,
)
from longpoint.export.rows.packing import PacksRow, packs_row
from longpoint.export.rows.row import Row
from longpoint.export.rows.ways import (
    HookRow,
    HungRow,
    LiftedRow,
    WayRow,
    hook_rows,
    hung_row,
    lifted_row,
    way_row,
)
from longpoint.export.rows.works import WorkRow, work_row
from longpoint.jobs.plan import VERSION, Plan
from longpoint.needs.days import days_of
from longpoint.needs.supplies import supplies_of
from longpoint.needs.tools import tools_of
from longpoint.refereed import Refereed

FORMAT = "longpoint plan"


class CautionRow(Row):
    """Something a person should know."""

    code: str
    what: str
    about: str


class RefereedRow(Row):
    """What a referee found of one answer: code that shares nothing with the search."""

    what: str = Field(description='"boards", "cloth", "build" or "equilibrium".')
    about: str = Field(description="The section, roll or work.")
    passed: bool
    faults: list[str] = Field(description="What is wrong with the answer that was found first.")
    instead: str = Field(
        description='What was taken instead: "claims-dropped" (the same, proving less), "by-hand" or nothing.'
    )


class SupplyRow(Row):
    """What one copy of a work takes of screws, glue, staples, size, primer or hangers."""

    work: str
    kind: str = Field(description="Table of the batch file that states such things.")
    name: str
    by: str = Field(description="What the copy is once it has been taken.")
    amount: float = Field(description="Pieces, grams of glue, litres of size and primer; no spares.")


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
    materials: list[MaterialRow] = Field(default=[], description="What is bought, taken, kept and used.")
    prices: PricesRow | None = Field(default=None, description="What to ask.")
    missing_prices: list[str]
    supplies: list[SupplyRow] = Field(default=[], description="What one copy of each work takes, and when.")
    ways: list[WayRow] = Field(default=[], description="Every work on every way out stated for it.")
    lifting: list[LiftedRow] = Field(default=[], description="How every work is lifted.")
    hanging: list[HungRow] = Field(default=[], description="How every work hangs on two hangers.")
    hooks: list[HookRow] = Field(default=[], description="Hooks on the walls that are stated.")
    packing: PacksRow | None = Field(default=None, description="How works are packed, where that is stated.")
    refereed: list[RefereedRow] = Field(
        default=[], description="What the referees found before this was written."
    )
    days: DaysRow | None = Field(
        default=None, description="What is done when, by one pair of hands; estimates."
    )
    tools: list[ToolRow] = Field(default=[], description="Tools, clamps and jigs to have ready.")
    cautions: list[CautionRow]
    files: list[FileRow] = Field(
        default=[], description="What was written beside this file, so that only that is ever replaced."
    )


def plan_document(plan: Plan, *, files: Sequence[FileRow] = ()) -> PlanDocument:
    """The document of a plan, and of the files written with it."""
    say = voice_of(plan.batch.language, plan.batch.style)
    days = days_of(plan.batch, plan.works)
    return PlanDocument(
        format=FORMAT,
        version=VERSION,
        revision=plan.revision,
        title=plan.batch.title,
        currency=plan.batch.currency,
        # What was not said stays unsaid: read again, a work's own wish must not hide the batch's.
        batch=plan.batch.model_dump(mode="json", exclude_unset=True),
        works=[work_row(work, plan.batch, say) for work in plan.works],
        boards=[section_row(section) for section in plan.boards],
        cloth=[cloth_row(cloth) for cloth in plan.cloths],
        buying=[buy_row(line) for line in plan.buying],
        costs=cost_rows(plan.cost, plan.prices),
        materials=[material_row(use) for use in plan.cost.materials],
        prices=prices_row(plan.prices),
        missing_prices=missing_prices(plan.cost),
        supplies=[
            SupplyRow(work=one.work, kind=one.kind, name=one.name, by=one.by, amount=one.amount)
            for one in supplies_of(plan.batch, plan.works, plan.hung)
        ],
        ways=[way_row(way, plan.batch) for way in plan.ways],
        lifting=[lifted_row(one) for one in plan.lifted],
        hanging=[hung_row(one) for one in plan.hung],
        hooks=hook_rows(plan.rows, plan.batch),
        packing=None if plan.packs is None else packs_row(plan.packs, plan.batch),
        refereed=refereed_rows(plan.refereed),
        days=days_row(days),
        tools=[tool_row(tool) for tool in tools_of(plan.batch, plan.works, days)],
        cautions=[
            CautionRow(code=caution.code, what=sentence_of(caution, say), about=caution.about)
            for caution in plan.cautions
        ],
        files=list(files),
    )


def refereed_rows(refereed: Iterable[Refereed]) -> list[RefereedRow]:
    """What referees found, as rows."""
    return [
        RefereedRow(
            what=one.what,
            about=one.about,
            passed=one.passed,
            faults=[fault.what for fault in one.faults],
            instead=one.instead,
        )
        for one in refereed
    ]


def plan_json(plan: Plan, *, files: Sequence[FileRow] = ()) -> bytes:
    """The plan as bytes, the same for the same plan."""
    document = plan_document(plan, files=files).model_dump(mode="json")
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
    data = json_of(text)
    if data is None:
        raise refuse("not-a-plan", f"{file} is not JSON.", "Give a plan.json written by longpoint plan.")
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


def json_of(text: str | bytes) -> Any:
    """A JSON text as values; None where it is none, or holds numbers or depths that no plan has."""
    try:
        return json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError):
        return None


def _no_number(name: str) -> float:
    msg = f"{name} is no number"
    raise ValueError(msg)


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
