"""What the printed stapling orders leave, each rehearsed on its own frame: a line on the map, a table for the batch."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.pages import Column, Page, Paragraph, Table
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet, MapFigures, MapState
from longpoint.drawing.sheets.stages_table import rough
from longpoint.drawing.words.voice import Voice


def left_lines(works: Sequence[CanvasSheet], say: Voice) -> tuple[str, ...]:
    """What an order leaves, a sentence for the bench; works for which it reads alike share one.

    Args:
        works: Works with the same map and order.
        say: How the sheet speaks.
    """
    lines: dict[str, list[str]] = {}
    for work in works:
        if work.figures is not None:
            lines.setdefault(_line(work.figures, say), []).append(work.code)
    if len(lines) < 2:
        return tuple(lines)
    return tuple(f"**{', '.join(codes)}** {line}" for line, codes in lines.items())


def _line(figures: MapFigures, say: Voice) -> str:
    by = {state.when: state for state in figures.states}
    stapled = rough(_mean(by["stapled"]), say)
    if figures.wetted:
        return say(
            "canvas.leaves-wet",
            stapled=stapled,
            likely=rough(_mean(by["likely"]), say),
            least=rough(_mean(by["least"]), say),
            most=rough(_mean(by["most"]), say),
        )
    end = by["settled"]
    return say(
        "canvas.leaves",
        stapled=stapled,
        left=rough(_mean(end), say),
        low=rough(end.lowest, say),
        high=rough(end.highest, say),
        wished=say.number(1000 * figures.wished),
    )


def rehearsed_page(works: Sequence[CanvasSheet], *, say: Voice) -> Page | None:
    """What the printed orders leave, work by work; works whose figures print alike share their lines.

    Args:
        works: All works.
        say: How the sheet speaks.

    Returns:
        The page; None where nothing was rehearsed.
    """
    shown = [(work, work.figures) for work in works if work.figures is not None]
    if not shown:
        return None
    listed: dict[tuple[tuple[str, ...], ...], list[CanvasSheet]] = {}
    for work, figures in shown:
        listed.setdefault(tuple(_cells(state, say) for state in figures.states), []).append(work)
    columns = (
        Column(say("start.mark"), strong=True),
        Column(say("canvas.left-when")),
        Column(say("canvas.left-level"), "end"),
        Column(say("canvas.left-upright"), "end"),
        Column(say("canvas.left-windows"), "end"),
        Column(say("canvas.left-corners"), "end"),
        Column(say("canvas.left-spread"), "end"),
        Column(say("canvas.left-slack"), "end"),
        Column(say("canvas.left-staple"), "end"),
        Column(say("canvas.left-drawn-in", unit=say.unit), "end", share=1.0),
    )
    rows = tuple(
        (", ".join(work.code for work in alike) if number == 0 else "", *cells)
        for lines, alike in listed.items()
        for number, cells in enumerate(lines)
    )
    how = say(
        "canvas.left-how-wet" if any(figures.wetted for _, figures in shown) else "canvas.left-how",
        wished=_listed([say.number(1000 * figures.wished) for _, figures in shown]),
    )
    columns_said = say(
        "canvas.left-columns", tear=_listed([say.number(figures.tear_load) for _, figures in shown])
    )
    return Page(
        "rehearsed",
        say("section-name.canvas"),
        say("canvas.left-heading"),
        (Table(columns, rows), Paragraph(how), Paragraph(columns_said, "small")),
        about=tuple(work.name for work, _ in shown),
        lead=say("canvas.left-lead"),
    )


def _listed(words: Sequence[str]) -> str:
    return " / ".join(dict.fromkeys(words))


def _mean(state: MapState) -> float:
    return 0.5 * (state.level + state.upright)


def _per_metre(tension: float, say: Voice) -> str:
    # below zero stands for none: slack cloth keeps a sliver of stiffness in the computation
    return say.number(max(round(1000 * tension), 0))


def _cells(state: MapState, say: Voice) -> tuple[str, ...]:
    return (
        say(f"canvas.left-{state.when}"),
        _per_metre(state.level, say),
        _per_metre(state.upright, say),
        f"{_per_metre(state.lowest, say)}–{_per_metre(state.highest, say)}",
        _per_metre(state.corners, say),
        f"{say.number(100 * state.spread)} %",
        f"{say.number(100 * state.slack)} %",
        say.number(state.staple),
        f"{say.small(max(state.pulled_in[0], state.pulled_in[2], 0.0))} / "
        f"{say.small(max(state.pulled_in[1], state.pulled_in[3], 0.0))}",
    )
