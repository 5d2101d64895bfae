"""Wider than a door: frames made in two halves that bolt together through doubled members.

What is here are geometry values and positions. They are not yet part of the parts list, the cutting plan or the
strength model.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame
from longpoint.units import LengthStyle

BOLT_APART = 350
"""Greatest distance of bolts that hold two halves together; estimate. [mm]"""
BOLT = Fraction(6)
"""Diameter of those bolts; estimate. [mm]"""


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
        halves=answer,
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
