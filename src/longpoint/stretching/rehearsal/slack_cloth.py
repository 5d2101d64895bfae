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
from longpoint.strength.membrane.mixing import Mixing
from longpoint.stretching.rehearsal.sheet import EdgeSystem
from longpoint.stretching.rehearsal.staples import Holding


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
    sheet, edge = system.sheet, system.edge
    mixing, movement = Mixing(start, scale=scale), start
    rounds, norm = 0, math.inf
    while rounds < limit and norm >= tolerance:
        rounds += 1
        imbalance = -sheet.holding_forces(movement)
        given = sheet.solve(imbalance)
        staples, pull, forces = holding.answer(movement[edge] + given[edge])
        imbalance[edge] += forces
        load = np.zeros(len(start))
        load[edge] = forces
        step = given + sheet.solve(load)
        norm = mixing.measure(movement, step, imbalance)
        movement = mixing.next(norm, movement, step, imbalance)
    holding.keep()
    return SlackRest(movement, staples, pull, forces, mixing.norm, rounds)
