"""Verdicts on the seam of a frame in two halves: how far it opens, whether the lips stay in line, what bolts carry."""

from __future__ import annotations

from math import degrees, hypot

import numpy as np

from longpoint.strength.answer import JointForces, break_forces, joint_forces
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.bolted_seam import SeamFace
from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import Verdict, bound_of, judged
from longpoint.tables import Limit, limit

GAPE = 0.1
"""Gap at the lips for which the kink it would bring is told. [mm]"""


def seam_verdicts(look: Look) -> list[Verdict]:
    """Opening, step and bolts: nothing for a frame in one piece.

    Args:
        look: The likely case now.
    """
    case = look.case
    face = case.seam
    if face is None:
        return []
    hard = case.hard
    every = break_forces(look.system, look.state)
    butts = [every[index][0] for index in face.butts]  # at the dowel, on the node line
    bolts = bolts_of(look, face)
    opened = max(butts, key=lambda b: seam_opening(b, face))
    stepped = max(butts, key=lambda b: lip_step(b, face))
    worst = max(bolts, key=lambda b: bolt_use(b, face))
    pull, slide = bolt_forces(worst, face)
    opening = limit("opening of a seam")
    step, use = limit("step at a seam"), limit("use of a joint")
    return [
        _verdict(
            "seam-opening",
            seam_opening(opened, face),
            "mm",
            opening,
            times=(1.0, 1.0, case.peak * hard),
            place=opened.first,
            numbers=(
                ("in_plane", degrees(abs(opened.turn[2]))),
                ("kink", degrees(abs(opened.turn[1]))),
                ("gape", GAPE),
                ("gape_hollow", GAPE / face.behind * max(case.width, case.height) / 4),
            ),
        ),
        _verdict(
            "seam-step",
            lip_step(stepped, face),
            "mm",
            step,
            times=(1.0, 1.0, case.peak * hard),
            place=stepped.first,
        ),
        _verdict(
            "seam-bolt",
            bolt_use(worst, face),
            "1",
            use,
            times=(case.peak, 1.0, case.peak * hard),
            numbers=(
                ("pull", case.peak * pull),
                ("slide", case.peak * slide),
                ("count", float(len(bolts))),
            ),
        ),
    ]


def _verdict(
    key: str,
    value: float,
    unit: str,
    row: Limit,
    *,
    times: tuple[float, float, float],
    place: str = "",
    numbers: tuple[tuple[str, float], ...] = (),
) -> Verdict:
    """A verdict whose value, low and high are one number times three factors."""
    return judged(
        key,
        value * times[0],
        unit,
        bound_of(row),
        low=value * times[1],
        high=value * times[2],
        numbers=numbers,
        place=place,
    )


def bolts_of(look: Look, face: SeamFace) -> list[JointForces]:
    """What the bolts of a seam carry."""
    pair = set(face.rails)
    return [j for j in joint_forces(look.system, look.state) if {j.first, j.second} == pair]


def _gaps(butt: JointForces, face: SeamFace) -> Floats:
    """How the two ends part at every corner of the section: along, across, front, shape (n, 3). [mm]"""
    arms = np.array([(0.0, across, front) for across, front in face.corners])
    return np.asarray(np.array(butt.slide) + np.cross(np.array(butt.turn), arms))


def seam_opening(butt: JointForces, face: SeamFace) -> float:
    """Widest gap of a butt whose ends touch at one corner. [mm]"""
    along = _gaps(butt, face)[:, 0]
    return float(along.max() - along.min())


def lip_step(butt: JointForces, face: SeamFace) -> float:
    """How far one lip stands beside the other. [mm]"""
    lip = _gaps(butt, face)[0]
    return float(hypot(lip[1], lip[2]))


def bolt_forces(bolt: JointForces, face: SeamFace) -> tuple[float, float]:
    """Pull along a bolt, rolling of the rails counted in, and force across it. [N]"""
    along, across, front = bolt.force
    # what presses the rails together costs the bolt nothing
    apart = max(face.parts * across, 0.0)
    return apart + abs(bolt.torsion) / face.lever, hypot(along, front)


def bolt_use(bolt: JointForces, face: SeamFace) -> float:
    """Share of what a bolt bears, pull and shear together. EN 1995-1-1 (8.28), from memory. [1]"""
    pull, slide = bolt_forces(bolt, face)
    return hypot(pull / face.pull_bears, slide / face.shear_bears)
