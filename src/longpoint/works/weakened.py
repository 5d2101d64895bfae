"""Where the wood of a frame is weakened: holes of its screws and bolts, heads let in, halved crossings.

What is bored where a corner or a join of a bar is made belongs to that joint and is judged with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.joint import Bolt, Fixing, Joint, JointKind
from longpoint.strength.beams.frame_parts import Member
from longpoint.strength.beams.net_section import Box, Weakening, net_section

JUDGED_HERE = frozenset(
    {
        *(JointKind.ALONG, JointKind.RAIL_END, JointKind.THROUGH_TWO, JointKind.TO_RAIL),
        *(JointKind.CROSSING, JointKind.SEAM),
    }
)

BESIDE = 2.5
"""Holes this near along the grain, in diameters, weaken one section: half the least distance of fasteners, which is
5 d in a row along the grain (EN 1995-1-1 5.2 and Table 8.2, from memory)."""

Bore = tuple[np.ndarray, np.ndarray, float]
"""A round hole: where its axis begins and ends, its diameter. [mm]"""


def weakenings_of(frame: Frame, joints: Sequence[Joint], members: Iterable[Member]) -> tuple[Weakening, ...]:
    """Every place where wood is taken out of a member across its grain.

    Args:
        frame: The frame.
        joints: Its joints.
        members: Its members as the strength engine has them.

    Returns:
        The places, member by member. Holes into end grain run along the fibres and are left out.
    """
    cuts: dict[str, list[tuple[float, float, Box]]] = defaultdict(list)
    by_name = {member.name: member for member in members}
    for joint in joints:
        if joint.kind not in JUDGED_HERE:
            continue
        bored: tuple[Fixing | Bolt, ...] = (*joint.fixings, *joint.bolts)
        for one in bored:
            for name in {_whole(name, by_name) for name in one.members}:
                member = by_name.get(name)
                if member is not None:
                    cuts[name] += _of_bores(member, _bores(one))
    for name, at, box in _notches(frame, by_name):
        cuts[name].append((at, 0.0, box))
    found = []
    for name, places in cuts.items():
        section = by_name[name].section
        for at, wide in sorted({(at, wide) for at, wide, _ in places}):
            boxes = [box for other, _, box in places if abs(other - at) <= max(BESIDE * wide, 1e-3)]
            left = net_section(section, boxes)
            if left is not None:
                found.append(Weakening(name, at, left))
    return tuple(found)


def _whole(name: str, by_name: dict[str, Member]) -> str:
    """The member that a half of a bar is part of in the engine."""
    return name if name in by_name else name.rsplit(" ", 1)[0]


def _bores(one: Fixing | Bolt) -> Iterator[Bore]:
    """Round holes of a screw or a bolt; a countersink counts as wide as its head to its point."""
    start, axis = np.array(one.start, dtype=float), np.array(one.axis, dtype=float)
    if isinstance(one, Bolt):
        yield start, start + axis * float(one.passed), float(one.hole)
        return
    wide, hole = float(one.countersink), float(one.clearance_hole)
    deep = float(one.bored) or float(one.sunk) + (wide - hole) / 2
    passed = float(one.passed)
    yield start, start + axis * min(deep, passed), wide
    yield start, start + axis * passed, hole
    yield start + axis * passed, start + axis * (passed + float(one.pilot_depth)), float(one.pilot_hole)


def _of_bores(member: Member, bores: Iterable[Bore]) -> Iterator[tuple[float, float, Box]]:
    """Holes across a member: where, how wide the whole hole is along the grain, and what it takes of the section."""
    triad, origin = member.triad(), np.asarray(member.start, dtype=float)
    a, f = member.section.centroid
    for start, stop, wide in bores:
        one, two = triad @ (start - origin), triad @ (stop - origin)
        if abs(two[0] - one[0]) > 1e-6 or not 0.0 < one[0] < member.length:
            continue
        half = np.where(np.abs(two[1:] - one[1:]) < 1e-9, wide / 2, 0.0)
        low, high = np.minimum(one[1:], two[1:]) - half, np.maximum(one[1:], two[1:]) + half
        box = (low[0] + a, high[0] + a, low[1] + f, high[1] + f)
        yield round(float(one[0]), 6), wide, (float(box[0]), float(box[1]), float(box[2]), float(box[3]))


def _notches(frame: Frame, by_name: dict[str, Member]) -> Iterator[tuple[str, float, Box]]:
    """Halved crossings: a cross rail keeps its front half, a middle piece its back half."""
    if not frame.design.halved:
        return
    rails, pieces = frame.of_kind(Kind.CROSS_RAIL), frame.of_kind(Kind.MIDDLE_PIECE)
    for rail in rails:
        for piece in pieces:
            for member, other, front in ((rail, piece, False), (piece, rail, True)):
                engine = by_name[member.name]
                axis = 0 if member.axis == "x" else 1
                thick, depth = float(member.thickness), float(member.depth)
                at = abs(float(other.centre) - engine.start[axis])
                low = depth / 2 if front else 0.0
                yield member.name, at, (-1.0, thick + 1.0, low - (not front), low + depth / 2 + front)
