"""Which full-size pages a plan gives: one for each kind of bevel, of hole pattern and of corner, not for each work."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.full_size import Correction
from longpoint.drawing.marks import Mark
from longpoint.drawing.pages import Page, Paper
from longpoint.drawing.templates import (
    GaugeHole,
    bevel_card_marks,
    corner_cut_marks,
    hole_gauge_marks,
    template_page,
)
from longpoint.drawing.voice import Voice
from longpoint.frame import Kind, marks_of_members
from longpoint.jobs.plan import Plan
from longpoint.jobs.planned import PlannedWork


def full_size_pages(plan: Plan, say: Voice, paper: Paper, correction: Correction) -> list[Page]:
    """The full-size pages: a bevel card and a hole gauge for each kind of bar, a corner for each kind of fold.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
        correction: For the printer at hand.
    """
    pages: list[Page] = []
    bevels: dict[object, list[PlannedWork]] = {}
    gauges: dict[object, list[PlannedWork]] = {}
    corners: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        design = work.designed.design
        bevels.setdefault((design.bar_thickness, design.bar_depth, design.bevel_fall), []).append(work)
        holes = _corner_holes(work)
        if holes:
            gauges.setdefault((design.bar_depth, holes), []).append(work)
        fold = work.canvas.fold
        corners.setdefault((fold.way, fold.depth, fold.turnover), []).append(work)
    for works in bevels.values():
        design = works[0].designed.design
        if not design.bevel_fall:
            continue
        cards = [bevel_card_marks(design, say=say, below=below) for below in (False, True)]
        pages.append(_template("bevel-card", cards, works, say, paper, correction))
    for (_, holes), works in gauges.items():  # type: ignore[misc]
        marks = hole_gauge_marks(works[0].designed.design, holes, say=say)
        pages.append(_template("hole-gauge", [marks], works, say, paper, correction))
    for works in corners.values():
        fold = works[0].canvas.fold
        # So much of the face as fits one sheet; of wide turnovers, which take several sheets, a strip of it.
        room = max(min(160.0, 2.0 * fold.turnover), fold.turnover + 20.0)
        marks = corner_cut_marks(
            [(patch.name, patch.outline) for patch in fold.flat],
            fold.cut.outline,
            fold.folds,
            turnover=fold.turnover,
            depth=fold.depth,
            room=room,
            say=say,
        )
        pages.append(_template("corner-cut", [marks], works, say, paper, correction))
    return pages


def _template(
    key: str,
    arrangements: Sequence[Sequence[Mark]],
    works: Sequence[PlannedWork],
    say: Voice,
    paper: Paper,
    correction: Correction,
) -> Page:
    about = tuple(work.name for work in works)
    return template_page(key, arrangements, about=about, say=say, paper=paper, correction=correction)


def _corner_holes(work: PlannedWork) -> tuple[GaugeHole, ...]:
    """Holes on the outer side of a bar near its reference end, as they stand on every corner."""
    found: dict[tuple[float, float, float], list[str]] = {}
    names = marks_of_members(work.parts)
    bars = [member for member in work.frame.members if member.kind is Kind.BAR]
    for bar in bars:
        for mark in work.build.holes_in(bar.name):
            at = min(mark.at, bar.length - mark.at)
            if mark.face != "outer side" or mark.purpose != "clearance hole" or at > 60:
                continue
            key = (round(float(at), 2), round(float(mark.from_back), 2), float(mark.diameter))
            found.setdefault(key, []).append(names[bar.name])
    every = {names[bar.name] for bar in bars}
    return tuple(
        GaugeHole(
            from_end=key[0],
            from_back=key[1],
            diameter=key[2],
            words="" if set(found[key]) == every else "+".join(dict.fromkeys(found[key])),
        )
        for key in sorted(found)
    )
