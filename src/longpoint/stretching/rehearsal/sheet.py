"""A canvas made ready for rehearsals: taut, known on its edge, factored once; the same for every order and frame."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from longpoint.compiling import compiled
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole, frozen
from longpoint.strength.membrane.slack import KEPT, Sheet, prepare_sheet
from longpoint.strength.membrane.solve import Cloth, in_plane_freedoms
from longpoint.stretching.rehearsal.factor import QuickFactor, narrow_order

#: Soft springs on the edge as a part of the cloth's stiffness: cloth lies on its frame with a little friction.
SOFT = 1e-6


@compiled
def _all_taut(
    movement: Floats, elements: Whole, slopes: Floats, prestrain: Floats, law: Floats
) -> bool:  # pragma: no cover - runs compiled
    """Whether no point of the sheet is pushed in a movement, shape (2 n_nodes,)."""
    for e in range(elements.shape[0]):
        for p in range(4):
            i = 4 * e + p
            ex, ey, g = prestrain[i, 0], prestrain[i, 1], prestrain[i, 2]
            for n in range(4):
                u, v = movement[2 * elements[e, n]], movement[2 * elements[e, n] + 1]
                dx, dy = slopes[e, p, 0, n], slopes[e, p, 1, n]
                ex += dx * u
                ey += dy * v
                g += dy * u + dx * v
            tx, ty, txy = law[0] * ex + law[1] * ey, law[1] * ex + law[2] * ey, law[3] * g
            if tx < 0 or ty < 0 or tx * ty < txy * txy:
                return False
    return True


@dataclass(frozen=True, slots=True, eq=False)
class EdgeSystem:
    """A canvas made ready on its edge; the same for every order and every frame.

    Attributes:
        sheet: The sheet.
        edge: In-plane freedoms of the edge, shape (2 m,).
        give: Movement of the edge per force on it, taut, symmetric, shape (2 m, 2 m). [mm/N]
        loose: Movement of every freedom from the prestrain alone, taut, shape (2 n_nodes,). [mm]
        loose_edge: The same of the edge, shape (2 m,). [mm]
        loose_energy: Energy of that state, taut. [N mm]
        mean_strain: Mean ex ey gxy of the face from the movement of its edge, shape (3, 2 m). [1/mm]
    """

    sheet: Sheet
    edge: np.ndarray
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

    def is_taut(self, forces: Floats) -> bool:
        """Whether all cloth is taut under each of some loads on the edge.

        Args:
            forces: Shape (2 m, k). [N]

        Returns:
            True if no point of the cloth would be pushed.
        """
        sheet = self.sheet
        for column in forces.T:
            movement = self.loose + self.taut_movement(column)
            if not _all_taut(movement, sheet.grid.elements, sheet.slopes, sheet.prestrain, sheet.law):
                return False
        return True

    def strained(self, strain: float) -> EdgeSystem:
        """The same canvas after its cloth has shrunk, or grown.

        Args:
            strain: Shrinkage of the free cloth both ways, as a part; below 0 it grows.

        Returns:
            A system that shares everything but the prestrain.
        """
        sheet = self.sheet
        before = sheet.prestrain + np.array([strain, strain, 0.0])
        return _prestrained(replace(self, sheet=replace(sheet, prestrain=frozen(before))))

    def tension_of(self, strain: float) -> float:
        """Mean tension of both ways that so much shrinkage brings to cloth that is held all round. [N/mm]"""
        law = self.sheet.cloth.matrix
        return float(0.5 * (law[0, 0] + law[1, 1] + 2 * law[0, 1]) * strain)


def _prestrained(system: EdgeSystem) -> EdgeSystem:
    """A system with what follows from its sheet's prestrain made anew."""
    sheet = system.sheet
    loose = -sheet.solve(np.asarray(sheet.forces @ (sheet.prestrain @ sheet.cloth.matrix).ravel()))
    strain = sheet.strains(loose)
    energy = 0.5 * float(sheet.areas @ np.einsum("na,ab,nb->n", strain, sheet.cloth.matrix, strain))
    return replace(
        system,
        loose=loose,
        loose_edge=loose[system.edge],
        loose_energy=energy + 0.5 * float(sheet.springs @ loose**2),
    )


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
    # the factor is made once more, in a shape that one load after another is answered from quickly
    sheet = replace(sheet, solve=QuickFactor(sheet.stiffness, narrow_order(grid)).solve)
    give = np.empty((len(edge), len(edge)))
    for first in range(
        0, len(edge), 64
    ):  # in slices, so that no array is as large as the sheet times its edge
        part = np.arange(first, min(first + 64, len(edge)))
        unit = np.zeros((2 * grid.node_count, len(part)))
        unit[edge[part], np.arange(len(part))] = 1.0
        give[:, part] = sheet.solve(unit)[edge]
    empty = np.zeros(0)
    made = EdgeSystem(
        sheet=sheet,
        edge=edge,
        give=0.5 * (give + give.T),
        loose=empty,
        loose_edge=empty,
        loose_energy=0.0,
        mean_strain=_mean_strain(grid),
    )
    return _prestrained(made)
