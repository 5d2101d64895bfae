"""What a finished work weighs and where its weight acts.

Axes as everywhere, but the place is counted from the middle of the face: right, up, and out of the wall from the lips,
so behind the canvas is below 0. Screws, glue, bolts and turned-over cloth are left out of the place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.beams.pieces import FramePieces
from longpoint.strength.membrane.solve import Cloth


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """Timber and cloth of one work together.

    Attributes:
        timber: [kg]
        cloth: With what is on it. [kg]
        place: Centre of gravity from the middle of the face: right, up, out of the wall. [mm]
    """

    timber: float
    cloth: float
    place: tuple[float, float, float]

    @property
    def mass(self) -> float:
        """Of both. [kg]"""
        return self.timber + self.cloth


def weight_of(pieces: FramePieces, *, cloth: Cloth, width: float, height: float) -> Weight:
    """Mass and centre of gravity of a frame with its canvas.

    A member weighs its section times the length of its middle line, which is exact for a mitred ring of bars and for
    square-cut rails.

    Args:
        pieces: The frame.
        cloth: In service.
        width: Of the face. [mm]
        height: [mm]
    """
    masses, places = [], []
    for member in pieces.members:
        masses.append(member.section.area * member.length * member.timber.density * 1e-9)
        line = member.section.centroid if member.line is None else member.line
        off = np.subtract(member.section.centroid, line)
        places.append(member.point(member.length / 2) + off @ member.triad()[1:])
    timber = float(sum(masses))
    face = cloth.areal_mass * width * height
    moment = np.array(masses) @ np.array(places) + face * np.array([width / 2, height / 2, 0.0])
    at = moment / (timber + face) - [width / 2, height / 2, 0.0]
    return Weight(timber=timber, cloth=face, place=(float(at[0]), float(at[1]), float(at[2])))
