"""A lay on one roll without end: the least length for a list of rectangles.

x runs across the roll from its left edge, y along it from its free end. Cuts go straight through, the first right
across the roll, unless the problem lifts that (``any_cut``). Sizes are in mm; they may be exact fractions.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from longpoint.cutting.lay.evidence import Evidence
from longpoint.refereed import Refereed

Size = float | Fraction | Decimal


@dataclass(frozen=True, slots=True)
class LayPiece:
    """A rectangle wanted, so many times.

    Attributes:
        name: Its name.
        across: Size across the roll. [mm]
        along: Size along the roll. [mm]
        count: How many.
        may_turn: It may lie turned a quarter.
    """

    name: str
    across: Size
    along: Size
    count: int = 1
    may_turn: bool = False


@dataclass(frozen=True, slots=True)
class LayProblem:
    """Rectangles to lay on a roll.

    Attributes:
        pieces: What is wanted.
        roll_width: Width of the roll. [mm]
        spacing: Left between neighbours, for the tool or for a margin; not needed at the roll's edges. [mm]
        any_cut: Cuts need not go straight through.
    """

    pieces: tuple[LayPiece, ...]
    roll_width: Size
    spacing: Size = 0.0
    any_cut: bool = False


@dataclass(frozen=True, slots=True)
class LaidRectangle:
    """One rectangle on the roll.

    Attributes:
        piece: Its place in the problem's list.
        x: Left edge. [nm]
        y: Near edge. [nm]
        across: Size across the roll as it lies. [nm]
        along: Size along the roll as it lies. [nm]
        turned: It lies turned.
    """

    piece: int
    x: int
    y: int
    across: int
    along: int
    turned: bool


@dataclass(frozen=True, slots=True)
class LayPlan:
    """A lay with its proof, in whole nanometres so that nothing is lost in rounding.

    Attributes:
        laid: Every rectangle, from the free end.
        length: Length of roll it takes. [nm]
        at_least: No lay is shorter. [nm]
        evidence: What the bound rests on besides the statement.
        bound_by: What confirms the bound: "arithmetic" (areas, worths, sums of sizes), "listing" (all blocks that
            straight cuts part), "every cut" (all places of straight cuts round flaws), "shares" (all ways to share
            the pieces among the rolls); "" where the referee was not asked.
        refereed: What the referee found; None where it was not asked.
        proven: It is the shortest.
    """

    laid: tuple[LaidRectangle, ...]
    length: int
    at_least: int
    evidence: Evidence = field(default_factory=Evidence)
    bound_by: str = ""
    refereed: Refereed | None = None

    @property
    def proven(self) -> bool:
        """Whether the lay is proven shortest."""
        return self.length <= self.at_least
