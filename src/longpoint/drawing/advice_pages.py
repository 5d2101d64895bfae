"""Pages that say how and why: yard card, bevel, hanging card, what goes wrong, the words used."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from longpoint.cutting.boards.values import BoardPlan, BoardProblem, Grade, millimetres
from longpoint.cutting.boards.yard_card import ClearRun, YardCard, yard_card
from longpoint.drawing.pages import (
    Blanks,
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Figures,
    Heading,
    Page,
    Paragraph,
    Step,
    Steps,
    Table,
)
from longpoint.drawing.ripping import RipFirst, rip_words
from longpoint.drawing.saw_pages import section_words
from longpoint.drawing.section_view import bevel_angle, section_view
from longpoint.drawing.voice import Voice
from longpoint.frame import Frame, FrameDesign
from longpoint.frame.profile import lip_flat
from longpoint.joinery.bevel import bevel_work

_TROUBLES = (
    "ridge",
    "rail-line",
    "open-mitre",
    "split-corner",
    "ripple",
    "slack",
    "out-of-square",
    "wind",
)
_WORDS = (
    "lip", "bevel", "long-point", "short-point", "thickness", "depth", "cross-rail", "end-rail", "middle-piece",
    "drop", "gap", "rod", "wind-word", "turnover-word", "run-word", "pulled-in", "ridge-word", "reference-end",
)  # fmt: skip


def yard_page(cuts: Sequence[tuple[BoardProblem, BoardPlan, RipFirst | None]], *, say: Voice) -> Page:
    """A card to carry to the yard: boards to ask for, clear runs needed, what to reject.

    Args:
        cuts: What was asked of the saw, what came back, and what is ripped first, section by section.
        say: How the sheet speaks.
    """
    blocks: list[Block] = []
    for problem, plan, rip in cuts:
        bought: dict[tuple[str, int], int] = {}
        for board in plan.boards:
            if not board.at_hand:
                bought[board.board, board.length] = bought.get((board.board, board.length), 0) + 1
        card = yard_card(problem, plan)
        blocks.append(Heading(section_words(problem.section, say), 2))
        if rip is not None:
            bought = {key: -(-count // rip.strips) for key, count in bought.items()}
            blocks.append(Paragraph(rip_words(rip, say)))
        if bought:
            rows: tuple[tuple[str, ...], ...] = tuple(
                (
                    "" if name.replace(".", "", 1).isdigit() else name,
                    say.length(millimetres(length)),
                    str(count),
                    say.length(millimetres(length) * count),
                )
                for (name, length), count in sorted(bought.items(), key=lambda item: -item[0][1])
            )
            columns: tuple[Column, ...] = (
                Column(say("yard.board"), share=1.0),
                Column(say("yard.length", unit=say.unit), "end"),
                Column(say("yard.how-many"), "end", strong=True),
                Column(say("yard.together", unit=say.unit), "end"),
                Column(say("yard.taken"), blank=60.0),
            )
            if not any(row[0] for row in rows):  # boards named by nothing but their length
                rows, columns = tuple(row[1:] for row in rows), columns[1:]
            blocks.append(Table(columns, rows, tick=True))
        if _classes(card):
            blocks.append(_runs(card, say))
    blocks.append(Heading(say("yard.look"), 2))
    blocks.append(Steps(tuple(Step(say(f"yard.look-{n}")) for n in range(1, 6)), tick=False))
    blocks.append(Heading(say("yard.measured"), 2))
    readings = tuple(say(f"yard.{what}", number=n) for what in ("thick", "deep") for n in (1, 2, 3))
    blocks.append(Blanks(tuple((words, "", say.unit) for words in readings), columns=3))
    blocks.append(Paragraph(say("yard.again"), "small"))
    return Page("yard", say("section-name.yard"), say("yard.title"), tuple(blocks), lead=say("yard.lead"))


_STEP = 500
"""Runs are told apart by this much, so that the card stays short [mm]."""


def _classes(card: YardCard) -> dict[tuple[Grade, int], list[ClearRun]]:
    """Runs good for bars or rails, in classes of length."""
    classes: dict[tuple[Grade, int], list[ClearRun]] = {}
    for run in card.runs:
        if run.grade >= Grade.RAILS:
            classes.setdefault((run.grade, -int(-millimetres(run.length) // _STEP)), []).append(run)
    return classes


def _least(limits: Iterable[int | None]) -> int | None:
    return min((limit for limit in limits if limit is not None), default=None)


def _runs(card: YardCard, say: Voice) -> Table:
    """Clear straight runs wanted, and how much bend they may have over their length."""

    def most(limit: int | None) -> str:
        return "–" if limit is None else say.fine(millimetres(limit))

    rows = tuple(
        (
            say.part(millimetres(max(run.length for run in runs))),
            str(sum(run.how_many for run in runs)),
            say(f"grade.{grade.name.lower().replace('_', '-')}"),
            most(_least(run.most_bow for run in runs)),
            most(_least(run.most_crook for run in runs)),
            most(_least(run.most_twist for run in runs)),
        )
        for (grade, _), runs in _classes(card).items()
    )
    unit = say.unit
    return Table(
        (
            Column(say("yard.run", unit=unit), "end", strong=True),
            Column(say("yard.how-many"), "end"),
            Column(say("yard.good-for"), share=1.0),
            Column(say("yard.bow", unit=unit), "end"),
            Column(say("yard.crook", unit=unit), "end"),
            Column(say("yard.twist", unit=unit), "end"),
        ),
        rows,
        size="small",
    )


def bevel_page(frame: Frame, *, about: tuple[str, ...], by: str, metres: float, say: Voice) -> Page:
    """How the bevel of one kind of bar is made.

    Args:
        frame: A frame with it.
        about: The works that have it.
        by: Who makes it: yard, hand plane or power plane.
        metres: Length of bars that want it. [m]
        say: How the sheet speaks.
    """
    design = frame.design
    angle = math.degrees(bevel_angle(design))
    flat = say.fine(lip_flat(thickness=design.bar_thickness, fall=design.bevel_fall), unit=True)
    when = "before" if design.bevel_first else "after"
    how = {"yard": "yard", "hand plane": "hand", "power plane": "power"}.get(by, "hand")
    low = say.fine(design.bar_depth - design.bevel_fall, unit=True)
    blocks: list[Block] = [
        Figures(
            (
                (say("bevel.fall"), say.fine(design.bevel_fall, unit=True)),
                (say("bevel.angle"), f"{say.number(angle, places=1)}°"),
                (say("bevel.low"), say.fine(design.bar_depth - design.bevel_fall, unit=True)),
                (say("bevel.metres"), say.run(1000 * metres)),
            )
        ),
        Drawing(section_view(frame, say=say, room=(178.0, 100.0))),
        Paragraph(say(f"bevel.when-{when}")),
        Steps(tuple(Step(say(f"bevel.{how}-{n}", low=low, flat=flat)) for n in (1, 2, 3, 4))),
        *(Paragraph(words) for words in _bevel_work(design, by=by, say=say)),
        CautionBox(say("sheet.caution"), (say("bevel.caution-1"), say("bevel.caution-2"))),
    ]
    return Page(
        "bevel",
        say("section-name.saw"),
        say("bevel.title"),
        tuple(blocks),
        about=about,
        lead=say("bevel.lead"),
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A work as it hangs.

    Attributes:
        code: Letters of its marks.
        name: Its name.
        width: Of the face. [mm]
        height: Of the face. [mm]
        mass: Of one, finished. [kg]
    """

    code: str
    name: str
    width: float
    height: float
    mass: float


