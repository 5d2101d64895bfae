"""How slack cloth comes to rest on its staples.

The plain step is that of ``membrane_slack``: what the cloth does not carry is put back as a load on the same factored
sheet, the staples, the frame and the limit of the pull answered exactly in every round; it never makes the imbalance
larger. The last few steps are mixed to go faster. The step that proves the rest is taken as well: it costs nothing
more, and what is left after it is smaller still.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane.grid import Floats
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.staples import Holding

#: Steps that are mixed.
MEMORY = 6


@dataclass(frozen=True, slots=True, eq=False)
class SlackRest:
    """Rest of cloth that may be slack.

    Attributes:
        movement: Of every freedom of the cloth, shape (2 n_nodes,). [mm]
        staples: Force of every staple on the cloth, shape (2 s,). [N]
        pull: Force that the jaws hold. [N]
        forces: On the cloth's edge, shape (2 m,). [N]
        imbalance: Part still out of balance. [-]
        rounds: Rounds it took.
    """

    movement: Floats
    staples: Floats
    pull: float
    forces: Floats
    imbalance: float
    rounds: int


def come_to_rest_on(
    system: EdgeSystem, holding: Holding, start: Floats, *, scale: float, tolerance: float, limit: int
) -> SlackRest:
    """Where the cloth comes to rest on its staples.

    Args:
        system: The canvas.
        holding: The staples and the pull.
        start: Movement to start from, shape (2 n_nodes,). [mm]
        scale: Energy norm that counts as 1. [√(N mm)]
        tolerance: Imbalance to reach, as a part of ``scale``.
        limit: Most rounds.

    Returns:
        The rest.
    """
    sheet, edge, size = system.sheet, system.edge, len(start)
    moved, stepped, answered = (np.empty((MEMORY, size)) for _ in range(3))
    known, at = 0, 0  # how many changes are known, and where the next one goes
    movement = start
    best = (math.inf, start, start)
    before: tuple[Floats, Floats, Floats] | None = None
    rounds = 0
    while rounds < limit:
        rounds += 1
        imbalance = -sheet.holding_forces(movement)
        given = sheet.solve(imbalance)
        staples, pull, forces = holding.answer(movement[edge] + given[edge])
        imbalance[edge] += forces
        load = np.zeros(size)
        load[edge] = forces
        step = given + sheet.solve(load)
        norm = math.sqrt(max(float(step @ imbalance), 0.0)) / scale
        if norm < best[0]:
            best = (norm, movement, step)
        elif norm > 2 * best[0]:  # mixing did harm: plain step from the best place
            known, at, before = 0, 0, None
            movement = best[1] + best[2]
            continue
        if before is not None:
            np.subtract(movement, before[0], out=moved[at])
            np.subtract(step, before[1], out=stepped[at])
            np.subtract(imbalance, before[2], out=answered[at])
            at, known = (at + 1) % MEMORY, min(known + 1, MEMORY)
        before = (movement, step, imbalance)
        movement = movement + step
        if known:
            inner = stepped[:known] @ answered[:known].T
            inner = 0.5 * (inner + inner.T)
            inner.flat[:: known + 1] += 1e-10 * np.trace(inner) + 1e-300
            shares = np.linalg.solve(inner, answered[:known] @ step)
            movement -= shares @ moved[:known]
            movement -= shares @ stepped[:known]
        if norm < tolerance:
            break
    holding.keep()
    return SlackRest(movement, staples, pull, forces, best[0], rounds)
