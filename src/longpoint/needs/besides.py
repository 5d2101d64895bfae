"""Boards that are bought though nobody stated them, because those that are stated do not give every part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.errors import Caution
from longpoint.needs.boards import SectionCut

BOARDS_BESIDES = "boards-besides"
"""Code of the caution that names them."""


@dataclass(frozen=True, slots=True)
class BoardsBesides:
    """Boards of one timber that are bought besides.

    Attributes:
        section: Its thin and its wide side. [mm]
        boards: How many of each length. [mm]
        priced: Whether they have a price, taken from those stated.
    """

    section: tuple[Fraction, Fraction]
    boards: tuple[tuple[int, Fraction], ...]
    priced: bool


def besides_cautions(cuts: Sequence[SectionCut]) -> tuple[Caution, ...]:
    """One caution for each timber of which boards are bought besides.

    Args:
        cuts: How the boards of a batch are cut.
    """
    found = []
    for cut in cuts:
        lengths = {item.name: item.length for item in cut.section.on_sale if item.besides}
        taken = {lengths[name]: count for name, count in cut.boards_taken.items() if name in lengths}
        if taken:
            thin, wide = sorted((cut.section.thickness, cut.section.depth))
            boards = tuple((count, length) for length, count in sorted(taken.items()))
            found.append(Caution(BOARDS_BESIDES, of=BoardsBesides((thin, wide), boards, cut.priced)))
    return tuple(found)