def hanging_page(works: Sequence[Hung], *, say: Voice) -> Page:
    """The hanging card: rings, string, hook heights.

    The string is reckoned for two rings and one hook: pull in the string is half the weight over the sine of its
    angle to the level (statics), here 30°, where it equals the weight.
    """
    rows = tuple(
        (
            work.code,
            work.name,
            say.number(work.mass, places=1),
            f"{say.length(work.height / 4)}–{say.length(work.height / 3)}",
            say.number(work.mass * 9.81 / 2),
        )
        for work in works
    )
    table = Table(
        (
            Column(say("start.mark"), strong=True),
            Column(say("start.work"), share=1.0),
            Column(say("hang.mass"), "end"),
            Column(say("hang.rings", unit=say.unit), "end"),
            Column(say("hang.each"), "end"),
            Column(say("hang.drop", unit=say.unit), blank=28.0),
            Column(say("hang.hook", unit=say.unit), blank=28.0),
        ),
        rows,
    )
    return Page(
        "hanging",
        say("section-name.wall"),
        say("hang.title"),
        (
            table,
            Bullets(tuple(say(f"hang.rule-{n}") for n in (1, 2, 3, 4))),
            CautionBox(say("sheet.caution"), (say("hang.caution"),)),
        ),
        lead=say("hang.lead"),
    )


def trouble_page(*, say: Voice) -> Page:
    """What goes wrong and why, cause and cure; below it the words used on the sheets."""
    rows = tuple(
        (say(f"trouble.{key}"), say(f"trouble.{key}-cause"), say(f"trouble.{key}-cure")) for key in _TROUBLES
    )
    table = Table(
        (
            Column(say("trouble.what"), strong=True),
            Column(say("trouble.cause"), share=1.0),
            Column(say("trouble.cure"), share=1.0),
        ),
        rows,
    )
    return Page(
        "trouble",
        say("section-name.after"),
        say("trouble.title"),
        (table, Heading(say("word.title")), _words(say)),
        lead=say("trouble.lead"),
    )


def _words(say: Voice) -> Table:
    rows = tuple((say(f"word.{key}"), say(f"word.{key}-is")) for key in _WORDS)
    return Table((Column(say("word.word"), strong=True), Column(say("word.means"), share=1.0)), rows)
