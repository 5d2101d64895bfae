"""Canvas pages: the cloth made ready, the corner, the staples of each work, priming and the press test.

What is the same for many works is printed once, with a table of each work's own figures; only the staple map is
printed for every size of face.
"""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import (
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.rehearsed_page import rehearsed_page
from longpoint.drawing.sheets.stages_table import rough, stages_table
from longpoint.drawing.sheets.staple_pages import staple_page
from longpoint.drawing.views.canvas import fold_view
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.piece import Fastening
from longpoint.stretching.primer import PrimingPlan
from longpoint.stretching.staple_map import StapleMap


def corner_pages(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """How the corner is folded, once for each kind of fold."""
    corners: dict[tuple[object, ...], list[CanvasSheet]] = {}
    for work in works:
        key = (work.fold.way, work.fold.depth, work.fold.turnover, work.folded_level, work.piece.fastened)
        corners.setdefault(key, []).append(work)
    return tuple(corner_page(group, say=say, paper=paper) for group in corners.values())


def map_pages(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """The staple map of every size of face, and what the orders leave."""
    maps: dict[tuple[StapleMap, str], list[CanvasSheet]] = {}
    for work in works:
        maps.setdefault((work.staples, work.order), []).append(work)
    pages = [staple_page(group, say=say, paper=paper) for group in maps.values()]
    rehearsed = rehearsed_page(works, say=say)
    return (*pages, *((rehearsed,) if rehearsed is not None else ()))


STRIP = {"mm": (50, 500), "in": (50.8, 508)}
"""Width of a strip and distance of its marks. [mm] Ours: wide enough for the weave, long enough for a tape."""

STRIP_MASS = 1000
"""Hung on a strip: about the tension that is wished. [g]"""


def strip_blocks(works: Sequence[CanvasSheet], say: Voice) -> list[Block]:
    """How to measure what water will do, where it does something and nobody has measured it."""
    if not any(work.story.wetted and not work.measured for work in works):
        return []
    width, marks = STRIP["in" if say.lengths.system == "in" else "mm"]
    steps = tuple(
        Step(
            say(
                f"canvas.strips-{number}",
                width=say.length(width, unit=True),
                marks=say.length(marks, unit=True),
                mass=STRIP_MASS,
                unit=say.unit,
            )
        )
        for number in range(1, 6)
    )
    return [Together((Heading(say("canvas.strips"), 2), Steps(steps, close=True)))]


SHORT_OF_CORNER = 3
"""How far from the corner a cut ends. [mm] Common practice, no published source."""


def corner_page(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper) -> Page:
    """How the corner is folded and what is cut away."""
    fold = works[0].fold
    view = fold_view(fold, say=say, room=paper.room[0])
    lines = (
        say("canvas.corner-1" if works[0].folded_level else "canvas.corner-1-level"),
        say("canvas.corner-2", gap=say.fine(SHORT_OF_CORNER, unit=True)),
        say("canvas.corner-3"),
        say("canvas.corner-4-side" if works[0].piece.fastened is Fastening.SIDE else "canvas.corner-4"),
    )
    layers = max(fold.side_before.layers, fold.back_before.layers)
    inches = say.lengths.system == "in"
    square = 645.16 if inches else 100.0  # mm² in a square inch, in a cm²
    before = sum(lay.area_of(at_least=layers) for lay in (fold.side_before, fold.back_before)) / square
    after = sum(lay.area_of(at_least=layers) for lay in (fold.side, fold.back)) / square
    return Page(
        "corner",
        say("section-name.canvas"),
        say("canvas.corner"),
        (
            Drawing(view),
            Steps(tuple(Step(line) for line in lines)),
            Paragraph(
                say(
                    "canvas.layers",
                    layers=layers,
                    before=say.number(before, places=1),
                    after=say.number(after, places=1),
                    area="in²" if inches else "cm²",
                    thick=say.fine(fold.thickness, unit=True),
                )
            ),
        ),
        about=tuple(work.name for work in works),
        lead=say("canvas.corner-lead", turnover=say.length(fold.turnover, unit=True)),
    )


def after_page(works: Sequence[CanvasSheet], *, say: Voice) -> Page:
    """Priming and the press test: what is done in common, figures work by work."""
    blocks: list[Block] = []
    primed = [work for work in works if work.priming is not None]
    if primed:
        blocks.append(Heading(say("canvas.priming")))
        coats = max((work.priming for work in primed if work.priming), key=lambda plan: len(plan.steps))
        blocks.append(Bullets(tuple(_coats_of(coats, name, say) for name in _kinds(coats))))
        blocks.append(CautionBox(say("sheet.caution"), (say("canvas.priming-caution"),)))
    pressed = [work for work in works if work.press is not None]
    if pressed:
        blocks.append(Heading(say("canvas.press")))
        blocks.append(Paragraph(say("canvas.press-how", unit=say.unit)))
    if primed or pressed:
        blocks += [Heading(say("canvas.figures"), 2), _figures(works, say)]
    return Page("canvas-after", say("section-name.canvas"), say("canvas.after"), tuple(blocks), flows=True)


def stages_page(works: Sequence[CanvasSheet], *, say: Voice) -> Page:
    """What the tension of every work is from the stapling through the year."""
    bears = " / ".join(dict.fromkeys(rough(work.bears, say) for work in works if work.bears is not None))
    how = [Paragraph(say("stage.how", bears=bears), "small")] if bears else []
    table = stages_table([(work.code, work.story) for work in works], say)
    return Page(
        "stages",
        say("section-name.canvas"),
        say("stage.title"),
        (table, *how),
        about=tuple(work.name for work in works),
    )


def _kinds(plan: PrimingPlan) -> tuple[str, ...]:
    return tuple(dict.fromkeys(step.name for step in plan.steps))


def _coats_of(plan: PrimingPlan, name: str, say: Voice) -> str:
    """All coats of one kind in a line: which way each is brushed, how long to wait."""
    steps = [step for step in plan.steps if step.name == name]
    ways = [say("canvas.way-width" if "width" in step.direction else "canvas.way-height") for step in steps]
    after = _wait(steps[-1].wait, say)
    words = _coating(name, say)
    if len(steps) == 1:
        return say("canvas.coat-one", name=words, way=ways[0], after=after)
    return say(
        "canvas.coats-of",
        name=words,
        coats=len(steps),
        ways=", ".join(ways),
        between=_wait(steps[0].wait, say),
        after=after,
    )


def _coating(name: str, say: Voice) -> str:
    key = "coating." + name.replace(" ", "-")
    return say(key) if say.has(key) else name


def _wait(wait: tuple[float, float], say: Voice) -> str:
    low, high = wait
    if high >= 48:
        days = (say.number(low / 24), say.number(high / 24))
        return say("canvas.days", days=days[0] if days[0] == days[1] else f"{days[0]}–{days[1]}")
    hours = (say.number(low), say.number(high))
    return say("canvas.hours", hours=hours[0] if hours[0] == hours[1] else f"{hours[0]}–{hours[1]}")


def _dip(dip: float, say: Voice) -> str:
    """A dip to a tenth of a millimetre, also where that is a nought; as a fraction for readers of inches."""
    return say.fine(dip) if say.lengths.system == "in" else say.number(dip, places=1)


def _figures(works: Sequence[CanvasSheet], say: Voice) -> Table:
    """Litres of each size and primer; where to press with what, and what to expect."""
    kinds = dict.fromkeys(
        (amount.name, amount.coats)
        for work in works
        if work.priming is not None
        for amount in work.priming.amounts
    )
    presses = [work.press for work in works if work.press is not None]
    tensions = [tension for tension, _ in presses[0].expected] if presses else []
    columns = [
        Column(say("start.mark"), strong=True),
        *(
            Column(
                say("canvas.litres-of", name=_coating(name, say), coats=coats, unit=say.volume_unit),
                "end",
                strong=True,
            )
            for name, coats in kinds
        ),
    ]
    if presses:
        columns += [
            Column(say("canvas.press-place", unit=say.unit), "end", share=1.0),
            Column(say("canvas.press-mass", unit=say.mass_unit), "end"),
            Column(say("canvas.press-pad", unit=say.unit), "end"),
            *(Column(say("canvas.press-dip", tension=rough(tension, say)), "end") for tension in tensions),
            Column(say("canvas.press-measured", unit=say.unit), blank=24.0),
        ]
    rows = []
    for work in works:
        amounts = {} if work.priming is None else {a.name: a.litres.middle for a in work.priming.amounts}
        row = [
            work.code,
            *(say.volume(amounts[name]) if name in amounts else "–" for name, _ in kinds),
        ]
        if work.press is not None:
            press = work.press
            row += [f"{say.whole(press.x)} / {say.whole(press.y)}", say.mass(press.mass, places=2)]
            row += [say.fine(press.pad), *(_dip(dip, say) for _, dip in press.expected)]
        elif presses:
            row += ["–"] * (3 + len(tensions))
        rows.append(tuple(row))
    return Table(tuple(columns), tuple(rows), close=True)
