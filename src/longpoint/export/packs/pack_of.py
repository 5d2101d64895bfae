"""The bench pack of a plan: one sheet for each work, what they share once, in the order of the work."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from longpoint.costing.buying import bought
from longpoint.cutting.boards.values import millimetres
from longpoint.cutting.cloth.left_over import left_over
from longpoint.drawing.paper.lettering import MISSING, unknown_signs
from longpoint.drawing.paper.pages import Pack, Page, Paper
from longpoint.drawing.sheets.advice_pages import BevelLine, bevel_page, yard_page
from longpoint.drawing.sheets.build_card import Built, build_card
from longpoint.drawing.sheets.buying_pages import buying_page
from longpoint.drawing.sheets.canvas_pages import after_page
from longpoint.drawing.sheets.canvas_pages import corner_pages as fold_pages
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet, MapFigures, MapState
from longpoint.drawing.sheets.cloth_pages import cloth_pages
from longpoint.drawing.sheets.days_pages import days_page, tools_page
from longpoint.drawing.sheets.full_size import NO_CORRECTION, Correction
from longpoint.drawing.sheets.hanging_page import Hung, hanging_page
from longpoint.drawing.sheets.money_page import cost_page
from longpoint.drawing.sheets.packing_page import packing_page
from longpoint.drawing.sheets.ripping import RipFirst
from longpoint.drawing.sheets.saw_pages import saw_pages
from longpoint.drawing.sheets.stapling_card import ready_page, stapling_page
from longpoint.drawing.sheets.start_page import WorkLine, start_page
from longpoint.drawing.sheets.ways_page import Leaving, ways_page
from longpoint.drawing.sheets.work_sheet import MOST_COPIES, WorkSheet, check_page, work_pages
from longpoint.drawing.views.corner_jig import CornerJig, Offcut
from longpoint.drawing.words.own_words import product_words, remarks_words, section_words
from longpoint.drawing.words.pounds import pack_with_pounds
from longpoint.drawing.words.remarks import ranked
from longpoint.drawing.words.voice import Voice, frame_words
from longpoint.errors import Caution
from longpoint.export.packs.answer_of import answer_of
from longpoint.export.packs.fitting import fills_of
from longpoint.export.packs.full_size_of import cards_pages, corner_holes, corner_pages
from longpoint.export.packs.label_qr import RestLabel, WorkLabel, label_pages
from longpoint.export.typeset.pack_source import LEVELS, Setting
from longpoint.frame import Kind
from longpoint.frame.profile import lip_flat
from longpoint.jobs.plan import Plan
from longpoint.needs.boards import SectionCut
from longpoint.needs.days import days_of
from longpoint.needs.planned import PlannedWork
from longpoint.needs.tools import tools_of
from longpoint.tables import safety_caution
from longpoint.works.hanging import centre_of

Group = tuple[PlannedWork, ...]


def pack_of(plan: Plan, *, say: Voice, paper: Paper, correction: Correction = NO_CORRECTION) -> Pack:
    """The bench sheets of a plan.

    Works with equal frames and cloth share their sheet; what is done alike for all is shown once.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
        correction: Of full-size pages, for the printer at hand.
    """
    sheets = [_work_sheet(plan, group, say) for group in alike(plan)]
    canvas = [canvas_sheet(work) for work in plan.works]
    days = days_of(plan.batch, plan.works)
    pages: list[Page] = [
        first_page(plan, say=say),
        days_page(days, hours_a_day=float(plan.batch.shop.hours_a_day), say=say),
        tools_page(tools_of(plan.batch, plan.works, days), say=say),
        yard_page([(cut.problem, cut.plan, _ripped(cut)) for cut in plan.boards], say=say),
        buying_page(plan.buying, currency=plan.batch.currency, say=say),
        *_bevels(plan, say),
        *cards_pages(plan, say, paper, correction),
        *_saws(plan, say, paper),
        *build_card(
            [Built(name=work.name, build=work.build) for work in plan.works],
            jig=_jig(plan, say),
            say=say,
            paper=paper,
            caution=_safety("dust", say),
        ),
        *_works(sheets, say, paper),
        *(check_page(sheet, say=say) for sheet in sheets if sheet.how_many > MOST_COPIES),
        *_cloths(plan, say, paper),
        ready_page(canvas, say=say),
        *fold_pages(canvas, say=say, paper=paper),
        *corner_pages(plan, say, paper, correction),
        stapling_page(canvas, say=say, paper=paper, caution=_safety("staples", say)),
        after_page(canvas, say=say),
        *label_pages(_labels(plan, say), _rest_labels(plan, say), say=say, paper=paper),
        *_ways(plan, say),
        *_hanging(plan, say),
        *_packing(plan, say),
        *_money(plan, say),
    ]
    pack = Pack(
        title=plan.batch.title,
        revision=plan.revision,
        pages=tuple(_named(pages)),
        language=say.language,
        words=frame_words(say),
    )
    return pack_with_pounds(pack, say)


def _money(plan: Plan, say: Voice) -> list[Page]:
    """Cost and price; nothing where neither a thing nor an hour has a price."""
    if not plan.cost.total:
        return []
    return [cost_page(plan.cost, plan.prices, currency=plan.batch.currency, say=say)]


def _named(pages: Sequence[Page]) -> list[Page]:
    """Pages with a name each, so that every sheet names its neighbours in the work."""
    return [page if page.name else replace(page, name=f"{page.key}-{n}") for n, page in enumerate(pages)]


def alike(plan: Plan) -> tuple[Group, ...]:
    """The works, those with equal frames and cloth taken together, in the order of the batch file."""
    groups: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        groups.setdefault(
            (work.designed.design, work.notes, work.canvas.piece, work.canvas.stapling.order.name), []
        ).append(work)
    return tuple(tuple(group) for group in groups.values())


def _saw_name(number: int) -> str:
    return f"saw-{number}"


def _saws(plan: Plan, say: Voice, paper: Paper) -> list[Page]:
    """How the saw stands once, then stops and boards, section by section."""
    parts = [part for work in plan.works for part in work.parts]
    pages: list[Page] = []
    for number, cut in enumerate(plan.boards, start=1):
        stops, boards = saw_pages(
            cut.plan,
            cut.problem,
            say=say,
            paper=paper,
            parts=parts,
            counted_in=plan.batch.currency if cut.priced else "m",
            rip=_ripped(cut),
            told=number == 1,
        )
        pages += [replace(stops, name=_saw_name(number)), boards]
    return pages


def _jig(plan: Plan, say: Voice) -> CornerJig | None:
    """The jig for the corners that are bored, and what the plan's boards leave for it."""
    bored = [(work, holes) for work in plan.works if (holes := corner_holes(work))]
    if not bored:
        return None
    thickest = max((work.designed.design for work, _ in bored), key=lambda design: design.bar_thickness)
    deepest = max(hole.from_end for _, holes in bored for hole in holes)
    designs = [work.designed.design for work in plan.works]
    return CornerJig(
        thickness=float(thickest.bar_thickness),
        depth=float(thickest.bar_depth),
        clear=5.0 * math.ceil((deepest + float(plan.batch.shop.drill.chuck_radius) + 5.0) / 5.0),
        packers=tuple(sorted({float(d.gap) for d in designs if d.has_rails and d.gap > 0})),
        offcuts=tuple(
            Offcut(section_words(cut.problem.section, say), millimetres(board.remains))
            for cut in plan.boards
            for board in cut.plan.boards
        ),
    )


