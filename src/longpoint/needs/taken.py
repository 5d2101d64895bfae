"""What boards that can be had only so often have been taken already, by what was cut before.

A board at hand, and a length of which the yard has only so many, serves bars and rails alike: what one of them takes
is gone for the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from longpoint.cutting.boards.values import BoardPlan
from longpoint.model.timber import RackBoard
from longpoint.works.stock import OnSale, Section


class Taken:
    """Counts boards that have been taken, over all sections and uses, and strips that fell off while ripping."""

    def __init__(self) -> None:
        self._rack: Counter[str] = Counter()
        self._yard: Counter[tuple[str, Fraction]] = Counter()
        self._fallen: Counter[Strip] = Counter()

    def note(self, section: Section, plan: BoardPlan) -> None:
        """Counts what a plan takes, in whole boards.

        Args:
            section: The timber it was made for.
            plan: The plan.
        """
        on_sale = {item.name: item for item in section.on_sale}
        rack = {board.name: board for board in section.rack}
        fallen = {strip.name: strip for strip in self._fallen}
        for name, count in Counter(board.board for board in plan.boards).items():
            boards = count if section.ripped is None else section.ripped.boards(count)
            if name in on_sale:
                item = on_sale[name]
                self._yard[item.timber, item.length] += boards
                self._fall(section, item.length, boards)
            elif name in rack:
                self._rack[name] += boards
                self._fall(section, rack[name].length, boards)
            elif name in fallen:
                self._fallen[fallen[name]] -= count

    def _fall(self, section: Section, length: Fraction, boards: int) -> None:
        if section.ripped is not None and section.ripped.falls:
            sides = frozenset((section.ripped.thickness, section.ripped.falls))
            self._fallen[Strip(sides, section.wood, length)] += boards

    def fallen(self, section: Section) -> dict[Strip, int]:
        """Strips of a section that fell off other boards, and how many of each are left."""
        sides = frozenset((section.thickness, section.depth))
        mine = ((strip, left) for strip, left in self._fallen.items() if left > 0)
        return {strip: left for strip, left in mine if (strip.sides, strip.wood) == (sides, section.wood)}

    def left_at_hand(self, section: Section, board: RackBoard) -> int:
        """How many of a board at hand are left, or of its strips where the section is ripped."""
        each = 1 if section.ripped is None else section.ripped.strips
        return max(0, board.how_many - each * self._rack[board.name])

    def left_on_sale(self, section: Section, item: OnSale) -> int | None:
        """How many of a length the yard has left, or of its strips; None for as many as are wanted."""
        if item.how_many is None:
            return None
        each = 1 if section.ripped is None else section.ripped.strips
        return max(0, item.how_many - each * self._yard[item.timber, item.length])


@dataclass(frozen=True, slots=True)
class Strip:
    """What falls off while ripping boards of one length.

    Attributes:
        sides: Thickness and width. [mm]
        wood: Species or strength class.
        length: As long as its board. [mm]
    """

    sides: frozenset[Fraction]
    wood: str
    length: Fraction

    @property
    def name(self) -> str:
        """What it is called in a list of boards."""
        return f"strip {float(self.length):g}"


def may_run_out(sections: Iterable[Section]) -> bool:
    """Whether any board among these can be had only so often."""
    return any(
        section.rack or any(item.how_many is not None for item in section.on_sale) for section in sections
    )
