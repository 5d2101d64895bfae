"""What is left of a member's section where wood is taken out of it, and the stress there.

The net section: what is bored, notched or let in is deducted from the section, and bending and thrust are held by the
rest about its own centroid (EN 1995-1-1 5.2, from memory: reduced sections count in the member's strength, holes of
thin screws only where nothing is bored for them; NDS 3.1.2, from memory: all that boring and notching removes). What
fills the hole afterwards is not counted. Stiffness is left as it is: see `Weakening`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely

from longpoint.strength.answer import MemberForces
from longpoint.strength.beams.section import Section, polygon_moments

Box = tuple[float, float, float, float]
"""What is taken out: across from and to, front from and to, in the section's own coordinates. [mm]"""


@dataclass(frozen=True, slots=True)
class NetSection:
    """What is left of a section.

    Attributes:
        area: [mm²]
        moment_across: Second moment ∫ across² dA about its own centroid. [mm⁴]
        moment_front: Second moment ∫ front² dA about its own centroid. [mm⁴]
        far_across: From its centroid to the farthest fibre. [mm]
        far_front: [mm]
        shift: Its centroid beside that of the whole section, across and front. [mm]
        share: Its area over that of the whole. [1]
    """

    area: float
    moment_across: float
    moment_front: float
    far_across: float
    far_front: float
    shift: tuple[float, float]
    share: float


@dataclass(frozen=True, slots=True)
class Weakening:
    """A place of a member where wood is taken out.

    It changes what the member bears, not how it moves: over the few millimetres of a hole the bar bends more, which
    adds its length over the bar's to the movement, under one part in a hundred for the holes and notches made here.

    Attributes:
        member: The member.
        at: Distance from its start. [mm]
        left: What is left of its section.
    """

    member: str
    at: float
    left: NetSection


def net_section(section: Section, boxes: Sequence[Box]) -> NetSection | None:
    """What is left of a section.

    Args:
        section: The whole.
        boxes: What is taken out; beyond the section's edges it takes nothing.

    Returns:
        What is left; None where nothing is taken out, or nothing left.
    """
    return _net_section(section, tuple(sorted(boxes)))


@lru_cache(maxsize=2048)
def _net_section(section: Section, boxes: tuple[Box, ...]) -> NetSection | None:
    whole = shapely.Polygon(section.outline)
    gone = shapely.union_all([shapely.box(a, f, b, g) for a, b, f, g in boxes])
    rest = shapely.difference(whole, gone)
    if rest.is_empty or whole.area - rest.area < 1e-6:
        return None
    area, first, second = 0.0, np.zeros(2), np.zeros(2)
    for polygon in shapely.get_parts(rest):
        for ring, sign in ((polygon.exterior, 1.0), *((hole, -1.0) for hole in polygon.interiors)):
            corners = np.asarray(shapely.LinearRing(ring).normalize().coords)[:-1]
            corners = corners if shapely.is_ccw(ring.normalize()) else corners[::-1]
            a, centre, (across, front, _) = polygon_moments(corners)
            area += sign * a
            first += sign * a * np.asarray(centre)
            second += sign * (np.array([across, front]) + a * np.square(centre))
    centroid = first / area
    moments = second - area * centroid**2
    far = np.abs(shapely.get_coordinates(rest) - centroid).max(axis=0)
    shift = centroid - np.asarray(section.centroid)
    return NetSection(
        area=area,
        moment_across=float(moments[0]),
        moment_front=float(moments[1]),
        far_across=float(far[0]),
        far_front=float(far[1]),
        shift=(float(shift[0]), float(shift[1])),
        share=area / section.area,
    )


def net_stress(place: Weakening, forces: MemberForces) -> float:
    """Greatest stress in what is left of a member: thrust and bending both ways, added up.

    Thrust runs along the middle of the whole member: beside it, what is left is bent by it too.

    Args:
        place: The place.
        forces: Of the member.

    Returns:
        The stress. [MPa]
    """
    left, at = place.left, place.at
    starts, stops = forces.places.T
    worst = 0.0
    for i in np.flatnonzero((starts <= at + 1e-6) & (stops >= at - 1e-6)):
        share = min(max((at - starts[i]) / (stops[i] - starts[i]), 0.0), 1.0)

        def there(values: np.ndarray, i: int = int(i), share: float = float(share)) -> float:
            return float((1 - share) * values[i, 0] + share * values[i, 1])

        axial = there(forces.axial)
        in_plane = there(forces.moment_in_plane) + axial * left.shift[0]
        front = there(forces.moment_front) + axial * left.shift[1]
        stress = (
            abs(axial) / left.area
            + abs(in_plane) * left.far_across / left.moment_across
            + abs(front) * left.far_front / left.moment_front
        )
        worst = max(worst, stress)
    return worst
