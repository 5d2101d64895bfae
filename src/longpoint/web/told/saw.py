"""The saw, cut by cut: what a person needs to know who stands at it, one cut at a time."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from longpoint.cutting.boards.numbering import board_numbers
from longpoint.cutting.boards.saw import SawCut, StopSetting, saw_rounds
from longpoint.cutting.boards.values import BoardPlan, BoardProblem, CutBoard, Swing, millimetres
from longpoint.drawing.sheets.saw_pages import board_drawing
from longpoint.drawing.views.boards import BoardDrawing, board_view, board_words
from longpoint.drawing.words.own_words import section_words
from longpoint.drawing.words.voice import Voice
from longpoint.web.told.blocks import picture

_FIXED_SIZE = re.compile(r' width="[^"]*" height="[^"]*"')
"""Of the outermost element; a board fills the symbol it is shown by."""

_WIDTH = 72.0
"""Room for a board on the page's paper: narrow, so that its letters can be read across a phone. [mm]"""

_SWING = {Swing.LEFT: "left", Swing.RIGHT: "right", Swing.SQUARE: "square"}


def told_section(
    use: str,
    problem: BoardProblem,
    plan: BoardPlan,
    works: Mapping[str, str],
    say: Voice,
    *,
    begun: Mapping[str, tuple[str, int]] | None = None,
) -> dict[str, Any]:
    """The cuts of one section in the order of the work, and its boards drawn.

    Args:
        use: What it is for, as in the plan.
        problem: What was asked.
        plan: The cutting plan.
        works: Names of works by the mark of their parts.
        say: How the page speaks.
        begun: What boards that were cut before are called in the plan, by their name in this one.
    """
    drawing = board_drawing(plan, problem, width=_WIDTH)
    numbers = board_numbers(plan)
    boards = {(board.board, board.copy): board for board in plan.boards}
    section = section_words(plan.section, say)
    cuts: list[dict[str, Any]] = []
    for turn in saw_rounds(problem, plan):
        first = [
            say("saw.crosscut", board=numbers[board, copy], at=say.length(millimetres(at)))
            for board, copy, at in (*turn.crosscuts, *turn.before_bevel)
        ]
        for setting in turn.settings:
            for nth, cut in enumerate(setting.cuts, start=1):
                made = _cut(cut, setting, boards[cut.board, cut.copy], drawing, say)
                cuts.append(
                    {
                        **made,
                        "key": _key(plan.section, cut.board, cut.copy, made["order"], begun or {}),
                        "round": say(f"saw.round-{min(turn.number, 3)}"),
                        "number": numbers[cut.board, cut.copy],
                        "work": works.get(cut.part, ""),
                        "nth": nth,
                        "of": len(setting.cuts),
                        "before": first if nth == 1 else [],
                    }
                )
            first = []
    drawn = {}
    for (name, copy), number in numbers.items():
        board = boards[name, copy]
        view = board_view(board, (number,), drawing=drawing, say=say, width=_WIDTH)
        drawn[str(number)] = {
            "svg": _FIXED_SIZE.sub("", picture(view, section), count=1),
            "box": [round(view.edge.width, 3), round(view.edge.height, 3)],
            "words": board_words(name, millimetres(board.length), say),
            "top": round(view.edge.top - 11.0, 3),
        }
    return {
        "use": use,
        "name": plan.section,
        "section": section,
        "cuts": cuts,
        "boards": drawn,
        "unit": say.unit,
    }


def _key(section: str, board: str, copy: int, order: int, begun: Mapping[str, tuple[str, int]]) -> str:
    """Which cut, as the build book calls it."""
    name, number = begun.get(board, (board, copy))
    return f"{section}|{name}|{number}|{order + 1}"


def _cut(
    cut: SawCut, setting: StopSetting, board: CutBoard, drawing: BoardDrawing, say: Voice
) -> dict[str, Any]:
    placed = next(one for one in board.cuts if one.end == cut.cut_to)
    start, end = (millimetres(at) * drawing.scale + 2.6 for at in (placed.start, placed.end))
    order = board.cuts.index(placed)
    return {
        "board": board.board,
        "copy": board.copy,
        "order": order,
        "part": cut.part,
        "stop": say.part(millimetres(setting.stop)),
        "kept": say.fine(millimetres(setting.kept), unit=True) if setting.kept else "",
        "measured": setting.is_measured,
        "start": "" if cut.shares_cut else _SWING[cut.swing_start],
        "swing": _SWING[cut.swing_end],
        "triangle": say.length(millimetres(cut.triangle), unit=True) if cut.triangle else "",
        "turned": cut.turned,
        "last": cut.is_last,
        "remains": say.kept(millimetres(cut.remains), unit=True) if cut.is_last and cut.remains else "",
        "good_for": cut.good_for,
        "from": round(start, 3),
        "to": round(end, 3),
        "at": round(millimetres(placed.start), 2),
        "end": round(millimetres(placed.end), 2),
    }
