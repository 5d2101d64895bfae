"""Steps of the outer frame: bow, holes, corners, wind, turning over, gussets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.halves import extent_of
from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.order.placement import Placement
from longpoint.joinery.order.reach import bench_lift
from longpoint.joinery.steps.closing import closing, make_up
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import (
    BORE_MINUTES,
    CHECK_MINUTES,
    CLOSE_MINUTES,
    DRIVE_MINUTES,
    MARK_MINUTES,
    PULL_UP_MINUTES,
    TURN_MINUTES,
    TWO_PEOPLE_FROM,
    Facts,
    Telling,
    glue_facts,
)

_ON_THE_LINE = frozenset((JointKind.RAIL_END, JointKind.THROUGH_TWO, JointKind.TO_RAIL))
_CORNERS = frozenset(
    (JointKind.MITRE, JointKind.GUSSET, JointKind.GLUE_BLOCK, JointKind.HALF_LAP, JointKind.KEYED)
)
_INSIDE_CORNER = 300
"""Length of the straight offcuts that hold a mitre while it is bored. [mm] Common practice, no published source."""

_FLOOR = 1200
"""Free floor that turning over takes beyond the frame's own size. [mm] Estimate."""


def preparing(told: Telling) -> list[Step]:
    """Before anything is glued: the bow of the bars, and the holes."""
    bars = tuple(member.name for member in told.frame.of_kind(Kind.BAR))
    bow = replace(
        told.step("bow", "APART", (), members=bars),
        do=("bow.sight", "bow.outwards"),
        caution=("bow.not-for-a-bar",),
        minutes=2.0 * len(bars),
    )
    if not told.needs.holes:
        return [bow]
    design = told.design
    facts: Facts = [("holes", str(len(told.needs.holes)))]
    do = ["holes.tape"]
    if design.has_rails:
        facts += [
            ("hole line from the back edge", told.fine(design.drop + design.rail_depth / 2)),
            ("drop", told.fine(design.drop)),
            ("rail", told.fine(design.rail_depth)),
        ]
        do.append("holes.gauge")
    off = [fixing for fixing in told.fixings.values() if fixing.off_depth]
    off = [fixing for fixing in off if told.joint_of[fixing.joint].kind in _ON_THE_LINE]
    if off:
        names = {fixing.name for fixing in off}
        found = {
            f"{mark.part} {told.show(mark.at)}": None
            for mark in told.needs.holes
            if mark.fixing in names and mark.purpose == "clearance hole" and mark.part
        }
        facts.append(("off the line", "; ".join(found)))
        do.append("holes.off-the-line")
    do.append("holes.bore")
    clear = [mark for mark in told.needs.holes if mark.purpose == "clearance hole" and mark.member in bars]
    holes = replace(
        told.step("holes", "APART", ()),
        members=tuple(dict.fromkeys(mark.member for mark in clear)),
        parts=tuple(dict.fromkeys(mark.part for mark in clear if mark.part)),
        facts=tuple(facts),
        do=tuple(do),
        check=("holes.side-by-side",),
        caution=("any.bore-over-waste",),
        minutes=(MARK_MINUTES + BORE_MINUTES) * len(clear),
    )
    return [bow, holes]


