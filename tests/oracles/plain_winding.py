"""The tension at which a plain frame of equal bars winds itself up: a closed form."""

from __future__ import annotations


def equal_bars_critical_tension(
    *, width: float, height: float, torsion: float, corners_rigid_in_plane: bool
) -> float:
    """Critical tension of four equal bars stiff but for torsion: a check, and an upper bound for such frames.

    Corners lifted ±h make a skew quadrilateral of unchanged sides; the canvas loses area, the bars twist.

    Args:
        width: Along x, axis to axis. [mm]
        height: Along y. [mm]
        torsion: G J of a bar. [N mm²]
        corners_rigid_in_plane: True where corners keep their angle in the canvas plane.

    Returns:
        Tension, equal both ways. [N/mm]
    """
    w, h = width, height
    if corners_rigid_in_plane:
        return 12 * torsion * (w + h) / (w * h) ** 2
    return 12 * torsion * (w + h) / (w * h * (w * w + h * h))
