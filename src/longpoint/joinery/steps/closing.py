"""Steps that put one part in, or a few made up beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.frame.members import Kind
from longpoint.joinery.glue import spread_minutes
from longpoint.joinery.joints.joint import JointKind
from longpoint.joinery.order.placement import Placement
from longpoint.joinery.steps.step import Step
from longpoint.joinery.steps.telling import (
    CLOSE_MINUTES,
    CUT_MINUTES,
    DRIVE_MINUTES,
    Facts,
    Telling,
    glue_facts,
)


def one_by_one(told: Telling, placements: Sequence[Placement], there: tuple[str, ...]) -> list[Step]:
    """Parts put in one after another, each made up beforehand where it must be."""
    found: list[Step] = []
    for index, placement in enumerate(placements):
        later = {name for each in placements[index + 1 :] for name in each.members}
        now = tuple(name for name in there if name not in later)
        put_in = closing(told, placement, now, "put-in")
        if placement.made_up:
            found.append(
                make_up(told, placement, tuple(name for name in now if name not in placement.members))
            )
            put_in = replace(put_in, title="put-in.title-made-up")
        found.append(put_in)
    return found


def make_up(told: Telling, placement: Placement, there: tuple[str, ...]) -> Step:
    """Parts that are screwed together before they go into the frame."""
    names = placement.members
    inside = tuple(name for each in placement.made_up for name in each.driven)
    to_bay = [name for name in names if told.frame.named(name).kind is Kind.MIDDLE_PIECE]
    glue = sum(spread_minutes(joint) + CLOSE_MINUTES for joint in told.joints_in(frozenset(names)))
    clock = told.clock(glue + DRIVE_MINUTES * len(inside), "its-last-screw")
    return replace(
        told.step("make-up", "APART", there, members=names),
        screws=inside,
        joints=told.joints_of(inside),
        facts=tuple(glue_facts(clock)),
        do=("make-up.together", "any.screws"),
        measure="make-up.to-bay" if to_bay else "",
        check=("make-up.square",),
        caution=() if clock.holds else ("any.late-glue",),
        clock=clock,
        minutes=round(CUT_MINUTES * len(to_bay) + clock.minutes + 2, 1),
    )


def closing(told: Telling, placement: Placement, there: tuple[str, ...], key: str) -> Step:
    """Putting in one part, or a few made up."""
    names = placement.members
    joints = told.joints_of(placement.driven)
    piece = told.frame.named(names[-1])
    is_piece = piece.kind is Kind.MIDDLE_PIECE and not placement.made_up
    has_bar = any(told.frame.named(name).kind is Kind.BAR for name in names)
    facts: Facts = [("from", placement.from_where), ("drop", told.fine(told.design.drop))]
    do = []
    if is_piece:
        facts.append(("planned", told.part(piece.length)))
        if piece.shifted:
            facts.append(("aside", told.show(abs(piece.shifted))))
            do.append("put-in.aside")
    do.append("put-in.bar" if has_bar else "put-in.rail")
    if any(name in told.doubled for name in names):
        do.append("put-in.doubled")
    if placement.driven:
        sides, more = _from_sides(told, placement.driven)
        do += ["any.pilot", *sides]
        facts += more
    glue = sum(spread_minutes(told.joint_of[name]) + CLOSE_MINUTES for name in joints)
    clock = told.clock(glue + DRIVE_MINUTES * len(placement.driven), "its-last-screw")
    return replace(
        told.step(key, "FACE DOWN", there, members=names),
        screws=placement.driven,
        joints=joints,
        facts=(*facts, *glue_facts(clock)),
        do=tuple(do),
        measure="put-in.bay" if is_piece else "",
        check=("put-in.straight" if piece.kind is Kind.MIDDLE_PIECE else "put-in.flush",),
        caution=() if clock.holds else ("any.late-glue",),
        clock=clock if joints else None,
        minutes=round(clock.minutes + (CUT_MINUTES if is_piece else 1.0), 1),
    )


def _from_sides(told: Telling, names: Sequence[str]) -> tuple[list[str], Facts]:
    """From where the screws of a piece are driven."""
    kinds = {told.joint_of[told.fixings[name].joint].kind: told.fixings[name] for name in names}
    said: list[str] = []
    facts: Facts = []
    if JointKind.TO_RAIL in kinds:
        said.append("put-in.next-bay")
    if JointKind.THROUGH_TWO in kinds:
        said.append("put-in.long-one")
        facts.append(("long", kinds[JointKind.THROUGH_TWO].screw.name))
    return said, facts
