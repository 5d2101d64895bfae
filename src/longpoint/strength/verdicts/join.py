"""Verdicts on bars joined in length: what a join is asked for, beside what it bears."""

from __future__ import annotations

import numpy as np

from longpoint.strength.answer import MemberForces, member_forces
from longpoint.strength.beams.bar_join import CarriedForces, JoinFace, JoinStress, lap_stress, scarf_stress
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_parts import Member
from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import Verdict, bound_of, judged
from longpoint.tables import limit


def join_verdicts(look: Look) -> list[Verdict]:
    """The join worst off: nothing where no bar is joined.

    Args:
        look: The likely case now.
    """
    case = look.case
    if not case.joins:
        return []
    every = member_forces(look.system, look.state)
    members = {member.name: member for member in look.system.model.members}
    row = limit("use of a joint")
    use, face, stress = max(
        (
            (join_use(face, stress), face, stress)
            for face in case.joins
            for stress in (join_stress(face, every[face.bar], members[face.bar]),)
        ),
        key=lambda found: found[0],
    )
    use *= case.peak
    return [
        judged(
            "join-use",
            use,
            "1",
            bound_of(row),
            low=use / case.peak,
            high=use * case.hard,
            numbers=(
                ("bending", case.peak * stress.bending),
                ("shear", case.peak * stress.shear),
                ("strength", face.bending_bears),
                ("efficiency", face.efficiency),
            ),
            place=face.bar,
        )
    ]


def carried_within(forces: MemberForces, start: float, stop: float) -> CarriedForces:
    """The greatest of each force between two places of a member: taken together, never too little.

    Args:
        forces: Of the member.
        start: From its start. [mm]
        stop: [mm]
    """
    inside = (forces.places > start - 1e-3) & (forces.places < stop + 1e-3)

    def most(values: Floats) -> float:
        return float(np.abs(values[inside]).max(initial=0.0))

    return CarriedForces(
        axial=most(forces.axial),
        shear_in_plane=most(forces.shear_in_plane),
        shear_front=most(forces.shear_front),
        torque=most(forces.torque),
        moment_in_plane=most(forces.moment_in_plane),
        moment_front=most(forces.moment_front),
    )


def join_stress(face: JoinFace, forces: MemberForces, bar: Member) -> JoinStress:
    """Stresses in one join.

    Args:
        face: The join.
        forces: What its bar carries.
        bar: The bar.
    """
    carried = carried_within(forces, face.start, face.stop)
    if face.lap is not None:
        return lap_stress(face.lap, carried)
    section = bar.section
    far = np.abs(np.array(section.outline) - section.centroid).max(axis=0)
    return scarf_stress(
        carried,
        efficiency=face.efficiency,
        area=section.area,
        moments=(section.moment_across, section.moment_front),
        far=(float(far[0]), float(far[1])),
        torsion=section.torsion_constant,
        thickness=float(np.ptp(np.array(section.outline), axis=0).min()),
    )


def join_use(face: JoinFace, stress: JoinStress) -> float:
    """The greatest share of what the join bears, bending, shear and peel each on its own."""
    return max(
        stress.bending / face.bending_bears,
        stress.shear / face.shear_bears,
        stress.peel / face.peel_bears,
    )
