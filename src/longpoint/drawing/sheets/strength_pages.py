"""The page of one design: how it moves, how the tension lies, what every limit says, and what to check it by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    Bullets,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Table,
    Together,
)
from longpoint.drawing.sheets.stages_table import rough, stages_table
from longpoint.drawing.views.strength import movement_view, tension_view
from longpoint.drawing.words.own_words import source_words
from longpoint.drawing.words.strength import (
    answer_words,
    bound_words,
    check_lines,
    limit_words,
    mark_of,
    small_length,
    tension_words,
    verdict_name,
    verdict_sentence,
    way_out_words,
)
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame
from longpoint.strength.verdicts.cases import CASES, AllCases
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.works.tension import Tensions


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class StrengthSheet:
    """What the page of one design needs.

    Attributes:
        name: Of the first work with this design.
        alike: Names of the others.
        frame: Its frame.
        cases: What was computed.
        verdicts: Every verdict.
        reason: Why this design, one or two sentences.
        rivals: The nearest rivals, one line each.
        unbeaten: Other designs that hold: design, what it costs more, mass of its timber [kg], pull-in [mm].
        currency: Behind amounts.
        tensions: Its tensions at each stage.
        otherwise: What to buy that makes it hold; "" where that is not asked or not found.
    """

    name: str
    alike: tuple[str, ...]
    frame: Frame
    cases: AllCases
    verdicts: tuple[Verdict, ...]
    reason: str
    tensions: Tensions
    rivals: tuple[str, ...] = ()
    unbeaten: tuple[tuple[str, str, float, float], ...] = ()
    currency: str = ""
    otherwise: str = ""


def strength_pages(sheet: StrengthSheet, *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """The page of one design; it runs on to a second sheet.

    Args:
        sheet: What was computed.
        say: How the sheet speaks.
        paper: The sheet.
    """
    likely = sheet.cases.likely
    room = (paper.room[0] / 2 - 3.0, 80.0)
    movement = movement_view(sheet.frame, likely, say=say, room=room)
    tension = tension_view(
        likely.tension, width=likely.case.width, height=likely.case.height, say=say, room=room
    )
    blocks: list[Block] = []
    if sheet.alike:
        blocks.append(Paragraph(say("strength.alike", names=", ".join(sheet.alike))))
    blocks += [
        Paragraph(sheet.reason),
        Beside(((Drawing(movement),), (Drawing(tension),))),
        Together((Heading(say("stage.title"), 2), stages_table([("", sheet.tensions)], say))),
        Together((Heading(say("strength.cases-title"), 2), _cases(sheet, say))),
        Together(
            (
                Heading(say("strength.checks-title"), 2),
                Bullets(check_lines(sheet.verdicts, say), size="small"),
            )
        ),
        *_verdicts(sheet, say),
    ]
    if sheet.rivals:
        blocks.append(
            Together((Heading(say("strength.rivals-title"), 2), Bullets(sheet.rivals, size="small")))
        )
    if len(sheet.unbeaten) > 0:
        blocks.append(Together((Heading(say("strength.unbeaten-title"), 2), _unbeaten(sheet, say))))
    blocks.append(Paragraph(say("strength.estimate"), size="small"))
    return (
        Page(
            "strength",
            say("section-name.strength"),
            say("strength.title", name=sheet.name),
            tuple(blocks),
            about=(sheet.name, *sheet.alike),
            lead=answer_words(sheet.verdicts, say),
            contents=", ".join((sheet.name, *sheet.alike)),
        ),
    )


def _cases(sheet: StrengthSheet, say: Voice) -> Table:
    case = sheet.cases.likely.case
    first = next(v for v in sheet.verdicts if v.key == "pulled-in-now")
    bow = dict(first.numbers)["bow"]
    rows = []
    for name in CASES:
        now, later = sheet.cases.at(name, "now"), sheet.cases.at(name, "later")
        tension = case.hard_tension if name == "hard" else case.tension_left
        rows.append(
            (
                say(f"strength.case-{name}", tension=tension_words(tension, say)),
                small_length(now.pulled_in, say),
                small_length(later.pulled_in, say),
                small_length(now.pulled_in - bow, say),
                f"{say.number(float(np.degrees(now.turning_in)), places=1)}°",
                small_length(now.hollow, say),
                f"{rough(now.lowest, say)} – {rough(now.highest, say)} N/m",
            )
        )
    heads = ("now", "later", "bow", "turning", "hollow", "tension")
    return Table(
        (
            Column(say("strength.cases-case"), share=1.0),
            *(Column(say(f"strength.cases-{head}"), "end") for head in heads),
        ),
        tuple(rows),
        size="small",
    )


def _verdicts(sheet: StrengthSheet, say: Voice) -> tuple[Block, ...]:
    """The table of all verdicts, and below it where the limits that were read come from."""
    rows = []
    sources: dict[str, int] = {}
    for verdict in sheet.verdicts:
        words = verdict_sentence(verdict, say)
        if verdict.answer == "not" and verdict.judge == "design":
            words += " " + way_out_words(verdict, say, currency=sheet.currency, otherwise=sheet.otherwise)
        limit = limit_words(verdict, say)
        if verdict.tag in ("read", "transcribed") and verdict.limit is not None:
            number = sources.setdefault(verdict.source, len(sources) + 1)
            limit = say("limit.numbered", bound=bound_words(verdict, say), number=number)
        rows.append((verdict_name(verdict, say), words, limit, say(f"strength.{mark_of(verdict)}")))
    table = Table(
        (
            Column(say("strength.table-what"), share=0.2, strong=True),
            Column(say("strength.table-says"), share=0.56),
            Column(say("strength.table-limit"), share=0.24),
            Column(say("strength.table-kept"), strong=True),
        ),
        tuple(rows),
        size="small",
    )
    notes = "; ".join(
        say("limit.source", number=number, source=source_words(source, say))
        for source, number in sources.items()
    )
    return (table, *((Paragraph(say("limit.sources", sources=notes), "small"),) if notes else ()))


def _unbeaten(sheet: StrengthSheet, say: Voice) -> Table:
    return Table(
        (
            Column(say("strength.unbeaten-design"), share=1.0),
            Column(say("strength.unbeaten-cost"), "end"),
            Column(say("strength.unbeaten-mass", unit=say.mass_unit), "end"),
            Column(say("strength.unbeaten-pull"), "end"),
        ),
        tuple(
            (words, more, say.mass(mass), small_length(pulled, say))
            for words, more, mass, pulled in sheet.unbeaten
        ),
        size="small",
    )