def corners(
    told: Telling,
    placements: Sequence[Placement],
    before: tuple[str, ...],
    there: tuple[str, ...],
    *,
    leave: Sequence[str],
) -> list[Step]:
    """The corners: dry, then glued; keyed ones only put together."""
    names = tuple(name for placement in placements for name in placement.members)
    driven = tuple(name for placement in placements for name in placement.driven if name not in leave)
    closed = [
        joint
        for joint in told.needs.joints
        if joint.kind in _CORNERS
        and set(joint.members) <= set(there)
        and not set(joint.members) <= set(before)
    ]
    if told.design.corner == "keyed mitre":
        keyed = replace(
            told.step("corners-keyed", "FACE UP", there, members=names),
            joints=tuple(joint.name for joint in closed),
            do=("corners-keyed.push", "corners-keyed.no-glue"),
            check=(told.square_check("push"),),
            minutes=8.0,
        )
        return [keyed]
    dry = replace(
        told.step("dry", "FACE UP", there, members=names),
        screws=driven,
        facts=(("offcuts", told.show(_INSIDE_CORNER)),),
        do=("dry.lay", "dry.hold", "dry.drive", "dry.look", "dry.back-off", "any.screws"),
        check=("dry.card",),
        caution=("dry.then-quick",),
        minutes=DRIVE_MINUTES * len(driven) * 1.5 + 2.0 * len(closed),
    )
    spread = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in closed)
    clock = told.clock(spread + PULL_UP_MINUTES * len(driven) + CHECK_MINUTES, "equal-diagonals")
    rails = bool(told.frame.of_kind(Kind.END_RAIL))
    glued = replace(
        told.step("corners", "FACE UP", there, members=names),
        screws=driven,
        joints=tuple(dict.fromkeys((*(joint.name for joint in closed), *told.joints_of(driven)))),
        facts=(("corners", str(len(closed))), *glue_facts(clock)),
        do=("corners.brush", "corners.close", "corners.wipe"),
        check=(told.square_check("nip-up"),),
        caution=("corners.over-tight" if clock.holds else "any.late-glue",),
        meanwhile="corners.then-rails" if rails else "corners.then-heads",
        clock=clock,
        minutes=clock.minutes,
    )
    return [dry, glued]


def late_screws(told: Telling, placements: Sequence[Placement]) -> list[str]:
    """Screws that are driven from the back, so after turning over."""
    fixings = (told.fixings[name] for placement in placements for name in placement.driven)
    return [fixing.name for fixing in fixings if fixing.axis[2] and "gusset" in fixing.through]


def wind(told: Telling, there: tuple[str, ...]) -> Step:
    """For frames without end rails: while the corners' glue still gives."""
    return replace(
        told.step("wind", "FACE UP", there),
        facts=(("sets", f"{told.needs.set_minutes:.0f}"),),
        do=("wind.rock", "wind.pack"),
        measure="wind.lift",
        check=("wind.afterwards",),
        meanwhile="wind.meanwhile",
        minutes=CHECK_MINUTES + 1.0,
    )


def turn_over(told: Telling, *, there: tuple[str, ...]) -> Step:
    """Turning the frame face down."""
    width, height = extent_of(told.frame)
    people = 2 if max(width, height) >= TWO_PEOPLE_FROM else 1
    inner = [fixing for fixing in told.fixings.values() if not fixing.under_canvas and not fixing.axis[2]]
    lift = bench_lift(inner, drill=told.needs.drill)
    facts: Facts = [
        ("people", str(people)),
        ("floor", f"{told.show(width + _FLOOR)} × {told.show(height + _FLOOR)}"),
    ]
    do = ["turn-over.two" if people == 2 else "turn-over.one", "turn-over.left-is-right"]
    if lift > 0:
        facts.append(("battens", told.fine(lift)))
        do.append("turn-over.battens")
    more = ("turn-over.second",) if people > told.needs.people else ()
    return replace(
        told.step("turn-over", "FACE DOWN", there),
        facts=tuple(facts),
        do=tuple(do),
        measure="turn-over.inside",
        caution=("turn-over.lift", *more, "turn-over.floor"),
        minutes=TURN_MINUTES,
        people=people,
    )


def gussets(told: Telling, screws: tuple[str, ...], there: tuple[str, ...]) -> Step:
    """Gussets, on the back."""
    joints = told.joints_of(screws)
    return replace(
        told.step("gussets", "FACE DOWN", there),
        screws=screws,
        joints=joints,
        do=("gussets.spread", "gussets.drive"),
        check=("gussets.diagonals",),
        caution=("gussets.inside",),
        minutes=DRIVE_MINUTES * len(screws) + 1.5 * len(joints),
    )


def late_bars(told: Telling, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
    """Bars that go on after parts of the inside."""
    found: list[Step] = []
    for index, placement in enumerate(placements):
        later = {name for each in placements[index + 1 :] for name in each.members}
        now = tuple(name for name in there if name not in later)
        if placement.made_up:
            found.append(make_up(told, placement, tuple(n for n in now if n not in placement.members)))
        put_on = closing(told, placement, now, "bar-late")
        found.append(replace(put_on, caution=("bar-late.why",), check=(told.square_check("nip-up"),)))
    return found
