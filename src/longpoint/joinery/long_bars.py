"""Longer than a board: bars joined in length.

What is here are geometry values and positions. They are not yet part of the parts list, the cutting plan or the
strength model: whoever uses them adds the overlap to the lengths that are cut, and looks at the join as a weak place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame, Kind, Member
from longpoint.units import LengthStyle

JoinKind = Literal["scarf", "half-lap with plate"]

SCARF_SLOPE = 8
"""Length of a scarf over the thickness it crosses; common practice, no published source (8 to 12)."""
LAP_OVER_DEPTH = 3
"""Length of a half-lap over the bar's depth; estimate."""
PLATE_BEYOND = Fraction(60)
"""How far a plate reaches beyond the lap at both ends; estimate. [mm]"""
BEST_IN_BAY = Fraction(1, 5)
"""Where the bending of a continuous bar under an even pull is near zero: about a fifth of the bay from a rail."""
CLEAR_OF_RAIL = Fraction(40)
"""Between the end of a join and a rail's face; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarJoin:
    """One bar joined in length from two pieces.

    Attributes:
        bar: Name of the bar.
        kind: scarf, or half-lap with plate.
        centre: Middle of the join, from the bar's reference end. [mm]
        length: Of the join along the bar. [mm]
        pieces: Greatest lengths of the two pieces, the join in both. [mm]
        glue_area: Of the glued faces. [mm²]
        plate: Length and width of the plate on the inner side; None for a scarf. [mm]
        screws: Where the plate's or lap's screws stand, from the reference end. [mm]
        from_rail: Between the join and the nearest rail's face. [mm]
        share_of_bay: Where the middle of the join lies in its bay, from the nearer rail; a half is mid-bay. [1]
        said: How it is made.
    """

    bar: str
    kind: JoinKind
    centre: Fraction
    length: Fraction
    pieces: tuple[Fraction, Fraction]
    glue_area: Fraction
    plate: tuple[Fraction, Fraction] | None
    screws: tuple[Fraction, ...]
    from_rail: Fraction
    share_of_bay: float
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """A bar's join, or why there is none.

    Attributes:
        join: The join; None where no place was found or none is needed.
        cautions: What a person should know.
        faults: What stands against it.
    """

    join: BarJoin | None
    cautions: tuple[Caution, ...] = ()
    faults: tuple[Fault, ...] = ()


def join_bar(
    frame: Frame,
    bar: Member,
    *,
    kind: JoinKind,
    longest_board: Fraction,
    style: LengthStyle,
    work: str,
    key: str,
) -> Joined:
    """Where and how a bar longer than every board is joined from two.

    The join lies in one bay, clear of rails and away from mid-bay, as near as the boards allow to a fifth of the bay
    from a rail, where an even pull bends a continuous bar least.

    Args:
        frame: The frame.
        bar: The bar.
        kind: The kind of join.
        longest_board: Usable length of the longest board. [mm]
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
    """
    if bar.length <= longest_board:
        return Joined(join=None)
    length = join_length(frame, kind=kind)
    # A plate is longer than its lap: it too must stay clear of the rails.
    taken = length if kind == "scarf" else length + 2 * PLATE_BEYOND
    show = style.show
    best: tuple[tuple[Fraction, Fraction, Fraction], Fraction, tuple[Fraction, Fraction]] | None = None
    for bay in _bays_along(frame, bar):
        for centre in _places(bay, taken):
            pieces = (centre + length / 2, bar.length - centre + length / 2)
            if max(pieces) > longest_board:
                continue
            rank = (_off_best(bay, centre), max(pieces), centre)
            if best is None or rank < best[0]:
                best = (rank, centre, bay)
    if best is None:
        return Joined(
            join=None,
            faults=(
                Fault(
                    "no-place-for-join",
                    f"{work}: the {bar.name} is {show(bar.length)} long; two boards of {show(longest_board)} and "
                    f"a join {show(length)} long leave no place clear of rails and away from mid-bay.",
                    f"Find boards of {show((bar.length + length) / 2 + length)} or more, move the rails, or make the "
                    "frame in two halves.",
                    Where(f"{key}.width" if bar.axis == "x" else f"{key}.height"),
                ),
            ),
        )
    _, centre, bay = best
    share = min(centre - bay[0], bay[1] - centre) / (bay[1] - bay[0])
    join = _join(frame, bar, kind=kind, centre=centre, length=length, bay=bay, share=share, style=style)
    return Joined(
        join=join,
        cautions=(
            Caution(
                "joined-bar",
                f"The {bar.name} is joined in length. Choose its bay for the smaller pull-in, lay the join flat while "
                "it sets, and plane lip and bevel through it afterwards. The strength pages take the bar as whole.",
                work,
            ),
        ),
    )


def join_length(frame: Frame, *, kind: JoinKind) -> Fraction:
    """Length of a join along the bar. [mm]"""
    design = frame.design
    return SCARF_SLOPE * design.bar_thickness if kind == "scarf" else LAP_OVER_DEPTH * design.bar_depth


def _bays_along(frame: Frame, bar: Member) -> list[tuple[Fraction, Fraction]]:
    """Free stretches of a bar between the members that meet its inner side."""
    design = frame.design
    inset = design.bar_thickness
    taken = [(Fraction(0), inset), (bar.length - inset, bar.length)]
    for other in frame.members:
        if other.kind is Kind.BAR or other.axis == bar.axis:
            continue
        if other.start in (bar.high, bar.low) or other.stop in (bar.high, bar.low):
            taken.append((other.low - bar.start, other.high - bar.start))
    taken.sort()
    return [(low, high) for (_, low), (high, _) in pairwise(taken) if high > low]


def _places(bay: tuple[Fraction, Fraction], length: Fraction) -> list[Fraction]:
    """Centres to try, every 5 mm: clear of the rails and not over mid-bay."""
    low, high = bay[0] + CLEAR_OF_RAIL + length / 2, bay[1] - CLEAR_OF_RAIL - length / 2
    middle = (bay[0] + bay[1]) / 2
    count = int((high - low) / 5) if high >= low else -1
    # The middle tenth of the bay stays whole: there the bar bends most.
    keep_out = (bay[1] - bay[0]) / 20
    return [
        centre
        for centre in (low + 5 * index for index in range(count + 1))
        if abs(centre - middle) - length / 2 >= keep_out
    ]


def _off_best(bay: tuple[Fraction, Fraction], centre: Fraction) -> Fraction:
    share = min(centre - bay[0], bay[1] - centre) / (bay[1] - bay[0])
    return abs(share - BEST_IN_BAY)


def _join(
    frame: Frame,
    bar: Member,
    *,
    kind: JoinKind,
    centre: Fraction,
    length: Fraction,
    bay: tuple[Fraction, Fraction],
    share: Fraction,
    style: LengthStyle,
) -> BarJoin:
    design = frame.design
    fine = style.finer().show
    depth = design.bar_depth - design.bevel_fall / 2
    clear = min(centre - bay[0], bay[1] - centre) - length / 2
    if kind != "scarf":
        clear -= PLATE_BEYOND
    pieces = (centre + length / 2, bar.length - centre + length / 2)
    if kind == "scarf":
        slope = Fraction(round(math.hypot(float(length), float(design.bar_thickness)) * 100), 100)
        return BarJoin(
            bar=bar.name,
            kind=kind,
            centre=centre,
            length=length,
            pieces=pieces,
            glue_area=slope * depth,
            plate=None,
            screws=(),
            from_rail=clear,
            share_of_bay=float(share),
            said=(
                f"Plane both ends to a slope of 1 in {SCARF_SLOPE} across the thickness: {fine(length)} long.",
                "Stop the pieces against a straight edge so that they do not slide, glue, clamp between waxed boards.",
                "Sand the thin end on the outer side flush: canvas lies over it.",
            ),
        )
    plate = (length + 2 * PLATE_BEYOND, min(design.rail_depth, design.bar_depth - design.bevel_fall - 8))
    first, last = centre - plate[0] / 2 + 25, centre + plate[0] / 2 - 25
    count = max(math.ceil((last - first) / 60), 3)
    screws = tuple(first + (last - first) * index / count for index in range(count + 1))
    return BarJoin(
        bar=bar.name,
        kind=kind,
        centre=centre,
        length=length,
        pieces=pieces,
        glue_area=length * depth + plate[0] * plate[1],
        plate=plate,
        screws=screws,
        from_rail=clear,
        share_of_bay=float(share),
        said=(
            f"Halve both ends across the thickness over {fine(length)}: half of {fine(design.bar_thickness)} each.",
            f"Glue the lap; glue and screw a plate {fine(plate[0])} × {fine(plate[1])}, of the rails' timber, on the "
            "inner side over it.",
            "No screw where a rail's end will stand.",
        ),
    )