def _cloths(plan: Plan, say: Voice, paper: Paper) -> list[Page]:
    """The lay on every roll."""
    return [
        replace(page, name=f"cloth-{use.roll}")
        for cloth in plan.cloths
        for use, page in zip(
            cloth.plan.uses, cloth_pages(cloth.plan, cloth.problem, say=say, paper=paper), strict=True
        )
    ]


def _work_sheet(plan: Plan, group: Group, say: Voice) -> WorkSheet:
    first, others = group[0], group[1:]
    marks = {part.mark for work in group for part in work.parts}
    saws = [
        _saw_name(number)
        for number, cut in enumerate(plan.boards, start=1)
        if any(part.name in marks for part in cut.problem.parts)
    ]
    names = {work.name for work in group}
    rolls = dict.fromkeys(
        piece.roll for cloth in plan.cloths for piece in cloth.plan.laid if piece.piece in names
    )
    return WorkSheet(
        code=first.code,
        name=first.name,
        how_many=sum(work.how_many for work in group),
        frame=first.frame,
        parts=first.parts,
        build=first.build,
        canvas=canvas_sheet(first),
        answer=answer_of(first, say, currency=plan.batch.currency),
        mass=first.mass,
        notes=first.notes,
        in_set=first.in_set,
        alike=tuple((work.name, work.code) for work in others),
        before=tuple(saws),
        after=tuple(f"cloth-{roll}" for roll in rolls),
        copies=_copies(group, say),
    )


