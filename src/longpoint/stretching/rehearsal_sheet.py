"""A canvas made ready for rehearsals: taut, known on its edge, factored once; the same for every order and frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from longpoint.strength.membrane import Cloth, in_plane_freedoms
from longpoint.strength.membrane_grid import Floats, MembraneGrid
from longpoint.strength.membrane_slack import KEPT, Sheet, prepare_sheet

#: Numbers in the largest answer of a sheet to its edge that is kept whole.
LARGEST_ANSWER = 2_000_000
#: Soft springs on the edge as a part of the cloth's stiffness: cloth lies on its frame with a little friction.
SOFT = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class EdgeSystem:
    """A canvas made ready on its edge; the same for every order and every frame.

    Attributes:
        sheet: The sheet.
        edge: In-plane freedoms of the edge, shape (2 m,).
        answer: Movement of every freedom per force on the edge, taut, shape (2 n_nodes, 2 m) [mm/N]; None where
            it would be so large that a sparse solution is quicker.
        give: Movement of the edge per force on it, taut, symmetric, shape (2 m, 2 m). [mm/N]
        loose: Movement of every freedom from the prestrain alone, taut, shape (2 n_nodes,). [mm]
        loose_edge: The same of the edge, shape (2 m,). [mm]
        loose_energy: Energy of that state, taut. [N mm]
        mean_strain: Mean ex ey gxy of the face from the movement of its edge, shape (3, 2 m). [1/mm]
    """

    sheet: Sheet
    edge: np.ndarray
    answer: Floats | None
    give: Floats
    loose: Floats
    loose_edge: Floats
    loose_energy: float
    mean_strain: Floats

    def taut_movement(self, forces: Floats) -> Floats:
        """Movement of every freedom of taut cloth without its prestrain, by sparse solution.

        Args:
            forces: On the edge, shape (2 m,) or (2 m, k). [N]

        Returns:
            Shape (2 n_nodes,) or (2 n_nodes, k). [mm]
        """
        load = np.zeros((len(self.loose), *forces.shape[1:]))
        load[self.edge] = forces
        return self.sheet.solve(load)

    def edge_answer(self, forces: Floats) -> Floats:
        """Movement of the edge of taut cloth under forces anywhere, without its prestrain.

        Args:
            forces: On every freedom, shape (2 n_nodes,). [N]

        Returns:
            Shape (2 m,). [mm]
        """
        if self.answer is None:
            return np.asarray(self.sheet.solve(forces)[self.edge])
        return np.asarray(forces @ self.answer)

    def is_taut(self, forces: Floats) -> bool:
        """Whether all cloth is taut under each of some loads on the edge.

        Args:
            forces: Shape (2 m, k). [N]

        Returns:
            True if no point of the cloth would be pushed.
        """
        sheet = self.sheet
        movement = self.loose[:, None] + self.taut_movement(forces)
        for column in movement.T:
            tension = (sheet.strain @ column).reshape(-1, 3)
            tension += sheet.prestrain
            tension = tension @ sheet.cloth.matrix
            x, y, shear = tension[:, 0], tension[:, 1], tension[:, 2]
            if x.min() < 0 or y.min() < 0 or np.any(x * y < shear * shear):
                return False
        return True


def _mean_strain(grid: MembraneGrid) -> Floats:
    """Mean strain of the face from its edge: the integral of movement times normal round it, over the area."""
    places = grid.nodes[grid.edge]
    after = np.roll(places, -1, axis=0)
    area = 0.5 * float(np.sum(places[:, 0] * after[:, 1] - after[:, 0] * places[:, 1]))
    run = 0.5 * (after - np.roll(places, 1, axis=0))  # half of the edges on both sides of a node
    normal = np.stack([run[:, 1], -run[:, 0]], axis=1) / area
    mean = np.zeros((3, 2 * len(places)))
    mean[0, 0::2], mean[1, 1::2] = normal[:, 0], normal[:, 1]
    mean[2, 0::2], mean[2, 1::2] = normal[:, 1], normal[:, 0]
    return mean


def edge_system(
    grid: MembraneGrid, cloth: Cloth, *, slackness: float = 0.0, kept: float = KEPT
) -> EdgeSystem:
    """Makes a canvas ready for rehearsals.

    Args:
        grid: A rectangular grid.
        cloth: The cloth while it is stretched.
        slackness: How much longer than the face the cloth lies at the start, both ways, as a part; below 0 it
            would be too short.
        kept: Part of the taut stiffness kept in slack cloth.

    Returns:
        The system.
    """
    edge = in_plane_freedoms(grid.edge)
    springs = np.zeros(2 * grid.node_count)
    springs[edge] = SOFT * math.sqrt(cloth.warp_stiffness * cloth.weft_stiffness)
    sheet = prepare_sheet(grid, cloth, prestrain=(-slackness, -slackness, 0.0), springs=springs, kept=kept)
    give = np.empty((len(edge), len(edge)))
    kept_answer = np.empty((len(springs), len(edge))) if len(springs) * len(edge) <= LARGEST_ANSWER else None
    for first in range(
        0, len(edge), 64
    ):  # in slices, so that no array is as large as the sheet times its edge
        part = np.arange(first, min(first + 64, len(edge)))
        unit = np.zeros((2 * grid.node_count, len(part)))
        unit[edge[part], np.arange(len(part))] = 1.0
        moved = sheet.solve(unit)
        give[:, part] = moved[edge]
        if kept_answer is not None:
            kept_answer[:, part] = moved
    give = 0.5 * (give + give.T)
    loose = -sheet.solve(sheet.forces @ (sheet.prestrain @ cloth.matrix).ravel())
    strain = sheet.strains(loose)
    energy = 0.5 * float(sheet.areas @ np.einsum("na,ab,nb->n", strain, cloth.matrix, strain))
    return EdgeSystem(
        sheet=sheet,
        edge=edge,
        answer=kept_answer,
        give=give,
        loose=loose,
        loose_edge=loose[edge],
        loose_energy=energy + 0.5 * float(sheet.springs @ loose**2),
        mean_strain=_mean_strain(grid),
    )
