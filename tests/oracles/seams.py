"""Seams of screws alone, and pairs of bars that slip: closed forms to hold the frame model to."""

from __future__ import annotations

import math

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.joint_stiffness import SeamStiffness, screw_slip


def screwed_seam(*, density: float, diameter: float, spacing: float, height: float) -> SeamStiffness:
    """A rail screwed along a bar, no glue.

    Args:
        density: Mean density. [kg/m³]
        diameter: Screw diameter. [mm]
        spacing: Distance from screw to screw, above 0. [mm]
        height: Height of the touching faces. [mm]

    Returns:
        The seam; parting is taken as rigid, the faces being drawn together.
    """
    if not spacing > 0:
        msg = f"the screws' spacing is {spacing:g} mm; give a distance above 0"
        raise OutOfRangeError(msg)
    slip = screw_slip(density=density, diameter=diameter) / spacing
    press = 1000.0
    return SeamStiffness(along=slip, across=press, front=slip, torsion=press * height**2 / 12)


def joined_moment(
    *,
    area: tuple[float, float],
    moment: tuple[float, float],
    apart: float,
    modulus: float,
    seam_along: float,
    span: float,
) -> float:
    """Second moment with which two members held side by side bend as one, for a half-wave of bow.

    Args:
        area: Areas of the two. [mm²]
        moment: Their own second moments. [mm⁴]
        apart: Distance of their centroids. [mm]
        modulus: Stiffness along the grain of both. [MPa]
        seam_along: Stiffness of the seam against sliding, per length. [N/mm per mm]
        span: Length of the half-wave: the free length of the pair. [mm]

    Returns:
        Second moment, between the plain sum (no seam) and that of one piece (rigid seam). [mm⁴]

    References:
        Newmark, Siess & Viest 1951; the same as EN 1995-1-1 annex B, both from memory; re-derived in the tests.
    """
    together = area[0] * area[1] / (area[0] + area[1])
    held = 1.0 / (1.0 + math.pi**2 * modulus * together / (seam_along * span**2))
    return sum(moment) + held * together * apart**2
