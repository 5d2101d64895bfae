"""Checks a staple map against the frame it goes on, knowing only the frame, its joints and the map.

It does not ask how the map was made: it puts points along every leg, looks whether wood lies round them, and measures
from each point to every screw, bolt and dowel, and to every other staple.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, pi, sin

import numpy as np
from shapely import Polygon, contains_xy, unary_union

from longpoint.errors import Caution
from longpoint.frame.members import Frame, Kind
from longpoint.joinery.joints.joint import Joint
from longpoint.joinery.order.solid import solids_of
from longpoint.stretching.staple_map import MappedStaple, StapleMap, StapleUse

BESIDE_LEG = 3.0
"""Wood from a leg to the nearest edge of the frame; estimate. [mm]"""
BESIDE_METAL = 0.9
"""From the middle of a leg to the surface of a screw, bolt or dowel; estimate. [mm]"""
BESIDE_MITRE = 1.5
"""From the middle of a leg to the glue line of a mitre; estimate. [mm]"""
BETWEEN_STAPLES = 3.0
"""From staple to staple; estimate. [mm]"""
_POINTS = 9

Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
Bools = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
_Place = tuple[float, float, float]


def check_staples(frame: Frame, joints: Iterable[Joint], mapped: StapleMap) -> tuple[Caution, ...]:
    """Everything wrong with a staple map.

    Args:
        frame: The frame as it is built.
        joints: Its joints.
        mapped: The map.

    Returns:
        A caution for each thing wrong; none: no staple meets a screw, a hole, another staple or an edge.
    """
    points = {staple.label: _points(_legs(staple, mapped)) for staple in mapped.staples}
    legs = np.array([points[staple.label][: 2 * _POINTS] for staple in mapped.staples])

    def wrong_at(code: str, at: int, **facts: str) -> Caution:
        staple = mapped.staples[at]
        where = (("staple", staple.label), ("edge", staple.side), ("along", f"{staple.along:.1f} mm"))
        return Caution(code, facts=(*where, *facts.items()))

    wrong = [
        wrong_at("staple-near-edge", at, least=f"{BESIDE_LEG:g} mm")
        for at in np.flatnonzero(~_in_wood(legs, mapped, frame)).tolist()
    ]
    if frame.design.corner != "half-lap" and mapped.seat.on_back:
        wrong += [
            wrong_at("staple-in-mitre", at)
            for at in np.flatnonzero(_off_mitre(legs, mapped) < BESIDE_MITRE).tolist()
        ]
    for what, start, stop, radius in _metal(joints):
        apart = _to_line(legs, np.array(start), np.array(stop)) - radius
        wrong += [
            wrong_at("staple-meets-metal", at, apart=f"{max(apart[at], 0.0):.1f} mm", metal=what)
            for at in np.flatnonzero(apart < BESIDE_METAL).tolist()
        ]
    for first, second in _near_pairs([points[staple.label] for staple in mapped.staples]):
        one, two = mapped.staples[first], mapped.staples[second]
        if {one.use, two.use} == {StapleUse.HOLDING, StapleUse.FOLD}:
            continue  # the one is out before the other goes in
        gaps = ((points[one.label][:, None, :] - points[two.label][None, :, :]) ** 2).sum(-1)
        apart_by = float(np.sqrt(gaps.min()))
        if apart_by < BETWEEN_STAPLES:
            wrong.append(wrong_at("staple-meets-staple", first, apart=f"{apart_by:.1f} mm", second=two.label))
    return tuple(wrong)


def _legs(staple: MappedStaple, mapped: StapleMap) -> tuple[tuple[_Place, ...], tuple[_Place, ...]]:
    """Points along both legs, from the crown to the tip."""
    seat = mapped.seat
    level = staple.side in ("bottom", "top")
    length = mapped.face_width if level else mapped.face_height
    # the crown runs as the mitre of the nearer corner does
    turn = seat.slant if staple.along < length / 2 else pi - seat.slant
    half = seat.crown / 2
    found = []
    for sign in (1, -1):
        along = staple.along + sign * half * cos(turn)
        sideways = sign * half * sin(turn)
        leg = []
        for number in range(_POINTS):
            deep = seat.leg * number / (_POINTS - 1)
            if staple.across > seat.depth:
                inward, z = staple.across - seat.depth + sideways, deep - seat.depth
            else:
                inward, z = deep, -(staple.across + sideways)
            x, y = (along, inward) if level else (inward, along)
            if staple.side == "top":
                y = mapped.face_height - inward
            if staple.side == "right":
                x = mapped.face_width - inward
            leg.append((x, y, z))
        found.append(tuple(leg))
    return found[0], found[1]


def _in_wood(legs: Floats, mapped: StapleMap, frame: Frame) -> Bools:
    """Whether every point of a staple's legs has wood all round, shape (staples,)."""
    design = frame.design
    depth, width, height = float(design.bar_depth), float(design.width), float(design.height)
    solids = solids_of(frame)
    faces = [
        Polygon(prism.outline)
        for member in frame.of_kind(Kind.BAR)
        for prism in solids[member.name]
        if prism.back <= -depth + 1e-6
    ]
    back = unary_union([face.buffer(1e-4) for face in faces]).buffer(-BESIDE_LEG + 1e-3)
    x, y, z = legs[..., 0], legs[..., 1], legs[..., 2]
    on_back = contains_xy(back, x, y) & (z < -float(design.bevel_fall))
    level = np.array([[staple.side in ("bottom", "top")] for staple in mapped.staples])
    along, end = np.where(level, x, y), np.where(level, width, height)
    deep = np.minimum(np.where(level, y, x), np.where(level, height - y, width - x))
    # from a side: off both arrises, off the corner, and not out on the inside
    on_side = (
        (-z >= BESIDE_LEG)
        & (-z <= depth - BESIDE_LEG)
        & (along >= BESIDE_LEG)
        & (along <= end - BESIDE_LEG)
        & (deep <= float(design.bar_thickness) - BESIDE_LEG)
    )
    goes_back = np.array([[staple.across > depth] for staple in mapped.staples])
    return np.asarray(np.where(goes_back, on_back, on_side).all(-1))


