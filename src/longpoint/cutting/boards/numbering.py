"""In which order boards are cut, and the number that stands beside each on the saw pages."""

from __future__ import annotations

from longpoint.cutting.boards.values import BoardPlan, CutBoard


def board_numbers(plan: BoardPlan) -> dict[tuple[str, int], int]:
    """Boards numbered from 1 in the order in which they are drawn."""
    ordered = [board for group in boards_alike(plan) for board in group]
    return {(board.board, board.copy): number for number, board in enumerate(ordered, start=1)}


def boards_alike(plan: BoardPlan) -> list[list[CutBoard]]:
    """Boards in the order of cutting, those cut exactly alike taken together."""
    seen: dict[tuple[object, ...], list[CutBoard]] = {}
    for board in plan.boards:
        key = (board.board, board.length, tuple((cut.part, cut.start, cut.turned) for cut in board.cuts))
        seen.setdefault(key, []).append(board)
    return list(seen.values())