def _copies(group: Group, say: Voice) -> tuple[str, ...]:
    """What each frame of a group is called on its check card; nothing where there is one only."""
    if len(group) == 1 and group[0].how_many == 1:
        return ()
    return tuple(
        str(number)
        if len(group) == 1
        else say("check.copy", code=work.code, number=number)
        if work.how_many > 1
        else work.code
        for work in group
        for number in range(1, work.how_many + 1)
    )


def _bevels(plan: Plan, say: Voice) -> list[Page]:
    """A bevel page for all bars whose bevel is made alike."""
    kinds: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        design = work.designed.design
        if design.bevel_fall:
            by = work.bevel_by
            flat = lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall)
            key = (by, design.bevel_first, design.bar_depth - design.bevel_fall, flat)
            kinds.setdefault(key, []).append(work)
    return [_bevel(plan, works, say) for works in kinds.values()]


def _bevel(plan: Plan, works: Sequence[PlannedWork], say: Voice) -> Page:
    bars: dict[object, list[PlannedWork]] = {}
    for work in works:
        design = work.designed.design
        bars.setdefault((design.bar_thickness, design.bar_depth, design.bevel_fall), []).append(work)
    lines = [
        BevelLine(
            same[0].frame,
            tuple(work.code for work in same),
            sum(
                float(part.long_point) * part.how_many / 1000
                for work in same
                for part in work.parts
                if part.kind is Kind.BAR
            ),
        )
        for same in bars.values()
    ]
    by = works[0].bevel_by
    return bevel_page(lines, about=tuple(work.name for work in works), by=by, say=say)


def canvas_sheet(work: PlannedWork) -> CanvasSheet:
    """What the canvas pages need of a work."""
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


def _ways(plan: Plan, say: Voice) -> list[Page]:
    """How the works get out, where ways are stated."""
    if not plan.ways:
        return []
    codes = {work.name: work.code for work in plan.works}
    return [ways_page(plan.batch.way, [Leaving(codes[one.work], one) for one in plan.ways], say=say)]


def _hanging(plan: Plan, say: Voice) -> list[Page]:
    """The hanging card, with the walls that are stated; none where nothing hangs on hangers."""
    if not plan.hung:
        return []
    codes = {work.name: work.code for work in plan.works}
    works = [
        Hung(
            code=work.code,
            name=work.name,
            height=float(work.frame.design.height),
            mass=work.mass,
            centre=centre_of(plan.batch, work.name),
            hung=hung,
            lifted=lifted,
            face=(float(work.frame.design.width), float(work.frame.design.height)),
            seam=None if work.frame.design.seam is None else float(work.frame.design.seam),
        )
        for work, hung, lifted in zip(plan.works, plan.hung, plan.lifted, strict=True)
    ]
    walls = [
        (wall, [(codes[one.work], one.place) for one in plan.rows if one.wall == index])
        for index, wall in enumerate(plan.batch.wall)
    ]
    return [hanging_page(works, walls, say=say)]


_KEPT_FREE = 4.0
"""Height left at the foot of a work's sheet when its drawings are as high as they can be. [mm]"""


