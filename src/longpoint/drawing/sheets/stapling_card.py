"""The card for putting canvas on: made ready, the order of the runs shown on one work, and every work's runs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from longpoint.drawing.paper.pages import (
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
from longpoint.drawing.sheets.canvas_pages import strip_blocks
from longpoint.drawing.sheets.canvas_sheet import CanvasSheet
from longpoint.drawing.sheets.staple_pages import firmness, order_key, pull_words, zones
from longpoint.drawing.views.canvas import staple_map_view
from longpoint.drawing.words.own_words import order_words
from longpoint.drawing.words.voice import Voice
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
    alike, runs = _runs(works, say)
    told += alike
    blocks: list[Block] = [
        Drawing(view, say("card.map-shown", name=shown.name, count=len(begun.runs))),
        Bullets(tuple(told), "small"),
        Heading(say("card.runs"), 2),
        runs,
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


@dataclass(frozen=True, slots=True)
class _Runs:
    """Runs of works that are stapled alike: letters, counts, which runs are pulled how, before which one comes out."""

    codes: list[str]
    runs: str
    staples: str
    pulled: dict[str, str]
    out: tuple[str, str]


def _runs(works: Sequence[CanvasSheet], say: Voice) -> tuple[tuple[str, ...], Table]:
    """What is alike in all works, and a line for each: runs, staples, which runs are pulled how."""
    lines: list[_Runs] = []
    for work in works:
        staples = work.staples
        counts = (staples.count(use) for use in (StapleUse.EDGE, StapleUse.HOLDING, StapleUse.FOLD))
        found = firmness(staples, say)
        line = _Runs(
            [work.code],
            str(len(staples.runs)),
            " + ".join(str(count) for count in counts),
            {words: numbers for numbers, each, words in found if each},
            next(((numbers, words) for numbers, each, words in found if not each), ("", "")),
        )
        same = next((other for other in lines if replace(line, codes=other.codes) == other), None)
        if same is None:
            lines.append(line)
        else:
            same.codes.append(work.code)
    if len(lines) == 1:
        told = [f"**{numbers}** {words}" for words, numbers in lines[0].pulled.items()]
        told += [f"**{lines[0].out[0]}** {lines[0].out[1]}"] if lines[0].out[0] else []
        return ("; ".join(told) + ".",), _table(lines, (), say)
    ways = list(dict.fromkeys(words for line in lines for words in line.pulled))
    alike = [way for way in ways if len({line.pulled.get(way) for line in lines}) == 1]
    told = [say("card.run-all", runs=lines[0].pulled[way], words=way) for way in alike]
    told += [
        say("card.run-out", words=words) for words in dict.fromkeys(line.out[1] for line in lines) if words
    ]
    return tuple(told), _table(lines, [way for way in ways if way not in alike], say)


def _table(lines: Sequence[_Runs], ways: Sequence[str], say: Voice) -> Table:
    """A line for each kind of work, a column for each way of pulling that is not alike in all."""
    columns = [
        Column(say("start.mark"), strong=True),
        Column(say("card.runs-count"), "end"),
        Column(say("card.runs-staples"), "end"),
        *(Column(way, share=1.0) for way in ways),
    ]
    rows = [
        [", ".join(line.codes), line.runs, line.staples, *(line.pulled.get(way, "–") for way in ways)]
        for line in lines
    ]
    if ways and any(line.out[0] for line in lines):
        columns.append(Column(say("card.runs-out"), share=1.0))
        rows = [[*row, line.out[0] or "–"] for row, line in zip(rows, lines, strict=True)]
    return Table(tuple(columns), tuple(map(tuple, rows)), size="small", close=True)
