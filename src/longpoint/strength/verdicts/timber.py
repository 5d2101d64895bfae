"""Verdicts on the timber itself: bending stress, buckling, mass."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from longpoint.strength.answer import member_forces
from longpoint.strength.beams.net_section import net_stress
from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, bound_of, judged
from longpoint.strength.weight import weight_of
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit


def buckling_verdict(look: Look) -> Verdict:
    """The member nearest to bending away under its thrust.

    Args:
        look: The likely case now.
    """
    row = limit("buckling factor")
    name, least, thrust = "", 1e6, 0.0
    for member, factor, force in _buckling_factors(look):
        if factor < least:
            name, least, thrust = member, factor, force
    factor = min(least / look.case.peak, 1e6)
    return judged(
        "buckling",
        factor,
        "1",
        bound_of(row),
        low=factor * look.case.weak / look.case.hard,
        high=factor * look.case.peak,
        numbers=(("thrust", look.case.peak * thrust),),
        place=name,
    )


def _buckling_factors(look: Look) -> list[tuple[str, float, float]]:
    """Per member its Euler factor and thrust; a bar and the end rail glued along it count as one.

    Bent together, one of the two is pressed and the other pulled: that is bending, not thrust. What could bend
    them away is the sum of both, against the section of both. Where wood is taken out, the load is held by the area
    left, the slenderness staying that of the whole (NDS 3.6.3, from memory: net area where the reduced section lies in
    the part that buckles; here wherever it lies).
    """
    gone: dict[str, float] = {}
    for place in look.case.weakenings:
        gone[place.member] = max(gone.get(place.member, 0.0), 1.0 - place.left.share)
    forces = member_forces(look.system, look.state)
    seams = {seam.first: seam.second for seam in look.case.pieces.seams}
    members = {member.name: member for member in look.system.model.members}
    found = []
    for name in sorted(forces):
        if name in seams.values():
            continue
        if name not in seams:
            left = 1.0 - gone.get(name, 0.0)
            found.append((name, left * forces[name].buckling_factor, float(-forces[name].axial.min())))
            continue
        bar, rail = members[name], members[seams[name]]
        at = forces[name].places.mean(axis=1)
        shift = 0.5 * (bar.length - rail.length)
        other = np.interp(
            at - shift, forces[rail.name].places.mean(axis=1), forces[rail.name].axial.mean(axis=1), 0.0, 0.0
        )
        thrust = float(-(forces[name].axial.mean(axis=1) + other).min())
        if thrust <= 1e-9:
            continue
        a, b = bar.section.area, rail.section.area
        apart = abs(float(np.subtract(rail.start, bar.start) @ np.asarray(bar.across)))
        inertia = bar.section.moment_across + rail.section.moment_across + a * b / (a + b) * apart**2
        front = bar.section.moment_front + rail.section.moment_front
        critical = bar.timber.modulus * pi**2 * min(inertia, front) / bar.length**2
        left = 1.0 - (a * gone.get(name, 0.0) + b * gone.get(rail.name, 0.0)) / (a + b)
        found.append((name, left * critical / thrust, thrust))
    return found


def timber_verdict(look: Look) -> Verdict:
    """The greatest bending stress in any member, over what the timber may bear.

    In the whole section everywhere, and in what is left of it where wood is taken out.

    Args:
        look: The likely case now.
    """
    row = limit("use of timber")
    case = look.case
    worst, place = 0.0, ""
    every = member_forces(look.system, look.state)
    for member in look.system.model.members:
        forces, section = every[member.name], member.section
        outline = np.array(section.outline) - section.centroid
        across, front = np.abs(outline).max(axis=0)
        stress = (
            np.abs(forces.axial) / section.area
            + np.abs(forces.moment_in_plane) * across / section.moment_across
            + np.abs(forces.moment_front) * front / section.moment_front
        )
        if float(stress.max()) > worst:
            worst, place = float(stress.max()), member.name
    numbers: tuple[tuple[str, float], ...] = ()
    for weakening in case.weakenings:
        if (left := net_stress(weakening, every[weakening.member])) > worst:
            worst, place, numbers = left, weakening.member, (("left", weakening.left.share),)
    use = case.peak * worst / case.bending_strength
    return judged(
        "timber-use",
        use,
        "1",
        bound_of(row),
        low=use / case.peak,
        high=use * case.hard,
        numbers=(("stress", case.peak * worst), ("strength", case.bending_strength), *numbers),
        place=place,
    )


def mass_verdict(case: WorkCase, own: OwnLimits) -> Verdict:
    """What those who lift it have in hand.

    Args:
        case: The work.
        own: The user's limits.
    """
    row = limit("weight one person carries")
    bound = bound_of(row, own.mass)
    if own.mass is None:
        bound = replace(bound, value=bound.value * own.people)
    low, high = case.masses or (case.mass, case.mass)
    across, up, out = weight_of(case.pieces, cloth=case.settled, width=case.width, height=case.height).place
    return judged(
        "mass",
        case.mass,
        "kg",
        bound,
        low=low,
        high=high,
        numbers=(("people", float(own.people)), ("across", across), ("up", up), ("behind", -out)),
    )
