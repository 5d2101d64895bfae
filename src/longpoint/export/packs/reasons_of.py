"""The reasons of a plan: what is read at a table and never pinned up, in a document of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.drawing.paper.pages import Pack, Page, Paper, Paragraph
from longpoint.drawing.sheets.build_pages import build_pages
from longpoint.drawing.sheets.canvas_pages import map_pages, stages_page
from longpoint.drawing.sheets.later_page import later_page
from longpoint.drawing.sheets.limits_page import limits_page
from longpoint.drawing.sheets.money_page import hours_page
from longpoint.drawing.sheets.trouble_page import trouble_page
from longpoint.drawing.sheets.year_page import year_page
from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.pounds import pack_with_pounds
from longpoint.drawing.words.voice import Voice, frame_words
from longpoint.export.packs.pack_of import Group, alike, canvas_sheet
from longpoint.export.packs.strength_of import strength_pages_of
from longpoint.jobs.plan import Plan


def reasons_of(plan: Plan, *, say: Voice, paper: Paper) -> Pack:
    """Every limit of every work, then each frame, its joints, its stapling, the year, the long build steps, hours.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
    """
    canvas = [canvas_sheet(work) for work in plan.works]
    computed = [
        (work.code, work.name, work.strength.verdicts) for work in plan.works if work.strength is not None
    ]
    pages: list[Page] = [
        limits_page(computed, say=say),
        *strength_pages_of(plan, say=say, paper=paper),
        *_builds(alike(plan), say, paper),
        *map_pages(canvas, say=say, paper=paper),
        _measured(stages_page(canvas, say=say), plan, "measured-here", say),
        year_page(canvas, say=say, paper=paper),
        later_page(canvas, say=say),
        trouble_page(say=say),
        _measured(
            hours_page(plan.cost, plan.prices, currency=plan.batch.currency, say=say),
            plan,
            "measured-factor",
            say,
        ),
    ]
    pack = Pack(
        title=say("reasons.of", title=plan.batch.title),
        revision=plan.revision,
        pages=tuple(
            replace(page, name=page.name or f"{page.key}-{n}", flows=page.flows or page.key in _FOR_ALL)
            for n, page in enumerate(pages)
        ),
        language=say.language,
        words=frame_words(say),
    )
    return pack_with_pounds(pack, say)


_FOR_ALL = frozenset({"stages", "year", "later", "trouble", "hours"})
"""Pages that every batch has once, which may go on on one another's sheets."""


def _measured(page: Page, plan: Plan, code: str, say: Voice) -> Page:
    """A page whose figures rest on what was measured in the shop says so, each with its number of readings."""
    said = tuple(
        Paragraph(sentence_of(caution, say), size="small")
        for caution in plan.cautions
        if caution.code == code
    )
    return replace(page, blocks=(*page.blocks, *said)) if said else page


def _builds(groups: Sequence[Group], say: Voice, paper: Paper) -> list[Page]:
    """Joints and steps, once for all works that are put together alike."""
    kinds: dict[object, list[Group]] = {}
    for group in groups:
        build = group[0].build
        design = group[0].designed.design
        key = (
            design.corner,
            design.bar_thickness,
            design.bar_depth,
            design.rail_thickness,
            design.rail_depth,
            tuple(dict.fromkeys(step.key for step in build.steps)),
            tuple(sheet.kind for sheet in build.sheets),
            tuple(count.screw.name for count in build.screws),
        )
        kinds.setdefault(key, []).append(group)
    pages: list[Page] = []
    for members in kinds.values():
        # the work with most steps shows every step the others have
        shown = max((group[0] for group in members), key=lambda work: len(work.build.steps))
        about = tuple(work.name for group in members for work in group)
        pages += build_pages(
            shown.build.frame,
            shown.build,
            name=shown.name,
            about=about,
            say=say,
            paper=paper,
            others=len(about) > 1,
        )
    return pages
