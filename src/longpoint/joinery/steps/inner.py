"""Steps of the inside: end rails, the last squaring, cross rails, middle pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.order.placement import Placement
from longpoint.joinery.steps.closing import one_by_one
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import (
    CHECK_MINUTES,
    CLOSE_MINUTES,
    CUT_MINUTES,
    DRIVE_MINUTES,
    Telling,
    glue_facts,
)

_PULLED = (JointKind.RAIL_END, JointKind.THROUGH_TWO)


def end_rails(
    told: Telling,
    placements: Sequence[Placement],
    before: tuple[str, ...],
    there: tuple[str, ...],
    *,
    squared: bool,
) -> list[Step]:
    """End rails: cut, glued, then squared with their last screws."""
    design = told.design
    names = tuple(name for placement in placements for name in placement.members)
    driven = tuple(name for placement in placements for name in placement.driven)
    joints = [told.joint_of[each] for each in told.joints_of(driven)]
    last = tuple(name for name in driven if told.joint_of[told.fixings[name].joint].kind in _PULLED)
    first = tuple(name for name in driven if name not in last)
    worst = max(
        (
            spread_minutes(joint) + CLOSE_MINUTES + DRIVE_MINUTES * len(joint.fixings)
            for joint in joints
            if joint.kind is JointKind.ALONG
        ),
        default=0.0,
    )
    clock = told.clock(worst, "rails-last-screw")
    boring, holes, minutes = told.boring(names)
    cut = replace(
        told.step("cut-end-rails", "FACE DOWN", before, members=names),
        facts=(told.planned(names, longest_first=True), *holes),
        measure="cut-end-rails.planned",
        do=("cut-end-rails.same", *boring),
        minutes=CUT_MINUTES * len(names) + minutes,
    )
    glued = replace(
        told.step("end-rails", "FACE DOWN", there, members=names),
        screws=first,
        joints=tuple(joint.name for joint in joints),
        facts=(
            ("drop", told.fine(design.drop)),
            ("packer", told.fine(design.gap)),
            ("screws along each", str(len(first) // max(len(names), 1))),
            *glue_facts(clock),
        ),
        do=("end-rails.glue", "end-rails.drive", "end-rails.leave-out"),
        check=("end-rails.wipe",),
        caution=("end-rails.clamp" if clock.holds else "end-rails.late",),
        clock=clock,
        minutes=round(sum(spread_minutes(joint) for joint in joints) + DRIVE_MINUTES * len(first), 1),
    )
    square = replace(
        told.step("square", "FACE DOWN", there),
        screws=last,
        joints=told.joints_of(last),
        facts=(("sets", f"{told.needs.set_minutes:.0f}"),),
        do=(
            "square.diagonals" if design.seam is None else told.square_check("push"),
            "square.wind",
            "square.screws",
        ),
        measure="square.measure",
        check=("square.last", *(() if squared else ("square.not-closed",))),
        meanwhile="square.meanwhile",
        minutes=round(2 * CHECK_MINUTES + DRIVE_MINUTES * len(last), 1),
    )
    return [cut, glued, square]


def cross_rails(told: Telling, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
    """Cross rails, cut to one length, then one after another."""
    names = tuple(name for placement in placements for name in placement.members)
    rails = tuple(name for name in names if told.frame.named(name).kind is Kind.CROSS_RAIL)
    boring, holes, minutes = told.boring(rails)
    cut = replace(
        told.step("cut-cross-rails", "FACE DOWN", there[: -len(names)], members=rails),
        facts=(told.planned(rails, longest_first=False), *holes),
        measure=f"cut-cross-rails.planned{'' if told.design.end_rails else '-bare'}",
        do=("cut-cross-rails.clamp", *boring),
        minutes=CUT_MINUTES * len(rails) + 2.0 + minutes,
    )
    return [cut, *one_by_one(told, placements, there)]


def middle_pieces(
    told: Telling, placements: Sequence[Placement], there: tuple[str, ...], *, first: bool
) -> list[Step]:
    """Middle pieces, one after another; the centre line before the first."""
    found = one_by_one(told, placements, there)
    if not first:
        return found
    gone = {name for placement in placements for name in placement.members}
    line = replace(
        told.step("centre-line", "FACE DOWN", tuple(name for name in there if name not in gone)),
        facts=(("middle", told.show(told.design.breadth / 2)),),
        do=("centre-line.snap",),
        measure="centre-line.lies",
        minutes=3.0,
    )
    return [line, *found]
