"""Verdicts on winding: how far from winding itself up, the wind to expect, how far a free corner sinks."""

from __future__ import annotations

from math import degrees, sqrt

import numpy as np

from longpoint.strength.verdicts.cases import Look
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, bound_of, judged
from longpoint.strength.winding import Winding
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit


def winding_verdict(case: WorkCase, now: Winding, later: Winding, look: Look, own: OwnLimits) -> Verdict:
    """How far the frame is from winding itself up, at the highest tension of the year, years on.

    Args:
        case: The work.
        now: As stretched.
        later: Years on.
        look: The likely case years on, for its tension.
        own: The user's limits.
    """
    highest = look.answer.mean[0] + max(case.year[1], 0.0)
    value = later.critical_tension / highest
    fresh = now.critical_tension / case.highest
    bound = bound_of(limit("winding factor"), own.winding_factor)
    names = [member.name for member in look.system.model.members]
    return judged(
        "winding",
        value,
        "1",
        bound,
        low=value * case.weak,
        high=max(value, fresh),
        numbers=(
            ("critical", later.critical_tension * 1000),
            ("highest", highest * 1000),
            ("winds", 1.0 if later.is_propeller() else 0.0),
        ),
        place=names[int(np.argmax(later.shares))],
    )


def natural_wind(case: WorkCase) -> float:
    """Wind that a frame glued of sighted boards brings along before any canvas, root mean square. [mm]

    Boards twist either way, evenly spread up to the stated natural twist; glued together they share it by their
    stiffness in torsion. An estimate.
    """
    stiff = np.array(
        [m.timber.shear_modulus * m.section.torsion_constant * m.length for m in case.pieces.members]
    )
    share = float(np.sqrt(np.sum(stiff**2)) / np.sum(stiff))
    return float(case.width * case.height * case.natural_twist / sqrt(3) * share)


def wind_verdict(case: WorkCase, winding: Verdict) -> Verdict:
    """The wind to expect: what the timber brings along, grown by the canvas.

    Args:
        case: The work.
        winding: From `winding_verdict`.
    """
    row = limit("wind")
    natural = natural_wind(case)
    growth = 1 / (1 - 1 / winding.value) if winding.value > 1 else float("inf")
    worst = 1 / (1 - 1 / winding.low) if winding.low > 1 else float("inf")
    return judged(
        "wind",
        min(natural * growth, 1e6),
        "mm",
        bound_of(row),
        low=natural,
        high=min(natural * worst, 1e6),
        judge="bench",
        numbers=(
            ("natural", natural),
            ("growth", min(growth, 1e6)),
            ("allowed", row.value / growth if growth < 1e6 else 0.0),
            ("twist", degrees(case.natural_twist) * 1000),
        ),
    )


def lift_verdict(sag: float) -> Verdict:
    """How far the free corner sinks when the finished work is held level by the other three: told, not judged.

    Args:
        sag: From `longpoint.strength.winding.free_corner_sag`. [mm]
    """
    return Verdict(
        key="corner-lift",
        value=sag,
        unit="mm",
        low=sag,
        high=sag,
        limit=None,
        sense="at most",
        source="",
        tag="computed",
        judge="nobody",
    )
