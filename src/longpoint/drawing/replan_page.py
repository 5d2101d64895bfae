"""The first page of a plan of the rest: what to take, what lost its place, what is cut otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.cutting.replan import Replanned
from longpoint.cutting.values import millimetres
from longpoint.drawing.board_views import board_words
from longpoint.drawing.pages import Block, CautionBox, Column, Contents, Heading, Page, Paragraph, Table
from longpoint.drawing.saw_pages import section_words
from longpoint.drawing.voice import Voice


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
    longer: Sequence[tuple[str, float, float]],
    cautions: Sequence[str],
    currency: str,
    say: Voice,
) -> Page:
    """The page.

    Args:
        sheets: The sections of which something is left.
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
            rows.append((board.name, counted(board.planned) or nothing, counted(board.now) or nothing))
    if not rows:
        return Paragraph(say("replan.boards-none"))
    columns = (
        Column(say("replan.board"), strong=True),
        Column(say("replan.planned"), share=1.0),
        Column(say("replan.instead"), share=1.0),
    )
    return Table(columns, tuple(rows), tick=True, heads=tuple(heads))
