"""Longer than a board, wider than a door: bars joined in length, and frames in two halves.

What is here are geometry values and positions. They are not yet part of the parts list, the cutting plan or the
strength model: whoever uses them adds the overlap to the lengths that are cut, and looks at the join as a weak place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
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
BOLT_APART = 350
"""Greatest distance of bolts that hold two halves together; estimate. [mm]"""
BOLT = Fraction(6)
"""Diameter of those bolts; estimate. [mm]"""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Halves:
    """A frame made in two halves that bolt together.

    Attributes:
        seam: Where the halves meet, along the long direction from the start. [mm]
        halves: Clear sizes of the two halves when apart: along, across. [mm]
        doubled: Middles of the two members that lie together at the seam, along the long direction. [mm]
        bolts: Middles of the bolts across the long direction, from the low long bar's outer face. [mm]
        bolt_height: Their height: z of the rails' middle. [mm]
        bolt_diameter: Of the bolts. [mm]
        bolt_length: Under the head: both members, two washers, a nut. [mm]
        bolt_hole: Diameter of the holes. [mm]
        splints: Length of the splint along each long bar over the seam. [mm]
        splint_bolts: Where its bolts stand along the long direction, in each long bar. [mm]
        said: How it is done.
    """

    seam: Fraction
    halves: tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]
    doubled: tuple[Fraction, Fraction]
    bolts: tuple[Fraction, ...]
    bolt_height: Fraction
    bolt_diameter: Fraction
    bolt_length: Fraction
    bolt_hole: Fraction
    splints: Fraction
    splint_bolts: tuple[Fraction, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class InHalves:
    """A frame in two halves, or why not."""

    halves: Halves | None
    cautions: tuple[Caution, ...] = ()
    faults: tuple[Fault, ...] = ()


def in_two_halves(
    frame: Frame, *, style: LengthStyle, work: str, key: str, longest_half: Fraction | None = None
) -> InHalves:
    """How a frame is made in two halves that bolt together through doubled members.

    The seam lies in the bay nearest to the middle; there two cross members lie side by side, one in each half. They
    are rails, dropped and with a gap to the canvas, so no timber touches the canvas at the seam except the butted
    lips of the long bars.

    Args:
        frame: The frame as a whole.
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
        longest_half: What goes through door or van; None: not checked. [mm]
    """
    design = frame.design
    fine, show = style.finer().show, style.show
    thick = design.rail_thickness
    faults: list[Fault] = []
    seam = _seam(frame)
    if seam is None:
        faults.append(
            Fault(
                "no-room-for-seam",
                f"{work}: no bay of the frame takes two members of {fine(thick)} side by side and a drill beside them.",
                "Use fewer cross rails, or place them by hand.",
                Where(f"{key}.inside.cross_rails"),
            )
        )
        return InHalves(halves=None, faults=tuple(faults))
    halves = ((seam, design.breadth), (design.length - seam, design.breadth))
    if longest_half is not None and max(seam, design.length - seam) > longest_half:
        faults.append(
            Fault(
                "half-too-long",
                f"{work}: the longer half would be {show(max(seam, design.length - seam))} long; "
                f"{show(longest_half)} goes through.",
                "Move the cross rails so that a bay lies in the middle, or make the work smaller.",
                Where(f"{key}.inside.cross_rails"),
            )
        )
    across_low, across_high = design.clear_across()
    first, last = across_low + 60, across_high - 60
    gaps = max(math.ceil((last - first) / BOLT_APART), 1)
    if design.middle_pieces and gaps % 2 == 0:
        gaps += 1  # none on the centre line, where the middle pieces end
    bolts = tuple(first + (last - first) * index / gaps for index in range(gaps + 1))
    line = -design.bar_depth + design.drop + design.rail_depth / 2
    splint = splint_length(frame)
    quarter = splint / 4
    answer = Halves(
        seam=seam,
        halves=halves,
        doubled=(seam - thick / 2, seam + thick / 2),
        bolts=bolts,
        bolt_height=line,
        bolt_diameter=BOLT,
        bolt_length=2 * thick + 2 * Fraction(8, 5) + 8,
        bolt_hole=BOLT + Fraction(1, 2),
        splints=splint,
        splint_bolts=tuple(
            seam + quarter * share
            for share in (Fraction(-3, 2), Fraction(-1, 2), Fraction(1, 2), Fraction(3, 2))
        ),
        said=(
            f"Saw both long bars square at {show(seam)} from the start. Each half is three bars and one cross member.",
            f"Clamp the two cross members together and bore {len(bolts)} holes of {fine(BOLT + Fraction(1, 2))} "
            "through both at once, so that the halves find each other again.",
            f"Over each seam a splint {show(splint)} long lies inside the long bar, glued to one half, bolted to the "
            "other: it keeps the lips in line.",
            *(
                (
                    "The middle piece of that bay becomes two, one in each half, butted against the cross members.",
                )
                if design.middle_pieces
                else ()
            ),
            "Bolt together, square the whole with its diagonals, tighten, and number both halves.",
            "Canvas goes on when the halves are together; rolled off for transport, the frame comes apart.",
        ),
    )
    return InHalves(
        halves=replace(answer),
        cautions=(
            Caution(
                "in-two-halves",
                "The strength pages take this frame as whole; at the seam only bolts and splints carry the bars' "
                "bending. Keep the seam's bay narrow and lips flush, or a line shows in the canvas.",
                work,
            ),
        ),
        faults=tuple(faults),
    )


def splint_length(frame: Frame) -> Fraction:
    """Length of the splint over a seam: twelve bar thicknesses, 250 mm at least; estimate. [mm]"""
    return max(12 * frame.design.bar_thickness, Fraction(250))


def _seam(frame: Frame) -> Fraction | None:
    """Middle of the bay nearest to the frame's middle that has room for two members; whole millimetres."""
    design = frame.design
    low, high = design.clear_along()
    half = design.rail_thickness / 2
    edges = [low]
    for centre in design.cross_rails:
        edges += [centre - half, centre + half]
    edges.append(high)
    middle = design.length / 2
    best: tuple[Fraction, Fraction] | None = None
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        # The splint lies inside the long bars, between the rails of its bay.
        beside = max(splint_length(frame) / 2 + 5, design.rail_thickness + 100)
        if stop - start < 2 * beside:
            continue
        # Beside the frame's middle where that lies in the bay, else as near to it as bolts allow.
        at = min(max(middle, start + beside), stop - beside)
        at = Fraction(round(at))
        if best is None or abs(at - middle) < best[0]:
            best = (abs(at - middle), at)
    return best[1] if best else None
