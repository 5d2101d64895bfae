"""The page for a work's file: how its support was made, of what, when, and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from longpoint.drawing.paper.pages import Beside, Block, Column, Heading, Page, Paragraph, Photo, Table
from longpoint.drawing.words.voice import Voice

SAID = frozenset(
    {"planned", "cut", "assembled", "stretched", "primed", "hung", "gone", "good", "watch", "act", "noted"}
)
"""States and verdicts that the words know."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredRow:
    """A value as it stands on the page.

    Attributes:
        what: What was measured, as the book names it.
        value: With its unit.
        planned: What was planned, or "".
        answer: ``good``, ``watch``, ``act`` or ``noted``.
        day: When.
        who: By whom.
    """

    what: str
    value: str
    planned: str
    answer: str
    day: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotographRow:
    """A photograph as it stands on the page.

    Attributes:
        file: Path in the folder of pictures; "" where it cannot be printed.
        caption: What is said of it.
        day: When it was attached.
        who: By whom.
    """

    file: str
    caption: str
    day: str
    who: str


Reader = Literal["painter", "buyer", "conservator"]
"""Who the page is for: a buyer is not told what was planned and how it was judged, nor by whom."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkFile:
    """What the page says.

    Attributes:
        work: Name of the work.
        title: Of its batch.
        label: Its label in the book.
        count: Which copy of how many.
        width: Of the face. [mm]
        height: Of the face. [mm]
        materials: What it is made of: what, and which.
        states: When it came to which state, and by whom.
        measured: What was measured.
        photographs: The photographs, oldest first.
        reader: Who it is for.
    """

    work: str
    title: str
    label: str
    count: tuple[int, int]
    width: float
    height: float
    materials: Sequence[tuple[str, str]]
    states: Sequence[tuple[str, str, str]]
    measured: Sequence[MeasuredRow]
    photographs: Sequence[PhotographRow]
    reader: Reader = "painter"


def file_page(file: WorkFile, *, say: Voice) -> Page:
    """The page.

    Args:
        file: What it says.
        say: How the sheet speaks.
    """
    plain = file.reader == "buyer"
    blocks: list[Block] = [
        Heading(say("book.made-of")),
        Table(
            (Column(say("book.part"), strong=True), Column(say("book.which"), share=1.0)),
            tuple(
                (say(f"book.{what}") if say.has(f"book.{what}") else what, which)
                for what, which in file.materials
            ),
        ),
    ]
    if file.states:
        blocks += [
            Heading(say("book.states")),
            Table(
                (
                    Column(say("book.state"), strong=True),
                    Column(say("book.day"), share=1.0 if plain else 0.0),
                    *(() if plain else (Column(say("book.who"), share=1.0),)),
                ),
                tuple(
                    (_known(state, say), day) if plain else (_known(state, say), day, who)
                    for state, day, who in file.states
                ),
            ),
        ]
    blocks.append(Heading(say("book.measured")))
    if file.measured:
        blocks.append(
            Table(
                (
                    Column(say("book.what"), strong=True),
                    Column(say("book.value"), "end"),
                    *(
                        ()
                        if plain
                        else (Column(say("book.planned-value"), "end"), Column(say("book.verdict")))
                    ),
                    Column(say("book.day"), share=1.0 if plain else 0.0),
                    *(() if plain else (Column(say("book.who"), share=1.0),)),
                ),
                tuple(
                    (_what(row.what, say), row.value, row.day)
                    if plain
                    else (
                        _what(row.what, say),
                        row.value,
                        row.planned,
                        _known(row.answer, say),
                        row.day,
                        row.who,
                    )
                    for row in file.measured
                ),
            )
        )
    else:
        blocks.append(Paragraph(say("book.nothing-measured")))
    if file.photographs:
        blocks += [Heading(say("book.photographs")), *_photographs(file.photographs, say, plain=plain)]
    blocks.append(Paragraph(say("book.rests-on"), size="small"))
    number, count = file.count
    return Page(
        key="file",
        section=say("book.section"),
        title=file.work,
        blocks=tuple(blocks),
        lead=say(
            "book.lead",
            face=say.face(file.width, file.height),
            number=number,
            count=count,
            title=file.title,
            label=file.label,
        ),
    )


def _photographs(rows: Sequence[PhotographRow], say: Voice, *, plain: bool) -> list[Block]:
    """Two beside one another."""
    made: list[Block] = []
    for row in rows:
        said = " · ".join(bit for bit in (row.caption, row.day, "" if plain else row.who) if bit)
        shown = Photo(row.file, row.caption or say("book.photographs"), said)
        made.append(shown if row.file else Paragraph(say("book.no-picture", caption=said), size="small"))
    return [Beside(((made[n],), tuple(made[n + 1 : n + 2]))) for n in range(0, len(made), 2)]


def _known(word: str, say: Voice) -> str:
    return say(f"book.{word}") if word in SAID else word


def _what(what: str, say: Voice) -> str:
    key = f"book-value.{what.replace(' ', '-')}"
    return say(key) if say.has(key) else what
