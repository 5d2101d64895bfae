"""The page for a work's file: how its support was made, of what, when, and what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.pages import Block, Column, Heading, Page, Paragraph, Table
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
        photographs: What photographs show.
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
    photographs: Sequence[str]


def file_page(file: WorkFile, *, say: Voice) -> Page:
    """The page.

    Args:
        file: What it says.
        say: How the sheet speaks.
    """
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
                    Column(say("book.day")),
                    Column(say("book.who"), share=1.0),
                ),
                tuple((_known(state, say), day, who) for state, day, who in file.states),
            ),
        ]
    blocks.append(Heading(say("book.measured")))
    if file.measured:
        blocks.append(
            Table(
                (
                    Column(say("book.what"), strong=True),
                    Column(say("book.value"), "end"),
                    Column(say("book.planned-value"), "end"),
                    Column(say("book.verdict")),
                    Column(say("book.day")),
                    Column(say("book.who"), share=1.0),
                ),
                tuple(
                    (_what(row.what, say), row.value, row.planned, _known(row.answer, say), row.day, row.who)
                    for row in file.measured
                ),
            )
        )
    else:
        blocks.append(Paragraph(say("book.nothing-measured")))
    if file.photographs:
        blocks += [Heading(say("book.photographs")), *(Paragraph(caption) for caption in file.photographs)]
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


def _known(word: str, say: Voice) -> str:
    return say(f"book.{word}") if word in SAID else word


def _what(what: str, say: Voice) -> str:
    key = f"book-value.{what.replace(' ', '-')}"
    return say(key) if say.has(key) else what
