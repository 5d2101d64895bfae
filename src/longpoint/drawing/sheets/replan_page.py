"""The first page of a plan of the rest: what to take, what lost its place, what is cut otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.cutting.boards.values import millimetres
from longpoint.cutting.remainder.replan import Replanned
from longpoint.drawing.paper.pages import Block, CautionBox, Column, Contents, Heading, Page, Paragraph, Table
from longpoint.drawing.views.boards import board_words, name_words
from longpoint.drawing.words.own_words import section_words
from longpoint.drawing.words.voice import Voice
from longpoint.model.events import Events, OnBoard


@dataclass(frozen=True, slots=True)
class RestSheet:
    """What the page says of one section.

    Attributes:
        again: The section, planned again.
        priced: Whether costs are money.
    """

    again: Replanned
    priced: bool


def counted(parts: Sequence[str]) -> str:
    """Parts from left to right, equal neighbours counted: ``A1, 2 × F2``."""
    runs: list[tuple[str, int]] = []
    for part in parts:
        if runs and runs[-1][0] == part:
            runs[-1] = (part, runs[-1][1] + 1)
        else:
            runs.append((part, 1))
    return ", ".join(f"{count} × {part}" if count > 1 else part for part, count in runs)


def replan_page(
    sheets: Sequence[RestSheet],
    *,
    said: Sequence[Events],
    longer: Sequence[tuple[str, float, float]],
    cautions: Sequence[str],
    currency: str,
    say: Voice,
) -> Page:
    """The page.

    Args:
        sheets: The sections of which something is left.
        said: What happened, stage by stage, the latest last.
        longer: Parts whose length has changed: mark, before, now. [mm]
        cautions: What to mind.
        currency: Word over amounts.
        say: How the sheet speaks.
    """
    blocks: list[Block] = [Heading(say("replan.take")), _to_take(sheets, currency, say)]
    lost = [
        Paragraph(
            say(
                "replan.lost-line",
                section=section_words(sheet.again.plan.section, say),
                parts=", ".join(
                    f"{count} × {name}" if count > 1 else name for name, count in sheet.again.displaced
                ),
            )
        )
        for sheet in sheets
        if sheet.again.displaced
    ]
    if lost:
        blocks += [Heading(say("replan.lost")), *lost]
    blocks += [Heading(say("replan.boards")), _changes(sheets, say)]
    if longer:
        blocks += [
            Heading(say("replan.longer")),
            Table(
                (
                    Column(say("replan.part"), strong=True),
                    Column(say("replan.before", unit=say.unit), "end"),
                    Column(say("replan.now", unit=say.unit), "end", strong=True),
                ),
                tuple((mark, say.part(before), say.part(now)) for mark, before, now in longer),
            ),
        ]
    blocks += _said(said, say)
    if cautions:
        blocks.append(CautionBox(say("replan.mind"), tuple(cautions)))
    blocks += [Heading(say("replan.pages")), Contents()]
    return Page(
        key="replan",
        section=say("replan.section"),
        title=say("replan.title"),
        blocks=tuple(blocks),
        lead=say("replan.lead"),
    )


def _to_take(sheets: Sequence[RestSheet], currency: str, say: Voice) -> Block:
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    for sheet in sheets:
        boards = Counter(
            (board.board, board.length, board.at_hand, board.cost) for board in sheet.again.to_take
        )
        if boards:
            heads.append((len(rows), section_words(sheet.again.plan.section, say)))
        for (name, length, at_hand, cost), count in boards.items():
            money = say.number(float(cost * count), places=2) if sheet.priced else "–"
            source = say("replan.take-rack" if at_hand else "replan.take-yard")
            rows.append((board_words(name, millimetres(length), say), str(count), source, money))
    if not rows:
        return Paragraph(say("replan.take-nothing"))
    columns = (
        Column(say("replan.take-board"), share=1.0, strong=True),
        Column(say("replan.take-count"), "end"),
        Column(say("replan.take-from")),
        Column(say("replan.take-cost", currency=currency or "–"), "end"),
    )
    return Table(columns, tuple(rows), tick=True, heads=tuple(heads))


def _changes(sheets: Sequence[RestSheet], say: Voice) -> Block:
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    for sheet in sheets:
        changed = [board for board in sheet.again.boards if board.changed]
        if changed:
            heads.append((len(rows), section_words(sheet.again.plan.section, say)))
        for board in changed:
            nothing = say("replan.nothing")
            rows.append(
                (
                    name_words(board.name, say),
                    counted(board.planned) or nothing,
                    counted(board.now) or nothing,
                )
            )
    if not rows:
        return Paragraph(say("replan.boards-none"))
    columns = (
        Column(say("replan.board"), strong=True),
        Column(say("replan.planned"), share=1.0),
        Column(say("replan.instead"), share=1.0),
    )
    return Table(columns, tuple(rows), tick=True, heads=tuple(heads))


def _said(said: Sequence[Events], say: Voice) -> list[Block]:
    """What the answer takes into account, so that a slip of the pencil is seen."""
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    for number, events in enumerate(said, start=1):
        lines = _lines(events, say)
        if lines:
            key = "replan.said-now" if number == len(said) else "replan.said-before"
            heads.append((len(rows), say(key, number=number)))
            rows += lines
    if not rows:
        return []
    columns = (Column(say("replan.said-where"), strong=True), Column(say("replan.said-what"), share=1.0))
    return [Heading(say("replan.said")), Table(columns, tuple(rows), heads=tuple(heads))]


def _lines(events: Events, say: Voice) -> list[tuple[str, str]]:
    def on(event: OnBoard) -> str:
        if not event.board:
            return say(
                "replan.said-page-board", number=event.number, section=section_words(event.section, say)
            )
        name = event.board if " no. " in event.board else f"{event.board} no. {event.number}"
        return name_words(name, say)

    lines = [
        (
            on(cut),
            say("replan.said-cut-all") if cut.cuts is None else say("replan.said-cut", count=cut.cuts),
        )
        for cut in events.cut
    ]
    lines += [
        (spoiled.part, say("replan.said-spoiled", count=spoiled.how_many)) for spoiled in events.spoiled
    ]
    for split in events.split:
        until = say("replan.said-end") if split.to is None else say.length(split.to, unit=True)
        words = say("replan.said-split", why=split.why, at=say.length(split.at, unit=True), to=until)
        lines.append((on(split), words))
    lines += [
        (on(short), say("replan.said-short", by=say.length(short.by, unit=True))) for short in events.short
    ]
    for came in events.timber:
        sides = (("thickness", came.thickness), ("depth", came.depth))
        readings = [
            say(
                f"replan.said-{word}",
                lengths=", ".join(say.fine(one) for one in several),
                unit=say.unit,
            )
            for word, several in sides
            if several
        ]
        lines.append((came.name, "; ".join(readings)))
    lines += [
        (measured.part, say("replan.said-measured", length=say.fine(measured.length), unit=say.unit))
        for measured in events.measured
    ]
    return lines
