"""Through the year: how tension, wood and mitres go with the air of the batch's climate, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from longpoint.drawing.paper.marks import Layer, Line, LineKind, Mark, Pen, Polygon, Text, rectangle
from longpoint.drawing.paper.pages import Block, Bullets, Column, Drawing, Page, Paper, Paragraph, Table
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.words.voice import Voice
from longpoint.stretching.climate import Air, tension_curve
from longpoint.stretching.year import SeasonPoint, YearChart
from longpoint.tables import canvas_constant, habit, limit, named_strain

_HIGH = 62.0
"""Height of the chart on paper. [mm]"""


def year_page(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper) -> Page:
    """The year of every work; works whose year is the same share their lines.

    Args:
        works: All works.
        say: How the sheet speaks.
        paper: The sheet.
    """
    alike: dict[YearChart, list[CanvasSheet]] = {}
    for work in works:
        alike.setdefault(work.year, []).append(work)
    curves: dict[tuple[str, float, Air], CanvasSheet] = {}
    for work in works:
        curves.setdefault((work.year.state, work.story.left.middle, work.year.stretched_in), work)
    blocks: list[Block] = [
        Drawing(year_view(work, say=say, width=paper.room[0])) for work in list(curves.values())[:2]
    ]
    blocks.append(_table(alike, say))
    blocks.append(Bullets(_advice(alike, say)))
    blocks.append(Paragraph(say("year.how"), "small"))
    return Page(
        "year",
        say("section-name.after"),
        say("year.title"),
        tuple(blocks),
        about=tuple(work.name for work in works),
        lead=say("year.lead"),
    )


def _airs(chart: YearChart) -> tuple[SeasonPoint, ...]:
    return tuple(sorted(chart.points, key=lambda point: point.air.humidity))


def _table(alike: dict[YearChart, list[CanvasSheet]], say: Voice) -> Table:
    rows = []
    for chart, works in alike.items():
        for number, point in enumerate(_airs(chart)):
            rows.append(
                (
                    ", ".join(work.code for work in works) if number == 0 else "",
                    _air_words(point.air, say),
                    _per_metre(point.tension.middle, say),
                    f"{_per_metre(point.tension.low, say)}–{_per_metre(point.tension.high, say)}",
                    say.number(point.moisture, places=1),
                    f"{'+' if point.bar_change > 0 else ''}{say.small(point.bar_change)}",
                    f"{say.small(point.mitre.gap)} {say(f'year.{point.mitre.opens_at}')}",
                )
            )
    return Table(
        (
            Column(say("start.mark"), strong=True, share=0.7),
            Column(say("year.air"), share=1.0),
            Column(say("year.tension"), "end", strong=True),
            Column(say("year.from-to"), "end"),
            Column(say("year.moisture"), "end"),
            Column(say("year.bar", unit=say.unit), "end"),
            Column(say("year.mitre", unit=say.unit), "end"),
        ),
        tuple(rows),
    )


def _air_words(air: Air, say: Voice) -> str:
    name = say(f"year.{air.name}") if say.has(f"year.{air.name}") else air.name
    return f"{name}, {say.number(100 * air.humidity)}\u00a0%, {say.number(air.temperature)}\u00a0°C"


def _per_metre(tension: float, say: Voice) -> str:
    return say.number(round(1000 * tension, -1))


def _advice(alike: dict[YearChart, list[CanvasSheet]], say: Voice) -> tuple[str, ...]:
    """What to do, each line once, with the marks of the works it is for where it is not for all."""
    lines: dict[str, list[str]] = {}
    for chart, works in alike.items():
        for advice in chart.advice:
            words = _advice_words(advice.key, chart, works[0].story.left.middle, say)
            lines.setdefault(words, []).extend(work.code for work in works)
    every = sum(len(works) for works in alike.values())
    return tuple(
        words if len(codes) == every else f"**{', '.join(codes)}** {words}" for words, codes in lines.items()
    )


def _advice_words(key: str, chart: YearChart, left: float, say: Voice) -> str:
    airs = _airs(chart)
    slackest = min(chart.points, key=lambda point: point.tension.middle)
    low, high = chart.window or (0.0, 0.0)
    return say(
        f"year.advice-{key}",
        now=_per_metre(left, say),
        low=_per_metre(low, say),
        high=_per_metre(high, say),
        driest=_air_words(airs[0].air, say),
        slackest=_air_words(slackest.air, say),
        most=say.number(1000 * named_strain("gesso, yield").strain, places=1),
        drop=say.number(100 * canvas_constant("lost in the first days, to").value),
        run=say.number(habit("staples in a run").value),
    )


def year_view(work: CanvasSheet, *, say: Voice, width: float) -> View:
    """Tension over humidity with its band, between flapping and too tight, and where the year lies on it.

    Args:
        work: The work whose curve it is.
        say: How the sheet speaks.
        width: Room on paper. [mm]
    """
    chart, left = work.year, work.story.left.middle
    curve = tension_curve(
        state=chart.state,
        left=left,
        stretched_in=chart.stretched_in,
        temperature=chart.stretched_in.temperature,
    )
    shown = [point for point in curve if point.humidity >= 0.2]
    flaps, tight = limit("least tension anywhere").value, limit("tension left, to").value
    top = 1.25 * max(tight, *(point.tension.middle for point in shown))
    across, step = width - 46.0, 0.1 if top > 0.5 else 0.05

    def at(humidity: float, tension: float) -> tuple[float, float]:
        first, last = shown[0].humidity, shown[-1].humidity
        return (across * (humidity - first) / (last - first), _HIGH * min(tension, top) / top)

    band = [at(point.humidity, point.tension.low) for point in shown]
    band += [at(point.humidity, point.tension.high) for point in reversed(shown)]
    marks: list[Mark] = [
        rectangle((0.0, 0.0), (across, _HIGH), layer=Layer.EDGE),
        Polygon(tuple(band), Layer.NOTE, fill=0.85, pen=Pen(0.18, grey=0.4)),
    ]
    for value, key in ((flaps, "flaps"), (tight, "tight")):
        y = at(1.0, value)[1]
        marks.append(Line((0.0, y), (across, y), Layer.HIDDEN))
        marks.append(
            Text(
                (across + 1.5, y), say(f"year.{key}", limit=say.number(1000 * value)), 2.6, "start", "middle"
            )
        )
    for before, after in pairwise(shown):
        ends = at(before.humidity, before.tension.middle), at(after.humidity, after.tension.middle)
        marks.append(Line(*ends, Layer.OUTLINE, Pen(0.5)))
    value = 2 * step
    while value < top:
        y = at(1.0, value)[1]
        marks.append(Line((-1.2, y), (0.0, y), Layer.NOTE))
        marks.append(Text((-2.0, y), say.number(1000 * value), 2.6, "end", "middle"))
        value += 2 * step
    for tenth in range(2, 10):
        x = at(tenth / 10, 0.0)[0]
        marks.append(Line((x, 0.0), (x, -1.2), Layer.NOTE))
        marks.append(Text((x, -4.6), f"{10 * tenth}", 2.6, "middle"))
    marks.append(Text((across, -9.2), say("year.humidity"), 2.6, "end"))
    marks.append(Text((0.0, _HIGH + 6.6), say("year.per-metre"), 2.6, "start"))
    airs = [*(point.air for point in _airs(chart))]
    if all(abs(air.humidity - chart.stretched_in.humidity) > 0.005 for air in airs):
        airs.append(chart.stretched_in)
    for air in airs:
        x = at(min(max(air.humidity, shown[0].humidity), shown[-1].humidity), 0.0)[0]
        marks.append(Line((x, 0.0), (x, _HIGH + 1.0), Layer.CENTRE, Pen(0.35, LineKind.CHAIN)))
        name = say(f"year.{air.name}") if say.has(f"year.{air.name}") else air.name
        marks.append(Text((x, _HIGH + 2.0), name, 2.6, "middle", weight="semibold"))
    return view_of("year", marks, scale=1.0, title=say("year.caption"))
