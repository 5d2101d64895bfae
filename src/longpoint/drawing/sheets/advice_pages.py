"""Cards that say how and why: yard card, bevel, hanging card."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Grade, millimetres
from longpoint.cutting.boards.yard_card import ClearRun, WantedBoard, wanted_boards
from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.sheets.ripping import RipFirst, rip_words
from longpoint.drawing.views.section import bevel_angle, brief_section_view
from longpoint.drawing.words.own_words import section_words
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, FrameDesign
from longpoint.frame.profile import lip_flat
from longpoint.joinery.bevel import bevel_work
from longpoint.tables import limit


def yard_page(cuts: Sequence[tuple[BoardProblem, BoardPlan, RipFirst | None]], *, say: Voice) -> Page:
    """A card to carry to the yard: boards to ask for, clear runs needed, what to reject.

    Args:
        cuts: What was asked of the saw, what came back, and what is ripped first, section by section.
        say: How the sheet speaks.
    """
    blocks: list[Block] = [_boards(cuts, say)]
    blocks += [Paragraph(rip_words(rip, say)) for _, _, rip in cuts if rip is not None]
    blocks.append(_runs([(problem, wanted_boards(problem, plan)) for problem, plan, _ in cuts], say))
    blocks.append(
        Paragraph(
            say(
                "yard.bend-how",
                bow=say.limit(limit("board bow").value, unit=True),
                crook=say.limit(limit("board crook").value, unit=True),
                length=say.length(2000, unit=True),
            ),
            "small",
        )
    )
    blocks.append(Heading(say("yard.look"), 2))
    blocks.append(Steps(tuple(Step(say(f"yard.look-{n}")) for n in range(1, 6)), tick=False, close=True))
    again = Paragraph(say("yard.again", half=say.fine(0.5, unit=True)), "small")
    blocks.append(Together((Heading(say("yard.measured"), 2), _readings(cuts, say), again)))
    return Page("yard", say("section-name.yard"), say("yard.title"), tuple(blocks))


_STEP = 500
"""Runs are told apart by this much, so that the card stays short [mm]."""


def _alike(wanted: Sequence[WantedBoard]) -> list[tuple[int, int, list[list[ClearRun]]]]:
    """Boards of one length whose runs are nearly as long, together: length, how many, and run by run those of each."""
    found: dict[tuple[object, ...], list[WantedBoard]] = {}
    for board in wanted:
        runs = [run for run in board.runs if run.grade >= Grade.RAILS]
        if runs:
            key = (board.length, *((run.grade, -int(-millimetres(run.length) // _STEP)) for run in runs))
            found.setdefault(key, []).append(replace(board, runs=tuple(runs)))
    return [
        (
            boards[0].length,
            sum(board.how_many for board in boards),
            [list(runs) for runs in zip(*(board.runs for board in boards), strict=True)],
        )
        for boards in found.values()
    ]


def _least(limits: Iterable[int | None]) -> int | None:
    return min((limit for limit in limits if limit is not None), default=None)


def _has_bars(problem: BoardProblem) -> bool:
    """Whether bars are cut from a section, not only rails."""
    return any(part.round == 1 for part in problem.parts)


def _readings(cuts: Sequence[tuple[BoardProblem, BoardPlan, RipFirst | None]], say: Voice) -> Table:
    """Lines for the timber as delivered: three readings each way for every board that is bought."""
    names = []
    for problem, plan, rip in cuts:
        boards = sorted((board.length for board in plan.boards if not board.at_hand), reverse=True)
        boards = boards[:: rip.strips] if rip is not None else boards
        names += [f"{section_words(problem.section, say)}, {say.length(millimetres(one))}" for one in boards]
    readings = tuple(say(f"yard.{what}", number=n) for what in ("thick", "deep") for n in (1, 2, 3))
    return Table(
        (
            Column(say("yard.board", unit=say.unit), share=1.0),
            *(Column(words, blank=17.0) for words in readings),
        ),
        tuple((name,) for name in names),
        size="small",
    )


def _bench_most(name: str, length: int) -> float:
    """The bend over a run that can still be bevelled and mitred on a bench; estimate. [mm]

    A short run's grows with the square of its length, a long one's no faster than its length.
    """
    share = millimetres(length) / 2000.0
    return limit(name).value * min(share**2, share)


def _boards(cuts: Sequence[tuple[BoardProblem, BoardPlan, RipFirst | None]], say: Voice) -> Table:
    """Boards to ask for, section by section."""
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    for problem, plan, rip in cuts:
        bought: dict[tuple[str, int], int] = {}
        for board in plan.boards:
            if not board.at_hand:
                bought[board.board, board.length] = bought.get((board.board, board.length), 0) + 1
        if rip is not None:
            bought = {key: -(-count // rip.strips) for key, count in bought.items()}
        if bought:
            heads.append((len(rows), _section(problem, say)))
        for (name, length), count in sorted(bought.items(), key=lambda item: -item[0][1]):
            rows.append(
                (
                    "" if name.replace(".", "", 1).isdigit() else name,
                    say.length(millimetres(length)),
                    str(count),
                    say.run(millimetres(length) * count),
                )
            )
    columns: tuple[Column, ...] = (
        Column(say("yard.board", unit=say.unit), share=1.0),
        Column(say("yard.length", unit=say.unit), "end"),
        Column(say("yard.how-many"), "end", strong=True),
        Column(say("yard.together"), "end"),
        Column(say("yard.taken"), share=1.0, blank=60.0),
    )
    if not any(row[0] for row in rows):  # boards named by nothing but their length
        rows, columns = [row[1:] for row in rows], columns[1:]
    return Table(columns, tuple(rows), tick=True, heads=tuple(heads), close=True)


def _section(problem: BoardProblem, say: Voice) -> str:
    words = section_words(problem.section, say)
    return words[:1].upper() + words[1:]


def _runs(cards: Sequence[tuple[BoardProblem, Sequence[WantedBoard]]], say: Voice) -> Table:
    """Clear straight runs wanted, board by board, and how much bend they may have over their length."""

    def most(found: int | None, name: str, runs: Sequence[ClearRun]) -> str:
        if found is None:
            return "–"
        shown = millimetres(found)
        return say.limit(min(shown, _bench_most(name, min(run.length for run in runs))) if name else shown)

    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    for problem, wanted in cards:
        alike = _alike(wanted)
        if alike:
            heads.append((len(rows), _section(problem, say)))
        best = "bars" if _has_bars(problem) else "end-rails"
        for length, how_many, places in alike:
            for number, runs in enumerate(places):
                grade = runs[0].grade
                rows.append(
                    (
                        f"{how_many} × {say.length(millimetres(length))}" if number == 0 else "",
                        say.whole(millimetres(max(run.length for run in runs))),
                        say(f"grade.{best if grade is Grade.BARS else grade.name.lower()}"),
                        most(_least(run.most_bow for run in runs), "board bow", runs),
                        most(_least(run.most_crook for run in runs), "board crook", runs),
                        most(_least(run.most_twist for run in runs), "", runs),
                    )
                )
    unit = say.unit
    return Table(
        (
            Column(say("yard.each-board", unit=unit), "end"),
            Column(say("yard.run", unit=unit), "end", strong=True),
            Column(say("yard.good-for"), share=1.0),
            Column(say("yard.bow", unit=unit), "end"),
            Column(say("yard.crook", unit=unit), "end"),
            Column(say("yard.twist", unit=unit), "end"),
        ),
        tuple(rows),
        heads=tuple(heads),
        size="small",
        close=True,
    )


@dataclass(frozen=True, slots=True)
class BevelLine:
    """Bars of one section, bevelled alike.

    Attributes:
        frame: A frame with them.
        codes: Letters of the works that have them.
        metres: Length of them. [m]
    """

    frame: Frame
    codes: tuple[str, ...]
    metres: float


def bevel_page(bars: Sequence[BevelLine], *, about: tuple[str, ...], by: str, say: Voice) -> Page:
    """How the bevel is made, with a line for each section of bars.

    Args:
        bars: The bars; their low edges and flats are the same.
        about: The works that have it.
        by: Who makes it: yard, hand plane or power plane.
        say: How the sheet speaks.
    """
    design = bars[0].frame.design
    flat = say.fine(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall), unit=True)
    when = "glued" if design.bar_boards > 1 else "before" if design.bevel_first else "after"
    how = {"yard": "yard", "hand plane": "hand", "power plane": "power"}.get(by, "hand")
    low = say.fine(design.bar_depth - design.bevel_fall, unit=True)
    made = _bevel_work(design, by=by, say=say)
    blocks: list[Block] = [
        _bevel_lines(bars, say),
        Beside(
            (
                (Drawing(brief_section_view(bars[0].frame, say=say, room=(80.0, 54.0))),),
                (Paragraph(say(f"bevel.when-{when}")), *(Paragraph(words, "small") for words in made)),
            ),
            shares=(0.8, 1.0),
        ),
        Steps(tuple(Step(say(f"bevel.{how}-{n}", low=low, flat=flat)) for n in (1, 2, 3, 4)), close=True),
        CautionBox(say("sheet.caution"), (say("bevel.caution-1"), say("bevel.caution-2"))),
    ]
    return Page(
        "bevel",
        say("section-name.saw"),
        say("bevel.title"),
        tuple(blocks),
        about=about,
        lead=say("bevel.lead"),
        flows=True,
    )


def _bevel_lines(bars: Sequence[BevelLine], say: Voice) -> Table:
    """Every section that is bevelled: how far, how steep, how much of it."""
    rows = []
    for bar in bars:
        design = bar.frame.design
        rows.append(
            (
                f"{say.fine(design.bar_thickness)} × {say.fine(design.bar_depth)}",
                ", ".join(bar.codes),
                say.fine(design.bevel_fall),
                f"{say.number(math.degrees(bevel_angle(design)), places=1)}°",
                say.fine(design.bar_depth - design.bevel_fall),
                say.run(1000 * bar.metres),
            )
        )
    return Table(
        (
            Column(say("start.bars", unit=say.unit), strong=True),
            Column(say("start.mark"), share=1.0),
            Column(f"{say('bevel.fall')} [{say.unit}]", "end"),
            Column(say("bevel.angle"), "end"),
            Column(f"{say('bevel.low')} [{say.unit}]", "end", strong=True),
            Column(say("bevel.metres"), "end"),
        ),
        tuple(rows),
        close=True,
    )


def _bevel_work(design: FrameDesign, *, by: str, say: Voice) -> tuple[str, ...]:
    """How much comes off in how many passes, and the way without a plane."""
    made = bevel_work(
        design,
        by="yard" if by == "yard" else "power plane" if by == "power plane" else "hand plane",
        how_many=1,
        style=say.lengths,
        work="",
        key="",
    )
    lip = say(
        "bevel.lip",
        wide=say.fine(made.lip.width, unit=True),
        high=say.fine(made.lip.height, unit=True),
        depth=say.fine(made.lip.bar_depth, unit=True),
    )
    if by == "yard":
        return (lip,)
    comes_off = say(
        "bevel.comes-off",
        passes=made.passes,
        deepest=say.fine(made.deepest, unit=True),
        flat=say.fine(made.arris, unit=True),
    )
    return comes_off, lip
