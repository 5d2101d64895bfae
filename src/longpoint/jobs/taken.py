"""What boards that can be had only so often have been taken already, by what was cut before.

A board at hand, and a length of which the yard has only so many, serves bars and rails alike: what one of them takes
is gone for the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from longpoint.cutting.boards.values import BoardPlan
from longpoint.model.timber import RackBoard
from longpoint.works.stock import OnSale, Section


class Taken:
    """Counts boards that have been taken, over all sections and uses."""

    def __init__(self) -> None:
        self._rack: Counter[str] = Counter()
        self._yard: Counter[OnSale] = Counter()

    def note(self, section: Section, plan: BoardPlan) -> None:
        """Counts what a plan takes.

        Args:
            section: The timber it was made for.
            plan: The plan.
        """
        on_sale = {item.name: item for item in section.on_sale}
        for board in plan.boards:
            if board.at_hand:
                self._rack[board.board] += 1
            elif board.board in on_sale:
                self._yard[_plain(on_sale[board.board])] += 1

    def left_at_hand(self, board: RackBoard) -> int:
        """How many of a board at hand are left."""
        return max(0, board.how_many - self._rack[board.name])

    def left_on_sale(self, item: OnSale) -> int | None:
        """How many of a length the yard has left; None for as many as are wanted."""
        return None if item.how_many is None else max(0, item.how_many - self._yard[_plain(item)])


def _plain(item: OnSale) -> OnSale:
    """The same length of the same timber, whatever it is called where several timbers are offered together."""
    return OnSale("", item.timber, item.length, None, item.how_many, "")


def may_run_out(sections: Iterable[Section]) -> bool:
    """Whether any board among these can be had only so often."""
    return any(
        section.rack or any(item.how_many is not None for item in section.on_sale) for section in sections
    )
