"""Checks a seam and the joins of bars from scratch: bolts and dowels in the wood, clear of every screw and rail."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from longpoint.frame.joins import plates_of
from longpoint.frame.members import Frame, Kind, Member
from longpoint.joinery.joints.joint import Bolt, Dowel, Fixing, Joint, Point

BETWEEN = 1.0
"""Wood that must stand between a bolt or dowel and a screw. [mm]"""
WASHER_OVER = 9.0
"""Radius of the washer, which must lie flat beside the end of a middle piece. [mm]"""


def seam_problems(frame: Frame, joints: Iterable[Joint], fixings: Sequence[Fixing]) -> list[str]:
    """Everything wrong with bolts, dowels and joins; none: they stand.

    Args:
        frame: The frame as it is built.
        joints: Its joints.
        fixings: Its screws.
    """
    wrong: list[str] = []
    every = tuple(joints)
    bolts = [bolt for joint in every for bolt in joint.bolts]
    for bolt in bolts:
        wrong += _bolt(frame, bolt)
    for dowel in (dowel for joint in every for dowel in joint.dowels):
        wrong += _dowel(frame, dowel)
        wrong += _beside(dowel.name, _line_of_dowel(dowel), float(dowel.diameter) / 2, fixings)
    for bolt in bolts:
        start, end = _floats(bolt.start), _floats(bolt.end)
        wrong += _beside(bolt.name, (start, end), float(bolt.hole) / 2, fixings)
    design = frame.design
    if design.seam is not None and len(bolts) < 2:
        wrong.append(f"{len(bolts)} bolts hold the two halves")
    for join in design.joins:
        low, high = join.reach
        for rail in frame.members:
            bar = next(each for each in frame.of_kind(Kind.BAR) if each.side == join.side)
            if rail.kind is Kind.BAR or rail.axis == bar.axis or not _ends_on(rail, bar):
                continue
            if rail.low < high and rail.high > low:
                wrong.append(f"the {rail.name} ends on the join of the {join.side} bar")
    for plate in plates_of(frame):
        for rail in frame.members:
            if rail.kind is Kind.BAR:
                continue
            box, other = plate.box_xy, rail.box_xy
            if box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]:
                wrong.append(f"the {plate.name} lies where the {rail.name} is")
    return wrong


def _ends_on(rail: Member, bar: Member) -> bool:
    return rail.start in (bar.low, bar.high) or rail.stop in (bar.low, bar.high)


def _bolt(frame: Frame, bolt: Bolt) -> list[str]:
    wrong = []
    first, second = (frame.named(name) for name in bolt.members)
    along = bolt.start[1] if first.axis == "y" else bolt.start[0]
    if first.high != second.low:
        wrong.append(f"the members of bolt {bolt.name} do not lie face to face")
    for rail in (first, second):
        if not (rail.start + bolt.hole < along < rail.stop - bolt.hole):
            wrong.append(f"bolt {bolt.name} stands beyond the {rail.name}")
        if not (rail.back + bolt.hole <= bolt.start[2] <= rail.front - bolt.hole):
            wrong.append(f"bolt {bolt.name} splits the edge of the {rail.name}")
        for piece in frame.of_kind(Kind.MIDDLE_PIECE):
            if rail.low in (piece.start, piece.stop) or rail.high in (piece.start, piece.stop):
                beside = abs(float(piece.centre - along)) - float(piece.thickness) / 2
                if beside < WASHER_OVER:
                    wrong.append(f"the washer of bolt {bolt.name} lies under the {piece.name}")
    if bolt.length <= bolt.passed:
        wrong.append(f"bolt {bolt.name} is too short for its nut")
    return wrong


def _dowel(frame: Frame, dowel: Dowel) -> list[str]:
    wrong = []
    first, second = (frame.named(name) for name in dowel.members)
    across = dowel.centre[1] if first.axis == "x" else dowel.centre[0]
    if first.stop != second.start:
        wrong.append(f"the bars of dowel {dowel.name} do not meet")
    radius = dowel.diameter / 2
    fall = frame.design.bevel_fall
    for bar in (first, second):
        if not bar.low + radius < across < bar.high - radius:
            wrong.append(f"dowel {dowel.name} leaves the side of the {bar.name}")
        if not bar.back + radius < dowel.centre[2] < bar.front - fall / 2 - radius:
            wrong.append(f"dowel {dowel.name} leaves the back or the bevel of the {bar.name}")
    return wrong


def _line_of_dowel(dowel: Dowel) -> tuple[list[float], list[float]]:
    half = float(dowel.length) / 2
    middle = _floats(dowel.centre)
    return (
        [at - half * way for at, way in zip(middle, dowel.axis, strict=True)],
        [at + half * way for at, way in zip(middle, dowel.axis, strict=True)],
    )


def _beside(
    name: str, line: tuple[list[float], list[float]], radius: float, fixings: Sequence[Fixing]
) -> list[str]:
    wrong = []
    for fixing in fixings:
        apart = _apart(line, (_floats(fixing.start), _floats(fixing.tip)))
        room = apart - radius - float(fixing.screw.diameter) / 2
        if room < BETWEEN:
            wrong.append(f"{name} and screw {fixing.name} are {room:.2f} mm apart")
    return wrong


def _apart(one: tuple[list[float], list[float]], other: tuple[list[float], list[float]]) -> float:
    """Distance of two straight lines of finite length that run along axes, by their boxes. [mm]

    Lines along axes are boxes without thickness, and the distance of two boxes is the root of the squares of their
    gaps.
    """
    squares = 0.0
    for axis in range(3):
        a = sorted((one[0][axis], one[1][axis]))
        b = sorted((other[0][axis], other[1][axis]))
        squares += max(a[0] - b[1], b[0] - a[1], 0.0) ** 2
    return math.sqrt(squares)


def _floats(point: Point) -> list[float]:
    return [float(value) for value in point]