_TRIED = ((0.0, 0), (0.0, len(LEVELS) - 1), (-8.0, len(LEVELS) - 1))
"""How much higher a work's drawings are, and how tightly its sheet is set, in trials whether it keeps to one sheet."""


def _works(sheets: Sequence[WorkSheet], say: Voice, paper: Paper) -> list[Page]:
    """The sheet of every work, its drawings as high as what stands below leaves room for."""
    more: dict[int, float] = {}
    over = list(range(len(sheets)))
    for less, level in _TRIED:
        pages = [work_pages(sheets[number], say=say, paper=paper, more=less)[0] for number in over]
        trial = pack_with_pounds(Pack(title="", revision="", pages=tuple(pages)), say)
        fills = fills_of(trial, paper=paper, settings=dict.fromkeys(range(len(over)), Setting(level)))
        for number, fill in zip(tuple(over), fills.values(), strict=True):
            room = (1.0 - fill.last) * paper.room[1] - _KEPT_FREE
            if level == 0:
                more[number] = max(room, 0.0)
            elif fill.sheets == 1:
                more[number] = less
            if fill.sheets == 1:
                over.remove(number)
    return [
        page
        for number, sheet in enumerate(sheets)
        for page in work_pages(sheet, say=say, paper=paper, more=more[number])
    ]


def _packing(plan: Plan, say: Voice) -> list[Page]:
    """How works are packed, where that is stated."""
    if plan.packs is None:
        return []
    codes = {work.name: work.code for work in plan.works}
    return [packing_page(plan.packs, codes, batch=plan.batch, say=say)]


def _labels(plan: Plan, say: Voice) -> tuple[WorkLabel, ...]:
    """A label for every finished work."""
    labels = []
    for work in plan.works:
        design = work.frame.design
        face = say.face(design.width, design.height)
        for number in range(1, work.how_many + 1):
            count = [say("label.count", number=number, count=work.how_many)] if work.how_many > 1 else []
            lines = (
                say("label.face", face=face) if not count else f"{face} · {count[0]}",
                plan.batch.title,
            )
            blanks = tuple(say(f"label.{what}") for what in ("artist", "medium", "made"))
            code = " · ".join((work.name, face, *count, plan.batch.title, plan.revision))
            labels.append(WorkLabel(title=work.name, lines=lines, code=code, blanks=blanks))
    return tuple(labels)


MOST_RESTS = 3
"""So many pieces of left-over cloth get a label, the largest first; the rest stands on the cloth sheets."""


def _rest_labels(plan: Plan, say: Voice) -> tuple[RestLabel, ...]:
    """Labels for the largest pieces of left-over cloth."""
    found = [
        (rest, roll)
        for cloth in plan.cloths
        for rest in left_over(cloth.plan, cloth.problem)
        for roll in cloth.problem.rolls
        if roll.name == rest.roll and rest.number
    ]
    largest = sorted(found, key=lambda one: -one[0].across * one[0].along)[:MOST_RESTS]
    return tuple(
        RestLabel(
            title=say("label.rest", number=rest.number, roll=product_words(rest.roll, say)),
            lines=(
                say("label.rest-size", size=f"{say.kept(rest.along)} × {say.kept(rest.across, unit=True)}"),
                say("label.warp-along" if roll.warp_along else "label.warp-across"),
            ),
        )
        for rest, roll in largest
    )


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


def on_own_sheet(caution: Caution) -> bool:
    """Whether a caution stands on the sheet of its work already: a limit that is missed, or kept unless."""
    return caution.code.startswith(("leaves-", "misses-", "unless-"))


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
    return start_page(
        [
            WorkLine(
                work.code,
                work.name,
                work.how_many,
                work.designed.design,
                work.mass,
                "" if work.strength is None else say(f"start.holds-{work.strength.answer}"),
            )
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
        remarks=[
            (rank, remarks_words((caution for caution in some if not on_own_sheet(caution)), say))
            for rank, some in ranked(plan.cautions)
        ],
        signs=_unknown_signs(plan, say),
        say=say,
    )
