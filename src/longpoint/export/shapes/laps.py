"""What a half-lap takes out of a bar at its corners: short bars keep the back half, long ones the front."""

from __future__ import annotations

from typing import TypeAlias

from longpoint.frame import FrameDesign, Kind, Member
from longpoint.frame.profile import lap_kept

Corner: TypeAlias = tuple[float, float, float]

_OVER = 1.0
"""How far a cut reaches past the wood, so that no skin of it stays. [mm]"""


def lap_boxes(member: Member, design: FrameDesign) -> tuple[tuple[Corner, Corner], ...]:
    """Boxes to be cut out of a bar: (low corner, high corner) in the frame's axes. [mm]

    Args:
        member: A member as it is built.
        design: The design.
    """
    if member.kind is not Kind.BAR or design.corner != "half-lap":
        return ()
    middle = float(member.back + member.front) / 2
    low, high = (
        (float(member.back) - _OVER, middle)
        if lap_kept(design, level=member.axis == "x") == "front"
        else (middle, float(member.front) + _OVER)
    )
    lap = float(design.bar_thickness)
    full = design.width if member.axis == "x" else design.height
    spans = []
    if member.start == 0:
        spans.append((-_OVER, lap))
    if member.stop == full:
        spans.append((float(full) - lap, float(full) + _OVER))
    across = (float(member.low) - _OVER, float(member.high) + _OVER)
    return tuple(
        ((a, across[0], low), (b, across[1], high))
        if member.axis == "x"
        else ((across[0], a, low), (across[1], b, high))
        for a, b in spans
    )
