"""Where two halves of a frame are bolted together: what holds there, how stiffly, and how much of it.

Two rails lie face to face, one in each half, bolts through both. The long bars are sawn through and butted there: their
ends press on each other near the lip, where the canvas pulls, and may turn about that place freely, in the canvas plane
and off the wall; nor do they stop one another from rolling. A dowel across the butt keeps the lips in line. All that
would turn one half against the other therefore goes through the bolts.

That asks for ends that meet at the lip: where they meet at the back instead and gape in front, the canvas closes the
gap first, and the frame kinks to the wall.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.frame_parts import Hold
from longpoint.strength.beams.joint_stiffness import RIGID_SLIP, JointStiffness, screw_slip

NOTHING = 1.0
"""Stiffness of what does not hold: nothing a bar can feel. [N/mm, N mm/rad]"""

PRESSED = 1.5
"""Middle of the pressure between butted ends, behind the eased lip. [mm] Estimate: end grain pressed over three times
that, most in front, bears some 120 N of thrust on 20 mm of thickness with a tenth of its strength."""

WASHER = 3.0
"""Diameter of a washer over its bolt's: large ones for M6 are 18 mm wide (EN ISO 7093-1, read). [1]"""

WASHER_PLAY = 0.4
"""Hole of a washer beyond its bolt: 6.4 mm for M6 (EN ISO 7093-1, read). [mm]"""

SPREAD = 2.0
"""Wood at work under a washer, over the washer's own area. [1] Estimate."""

WASHER_BEARS = 3.0
"""Strength across the grain under a washer over the plain one: EN 1995-1-1 8.5.2 (2) (read). [1]"""

DRY_DOWEL = 0.5
"""Stiffness of a dowel in end grain, dry in one half, over one between side grains. [1] Estimate."""


def washer_area(bolt: float) -> float:
    """Area of a washer less its hole. [mm²]"""
    return pi / 4 * ((WASHER * bolt) ** 2 - (bolt + WASHER_PLAY) ** 2)


def bolt_springs(
    *, bolt: float, thickness: float, depth: float, modulus_across: float, density: float
) -> JointStiffness:
    """Springs of one bolt through two rails that lie face to face, in the rails' axes (along, across, front).

    Pulled apart, wood gives under both washers; slid, the bolt gives as a bolt does; rolled about the rails' own
    length, the faces press at one edge and the bolt pulls, at a third of the depth from each other (estimate, as for
    screws one above the other). Play of the holes is left out: bolts are tightened until the faces lie together.

    Args:
        bolt: Diameter, above 0. [mm]
        thickness: Of one rail, above 0. [mm]
        depth: Of the rails. [mm]
        modulus_across: Stiffness of the rails' wood across the grain. [MPa]
        density: Of the rails' wood. [kg/m³]

    Raises:
        OutOfRangeError: If a size or a stiffness is not above 0.

    References:
        Sliding: EN 1995-1-1 Table 7.1, K_ser = ρ^1.5 d / 23.
    """
    if not min(bolt, thickness, depth, modulus_across) > 0:
        msg = "bolt, thickness, depth and stiffness across the grain must be above 0"
        raise OutOfRangeError(msg)
    pull = modulus_across * SPREAD * washer_area(bolt) / thickness / 2
    slide = screw_slip(density=density, diameter=bolt)
    rim = WASHER * bolt / 3
    return JointStiffness(
        in_plane=pull * rim**2,
        out_of_plane=slide * rim**2,
        torsion=pull * (depth / 3) ** 2,
        slip=(slide, pull, slide),
    )


def butt_holds(*, dowel: float, density: float, lip: float, eased: float) -> tuple[Hold, ...]:
    """What holds a long bar that is sawn through and butted: its ends press near the lip, a dowel keeps them in line.

    The canvas pulls in front of everything else, so the ends press in front and would part at the back: they turn
    about a place `PRESSED` behind it, and only the bolts hold against it.

    Args:
        dowel: Diameter, above 0. [mm]
        density: Of the bars' wood. [kg/m³]
        lip: The lip in front of the bar's node line. [mm]
        eased: How far the lip is rounded. [mm]
    """
    slide = DRY_DOWEL * screw_slip(density=density, diameter=dowel)
    turns = {"in_plane": 0.0, "out_of_plane": NOTHING, "torsion": NOTHING}
    return (
        Hold(stiffness=JointStiffness(slip=(NOTHING, slide, slide), **turns)),
        Hold(
            stiffness=JointStiffness(slip=(RIGID_SLIP, NOTHING, NOTHING), **turns),
            front=lip - eased - PRESSED,
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamFace:
    """The seam of a frame in two halves, as its verdicts need it.

    Attributes:
        rails: Names of the two rails that lie face to face.
        butts: Which breaks of the frame are the two butted bars.
        parts: +1 or −1: sign of a bolt's force across the second rail that stretches the bolt.
        corners: Corners of a long bar's section from its node line (across, front); the first is the lip. [mm]
        lever: From a bolt to the edge of the rails that presses. [mm]
        behind: From the lip back to the bolts. [mm]
        pull_bears: What wood under one bolt's washers bears, for the peak while stretching. [N]
        shear_bears: What one bolt bears sideways. [N]
    """

    rails: tuple[str, str]
    butts: tuple[int, ...]
    parts: float
    corners: tuple[tuple[float, float], ...]
    lever: float
    behind: float
    pull_bears: float
    shear_bears: float
