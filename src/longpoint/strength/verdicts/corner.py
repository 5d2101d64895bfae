"""Verdicts on corners: what the joint carries over what it may, and how far it opens."""

from __future__ import annotations

import numpy as np

from longpoint.strength.answer import JointForces, joint_forces
from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import Verdict, bound_of, judged
from longpoint.tables import limit


def _corners(look: Look) -> list[JointForces]:
    bars = set(look.system.bars)
    return [j for j in joint_forces(look.system, look.state) if j.first in bars and j.second in bars]


def corner_verdicts(look: Look) -> list[Verdict]:
    """What the corner worst off carries, and how far the widest opens.

    Args:
        look: The likely case now.
    """
    case, face = look.case, look.case.corner
    uses = []
    for joint in _corners(look):
        bending = abs(joint.in_plane) / (face.depth * face.width**2 / 6)
        bending += abs(joint.out_of_plane) / (face.width * face.depth**2 / 6)
        # a rectangle's greatest shear stress from torsion: about T / (0.23 long short²) between 1 : 1 and 2 : 1
        small, large = sorted((face.width, face.depth))
        shear = abs(joint.torsion) / (0.23 * large * small**2)
        shear += float(np.hypot(joint.force[1], joint.force[2])) / (face.width * face.depth)
        uses.append((case.peak * (bending + shear) / face.strength, joint))
    use, worst = max(uses, key=lambda pair: pair[0])
    row, opening = limit("use of a joint"), limit("opening of a corner")
    open_by = max(abs(j.opening) for _, j in uses) * face.width * case.peak
    per_screw = case.peak * float(np.linalg.norm(worst.force)) / max(face.screws, 1)
    return [
        judged(
            "corner-use",
            use,
            "1",
            bound_of(row),
            low=use / case.peak,
            high=use * case.hard,
            numbers=(
                ("moment", case.peak * abs(worst.in_plane) / 1000),
                ("torsion", case.peak * abs(worst.torsion) / 1000),
                ("screw", per_screw),
                ("strength", face.strength),
            ),
        ),
        judged(
            "corner-opening",
            open_by,
            "mm",
            bound_of(opening),
            low=open_by / case.peak,
            high=open_by * case.hard,
        ),
    ]
