"""What the canvas pages need of one work."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.stretching.fold import CornerFold
from longpoint.stretching.next_time import Afterwards
from longpoint.stretching.piece import ClothPiece
from longpoint.stretching.press_place import PressPlan
from longpoint.stretching.primer import PrimingPlan
from longpoint.stretching.pull import FourTensions, PliersPull
from longpoint.stretching.staple_map import StapleMap
from longpoint.stretching.steps import BenchStep
from longpoint.stretching.year import YearChart
from longpoint.works.tension import Tensions


@dataclass(frozen=True, slots=True, kw_only=True)
class MapState:
    """The canvas at one time of the rehearsal.

    Attributes:
        when: "stapled", "settled", or after size and primer "likely", "least", "most".
        level: Mean tension from left to right. [N/mm]
        upright: Mean tension from bottom to top. [N/mm]
        spread: Standard deviation of window means over their mean.
        lowest: Lowest window mean of either direction. [N/mm]
        highest: Highest. [N/mm]
        corners: Mean within 150 mm of the corners. [N/mm]
        slack: Part of the windows that are more slack than taut.
        staple: Greatest load on a staple up to then. [N]
        pulled_in: How far bottom, right, top and left bar are drawn in. [mm]
    """

    when: str
    level: float
    upright: float
    spread: float
    lowest: float
    highest: float
    corners: float
    slack: float
    staple: float
    pulled_in: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class MapFigures:
    """What the printed order leaves, rehearsed on the work's own frame.

    Attributes:
        states: As stapled, then in the end.
        tear_load: Load at which cloth may tear at a staple. [N]
        wished: Mean tension wished in the end. [N/mm]
    """

    states: tuple[MapState, ...]
    tear_load: float
    wished: float

    @property
    def wetted(self) -> bool:
        """Whether the cloth is pulled only snug and tightened by water."""
        return any(state.when == "likely" for state in self.states)


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasSheet:
    """What the canvas pages need of one work.

    Attributes:
        name: Of the work.
        code: Letters of its marks.
        face: Width and height of the face. [mm]
        piece: Its piece of cloth.
        fold: How its corners are folded.
        folded_level: Whether the folds lie on bottom and top.
        first: What is done before the first staple.
        staples: Its map.
        order: Name of the order it is stapled in.
        waits: Whether staples beside folded corners wait in runs of their own, later than the order said.
        figures: What that order leaves; None where it was not rehearsed.
        only_snug: Whether water will tighten the cloth, which is pulled only snug.
        leg: Length of the staples' legs. [mm]
        pull: Force at the pliers.
        tensions: What is left of the pull, cloth pulled to the wish.
        story: Its tensions at each stage, whatever brings them.
        measured: Whether two strips of its cloth were measured.
        bears: Tension that frame and joints bear; None where it was not computed. [N/mm]
        priming: Size and primer; None for none.
        press: The press test; None for none.
        year: What the year does.
        afterwards: What can be done later.
    """

    name: str
    code: str
    face: tuple[float, float]
    piece: ClothPiece
    fold: CornerFold
    folded_level: bool
    first: tuple[BenchStep, ...]
    staples: StapleMap
    order: str
    waits: bool
    figures: MapFigures | None
    only_snug: bool
    leg: float
    pull: PliersPull
    tensions: FourTensions
    story: Tensions
    bears: float | None
    measured: bool = False
    priming: PrimingPlan | None
    press: PressPlan | None
    year: YearChart
    afterwards: tuple[Afterwards, ...]
