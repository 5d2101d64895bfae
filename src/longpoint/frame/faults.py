"""What makes a design impossible to build, said in numbers."""

from __future__ import annotations

from fractions import Fraction

from longpoint.errors import Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.members import bays_along
from longpoint.units import LengthStyle


def design_faults(
    design: FrameDesign,
    *,
    style: LengthStyle,
    key: str,
    work: str,
    width_at_45: Fraction | None = None,
    height_at_45: Fraction | None = None,
    least_gap: Fraction = Fraction(0),
) -> tuple[Fault, ...]:
    """Everything that makes a frame impossible.

    Args:
        design: The design.
        style: How lengths are shown.
        key: Path of the work in the batch file, e.g. ``work[2]``.
        work: Its name.
        width_at_45: Widest timber the saw mitres; None: not checked. [mm]
        height_at_45: Highest timber the saw mitres; None: not checked. [mm]
        least_gap: Least gap that a user's limit asks for. [mm]

    Returns:
        The faults; none means the frame can be derived.
    """
    show = style.finer().show
    faults: list[Fault] = []

    def fault(code: str, sub: str, what: str, remedy: str) -> None:
        faults.append(Fault(code, f"{work}: {what}", remedy, Where(f"{key}.{sub}")))

    for sub, side in (("width", design.width), ("height", design.height)):
        if side <= 2 * design.bar_thickness:
            fault(
                "face-too-small",
                sub,
                f"a face {show(side)} across leaves nothing between two bars of {show(design.bar_thickness)}.",
                "Make the face larger or the bars thinner.",
            )
    if design.lip_radius * 2 > min(design.bar_thickness, design.bar_depth):
        fault(
            "lip-too-round",
            "bars.lip_radius",
            f"a lip eased to a radius of {show(design.lip_radius)} leaves no lip on a bar "
            f"{show(design.bar_thickness)} × {show(design.bar_depth)}.",
            "Ease it by a few millimetres.",
        )
    if design.bevel_fall >= design.bar_depth:
        fault(
            "bevel-leaves-no-wood",
            "bars.bevel",
            f"a bevel that falls {show(design.bevel_fall)} leaves no wood of a bar {show(design.bar_depth)} deep.",
            "Let it fall a few millimetres, or use a deeper bar.",
        )
    elif design.bevel_fall * 2 > design.bar_depth:
        fault(
            "bevel-leaves-no-wood",
            "bars.bevel",
            f"a bevel that falls {show(design.bevel_fall)} takes more than half of a bar "
            f"{show(design.bar_depth)} deep.",
            "Let it fall a few millimetres, or use a deeper bar.",
        )
    if "mitre" in design.corner:
        if width_at_45 is not None and design.bar_thickness > width_at_45:
            fault(
                "saw-too-small",
                "bars.thickness",
                f"the saw mitres timber up to {show(width_at_45)} wide; these bars are "
                f"{show(design.bar_thickness)} thick.",
                "Use thinner bars or half-lapped corners, or correct shop.saw.width_at_45.",
            )
        if height_at_45 is not None and design.bar_depth > height_at_45:
            fault(
                "saw-too-small",
                "bars.depth",
                f"the saw mitres timber up to {show(height_at_45)} high; these bars stand "
                f"{show(design.bar_depth)} high.",
                "Use shallower bars or half-lapped corners, or correct shop.saw.height_at_45.",
            )
    if not design.has_rails or any(found.code == "face-too-small" for found in faults):
        return tuple(faults)
    if design.gap <= 0:
        fault(
            "rail-too-deep",
            "inside.depth",
            f"a rail {show(design.rail_depth)} deep, {show(design.drop)} in from the back edge, leaves no gap to "
            f"the canvas in a bar {show(design.bar_depth)} deep.",
            f"Use a rail at most {show(max(design.bar_depth - design.drop - 8, Fraction(1)))} deep, "
            "a smaller drop or a deeper bar.",
        )
    elif design.gap < least_gap:
        fault(
            "gap-too-small",
            "inside.depth",
            f"the gap between rails and canvas is {show(design.gap)}; the limit is {show(least_gap)}.",
            "Use a shallower rail, a smaller drop or a deeper bar.",
        )
    faults += _room_inside(design, show=show, key=key, work=work)
    return tuple(faults)


def _room_inside(design: FrameDesign, *, show: object, key: str, work: str) -> list[Fault]:
    assert callable(show)
    faults: list[Fault] = []

    def fault(code: str, sub: str, what: str, remedy: str) -> None:
        faults.append(Fault(code, f"{work}: {what}", remedy, Where(f"{key}.{sub}")))

    low, high = design.clear_along()
    across_low, across_high = design.clear_across()
    if across_high - across_low <= 0 or high - low <= 0:
        fault(
            "no-room-inside",
            "inside.end_rails",
            "bars and end rails leave nothing between them.",
            "Leave the end rails out, or use thinner timber.",
        )
        return faults
    half = design.rail_thickness / 2
    bays = [stop - start for start, stop in bays_along(design)]
    if any(bay < 0 for bay in bays):
        fault(
            "rail-outside",
            "inside.cross_rails",
            f"cross rails of {show(design.rail_thickness)} at "
            f"{', '.join(show(centre) for centre in design.cross_rails)} do not all fit side by side between "
            f"{show(low)} and {show(high)}.",
            "Give centre lines from the left or lower outer corner, in rising order, or a number of rails.",
        )
    elif design.cross_rails and min(bays) < design.rail_thickness:
        fault(
            "bay-too-narrow",
            "inside.cross_rails",
            f"a bay of {show(min(bays))} is narrower than a rail of {show(design.rail_thickness)}.",
            "Use fewer cross rails or thinner rails.",
        )
    if design.middle_pieces and not design.halved and len(design.cross_rails) >= 1:
        reach = design.breadth / 2 + design.shift + half
        if reach > across_high:
            fault(
                "shift-leaves-no-room",
                "inside.shift",
                f"a middle piece moved {show(design.shift)} sideways leaves the inside, which is "
                f"{show(across_high - across_low)} across.",
                "Make the shift smaller, or leave the middle pieces out.",
            )
    if design.middle_pieces and across_high - across_low < 3 * design.rail_thickness:
        fault(
            "rail-wider-than-bay",
            "inside.thickness",
            f"a line of middle pieces {show(design.rail_thickness)} thick does not fit an inside "
            f"{show(across_high - across_low)} across.",
            "Leave the middle pieces out, or use thinner rails.",
        )
    return faults
