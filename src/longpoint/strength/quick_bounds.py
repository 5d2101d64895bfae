"""What no design of a kind can do better than, told before anything is solved."""

from __future__ import annotations

import numpy as np

from longpoint.strength.work_case import WorkCase


def rigid_ended_pull_in(
    *, case: WorkCase, inertia: float, modulus: float, span: float, across: float
) -> float:
    """A pull-in that no layout with this bay can go below, before anything is solved.

    The bay's ends neither move nor turn; the canvas slackens as two opposite bars give way alike (a bar on an
    elastic foundation). Four fifths of it are taken, since cloth slackens less evenly than that.

    Args:
        case: The work, for cloth and tension.
        inertia: Second moment of the bar in the canvas plane. [mm⁴]
        modulus: Stiffness along the grain. [MPa]
        span: Of the bay, clear. [mm]
        across: Canvas from this bar to the opposite one. [mm]

    References:
        Hetényi's finite beam on an elastic foundation with fixed ends, from memory.
    """
    soft = max(case.raw.warp_stiffness, case.raw.weft_stiffness)
    foundation = 2 * soft / across
    u = (foundation / (4 * modulus * inertia)) ** 0.25 * span
    if u < 0.3:
        return float(0.8 * case.tension_left * span**4 / (384 * modulus * inertia))
    half = u / 2
    share = 2 * (np.sinh(half) * np.cos(half) + np.cosh(half) * np.sin(half)) / (np.sinh(u) + np.sin(u))
    return float(0.8 * case.tension_left / foundation * (1 - share))
