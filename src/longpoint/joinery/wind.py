"""Wind turned round: the lift of one corner on a flat bench in, what it means and how far to pack out.

A frame in wind touches a flat bench with three corners. The twist is one number, lift = z₁ − z₂ + z₃ − z₄ round the
corners, whatever three of them lie down; corners stand ± a quarter of it off the plane that fits best.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from longpoint.errors import Fault, FaultsError, Where
from longpoint.joinery.square import FINE, Corner
from longpoint.tables.limits import limit
from longpoint.units import LengthStyle

Glue = Literal["open", "setting", "set"]

OVER = {"open": 0.0, "setting": 0.5, "set": 0.0}
"""Share of the wind by which it is twisted past flat while the glue gives: what it springs back; estimate."""

NEIGHBOURS: dict[Corner, tuple[Corner, Corner, Corner]] = {
    "bottom left": ("bottom right", "top left", "top right"),
    "bottom right": ("bottom left", "top right", "top left"),
    "top right": ("top left", "bottom right", "bottom left"),
    "top left": ("top right", "bottom left", "bottom right"),
}
"""For each corner its two neighbours and the one opposite."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WindAnswer:
    """What a lifted corner means.

    Attributes:
        verdict: accept, clamp (while the glue gives) or live with it (after).
        lift: Of the corner. [mm]
        limit: That is accepted. [mm]
        limit_source: Where the limit comes from.
        off_plane: How far every corner stands off the plane that fits best. [mm]
        between_bars: Angle between the two upright bars, sighted over each other. [rad]
        per_metre: Twist per metre of the frame's width. [rad/m]
        off_wall: How far one lower corner stands off the wall while the other touches. [mm]
        pack: Packing under each neighbour of the lifted corner, while that and the opposite one are clamped
            down. [mm]
        pad: Pad behind the lower corner that stands off, where it is too late. [mm]
        said: The answer in sentences.
    """

    verdict: Literal["accept", "clamp", "live with it"]
    lift: float
    limit: float
    limit_source: str
    off_plane: float
    between_bars: float
    per_metre: float
    off_wall: float
    pack: float
    pad: float
    said: tuple[str, ...]


def check_wind(
    *,
    width: float,
    height: float,
    lift: float,
    corner: Corner = "top right",
    glue: Glue = "setting",
    accepted: float | None = None,
    style: LengthStyle = FINE,
) -> WindAnswer:
    """What the lift of one corner means.

    Args:
        width: Of the frame. [mm]
        height: Of the frame. [mm]
        lift: Of the corner, when the other three lie on a flat bench; 0 or more. [mm]
        corner: The corner that lifts, as seen.
        glue: Whether the glue is open, setting or set.
        accepted: Lift that is accepted; None: the table's limit. [mm]
        style: How lengths are said.

    Returns:
        The answer.

    Raises:
        FaultsError: If the measures cannot be.
    """
    show = style.show
    faults = [
        Fault("not-a-measure", f"{name} reads {value:g} mm.", "Measure it again.", Where(name))
        for name, value in (("width", width), ("height", height))
        if not (math.isfinite(value) and value > 0.0)
    ]
    if not (math.isfinite(lift) and lift >= 0.0):
        faults.append(
            Fault(
                "not-a-measure",
                f"a lift of {lift:g} mm cannot be.",
                "Measure upwards from the bench.",
                Where("lift"),
            )
        )
    elif not faults and lift > min(width, height) / 4.0:
        faults.append(
            Fault(
                "lift-impossible",
                f"a corner {show(lift)} above the bench would be a quarter of the frame's shorter side or more.",
                "Check that three corners lie down, and the unit.",
                Where("lift"),
            )
        )
    if faults:
        raise FaultsError(faults)
    row = limit("wind")
    allowed = row.value if accepted is None else accepted
    source = str(row.source) if accepted is None else "as you stated"
    over = OVER[glue]
    if lift <= allowed:
        verdict: Literal["accept", "clamp", "live with it"] = "accept"
    else:
        verdict = "live with it" if glue == "set" else "clamp"
    answer = WindAnswer(
        verdict=verdict,
        lift=lift,
        limit=allowed,
        limit_source=source,
        off_plane=lift / 4.0,
        # The far bar is turned against the near one by the lift over their length.
        between_bars=math.atan2(lift, height),
        per_metre=math.atan2(lift, height) / (width / 1000.0),
        off_wall=lift,
        # Clamped so, the corners read −2·pack: flat, and past it by the share that springs back.
        pack=over * lift / 2.0 if verdict == "clamp" else 0.0,
        pad=lift if verdict == "live with it" else 0.0,
        said=(),
    )
    return replace(answer, said=_said(answer, corner, style))


def lift_of(*, corners: tuple[float, float, float, float]) -> float:
    """The wind of four heights, given round the frame: what one corner lifts when the other three lie down. [mm]"""
    return corners[0] - corners[1] + corners[2] - corners[3]


def _said(answer: WindAnswer, corner: Corner, style: LengthStyle) -> tuple[str, ...]:
    show = style.show
    first, second, opposite = NEIGHBOURS[corner]
    means = (
        f"{show(answer.lift)} at one corner is {show(answer.off_plane)} at each corner off the plane that fits "
        f"best; the two uprights are {math.degrees(answer.between_bars):.2f}° out of parallel."
    )
    wall = (
        f"On the wall, hung from two points at the top, one lower corner touches and the other stands off "
        f"{show(answer.off_wall)}: it rocks when touched."
    )
    if answer.verdict == "accept":
        return (means, f"That is within {show(answer.limit)} ({answer.limit_source}). Leave it.")
    if answer.verdict == "clamp":
        if answer.pack > 0.0:
            how = (
                f"While the glue gives: pack {show(answer.pack)} under the {first} and the {second} corner, and "
                f"clamp the {corner} and the {opposite} corner down to the bench until it has set. That twists it past "
                "flat by what it springs back (half the wind: an estimate); release, measure, repeat."
            )
        else:
            how = (
                f"The glue is open: clamp all four corners flat to the bench, the {corner} one last, with no packing, "
                "and leave it until the glue has set."
            )
        return (means, wall, how)
    return (
        means,
        wall,
        f"The glue has set: nothing takes it out for good. On the wall put a pad of {show(answer.pad)} behind the "
        "lower corner that stands off; end rails and rails both ways keep it from growing under the canvas.",
    )
