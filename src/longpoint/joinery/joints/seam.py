"""The seam of a frame in two halves: bolts through the doubled members, dowels across the butted bars.

The doubled members reach from bar to bar, each screwed into its own half, so a strip inside the long bars that
bridges the seam would lie where their ends must stand. A dowel in the bars' ends keeps the lips in line instead; it
is glued into one half and dry in the other, so that the frame comes apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

from longpoint.errors import Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.corners import DRAWS
from longpoint.joinery.joints.joint import Bolt, Dowel, Fixing, GlueFace, Joint, JointKind, Point
from longpoint.joinery.screws.on_sale import TIP_COVER
from longpoint.units import LengthStyle

BOLT_APART = 350
"""Greatest distance of bolts that hold two halves together; estimate. [mm]"""
FIRST_BOLT = Fraction(45)
"""From a long bar's inner side to the first bolt: near the bar, where the members would bend and twist between bar
and bolt, yet beyond the tip of the screw in the member's end; estimate. [mm]"""
BOLT = Fraction(6)
"""Diameter of those bolts; estimate. [mm]"""
BOLT_HOLE = BOLT + Fraction(1, 2)
"""Half a millimetre of play, as bits are sold; estimate. [mm]"""
WASHER = Fraction(8, 5)
"""Thickness of a large washer for a 6 mm bolt, ISO 7093-1 (read in an open-source fastener library). [mm]"""
WASHER_RADIUS = Fraction(9)
"""Of the same washer. [mm]"""
NUT = Fraction(6)
"""Height of the nut and what stands out of it; a 6 mm nut is at most 5.2 mm high, ISO 4032 (read there, too). [mm]"""
SPANNER = Fraction(14)
"""Room beside a washer for a ring spanner; estimate. [mm]"""
BOLT_LENGTHS = (25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150)
"""Lengths a 6 mm bolt is sold in, ISO 4014 and 4017; from memory. [mm]"""
DOWEL_LENGTH = Fraction(60)
"""Half of it in each bar; estimate. [mm]"""
DOWEL_SHARE = 3
"""A dowel is about a third of the thickness; common practice, no published source."""
DOWELS = (Fraction(6), Fraction(8), Fraction(10))
"""Diameters dowels are sold in; common practice. [mm]"""
DOWEL_COVER = Fraction(5)
"""Timber between a dowel and the nearest screw or surface; estimate. [mm]"""


def bolt_places(design: FrameDesign) -> tuple[Fraction, ...]:
    """Where bolts stand across the long direction, from the low long bar's outer side. [mm]

    None where a middle piece ends on the doubled members and leaves its nut no room.
    """
    if design.seam is None:
        return ()
    low, high = design.clear_across()
    first, last = low + FIRST_BOLT, high - FIRST_BOLT
    if last <= first:
        return ((low + high) / 2,)
    taken = _middle_lines(design)
    half = design.rail_thickness / 2 + WASHER_RADIUS + SPANNER
    gaps = max(math.ceil((last - first) / BOLT_APART), 1)
    while True:
        places = [Fraction(round(first + (last - first) * index / gaps)) for index in range(gaps + 1)]
        moved = sorted({_clear(place, taken, half, low=first, high=last) for place in places})
        apart = [b - a for a, b in pairwise(moved)]
        if not apart or max(apart) <= BOLT_APART or gaps > 60:
            return tuple(moved)
        gaps += 1


def bolt_length(design: FrameDesign) -> Fraction:
    """Length under the head, the next that is sold: both members, two washers, the nut. [mm]"""
    least = 2 * design.rail_thickness + 2 * WASHER + NUT
    return Fraction(next((length for length in BOLT_LENGTHS if length >= least), math.ceil(least / 10) * 10))


def end_screw_room() -> Fraction:
    """How deep a screw may reach into the end of a doubled member before it meets the first bolt. [mm]"""
    return FIRST_BOLT - BOLT_HOLE / 2 - TIP_COVER


