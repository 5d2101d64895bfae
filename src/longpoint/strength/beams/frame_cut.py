"""Where members are cut into elements: a node at every joint and break, and shared ones along seams."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_parts import Break, Joint, Member, Seam


def stations_of(
    members: tuple[Member, ...],
    joints: tuple[Joint, ...],
    seams: tuple[Seam, ...],
    extra: dict[str, Floats],
    number: dict[str, int],
    breaks: tuple[Break, ...] = (),
) -> list[Floats]:
    """Distances of every member's nodes from its start, rising: one at every joint, break and end of a seam.

    Args:
        members: The members.
        joints: The joints.
        seams: The seams.
        extra: Further distances by the member's name. [mm]
        number: Number of each member by its name.
        breaks: The breaks.
    """
    wanted: list[list[float]] = [[0.0, m.length, *extra.get(m.name, ())] for m in members]
    for joint in joints:
        wanted[number[joint.first]].append(joint.first_at)
        wanted[number[joint.second]].append(joint.second_at)
    for cut_at in breaks:
        wanted[number[cut_at.member]].append(cut_at.at)
    for seam in seams:  # the bar gets a node at each end of what is laid along it
        one, two = number[seam.first], number[seam.second]
        wanted[one] += [project(members[one], members[two].point(at)) for at in (0.0, members[two].length)]
    cut = [_subdivide(w, m.length, m.pieces) for w, m in zip(wanted, members, strict=True)]
    for seam in seams:  # and the laid-on member shares the bar's nodes
        one, two = number[seam.first], number[seam.second]
        back = [project(members[two], members[one].point(at)) for at in cut[one]]
        inside = [at for at in back if 0 <= at <= members[two].length]
        cut[two] = _subdivide([*wanted[two], *inside], members[two].length, 1)
        ahead = [project(members[one], members[two].point(at)) for at in cut[two]]
        inside = [at for at in ahead if 0 <= at <= members[one].length]
        cut[one] = _subdivide([*cut[one], *inside], members[one].length, 1)
    return cut


def project(member: Member, point: Floats) -> float:
    """Distance from a member's start of the place on its line nearest to a point. [mm]"""
    gaps = zip(member.start, member.end, point, strict=True)
    return float(sum((at - a) * (b - a) for a, b, at in gaps)) / member.length


def _subdivide(wanted: Iterable[float], length: float, pieces: int) -> Floats:
    """Sorted places, near doubles merged, gaps cut so that there are at least ``pieces`` elements."""
    tolerance, longest = 1e-6 * length, length / pieces
    places = [0.0]
    for at in sorted(wanted):
        inside = min(max(float(at), 0.0), length)
        if inside - places[-1] > tolerance:
            places.append(inside)
    places[-1] = length
    out = []
    for low, high in pairwise(places):
        parts = max(1, math.ceil((high - low) / longest - 1e-9))
        out += [low + (high - low) * k / parts for k in range(parts)]
    return np.array([*out, length])
