"""What one finished work weighs: timber, cloth, what is brushed on it. Whoever speaks of a work's mass asks here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Kind, Lengths
from longpoint.frame.parts import Part, bar_volumes_of
from longpoint.stretching.primer import brushed_area
from longpoint.works.cloth import WorkCloth
from longpoint.works.piece import Piece
from longpoint.works.wood import wood_named

CLOTH_OFF = 0.15
"""How far cloth may weigh more or less than stated. [1] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """Mass of one finished work. Screws, glue, staples and hangers are left out. [kg]

    Attributes:
        timber: Of its parts.
        cloth: Of its piece of cloth, turned over, as it is sold.
        coats: Of size and primer once dry.
        low: Of all: timber that only one board in twenty falls below, light cloth, thin coats.
        high: Of all, as far the other way.
    """

    timber: float
    cloth: float
    coats: float
    low: float
    high: float

    @property
    def likely(self) -> float:
        """Of all three. [kg]"""
        return self.timber + self.cloth + self.coats


def timber_mass(parts: Iterable[Part], *, bars: str, rails: str) -> tuple[float, float]:
    """Likely mass of the timber of one work, and of the same in light boards.

    Args:
        parts: Its parts.
        bars: Timber of its bars, by name.
        rails: Timber of its rails, by name.

    Returns:
        Likely, and where only one board in twenty is lighter. [kg]
    """
    likely = light = 0.0
    for part in parts:
        wood = wood_named(bars if part.kind is Kind.BAR else rails)
        volume = float(part.volume) * part.per_work * 1e-9
        likely += volume * wood.density
        light += volume * wood.weak_density
    return likely, light


def mass_of_timber(design: FrameDesign, lengths: Lengths, *, bars: str, rails: str) -> float:
    """Likely mass of the timber of a frame, before its parts are marked; as `timber_mass` says to rounding.

    Args:
        design: Its design.
        lengths: Of its members, its bars whole.
        bars: Timber of its bars, by name.
        rails: Timber of its rails, by name.

    Returns:
        The mass. [kg]
    """
    bar, rail = (1e-9 * wood_named(name).density for name in (bars, rails))
    own = sum(float(volume) * (bar if kind is Kind.BAR else rail) for kind, volume in bar_volumes_of(design))
    rail *= float(design.rail_thickness * design.rail_depth)
    return own + sum(float(length) * rail for kind, length in lengths if kind is not Kind.BAR)


def mass_of(
    parts: Iterable[Part], design: FrameDesign, *, bars: str, rails: str, cloth: WorkCloth, piece: Piece
) -> Mass:
    """What one finished work weighs. An estimate.

    Args:
        parts: Its parts.
        design: Its design.
        bars: Timber of its bars, by name.
        rails: Timber of its rails, by name.
        cloth: Its cloth.
        piece: Its piece of it.
    """
    timber, light = timber_mass(parts, bars=bars, rails=rails)
    bare = float(piece.width * piece.height) * 1e-6 * cloth.bare
    brushed = brushed_of(design)
    coats = brushed * cloth.dry.middle
    return Mass(
        timber=timber,
        cloth=bare,
        coats=coats,
        low=light + bare * (1 - CLOTH_OFF) + brushed * cloth.dry.low,
        high=2 * timber - light + bare * (1 + CLOTH_OFF) + brushed * cloth.dry.high,
    )


def brushed_of(design: FrameDesign) -> float:
    """Area of face and sides that size and primer are brushed on. [m²]"""
    return brushed_area(
        face_width=float(design.width),
        face_height=float(design.height),
        depth=float(design.bar_depth),
        sides_too=True,
    )