def bolts_of(design: FrameDesign, *, joint: str = "seam") -> tuple[Bolt, ...]:
    """The bolts through the doubled members of a seam, from the low long bar; none for a frame in one piece.

    Args:
        design: The design.
        joint: Name of the joint; bolts are called by it.
    """
    rails = design.seam_rails
    if rails is None:
        return ()
    assert design.seam is not None
    head = design.seam - design.rail_thickness
    z = -design.bar_depth + design.drop + design.rail_depth / 2
    level = design.long_axis == "x"
    return tuple(
        Bolt(
            name=f"{joint}{chr(ord('a') + index % 26)}{index // 26 or ''}",
            diameter=BOLT,
            length=bolt_length(design),
            start=(head, across, z) if level else (across, head, z),
            axis=(1, 0, 0) if level else (0, 1, 0),
            passed=2 * design.rail_thickness,
            hole=BOLT_HOLE,
            members=(f"cross rail {rails[0] + 1}", f"cross rail {rails[1] + 1}"),
        )
        for index, across in enumerate(bolt_places(design))
    )


def seam_joints(frame: Frame, fixings: Iterable[Fixing], *, first: int) -> tuple[Joint, ...]:
    """The joints of a seam: the bolted members, and the two butts of the long bars.

    Args:
        frame: The frame as it is built.
        fixings: Its screws, which dowels keep clear of.
        first: Number of the first of these joints.

    Returns:
        None for a frame in one piece.
    """
    design = frame.design
    if design.seam is None:
        return ()
    bolts = bolts_of(design, joint=f"J{first}")
    level = design.long_axis == "x"
    z = bolts[0].start[2]
    middle = design.breadth / 2
    at: Point = (design.seam, middle, z) if level else (middle, design.seam, z)
    found = [
        Joint(
            name=f"J{first}",
            kind=JointKind.SEAM,
            members=bolts[0].members,
            at=at,
            duty=DRAWS,
            why="Bolts, washers and nuts, no glue: here the frame comes apart.",
            fixings=(),
            glue=(),
            note="seam",
            bolts=bolts,
        )
    ]
    screws = tuple(fixings)
    for number, side in enumerate(design.flank_sides, start=first + 1):
        one, two = (bar for bar in frame.of_kind(Kind.BAR) if bar.side == side)
        diameter = dowel_diameter(design)
        depth = dowel_height(design, _near(screws, one.centre, design.seam, level=level))
        centre: Point = (design.seam, one.centre, depth) if level else (one.centre, design.seam, depth)
        found.append(
            Joint(
                name=f"J{number}",
                kind=JointKind.BUTT,
                members=(one.name, two.name),
                at=centre,
                duty=DRAWS,
                why="The bars press on each other end to end; the dowel only keeps their lips in line.",
                fixings=(),
                glue=(GlueFace(length=DOWEL_LENGTH / 2, width=Fraction(22, 7) * diameter, end_grain=1),),
                note="butt",
                dowels=(
                    Dowel(
                        name=f"J{number}a",
                        diameter=diameter,
                        length=DOWEL_LENGTH,
                        centre=centre,
                        axis=(1, 0, 0) if level else (0, 1, 0),
                        members=(one.name, two.name),
                    ),
                ),
            )
        )
    return tuple(found)


def dowel_diameter(design: FrameDesign) -> Fraction:
    """Of the dowels across the butted bars: about a third of the thickness, as they are sold. [mm]"""
    wished = design.bar_thickness / DOWEL_SHARE
    return min(DOWELS, key=lambda diameter: (abs(diameter - wished), diameter))


