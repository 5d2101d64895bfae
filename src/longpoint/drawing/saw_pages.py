"""Saw pages: which board, which part, which length at the stop, which way the saw swings."""

from __future__ import annotations

from collections import Counter

from longpoint.cutting.values import BoardPlan, BoardProblem, CutBoard, Swing, millimetres
from longpoint.drawing.board_views import BoardDrawing, board_view, swing_view
from longpoint.drawing.pages import (
    Beside,
    BigWords,
    Block,
    CautionBox,
    Column,
    Drawing,
    Page,
    Paper,
    Paragraph,
    Table,
)
from longpoint.drawing.voice import Voice


def saw_pages(plan: BoardPlan, problem: BoardProblem, *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """The pages of one section: how the saw stands and which stops are set, then board by board.

    Args:
        plan: The cutting plan.
        problem: What was asked, for mitres and trims.
        say: How the sheet speaks.
        paper: The sheet.
    """
    title = say("saw.title", section=section_words(plan.section, say))
    mitred = any(part.is_mitred for part in problem.parts)
    first: list[Block] = []
    if mitred:
        half = (paper.room[0] - 8.0) / 2
        first.append(
            Beside(
                (
                    (
                        BigWords((say("saw.swing-left"),), like=(say("saw.swing-right"),)),
                        Drawing(swing_view(Swing.LEFT, say=say, width=half - 2)),
                    ),
                    (
                        BigWords((say("saw.swing-right"),), like=(say("saw.swing-left"),)),
                        Drawing(swing_view(Swing.RIGHT, say=say, width=half - 2)),
                    ),
                )
            )
        )
        first.append(Paragraph(say("saw.how-it-lies")))
    first.append(_stops(plan, problem, say))
    cautions = tuple(say(f"saw.caution-{what}") for what in ("hands", "short", "dust"))
    first.append(CautionBox(say("sheet.caution"), cautions))
    boards = _alike(plan)
    room = paper.room[0]
    longest = max((millimetres(board.length) for board, _ in boards), default=1.0)
    drawing = BoardDrawing(
        (room - 3.2) / longest, {part.name: part for part in problem.parts}, millimetres(problem.shop.trim)
    )
    blocks: list[Block] = [
        Drawing(board_view(board, count, drawing=drawing, say=say, width=room - 3.2))
        for board, count in boards
    ]
    section = say("section-name.saw")
    verdict = say(f"saw.verdict-{_verdict(plan)}", gap=say.number(100 * float(plan.gap), places=2))
    lead = say("saw.lead", count=sum(count for _, count in boards), verdict=verdict)
    title_2, lead_2 = (
        say("saw.boards-title", section=section_words(plan.section, say)),
        say("saw.boards-lead"),
    )
    return (
        Page("saw-stops", section, title, tuple(first), lead=lead),
        Page("saw-boards", section, title_2, tuple(blocks), lead=lead_2),
    )


def section_words(section: str, say: Voice) -> str:
    """A section's name with its use said in the reader's language."""
    for use in ("bars", "rails"):
        if section.startswith(use + " "):
            return f"{say('use.' + use)} {section.removeprefix(use + ' ')}"
    return section


def _verdict(plan: BoardPlan) -> str:
    return "least" if plan.proven else "within"


def _stops(plan: BoardPlan, problem: BoardProblem, say: Voice) -> Table:
    """Every stop setting, longest first, round by round."""
    parts = {part.name: part for part in problem.parts}
    counts: Counter[tuple[int, int]] = Counter()
    names: dict[tuple[int, int], dict[str, int]] = {}
    for board in plan.boards:
        for cut in board.cuts:
            part = parts.get(cut.part)
            key = (part.round if part is not None else 1, -cut.stop)
            counts[key] += 1
            names.setdefault(key, {})
            names[key][cut.part] = names[key].get(cut.part, 0) + 1
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    last = 0
    for key in sorted(counts):
        if key[0] != last:
            last = key[0]
            heads.append((len(rows), say(f"saw.round-{min(last, 3)}")))
        listed = ", ".join(f"{name} × {count}" for name, count in sorted(names[key].items()))
        rows.append((say.part(millimetres(-key[1])), str(counts[key]), listed))
    return Table(
        (
            Column(say("saw.stop", unit=say.unit), "end", strong=True),
            Column(say("saw.count"), "end"),
            Column(say("saw.parts"), share=1.0),
        ),
        tuple(rows),
        tick=True,
        heads=tuple(heads),
    )


def _alike(plan: BoardPlan) -> list[tuple[CutBoard, int]]:
    """Boards in the order of cutting, those cut exactly alike taken together."""
    seen: dict[tuple[object, ...], list[CutBoard]] = {}
    for board in plan.boards:
        key = (board.board, board.length, tuple((cut.part, cut.start, cut.turned) for cut in board.cuts))
        seen.setdefault(key, []).append(board)
    return [(group[0], len(group)) for group in seen.values()]
