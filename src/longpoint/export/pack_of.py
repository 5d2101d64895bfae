"""Which sheets a plan gives, in the order of the work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from longpoint.costing.buying import bought
from longpoint.drawing.advice_pages import (
    Hung,
    bevel_page,
    hanging_page,
    trouble_page,
    yard_page,
)
from longpoint.drawing.build_pages import build_pages
from longpoint.drawing.buying_pages import buying_page, cost_page
from longpoint.drawing.canvas_pages import canvas_pages
from longpoint.drawing.canvas_sheet import CanvasSheet, MapFigures, MapState
from longpoint.drawing.cloth_pages import cloth_pages
from longpoint.drawing.full_size import NO_CORRECTION, Correction
from longpoint.drawing.later_page import later_page
from longpoint.drawing.lettering import MISSING, unknown_signs
from longpoint.drawing.own_words import caution_words, in_own_words
from longpoint.drawing.pages import Pack, Page, Paper
from longpoint.drawing.remarks import ranked
from longpoint.drawing.ripping import RipFirst
from longpoint.drawing.saw_pages import saw_pages
from longpoint.drawing.start_page import WorkLine, start_page
from longpoint.drawing.strength_words import work_answer_words
from longpoint.drawing.voice import Voice, frame_words
from longpoint.drawing.work_pages import WorkSheet, check_pages, frame_page, parts_page
from longpoint.drawing.year_page import year_page
from longpoint.export.full_size_of import full_size_pages
from longpoint.export.label_qr import WorkLabel, label_pages
from longpoint.export.strength_of import strength_pages_of
from longpoint.frame import Kind
from longpoint.jobs.boards import SectionCut
from longpoint.jobs.plan import Plan
from longpoint.jobs.planned import PlannedWork
from longpoint.tables import safety_caution

_SAFETY = ("saw", "planer", "dust", "staples", "lifting")

Group = tuple[PlannedWork, ...]


def pack_of(plan: Plan, *, say: Voice, paper: Paper, correction: Correction = NO_CORRECTION) -> Pack:
    """The bench pages of a plan.

    Works with equal frames share their pages; what is done alike for many works (building, canvas) is shown once
    with each work's own figures beside it.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
        correction: Of full-size pages, for the printer at hand.
    """
    groups = alike(plan)
    pages: list[Page] = [first_page(plan, say=say)]
    pages.append(yard_page([(cut.problem, cut.plan, _ripped(cut)) for cut in plan.boards], say=say))
    pages.append(buying_page(plan.buying, currency=plan.batch.currency, say=say))
    pages += _bevels(plan, say)
    for cut in plan.boards:
        parts = [part for work in plan.works for part in work.parts]
        pages += saw_pages(
            cut.plan,
            cut.problem,
            say=say,
            paper=paper,
            parts=parts,
            counted_in=plan.batch.currency if cut.priced else "m",
            rip=_ripped(cut),
        )
    for group in groups:
        sheet = _work_sheet(group, say)
        pages.append(frame_page(sheet, say=say, paper=paper))
        pages.append(replace(parts_page(sheet, say=say, paper=paper), listed=False))
    pages += strength_pages_of(plan, say=say, paper=paper)
    pages += _builds(groups, say, paper)
    checks = check_pages([_work_sheet(group, say) for group in groups], say=say)
    pages += _first_listed(checks, say("check.all"))
    for cloth in plan.cloths:
        pages += cloth_pages(cloth.plan, cloth.problem, say=say, paper=paper)
    sheets = [_canvas_sheet(work) for work in plan.works]
    canvas = canvas_pages(sheets, say=say, paper=paper)
    maps = [page for page in canvas if page.key == "staples"]
    listed = iter(_first_listed(maps, say("canvas.all-maps")))
    pages += [next(listed) if page.key == "staples" else page for page in canvas]
    pages += full_size_pages(plan, say, paper, correction)
    pages.append(
        hanging_page(
            [
                Hung(
                    code=work.code,
                    name=work.name,
                    width=float(work.frame.design.width),
                    height=float(work.frame.design.height),
                    mass=work.mass,
                )
                for work in plan.works
            ],
            say=say,
        )
    )
    pages += label_pages(_labels(plan, say), say=say, paper=paper)
    pages.append(year_page(sheets, say=say, paper=paper))
    pages.append(later_page(sheets, say=say))
    pages.append(trouble_page(say=say))
    money = cost_page(plan.cost, currency=plan.batch.currency, say=say)
    pages.append(replace(money, section=say("section-name.money")))
    return Pack(
        title=plan.batch.title,
        revision=plan.revision,
        pages=tuple(pages),
        language=say.language,
        words=frame_words(say),
    )


def _first_listed(pages: Sequence[Page], words: str) -> list[Page]:
    """Pages of one kind that stand in the contents once, under a name of their own."""
    return [replace(page, listed=index == 0, contents=words) for index, page in enumerate(pages)]


def alike(plan: Plan) -> tuple[Group, ...]:
    """The works, those with equal frames taken together, in the order of the batch file."""
    groups: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        groups.setdefault((work.designed.design, work.notes), []).append(work)
    return tuple(tuple(group) for group in groups.values())


def _work_sheet(group: Group, say: Voice) -> WorkSheet:
    first, others = group[0], group[1:]
    answers = dict.fromkeys(
        work_answer_words(work.name, work.strength.verdicts, say)
        for work in group
        if work.strength is not None
    )
    return WorkSheet(
        name=first.name,
        how_many=first.how_many,
        frame=first.frame,
        parts=first.parts,
        turnover=first.piece.turnover,
        mass=first.mass,
        notes=first.notes,
        in_set=first.in_set,
        alike=tuple((work.name, work.code) for work in others),
        reason=in_own_words(first.designed.reason, say),
        holes=first.build.holes,
        copies=_copies(group, say),
        answers=tuple(answer for answer in answers if answer),
    )


def _copies(group: Group, say: Voice) -> tuple[str, ...]:
    """What each frame of a group is called on its check card; nothing where there is one only."""
    if len(group) == 1 and group[0].how_many == 1:
        return ()
    return tuple(
        say("check.copy", code=work.code, number=number) if work.how_many > 1 else work.code
        for work in group
        for number in range(1, work.how_many + 1)
    )


def _bevels(plan: Plan, say: Voice) -> list[Page]:
    """A bevel page for each kind of bar."""
    kinds: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        design = work.designed.design
        if design.bevel_fall:
            by = plan.batch.bars_of(plan.batch.work[work.index]).bevel_by
            key = (design.bar_thickness, design.bar_depth, design.bevel_fall, design.bevel_first, by)
            kinds.setdefault(key, []).append(work)
    pages = []
    for works in kinds.values():
        metres = sum(
            float(part.long_point) * part.how_many / 1000
            for work in works
            for part in work.parts
            if part.kind is Kind.BAR
        )
        by = plan.batch.bars_of(plan.batch.work[works[0].index]).bevel_by
        about = tuple(work.name for work in works)
        pages.append(bevel_page(works[0].frame, about=about, by=by, metres=metres, say=say))
    return pages


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


def _canvas_sheet(work: PlannedWork) -> CanvasSheet:
    canvas = work.canvas
    design = work.frame.design
    return CanvasSheet(
        name=work.name,
        code=work.code,
        face=(float(design.width), float(design.height)),
        piece=canvas.piece,
        fold=canvas.fold,
        folded_level=canvas.corners[0].folded_side in ("bottom", "top"),
        first=canvas.first,
        staples=canvas.staples,
        order=canvas.stapling.order.name,
        waits=canvas.stapling.waits,
        figures=_map_figures(work),
        only_snug=canvas.wetting is not None,
        leg=canvas.leg,
        pull=canvas.pull,
        tensions=canvas.tensions,
        story=canvas.story,
        measured=work.cloth.roll.water_tension is not None,
        bears=None if work.strength is None else work.strength.bears,
        priming=canvas.priming,
        press=canvas.press,
        year=canvas.year,
        afterwards=canvas.afterwards,
    )


def _map_figures(work: PlannedWork) -> MapFigures | None:
    found = work.rehearsed
    if found is None:
        return None
    return MapFigures(
        states=tuple(
            MapState(
                when=state.when,
                level=state.level,
                upright=state.upright,
                spread=state.spread,
                lowest=state.lowest,
                highest=state.highest,
                corners=state.corner_mean,
                slack=state.slack,
                staple=state.staple,
                pulled_in=state.pulled_in,
            )
            for state in found.states
        ),
        tear_load=found.tear_load,
        wished=found.wished,
    )


def _labels(plan: Plan, say: Voice) -> tuple[WorkLabel, ...]:
    """A label for every finished work."""
    labels = []
    for work in plan.works:
        design = work.frame.design
        face = say.face(design.width, design.height)
        for number in range(1, work.how_many + 1):
            count = [say("label.count", number=number, count=work.how_many)] if work.how_many > 1 else []
            lines = (
                say("label.face", face=face),
                *count,
                plan.batch.title,
                say("label.revision", revision=plan.revision),
                say("label.made"),
            )
            code = " · ".join((work.name, face, *count, plan.batch.title, plan.revision))
            labels.append(WorkLabel(title=work.name, lines=lines, code=code))
    return tuple(labels)


def _unknown_signs(plan: Plan, say: Voice) -> list[str]:
    """Says which signs in names and notes no font has, by number since they cannot be printed."""
    texts = [plan.batch.title, *(text for work in plan.works for text in (work.name, work.notes))]
    signs = dict.fromkeys(sign for text in texts for sign in unknown_signs(text))
    if not signs:
        return []
    codes = ", ".join(f"U+{ord(sign):04X}" for sign in list(signs)[:12])
    return [say("sheet.unknown-signs", codes=codes, sign=MISSING)]


def _safety(operation: str, say: Voice) -> str:
    return say(f"safety.{operation}", text=safety_caution(operation).text)


def _ripped(cut: SectionCut) -> RipFirst | None:
    how = cut.section.ripped
    if how is None:
        return None
    return RipFirst(
        how.thickness, how.wide, how.strip, how.strips, how.fence, how.falls, sum(cut.boards_taken.values())
    )


def first_page(plan: Plan, *, say: Voice) -> Page:
    """The batch at a glance."""
    batch = plan.batch
    cloth_used = sum(use.used for cloth in plan.cloths for use in cloth.plan.uses)
    total = bought(plan.buying)
    figures = [
        (say("start.works"), str(sum(work.how_many for work in plan.works))),
        (say("start.boards-to-buy"), str(sum(cut.to_buy for cut in plan.boards))),
        (say("start.cloth"), say.run(cloth_used, cloth=True)),
    ]
    if total is not None:
        figures.append((say("start.to-buy"), say.money(Decimal(total), batch.currency)))
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
        remarks=[
            (rank, [caution_words(caution, say) for caution in some]) for rank, some in ranked(plan.cautions)
        ],
        signs=_unknown_signs(plan, say),
        safety=[_safety(operation, say) for operation in _SAFETY],
        say=say,
    )
