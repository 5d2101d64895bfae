"""Steps for what is longer than a board or wider than a door: joining bars, boring and bolting a seam."""

from __future__ import annotations

from dataclasses import replace

from longpoint.frame.joins import SCARF_SLOPE
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.joints.long_bars import IN_LENGTH
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import (
    BORE_MINUTES,
    CHECK_MINUTES,
    CLOSE_MINUTES,
    DRIVE_MINUTES,
    Facts,
    Telling,
)

SCARF_MINUTES = 25.0
"""Two slopes sawn and planed true to each other; estimate. [min]"""
LAP_MINUTES = 20.0
"""Two halves sawn and cleaned up, a plate bored; estimate. [min]"""
FLUSH_MINUTES = 8.0
"""Sides, lip and bevel planed through one join; estimate. [min]"""
BOLT_MINUTES = 2.0
"""A bolt with its washers and nut put in and tightened; estimate. [min]"""


def joining(told: Telling) -> list[Step]:
    """The day before: bars joined in length, then planed through."""
    joints = [joint for joint in told.needs.joints if joint.kind in IN_LENGTH]
    if not joints:
        return []
    design = told.design
    bars = tuple(dict.fromkeys(joint.members[0] for joint in joints))
    scarf = joints[0].kind is JointKind.SCARF
    key = "join-scarf" if scarf else "join-lap"
    screws = tuple(fixing.name for joint in joints for fixing in joint.fixings)
    lengths = dict.fromkeys(told.frame.named(name).length for name in bars)
    facts: Facts = [
        ("bars", str(len(bars))),
        ("join", told.fine(max(join.length for join in design.joins))),
        ("lengths", ", ".join(told.show(length) for length in lengths)),
    ]
    if scarf:
        facts.append(("slope", str(SCARF_SLOPE)))
    else:
        plate = max((join.plate for join in design.joins if join.plate), default=None)
        assert plate is not None
        facts += [
            ("half", told.fine(design.bar_thickness / 2)),
            ("plate", f"{told.fine(plate[0])} × {told.fine(plate[1])}"),
            ("drop", told.fine(design.drop)),
        ]
    glue = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in joints)
    made = (SCARF_MINUTES if scarf else LAP_MINUTES) * len(joints)
    glued = replace(
        told.step(key, "APART", (), members=bars),
        title="any.join-title",
        screws=screws,
        joints=tuple(joint.name for joint in joints),
        facts=tuple(facts),
        do=(
            *(("any.join-many",) if len(joints) > len(bars) else ()),
            *(
                ("join-scarf.slope", "join-scarf.glue")
                if scarf
                else ("join-lap.halve", "join-lap.glue", "join-lap.plate")
            ),
        ),
        measure="any.join-measure",
        check=("any.join-straight",),
        caution=("join-scarf.clamped" if scarf else "join-lap.clamped",),
        meanwhile="any.join-meanwhile",
        minutes=round(made + glue + DRIVE_MINUTES * len(screws), 1),
    )
    through = "join-flush.bevelled" if design.bevel_first else "join-flush.bevel"
    flush = replace(
        told.step("join-flush", "APART", (), members=bars),
        facts=(("bevel", told.fine(design.bevel_fall)),),
        do=(
            "join-flush.outside",
            through if design.bevel_fall else "join-flush.plain",
            "join-flush.one-bar",
        ),
        check=("join-flush.fingernail",),
        caution=("join-flush.from-thick",),
        minutes=FLUSH_MINUTES * len(joints),
    )
    return [glued, flush]


def boring_the_seam(told: Telling) -> list[Step]:
    """Before the halves: both doubled members bored as one, the bars' sawn ends for their dowels."""
    bolts = [bolt for joint in told.needs.joints for bolt in joint.bolts]
    dowels = [dowel for joint in told.needs.joints for dowel in joint.dowels]
    members = (*bolts[0].members, *(name for dowel in dowels for name in dowel.members))
    bored = replace(
        told.step("seam-bore", "APART", (), members=members),
        facts=(
            ("bolts", str(len(bolts))),
            ("hole", told.fine(bolts[0].hole)),
            ("dowel", told.fine(dowels[0].diameter)),
            ("deep", told.fine(dowels[0].length / 2 + 2)),
            ("from the back edge", told.fine(dowels[0].centre[2] + told.design.bar_depth)),
        ),
        do=("seam-bore.under-square", "seam-bore.together", "seam-bore.dowels"),
        check=("seam-bore.one-way",),
        caution=("any.bore-long",),
        minutes=BORE_MINUTES * (len(bolts) + 2 * len(dowels)) + 8.0,
    )
    return [bored]


def bolting(told: Telling, names: tuple[str, ...]) -> list[Step]:
    """The two halves bolted together, squared as one, numbered."""
    seam = next(joint for joint in told.needs.joints if joint.bolts)
    butts = [joint for joint in told.needs.joints if joint.dowels]
    bolts = seam.bolts
    design = told.design
    bolted = replace(
        told.step("seam-bolt", "FACE DOWN", names, members=bolts[0].members),
        joints=(seam.name, *(joint.name for joint in butts)),
        bolts=tuple(bolt.name for bolt in bolts),
        facts=(
            ("bolts", str(len(bolts))),
            ("size", bolts[0].size),
            ("face", f"{told.show(design.width)} × {told.show(design.height)}"),
        ),
        do=("seam-bolt.lay", "seam-bolt.push", "seam-bolt.square", "seam-bolt.number"),
        measure="seam-bolt.diagonals",
        check=("seam-bolt.flush",),
        caution=("seam-bolt.two-people",),
        minutes=round(
            BOLT_MINUTES * len(bolts)
            + sum(spread_minutes(joint) for joint in butts)
            + 2 * CHECK_MINUTES
            + 6.0,
            1,
        ),
        people=2,
    )
    return [bolted]
