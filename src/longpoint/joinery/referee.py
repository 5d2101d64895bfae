"""Checks a build plan from scratch, knowing only the frame and the drill.

It does not ask how the plan was made: it samples every screw's surface and looks whether wood is there, compares
every pair of screws, plays the order of building forwards, and counts.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.frame.halves import as_built, half_frames
from longpoint.frame.joins import plates_of
from longpoint.frame.members import Frame, Kind
from longpoint.frame.profile import lip_flat
from longpoint.joinery.joints.corner_pieces import corner_pieces, overlaps_of
from longpoint.joinery.joints.joint import Fixing
from longpoint.joinery.order.assembly import Assembly, joints_within
from longpoint.joinery.order.check import order_problems
from longpoint.joinery.order.solid import Prism, solids_of
from longpoint.joinery.plan import BuildPlan
from longpoint.joinery.referee_seam import seam_problems
from longpoint.joinery.screws.clash import find_clashes
from longpoint.joinery.screws.hanger import meeting
from longpoint.model.shop import Drill

SAMPLES_ALONG = 24
SAMPLES_ROUND = 8
TOUCH = 1e-6


def check_build_plan(frame: Frame, plan: BuildPlan, *, drill: Drill) -> tuple[str, ...]:
    """Everything wrong with a build plan.

    Args:
        frame: The frame it is for, its bars whole.
        plan: The plan.
        drill: The drill that must reach every screw.

    Returns:
        One sentence for each thing wrong; none: the plan stands.
    """
    frame = as_built(frame)
    fixings = [fixing for joint in plan.joints for fixing in joint.fixings]
    pieces = corner_pieces(frame, plan.joints)
    solids = solids_of(frame)
    for piece in pieces:
        solids[piece.what] = (*solids.get(piece.what, ()), piece.prism)
    wrong = [_outside(frame, fixing, solids) for fixing in fixings]
    wrong += [f"the {piece} takes the room of the {member}" for piece, member in overlaps_of(frame, pieces)]
    wrong += [
        f"screws {clash.first} and {clash.second} are {clash.apart:.2f} mm apart"
        for clash in find_clashes(fixings)
    ]
    wrong += _in_one_grain_line(fixings, {member.name for member in frame.members})
    wrong += [
        f"{joint.name} is counted on, but {check.what} is {check.value:.1f}, limit {check.limit:.1f}"
        for joint in plan.joints
        if joint.duty == "counted on for strength"
        for check in joint.checks
        if not check.holds
    ]
    wrong += [
        f"{fixing.name} is counted on in end grain"
        for fixing in fixings
        if fixing.grain == "end grain" and fixing.duty == "counted on for strength"
    ]
    for half in half_frames(frame):
        names = {member.name for member in half.members}
        assembly = Assembly(half, joints_within(half, plan.joints), drill=drill)
        own = [placement for placement in plan.order.placements if names & set(placement.members)]
        wrong += [stuck.why for stuck in order_problems(assembly, own)]
    wrong += seam_problems(frame, plan.joints, fixings)
    wrong += _counted(frame, plan, fixings)
    return tuple(text for text in wrong if text)


def check_hangers(frame: Frame, plan: BuildPlan, hangers: Sequence[Fixing]) -> tuple[str, ...]:
    """Everything wrong with the screws of a work's hangers: beside the wood, through its lip, in another's way.

    Args:
        frame: The frame it is for, its bars whole.
        plan: How it goes together.
        hangers: The screws of its hangers.
    """
    frame = as_built(frame)
    solids = solids_of(frame)
    own = [fixing for joint in plan.joints for fixing in joint.fixings]
    wrong = [_outside(frame, fixing, solids) for fixing in hangers]
    return (*(text for text in wrong if text), *meeting(hangers, own))


LEAST_IN_LINE = 5
"""Between two parallel screws in one line of grain, in diameters: EN 1995-1-1 Table 8.2, pre-drilled, along the
grain; less than 3 across it, they stand in one line."""


def _in_one_grain_line(fixings: list[Fixing], names: set[str]) -> list[str]:
    """Level screws side by side that wedge the same fibres: one of the two bites there, the other bites or passes."""
    wrong = []
    for index, one in enumerate(fixings):
        for two in fixings[index + 1 :]:
            axis = 0 if one.axis[0] else 1
            if not (one.axis[axis] and two.axis[axis]):
                continue
            crossed = [
                set(each.through) | ({each.into} if each.grain == "side grain" else set())
                for each in (one, two)
            ]
            thick = max(one.screw.diameter, two.screw.diameter)
            along = abs(one.start[1 - axis] - two.start[1 - axis])
            if (
                crossed[0] & crossed[1] & names & {one.into, two.into}
                and abs(one.start[2] - two.start[2]) < 3 * thick
                and along < LEAST_IN_LINE * thick
            ):
                wrong.append(
                    f"screws {one.name} and {two.name} stand {float(along):.1f} mm apart in one line of grain"
                )
    return wrong


def leaves_wood(frame: Frame, fixing: Fixing) -> str:
    """Where a screw's surface lies outside the members it should be in; "" where it does not.

    Gussets and blocks are looked at where they are given among the solids; here they are taken on trust.
    """
    return _outside(frame, fixing, solids_of(frame))


def _outside(frame: Frame, fixing: Fixing, solids: dict[str, tuple[Prism, ...]]) -> str:
    known = [name for name in fixing.members if name in solids]
    start, stop = 0.0, float(fixing.depth)
    if fixing.into not in solids:
        stop = float(fixing.passed)
    if fixing.through[0] not in solids:
        start = float(fixing.passed)
    radius = float(fixing.screw.diameter) / 2
    axis = next(index for index in range(3) if fixing.axis[index])
    others = [index for index in range(3) if index != axis]
    head = [float(value) for value in fixing.start]
    members = {member.name for member in frame.members}
    bevels = {name: _Bevel.of(frame, name) for name in known if name in members}
    for step in range(SAMPLES_ALONG + 1):
        at = start + (stop - start) * step / SAMPLES_ALONG
        for turn in range(SAMPLES_ROUND):
            angle = 2.0 * math.pi * turn / SAMPLES_ROUND
            point = list(head)
            point[axis] += fixing.axis[axis] * at
            point[others[0]] += radius * math.cos(angle)
            point[others[1]] += radius * math.sin(angle)
            if not any(
                _holds(prism, point) and not (name in bevels and bevels[name].takes(point))
                for name in known
                for prism in solids[name]
            ):
                return (
                    f"screw {fixing.name} leaves the wood {at:.1f} mm along, at "
                    f"({point[0]:.1f}, {point[1]:.1f}, {point[2]:.1f})"
                )
    return ""


def _holds(prism: Prism, point: list[float]) -> bool:
    if not prism.back - TOUCH <= point[2] <= prism.front + TOUCH:
        return False
    outline = prism.outline
    return all(
        (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0) >= -TOUCH * math.hypot(x1 - x0, y1 - y0)
        for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Bevel:
    """The wedge that the bevel takes off a bar: by how far inward of the lip a point lies."""

    across: int
    lip: float
    inward: float
    flat: float
    slope: float

    @staticmethod
    def of(frame: Frame, name: str) -> _Bevel:
        member = frame.named(name)
        low_side = member.side in ("left", "bottom")
        fall = float(frame.design.bevel_fall) if member.kind is Kind.BAR else 0.0
        flat = float(lip_flat(thickness=member.thickness, fall=frame.design.bevel_fall))
        return _Bevel(
            across=1 if member.axis == "x" else 0,
            lip=float(member.low if low_side else member.high),
            inward=1.0 if low_side else -1.0,
            flat=flat,
            slope=fall / (float(member.thickness) - flat),
        )

    def takes(self, point: list[float]) -> bool:
        """Whether a point lies in the wedge."""
        if not self.slope:
            return False
        inward = self.inward * (point[self.across] - self.lip) - self.flat
        return point[2] > -self.slope * max(inward, 0.0) + TOUCH


def _counted(frame: Frame, plan: BuildPlan, fixings: list[Fixing]) -> list[str]:
    wrong = []
    placed = Counter(plan.order.members)
    wrong += [
        f"the {member.name} is put in {placed[member.name]} times"
        for member in frame.members
        if placed[member.name] != 1
    ]
    driven = Counter(name for step in plan.steps if step.key != "dry" for name in step.screws)
    wrong += [
        f"screw {fixing.name} is driven {driven[fixing.name]} times in the steps"
        for fixing in fixings
        if driven[fixing.name] != 1
    ]
    sizes = Counter(fixing.screw for fixing in fixings)
    listed = {line.screw: line.count for line in plan.screws}
    if dict(sizes) != listed:
        wrong.append(f"the screw list says {sum(listed.values())}, the joints take {sum(sizes.values())}")
    bored = Counter(mark.fixing for mark in plan.holes)
    names = {member.name for member in (*frame.members, *plates_of(frame))}
    for fixing in fixings:
        touched = sum(name in names for name in fixing.members)
        if bored[fixing.name] != touched:
            wrong.append(
                f"screw {fixing.name} touches {touched} parts and has {bored[fixing.name]} hole marks"
            )
    return wrong
