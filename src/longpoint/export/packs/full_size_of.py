"""Which full-size pages a plan gives: one for each kind of bevel, of hole pattern and of corner, not for each work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.drawing.paper.marks import Mark
from longpoint.drawing.paper.pages import Page, Paper
from longpoint.drawing.sheets.full_size import Correction
from longpoint.drawing.sheets.templates import (
    GaugeHole,
    bar_end_marks,
    bevel_card_marks,
    corner_cut_marks,
    hole_gauge_marks,
    laid_cards,
    template_page,
)
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Kind, marks_of_members
from longpoint.jobs.plan import Plan
from longpoint.needs.planned import PlannedWork


def cards_pages(plan: Plan, say: Voice, paper: Paper, correction: Correction) -> list[Page]:
    """Bevel cards and hole gauges, as many on a sheet as it holds: one for each kind of bar.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
        correction: For the printer at hand.
    """
    bevels: dict[object, list[PlannedWork]] = {}
    gauges: dict[tuple[Fraction, tuple[GaugeHole, ...]], list[PlannedWork]] = {}
    for work in plan.works:
        design = work.designed.design
        bevels.setdefault((design.bar_thickness, design.bar_depth, design.bevel_fall), []).append(work)
        holes = corner_holes(work)
        if holes:
            plain_holes = tuple(replace(hole, words="") for hole in holes)  # words name the marks of one work
            gauges.setdefault((design.bar_depth, plain_holes), []).append(work)
    bevelled = [works for works in bevels.values() if works[0].designed.design.bevel_fall]
    cards: list[tuple[str, Sequence[Mark]]] = []
    ends: list[tuple[str, Sequence[Mark]]] = []
    for works in bevelled:
        design = works[0].designed.design
        cards.append((_card_words("bevel-card", works, say), bevel_card_marks(design, say=say)))
        ends.append((_card_words("bar-end", works, say), bar_end_marks(design, say=say)))
    strips = [
        (
            _card_words("hole-gauge", works, say),
            hole_gauge_marks(works[0].designed.design, _named(works), say=say),
        )
        for works in gauges.values()
    ]
    if not cards and not strips:
        return []
    width, height = paper.room[0] - 16.0, paper.room[1] - 66.0
    sheets = laid_cards([*cards, *strips], width=width, height=height)
    with_ends = laid_cards([*cards, *strips, *ends], width=width, height=height)
    if len(with_ends) == len(sheets):  # ends are worth no sheet of their own
        sheets = with_ends
    return [_template("cards", sheets, plan.works, say, paper, correction)]


def _named(works: Sequence[PlannedWork]) -> tuple[GaugeHole, ...]:
    """The holes of works that are bored alike, with the marks of the first; the others' end in the same numbers."""
    holes = corner_holes(works[0])
    if len(works) == 1:
        return holes
    return tuple(replace(hole, words=f"{hole.words} …" if hole.words else "") for hole in holes)


def _card_words(key: str, works: Sequence[PlannedWork], say: Voice) -> str:
    codes = [work.code for work in works]
    listed = ", ".join(codes) if len(codes) <= 6 else f"{codes[0]} … {codes[-1]}"
    return f"{say(f'template.{key}')}: {listed}"


def corner_pages(plan: Plan, say: Voice, paper: Paper, correction: Correction) -> list[Page]:
    """The corner at full size, one for each kind of fold."""
    corners: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        fold = work.canvas.fold
        corners.setdefault((fold.way, fold.depth, fold.turnover), []).append(work)
    pages = []
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
    sheets: Sequence[Sequence[Mark]],
    works: Sequence[PlannedWork],
    say: Voice,
    paper: Paper,
    correction: Correction,
) -> Page:
    about = tuple(work.name for work in works)
    return template_page(key, sheets, about=about, say=say, paper=paper, correction=correction)


def corner_holes(work: PlannedWork) -> tuple[GaugeHole, ...]:
    """Holes on the outer side of a bar near its reference end, as they stand on every corner."""
    found: dict[tuple[float, float, float], list[str]] = {}
    names = marks_of_members(work.parts)
    # the long bars of halves are bored in pieces and have no mark of their own
    bars = [member for member in work.frame.members if member.kind is Kind.BAR and member.name in names]
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
