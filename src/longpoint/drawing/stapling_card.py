"""The card for putting canvas on: made ready, the order of the runs shown on one work, and every work's runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from longpoint.drawing.canvas_pages import strip_blocks
from longpoint.drawing.canvas_sheet import CanvasSheet
from longpoint.drawing.canvas_views import staple_map_view
from longpoint.drawing.pages import (
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Step,
    Steps,
    Table,
)
from longpoint.drawing.staple_pages import firmness, order_key, order_words, pull_words, zones
from longpoint.drawing.voice import Voice
from longpoint.stretching.staple_map import StapleUse
from longpoint.stretching.steps import BenchStep

_RUNS = 8
"""So many runs are numbered on the example: enough to see how it goes on."""

_SHAPE = 0.35
"""Logarithm of width over height that a sheet shows best."""

_HIGH = 0.2
"""Share of a sheet's height that the example of a map takes."""


def ready_page(works: Sequence[CanvasSheet], *, say: Voice) -> Page:
    """The cloth made ready; each work's figures stand on its own sheet."""
    first: dict[str, BenchStep] = {}
    for work in works:
        for step in work.first:
            first.setdefault(step.key, step)
    steps = tuple(
        Step(f"**{say(f'bench.{key}')}** {say(f'bench.{key}-how')}")
        if say.has(f"bench.{key}")
        else Step(f"**{step.title}.** {step.text}")
        for key, step in first.items()
    )
    return Page(
        "canvas-ready",
        say("section-name.canvas"),
        say("canvas.ready"),
        (Steps(steps, close=True), *strip_blocks(works, say)),
        stamp=say("stamp.face-down"),
        lead=say("card.staple-lead"),
        name="canvas-ready",
    )


def stapling_page(works: Sequence[CanvasSheet], *, say: Voice, paper: Paper, caution: str) -> Page:
    """The order of the runs, shown on one work, and a line for each work.

    Args:
        works: All works.
        say: How the sheet speaks.
        paper: The sheet.
        caution: What can hurt at stapling.
    """
    shown = min(works, key=lambda work: abs(math.log(work.face[0] / work.face[1]) - _SHAPE))
    begun = replace(shown.staples, runs=shown.staples.runs[:_RUNS])
    view = staple_map_view(begun, say=say, room=(paper.room[0], paper.room[1] * _HIGH + 20.0))
    orders = list(dict.fromkeys(work.order for work in works))
    told = [*(say(f"canvas.how-{order_key(order, say)}") for order in orders), say("canvas.map-how")]
    told += dict.fromkeys(zones(work.staples, say) for work in works)
    waits = {work.folded_level for work in works if work.waits}
    told += [say("canvas.tuck-waits" if level else "canvas.tuck-waits-level") for level in sorted(waits)]
    told += [pull_words(work, say) for work in works[:1]]
    told.append(say("card.maps"))
    blocks: list[Block] = [
        Drawing(view, say("card.map-shown", name=shown.name, count=len(begun.runs))),
        Bullets(tuple(told), "small"),
        Heading(say("card.runs"), 2),
        _runs(works, say),
        CautionBox(say("sheet.caution"), (caution,)),
    ]
    return Page(
        "stapling",
        say("section-name.canvas"),
        say("card.staple"),
        tuple(blocks),
        stamp=say("stamp.face-down"),
        lead=say("canvas.order-lead", order=", ".join(order_words(order, say) for order in orders)),
        name="stapling",
    )


def _runs(works: Sequence[CanvasSheet], say: Voice) -> Table:
    """Runs, staples, and which runs are pulled how; works that are alike share a line."""
    lines: dict[tuple[str, ...], list[str]] = {}
    for work in works:
        staples = work.staples
        counts = (staples.count(use) for use in (StapleUse.EDGE, StapleUse.HOLDING, StapleUse.FOLD))
        cells = (
            str(len(staples.runs)),
            " + ".join(str(count) for count in counts),
            "; ".join(f"**{numbers}** {words}" for numbers, _, words in firmness(staples, say)),
        )
        lines.setdefault(cells, []).append(work.code)
    return Table(
        (
            Column(say("start.mark"), strong=True),
            Column(say("card.runs-count"), "end"),
            Column(say("card.runs-staples"), "end"),
            Column(say("card.runs-firm"), share=1.0),
        ),
        tuple((", ".join(codes), *cells) for cells, codes in lines.items()),
        size="small",
        close=True,
    )
