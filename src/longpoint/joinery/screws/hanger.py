"""The screws of hangers: driven from the back through a plate into a bar, once everything else is done."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.joint import Fixing, ScrewSize
from longpoint.joinery.screws.clash import find_clashes
from longpoint.joinery.screws.on_sale import holes_of

PLATE = Fraction(2)
"""Thickness of a hanger's plate. [mm] Estimate."""

HANGER = "hanger"
"""What a hanger's screws pass."""


def hanger_fixings(
    frame: Frame, spots: Sequence[tuple[float, float]], size: ScrewSize, *, passed: Fraction = PLATE
) -> tuple[Fixing, ...]:
    """The screws of a work's hangers in their places; spots beside every bar are left out.

    Args:
        frame: The frame as it is built.
        spots: Where each goes in, from the left and from below. [mm]
        size: The screw.
        passed: Thickness of what they hold: a plate, or a batten. [mm]
    """
    holes = holes_of(size)
    found = []
    for number, (x, y) in enumerate(spots, start=1):
        bar = bar_at(frame, x, y)
        if bar is None:
            continue
        thread = size.length - passed
        found.append(
            Fixing(
                name=f"H{number}",
                joint=HANGER,
                screw=size,
                duty="counted on for strength",
                start=(Fraction(x), Fraction(y), bar.back - passed),
                axis=(0, 0, 1),
                sunk=Fraction(0),
                through=(HANGER,),
                into=bar.name,
                passed=passed,
                thread=thread,
                grain="side grain",
                clearance_hole=holes.clearance,
                pilot_hole=holes.pilot,
                pilot_depth=thread,
                countersink=Fraction(0),
                under_canvas=False,
            )
        )
    return tuple(found)


def bar_at(frame: Frame, x: float, y: float) -> Member | None:
    """The bar behind a spot; None where none is.

    Args:
        frame: The frame as it is built.
        x: From the left. [mm]
        y: From below. [mm]
    """
    for member in frame.members:
        along, across = (x, y) if member.axis == "x" else (y, x)
        if (
            member.kind is Kind.BAR
            and member.start < along < member.stop
            and member.low < across < member.high
        ):
            return member
    return None


def meeting(fixings: Sequence[Fixing], others: Sequence[Fixing]) -> tuple[str, ...]:
    """What hangers' screws meet of the frame's own: names of the pairs and what is between them."""
    names = {fixing.name for fixing in fixings}
    return tuple(
        f"screws {clash.first} and {clash.second} are {clash.apart:.2f} mm apart"
        for clash in find_clashes([*fixings, *others])
        if {clash.first, clash.second} & names
    )
