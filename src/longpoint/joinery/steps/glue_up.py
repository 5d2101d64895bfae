"""Steps for bars that are glued from boards face to face: the day before, and what is sawn once they are one."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil

from longpoint.frame.members import Kind, Member
from longpoint.frame.parts import GLUED_LONGER
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import Telling

CLAMPS_APART = Fraction(200)
"""Clamps along a bar that is glued up stand at most this far apart; common practice, no published source. [mm]"""
CLAMP_MINUTES = 0.5
"""A clamp set and tightened; estimate. [min]"""
FLUSH_PER_METRE = 4.0
"""Both narrow sides scraped and planed flush, per metre of bar; estimate. [min/m]"""
SAW_MINUTES = 3.0
"""Both ends of a glued bar sawn; estimate. [min]"""


def clamps_along(bar: Member) -> int:
    """Clamps that one glued bar takes."""
    return ceil((bar.length + GLUED_LONGER) / CLAMPS_APART) + 1


def glueing_up(told: Telling) -> list[Step]:
    """Boards glued face to face, then planed flush, bevelled and sawn to length; nothing where bars are one board."""
    joints = [joint for joint in told.needs.joints if joint.kind is JointKind.GLUED_UP]
    if not joints:
        return []
    design = told.design
    bars = told.frame.of_kind(Kind.BAR)
    names = tuple(bar.name for bar in bars)
    spread = sum(spread_minutes(joint) for joint in joints)
    clamps = max(clamps_along(bar) for bar in bars)
    pressed = CLAMP_MINUTES * sum(clamps_along(bar) for bar in bars)
    glued = replace(
        told.step("glue-up", "APART", (), members=names),
        joints=tuple(joint.name for joint in joints),
        facts=(
            ("boards", str(design.bar_boards)),
            ("bars", str(len(bars))),
            ("section", f"{told.fine(design.bar_thickness)} × {told.fine(design.bar_depth)}"),
            ("longer", told.fine(GLUED_LONGER)),
            ("clamps", str(clamps)),
            ("apart", told.show(CLAMPS_APART)),
            ("set", f"{told.needs.set_minutes:g} min"),
        ),
        do=("glue-up.pair", "glue-up.spread", "glue-up.clamp"),
        check=("glue-up.straight",),
        caution=("glue-up.clamped",),
        meanwhile="glue-up.meanwhile",
        clock=told.clock(
            max(spread_minutes(joint) for joint in joints) + CLAMP_MINUTES * clamps, "its-last-clamp"
        ),
        minutes=round(spread + pressed, 1),
    )
    metres = sum(float(bar.length) for bar in bars) / 1000
    lengths = dict.fromkeys(bar.length for bar in bars)
    mitred = "mitre" in design.corner
    sawn = replace(
        told.step("glued-saw", "APART", (), members=names),
        facts=(
            ("bevel", told.fine(design.bevel_fall)),
            ("lengths", ", ".join(told.part(length) for length in lengths)),
        ),
        do=(
            "glued-saw.flush",
            *(("glued-saw.bevel",) if design.bevel_fall else ()),
            "glued-saw.mitre" if mitred else "glued-saw.square",
        ),
        check=("glued-saw.dry",),
        caution=("glued-saw.guard",),
        minutes=round(FLUSH_PER_METRE * metres + SAW_MINUTES * len(bars), 1),
    )
    return [glued, sawn]
