"""Which sheets a plan gives, in the order of the work."""

from __future__ import annotations

from decimal import Decimal

from longpoint.costing.buying import bought
from longpoint.drawing.buying_pages import buying_page, cost_page
from longpoint.drawing.cloth_pages import cloth_pages
from longpoint.drawing.pages import Pack, Page, Paper
from longpoint.drawing.saw_pages import saw_pages
from longpoint.drawing.start_page import WorkLine, start_page
from longpoint.drawing.voice import Voice, frame_words
from longpoint.drawing.work_pages import WorkSheet, work_pages
from longpoint.jobs.plan import Plan
from longpoint.tables import safety_caution
from longpoint.units import show_money

_SAFETY = ("saw", "planer", "dust", "staples", "lifting")


def pack_of(plan: Plan, *, say: Voice, paper: Paper) -> Pack:
    """The bench pages of a plan.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
    """
    pages = (
        first_page(plan, say=say),
        buying_page(plan.buying, currency=plan.batch.currency, say=say),
        *(
            page
            for section in plan.boards
            for page in saw_pages(section.plan, section.problem, say=say, paper=paper)
        ),
        *(page for sheet in work_sheets(plan) for page in work_pages(sheet, say=say, paper=paper)),
        *(
            page
            for cloth in plan.cloths
            for page in cloth_pages(cloth.plan, cloth.problem, say=say, paper=paper)
        ),
        cost_page(plan.cost, currency=plan.batch.currency, say=say),
    )
    return Pack(
        title=plan.batch.title,
        revision=plan.revision,
        pages=pages,
        language=say.language,
        words=frame_words(say),
    )


def first_page(plan: Plan, *, say: Voice) -> Page:
    """The batch at a glance."""
    batch = plan.batch
    boards = [board for section in plan.boards for board in section.plan.boards]
    metres = sum(use.used for cloth in plan.cloths for use in cloth.plan.uses) / 1000
    total = bought(plan.buying)
    figures = [
        (say("start.works"), str(sum(work.how_many for work in plan.works))),
        (say("start.boards-to-buy"), str(sum(not board.at_hand for board in boards))),
        (say("start.cloth"), f"{say.number(metres, places=1)} m"),
    ]
    if total is not None:
        figures.append((say("start.to-buy"), show_money(Decimal(total), batch.currency)))
    sections = dict.fromkeys(
        f"{say.fine(section.section.real_thickness)} × {say.fine(section.section.real_depth, unit=True)}"
        for section in plan.boards
    )
    return start_page(
        [
            WorkLine(work.code, work.name, work.in_set, work.how_many, work.designed.design, work.mass)
            for work in plan.works
        ],
        title=batch.title,
        sets=[
            say(
                "start.set",
                name=group.name,
                members=", ".join(group.members),
                gap=say.length(group.gap, unit=True),
            )
            for group in batch.set
        ],
        figures=figures,
        sections=", ".join(sections),
        cautions=[str(caution) for caution in plan.cautions],
        safety=[safety_caution(operation).text for operation in _SAFETY],
        say=say,
    )


def work_sheets(plan: Plan) -> tuple[WorkSheet, ...]:
    """What the pages of the works need; works with equal frames share one sheet."""
    groups: dict[object, list[int]] = {}
    for index, work in enumerate(plan.works):
        groups.setdefault((work.designed.design, work.notes), []).append(index)
    sheets = []
    for members in groups.values():
        first, others = plan.works[members[0]], [plan.works[index] for index in members[1:]]
        sheets.append(
            WorkSheet(
                name=first.name,
                how_many=first.how_many,
                frame=first.frame,
                parts=first.parts,
                turnover=first.piece.turnover,
                mass=first.mass,
                notes=first.notes,
                in_set=first.in_set,
                alike=tuple((work.name, work.code) for work in others),
                reason=first.designed.reason,
            )
        )
    return tuple(sheets)
