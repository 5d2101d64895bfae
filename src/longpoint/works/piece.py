"""The piece of cloth that one work takes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from longpoint.model.works import ClothWish, Work
from longpoint.units import LengthStyle

BEYOND_DEPTH = {"back": Fraction(36), "side": Fraction(30), "hem": Fraction(51)}
"""Cloth beyond the bar's depth, by where it is stapled. [mm] Common practice, no published source: about 80 mm
all round on bars 44 deep, of which about an inch lies on the back and the rest is held by the pliers."""


@dataclass(frozen=True, slots=True)
class Piece:
    """The piece of cloth one work takes.

    Attributes:
        work: Name of the work.
        code: Its letters.
        width: Of the piece, side to side of the work. [mm]
        height: Of the piece, up and down. [mm]
        turnover: Beyond the face on each side; what is torn to the thread and spare cloth are in the size besides. [mm]
        warp: Direction of the warp on the work, "x" or "y".
        how_many: How many.
    """

    work: str
    code: str
    width: Fraction
    height: Fraction
    turnover: Fraction
    warp: Literal["x", "y"]
    how_many: int


def piece_of(work: Work, wish: ClothWish, *, code: str, depth: Fraction, style: LengthStyle) -> Piece:
    """The piece of cloth of one work.

    Args:
        work: The work.
        wish: How its cloth is wished.
        code: Its letters.
        depth: Of its bars. [mm]
        style: How lengths are shown: a piece is cut to what is shown, rounded up once, so that every page has one size.
    """
    turnover = turnover_of(wish, depth=depth)

    def cut(size: Fraction, sides: tuple[str, str]) -> Fraction:
        spare = wish.spare if wish.spare_side in sides else Fraction(0)
        beyond = 2 * (turnover + wish.edge_allowance) + spare
        return style.steps(size + beyond, rounding="up") * style.grain

    return Piece(
        work=work.name,
        code=code,
        width=cut(work.width, ("left", "right")),
        height=cut(work.height, ("bottom", "top")),
        turnover=turnover,
        warp=warp_of(work, wish),
        how_many=work.how_many,
    )


def turnover_of(wish: ClothWish, *, depth: Fraction) -> Fraction:
    """Cloth beyond the face on each side. [mm]"""
    return depth_and_beyond(wish, depth=depth) if wish.turnover == "auto" else Fraction(wish.turnover)


def depth_and_beyond(wish: ClothWish, *, depth: Fraction) -> Fraction:
    """Cloth beyond the face that goes over the side, lies where it is stapled, and is held by the pliers. [mm]"""
    return depth + BEYOND_DEPTH[wish.fasten]


def warp_of(work: Work, wish: ClothWish) -> Literal["x", "y"]:
    """Which way the warp runs on a work."""
    if wish.warp == "long side":
        return "x" if work.width > work.height else "y"
    return "y" if wish.warp == "up" else "x"
