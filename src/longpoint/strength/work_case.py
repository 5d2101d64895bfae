"""One work as the verdicts need it, in plain values: frame, cloth, tensions, and what its joints may bear."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from longpoint.strength.beams.bar_join import JoinFace
from longpoint.strength.beams.bolted_seam import SeamFace
from longpoint.strength.beams.net_section import Weakening
from longpoint.strength.beams.pieces import FramePieces
from longpoint.strength.membrane.solve import Cloth

HARDER = 1.25
"""Pulled hard, over pulled as is likely. [1] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bay:
    """A stretch of a bar between two places where something holds it.

    Attributes:
        bar: Name of the bar.
        number: Counted along the bar from the left or from below, from 1.
        of: How many bays the bar has.
        start: From the bar's first corner, anticlockwise as seen from the front. [mm]
        stop: Where it ends. [mm]
    """

    bar: str
    number: int
    of: int
    start: float
    stop: float

    @property
    def length(self) -> float:
        """Between the two places. [mm]"""
        return self.stop - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class LowEdge:
    """Timber that canvas can be pushed on to.

    Attributes:
        what: "bar" or "rail".
        inset: From the nearest edge of the canvas. [mm]
        clearance: Behind the canvas, before anything turns. [mm]
    """

    what: Literal["bar", "rail"]
    inset: float
    clearance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerFace:
    """What holds a corner.

    Attributes:
        width: Of the joint face, in the canvas plane; for a mitre the thickness times √2. [mm]
        depth: Of the face, off the wall. [mm]
        strength: Stress at which the face is used up, at the peak while stretching. [MPa]
        screws: How many.
    """

    width: float
    depth: float
    strength: float
    screws: int


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkCase:
    """One work as the verdicts need it, in plain values.

    Attributes:
        width: Of the canvas, x. [mm]
        height: Of the canvas, y. [mm]
        pieces: Members, joints, seams, with likely timber.
        weak: Stiffness of a weak board over the likely one. [1]
        raw: Cloth as it is while stretched.
        settled: Cloth in service.
        tension_left: Likely mean tension left. [N/mm]
        hard_tension: Mean tension left when pulled hard. [N/mm]
        peak: Likely greatest tension of any stage while it is made, over the tension left. [1]
        year: How far the year's air lowers and raises the tension. [N/mm]
        bays: Bays of the four bars.
        low_edges: Timber behind the canvas.
        corner: What holds a corner.
        bending_strength: Stress that timber may bear while stretching. [MPa]
        natural_twist: Twist that a sighted board may still bring along, either way. [rad/mm]
        natural_bow: Bow of a sighted board, over the square of its length. [1/mm]
        mass: Of the finished work. [kg]
        ratio: Prestress along x and y in relation to one another.
        columns: Canvas elements along x; the engine's own choice where None.
        rows: Canvas elements along y.
        joins: Bars joined in length.
        seam: Where the frame comes apart into two halves; None where it is one piece.
        masses: The least and the most that the finished work may weigh; None where nobody says. [kg]
        hangers: By what it hangs: member and distance from its start, twice; None where nobody says. [mm]
        left: The least and the most that may be left; None where nobody says. [N/mm]
        most: Greatest tension that any stage may bring; None where nobody says. [N/mm]
        tightens: What cloth that tightens by itself would pull on a frame that does not give: least, likely and most;
            this frame then says what is left of it. None for cloth pulled to a tension. [N/mm]
        watered: Whether it is water that tightens it.
        raw_band: The softest and the stiffest that the raw cloth may be; None where nobody says.
        settled_band: The same in service.
        weakenings: Where wood is taken out of members; empty where joints are not known yet.
    """

    width: float
    height: float
    pieces: FramePieces
    weak: float
    raw: Cloth
    settled: Cloth
    tension_left: float
    hard_tension: float
    peak: float
    year: tuple[float, float]
    bays: tuple[Bay, ...]
    low_edges: tuple[LowEdge, ...]
    corner: CornerFace
    bending_strength: float
    natural_twist: float
    natural_bow: float
    mass: float
    ratio: tuple[float, float] = (1.0, 1.0)
    columns: int | None = None
    rows: int | None = None
    joins: tuple[JoinFace, ...] = ()
    seam: SeamFace | None = None
    masses: tuple[float, float] | None = None
    hangers: tuple[tuple[str, float], tuple[str, float]] | None = None
    left: tuple[float, float] | None = None
    most: float | None = None
    tightens: tuple[float, float, float] | None = None
    watered: bool = False
    raw_band: tuple[Cloth, Cloth] | None = None
    settled_band: tuple[Cloth, Cloth] | None = None
    weakenings: tuple[Weakening, ...] = ()

    @property
    def hard(self) -> float:
        """The most that any stage may bring over the likely most, for the unfavourable end of a limit of strength."""
        most = self.hard_tension * self.peak if self.most is None else self.most
        return max(1.0, most / (self.peak * self.tension_left))

    @property
    def highest(self) -> float:
        """Likely highest tension of the year. [N/mm]"""
        return self.tension_left + max(self.year[1], 0.0)

    def on_this_frame(self, share: float) -> WorkCase:
        """The work with what this frame leaves of cloth that tightens by itself.

        Args:
            share: Tension left over what a frame that does not give would leave. [1]
        """
        if self.tightens is None:
            return self
        least, likely, most = (share * tension for tension in self.tightens)
        return replace(
            self,
            tension_left=likely,
            hard_tension=max(self.hard_tension, HARDER * likely),
            peak=(likely + max(self.year[1], 0.0)) / likely,
            left=(least, most),
            most=most + max(self.year[1], 0.0),
            tightens=None,
        )