def _off_mitre(legs: Floats, mapped: StapleMap) -> Floats:
    """From the nearest leg of each staple to the nearest mitre, seen from the back, shape (staples,). [mm]"""
    x = np.minimum(legs[..., 0], mapped.face_width - legs[..., 0])
    y = np.minimum(legs[..., 1], mapped.face_height - legs[..., 1])
    apart = np.where(np.maximum(x, y) < 200.0, np.abs(x - y) / 2**0.5, 200.0)
    return np.asarray(apart.min(-1))


def _metal(joints: Iterable[Joint]) -> Iterable[tuple[str, _Place, _Place, float]]:
    """Axes with radii: shank and head of every screw, bolts with their washers, dowels."""
    for joint in joints:
        for fixing in joint.fixings:
            axis = fixing.axis
            start = _place(fixing.start)
            yield "screw", start, _place(fixing.tip), float(fixing.screw.diameter) / 2
            head = fixing.sunk + fixing.screw.diameter / 2
            end = tuple(s + w * float(head) for s, w in zip(start, axis, strict=True))
            yield "screw-head", start, (end[0], end[1], end[2]), float(fixing.countersink) / 2
        for bolt in joint.bolts:
            yield "bolt", _place(bolt.start), _place(bolt.end), 1.5 * float(bolt.diameter)
        for dowel in joint.dowels:
            middle, half = _place(dowel.centre), float(dowel.length) / 2
            ends = [
                tuple(m + sign * half * w for m, w in zip(middle, dowel.axis, strict=True))
                for sign in (-1, 1)
            ]
            yield (
                "dowel",
                (ends[0][0], ends[0][1], ends[0][2]),
                (ends[1][0], ends[1][1], ends[1][2]),
                float(dowel.diameter) / 2,
            )


def _place(point: Sequence[object]) -> _Place:
    x, y, z = (float(value) for value in point)  # type: ignore[arg-type]
    return (x, y, z)


def _to_line(legs: Floats, start: Floats, stop: Floats) -> Floats:
    """From the nearest point of each staple's legs to a segment, shape (staples,). [mm]"""
    run, away = stop - start, legs - start
    size = float(run @ run)
    share = np.clip(away @ run / size, 0.0, 1.0) if size else np.zeros(legs.shape[:-1])
    return np.asarray(np.sqrt(((away - share[..., None] * run) ** 2).sum(-1)).min(-1))


def _near_pairs(solid: Sequence[Floats]) -> list[tuple[int, int]]:
    """Staples whose middles lie less than 60 mm apart in every direction."""
    middles = np.array([points.mean(0) for points in solid])
    apart = np.abs(middles[:, None, :] - middles[None, :, :]).max(-1)
    return [(int(i), int(j)) for i, j in zip(*np.nonzero(apart < 60.0), strict=True) if i < j]


def _points(legs: tuple[tuple[_Place, ...], ...]) -> Floats:
    """Points on legs and crown, shape (n, 3). [mm]"""
    left, right = np.array(legs[0]), np.array(legs[1])
    share = np.linspace(0.0, 1.0, 2 * _POINTS)[:, None]
    crown = left[0] * (1.0 - share) + right[0] * share
    return np.vstack([left, right, crown])