def dowel_height(design: FrameDesign, screws: Iterable[Fixing]) -> Fraction:
    """Where a dowel lies off the wall: as far from screws and surfaces as it can, in whole millimetres. z. [mm]

    Args:
        design: The design.
        screws: Screws that cross the bars near the seam.
    """
    radius = dowel_diameter(design) / 2
    back, front = -design.bar_depth, -design.bevel_fall / 2
    taken = [(fixing.start[2], fixing.screw.diameter / 2) for fixing in screws]

    def room(z: Fraction) -> Fraction:
        beside = [abs(z - at) - size for at, size in taken]
        return min([z - back, front - z, *beside]) - radius

    heights = [Fraction(z) for z in range(math.ceil(back + radius), math.floor(front - radius) + 1)]
    return max(heights, key=lambda z: (room(z), z), default=back / 2)


def seam_faults(
    frame: Frame, joints: Iterable[Joint], *, style: LengthStyle, work: str, key: str
) -> tuple[Fault, ...]:
    """What stands against bolting two halves together.

    Args:
        frame: The frame as it is built.
        joints: Its joints, those of the seam among them.
        style: How lengths are shown.
        work: Name of the work.
        key: Path of the work in the batch file.
    """
    design = frame.design
    if design.seam is None:
        return ()
    every = tuple(joints)
    screws = [fixing for joint in every for fixing in joint.fixings]
    faults: list[Fault] = []
    show = style.finer().show
    low, high = design.clear_across()
    if high - low < 2 * FIRST_BOLT + 50:
        faults.append(
            Fault(
                "no-room-for-bolts",
                f"{work}: the doubled members are {show(high - low)} long between the bars; two bolts "
                f"{show(FIRST_BOLT)} from the bars need {show(2 * FIRST_BOLT + 50)}.",
                "A work this narrow goes through in one piece: leave in_halves out.",
                Where(f"{key}.inside.in_halves"),
            )
        )
    for joint in every:
        for dowel in joint.dowels:
            level = design.long_axis == "x"
            across = dowel.centre[1] if level else dowel.centre[0]
            near = _near(tuple(screws), across, design.seam, level=level)
            beside = [abs(dowel.centre[2] - fixing.start[2]) - fixing.screw.diameter / 2 for fixing in near]
            room = min([dowel.centre[2] + design.bar_depth, *beside]) - dowel.diameter / 2
            if room < DOWEL_COVER / 2:
                faults.append(
                    Fault(
                        "no-room-for-dowel",
                        f"{work}: a dowel of {show(dowel.diameter)} finds no place in the sawn ends of the "
                        f"{' and '.join(joint.members)} beside the screws of the doubled members.",
                        "Use deeper bars or shallower rails.",
                        Where(f"{key}.bars.depth"),
                    )
                )
    return tuple(faults)


def _near(screws: tuple[Fixing, ...], across: Fraction, seam: Fraction, *, level: bool) -> list[Fixing]:
    """Screws that cross a long bar where its dowel lies."""
    reach = DOWEL_LENGTH / 2 + 3
    found = []
    for fixing in screws:
        along, beside = (fixing.start[0], fixing.start[1]) if level else (fixing.start[1], fixing.start[0])
        crosses = fixing.axis[1] if level else fixing.axis[0]
        # A screw through the bar starts at its outer side, half a thickness from the dowel's line.
        if crosses and abs(along - seam) <= reach and abs(beside - across) <= 60:
            found.append(fixing)
    return found


def _middle_lines(design: FrameDesign) -> tuple[Fraction, ...]:
    """Centre lines of the middle pieces that end on the doubled members. [mm]"""
    if not design.middle_pieces:
        return ()
    middle = design.breadth / 2
    return tuple(sorted({middle, middle + design.shift}))


def _clear(
    place: Fraction, taken: tuple[Fraction, ...], half: Fraction, *, low: Fraction, high: Fraction
) -> Fraction:
    """The nearest place where no middle piece ends."""
    if all(abs(place - line) >= half for line in taken):
        return place
    edges = [line + sign * half for line in taken for sign in (-1, 1)]
    free = [edge for edge in edges if low <= edge <= high and all(abs(edge - line) >= half for line in taken)]
    return min(free, key=lambda edge: (abs(edge - place), edge), default=place)
