"""The mitre's own geometry: short point, face, and what an angle error does to it."""

from __future__ import annotations

import math

from longpoint.errors import OutOfRangeError


def short_point(*, long_point: int, mitre_width: int) -> int:
    """Length of a bar at its inner side, both ends mitred at 45 degrees.

    Args:
        long_point: Length at the outer side. [nm]
        mitre_width: Size in the mitre plane. [nm]

    Returns:
        Length at the inner side. [nm]

    Raises:
        OutOfRangeError: If the two mitres would meet.
    """
    if long_point < 2 * mitre_width:
        msg = f"two mitres of {mitre_width} nm meet on a bar of {long_point} nm"
        raise OutOfRangeError(msg)
    return long_point - 2 * mitre_width


def mitre_face(*, mitre_width: float) -> float:
    """Length of the sawn face of a 45 degree mitre.

    Args:
        mitre_width: Size in the mitre plane. [mm]

    Returns:
        Length along the face. [mm]
    """
    return mitre_width * math.sqrt(2.0)


def mitre_gap(*, mitre_width: float, angle_error: float) -> float:
    """How far a corner stands open when each of its two cuts is off by the same angle the same way.

    Args:
        mitre_width: Size in the mitre plane. [mm]
        angle_error: Error of one cut. [rad]

    Returns:
        Gap at the open end of the mitre. [mm]
    """
    return 2.0 * mitre_face(mitre_width=mitre_width) * math.tan(abs(angle_error))
