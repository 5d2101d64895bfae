"""Springs between members: their stiffness, and what they add once they carry force.

A spring acts at one point, on rigid arms from the two nodes; its directions turn with the first node.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.beams.beam import Floats, Whole, cross_matrix


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Links:
    """Springs between two nodes, as arrays.

    Attributes:
        ends: First and second node, shape (m, 2).
        arms: From each node to the point where the spring acts, shape (m, 2, 3). [mm]
        triad: Rows are the springs' directions, shape (m, 3, 3).
        stiffness: Three sliding [N/mm], three turning [N mm/rad], shape (m, 6).
    """

    ends: Whole
    arms: Floats
    triad: Floats
    stiffness: Floats


def _link_rows(links: Links) -> Floats:
    """From the twelve freedoms to the six stretches of each spring, shape (m, 6, 12)."""
    out = np.zeros((len(links.ends), 6, 12))
    for end, sign in ((0, -1.0), (1, 1.0)):
        at = 6 * end
        out[:, :3, at : at + 3] = sign * links.triad
        out[:, :3, at + 3 : at + 6] = -sign * links.triad @ cross_matrix(links.arms[:, end])
        out[:, 3:, at + 3 : at + 6] = sign * links.triad
    return out


def link_stiffness(links: Links) -> Floats:
    """Elastic stiffness in global axes.

    Args:
        links: The springs.

    Returns:
        Symmetric matrices, shape (m, 12, 12), in N, mm and rad.
    """
    rows = _link_rows(links)
    return np.asarray(np.swapaxes(rows, 1, 2) @ (links.stiffness[:, :, None] * rows))


def arm_stiffness(force: Floats, arm: Floats) -> Floats:
    """Geometric stiffness of a rigid arm that carries a force.

    Args:
        force: Internal force on the arm's tip (the structure's resistance there), shape (k, 3). [N]
        arm: From the node to the tip, shape (k, 3). [mm]

    Returns:
        Symmetric matrices on the node's rotation, shape (k, 3, 3).
    """
    mixed = 0.5 * force[:, :, None] * arm[:, None, :]
    dot = np.einsum("ki,ki->k", force, arm)
    return np.asarray(mixed + np.swapaxes(mixed, 1, 2) - dot[:, None, None] * np.eye(3))


def link_geometric(links: Links, movement: Floats) -> Floats:
    """Geometric stiffness of springs and their arms.

    Args:
        links: The springs.
        movement: Freedoms of all nodes, shape (n_nodes, 6).

    Returns:
        Symmetric matrices, shape (m, 12, 12); they add to the elastic stiffness.
    """
    rows = _link_rows(links)
    local = movement[links.ends].reshape(-1, 12)
    pull = links.stiffness * (rows @ local[..., None])[..., 0]
    force = (np.swapaxes(links.triad, 1, 2) @ pull[:, :3, None])[..., 0]
    moment = (np.swapaxes(links.triad, 1, 2) @ pull[:, 3:, None])[..., 0]
    out = np.zeros((len(links.ends), 12, 12))
    out[:, 3:6, 3:6] += arm_stiffness(-force, links.arms[:, 0])
    out[:, 9:, 9:] += arm_stiffness(force, links.arms[:, 1])
    turn = -0.5 * cross_matrix(moment)  # −½ m·(θa × θb) = −½ θb·(m × θa)
    out[:, 9:, 3:6] += turn
    out[:, 3:6, 9:] += np.swapaxes(turn, 1, 2)
    # the springs' directions turn with the first node: −f·(θa × d) with d the first-order gap
    gap = np.zeros((len(links.ends), 3, 12))
    for end, sign in ((0, -1.0), (1, 1.0)):
        gap[:, :, 6 * end : 6 * end + 3] = sign * np.eye(3)
        gap[:, :, 6 * end + 3 : 6 * end + 6] = -sign * cross_matrix(links.arms[:, end])
    follow = cross_matrix(force) @ gap  # −f·(θa × d) = θa·(f × d)
    out[:, 3:6, :] += follow
    out[:, :, 3:6] += np.swapaxes(follow, 1, 2)
    return out
