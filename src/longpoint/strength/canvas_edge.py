"""A canvas made ready once for every design of its size: condensed on to its edge, its inside factored.

What a frame feels of the canvas depends on neither section nor rails, so one prepared canvas serves every
design, joint band and timber. Edge points run anticlockwise from the lower left corner.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.sparse import csr_matrix

from longpoint.strength.beams.beam import Floats, Whole
from longpoint.strength.membrane.edge import on_edge
from longpoint.strength.membrane.grid import MembraneGrid, frozen, rectangle_grid
from longpoint.strength.membrane.slack import (
    NO_MATRIX,
    NO_VALUES,
    Sheet,
    nothing_solves,
    prepare_sheet,
    tension_without_compression,
)
from longpoint.strength.membrane.solve import (
    Cloth,
    geometric_blocks,
    geometric_stiffness,
    in_plane_blocks,
    in_plane_freedoms,
)
from longpoint.threads import on_one_thread

#: Size of canvas elements where none is asked for. [mm]
ELEMENT = 45.0
#: Size of the windows over which tension is reported; never the peak of a point. [mm]
WINDOW = 90.0


@dataclass(frozen=True, slots=True, eq=False)
class EdgeCanvas:
    """A canvas condensed on to its edge.

    Attributes:
        width: Size along x. [mm]
        height: Size along y. [mm]
        grid: Its grid.
        cloth: The cloth.
        sheet: Strain and force matrices at the four points of each element.
        edge: Edge nodes, shape (m,).
        edge_xy: In-plane freedoms of the edge, shape (2 m,).
        inner_xy: In-plane freedoms of the inside, shape (2 k,).
        block: In-plane stiffness of the edge, symmetric, shape (2 m, 2 m). [N/mm]
        across: In-plane stiffness between inside and edge, sparse, shape (2 k, 2 m). [N/mm]
        solve_inside: Movement of the inside from forces on it, edge held.
        even: Holding forces of an even tension, per Tx Ty Txy, shape (2 n_nodes, 3). [mm]
        windows: Averages points over windows, shape (rows × columns, n_points).
        window_shape: Rows and columns of windows, lower left first.
    """

    width: float
    height: float
    grid: MembraneGrid
    cloth: Cloth
    sheet: Sheet
    edge: Whole
    edge_xy: Whole
    inner_xy: Whole
    block: Floats
    across: csr_matrix
    solve_inside: Callable[[Floats], Floats]
    even: Floats
    windows: csr_matrix
    window_shape: tuple[int, int]

    def settled(self) -> EdgeCanvas:
        """The canvas without its matrices: what is left once nothing is solved any more."""
        return replace(
            self, sheet=self.sheet.settled(), block=NO_VALUES, across=NO_MATRIX, solve_inside=nothing_solves
        )

    @property
    def edge_places(self) -> Floats:
        """Edge points, shape (m, 2). [mm]"""
        return np.asarray(self.grid.nodes[self.edge])

    def condense(self, forces: Floats) -> Floats:
        """Forces on all nodes as forces on the edge that do the same, shape (2 m,).

        Args:
            forces: In-plane, shape (2 n_nodes,). [N]

        Returns:
            x y of each edge point. [N]
        """
        edge, inner = forces[self.edge_xy], forces[self.inner_xy]
        if _is_nothing(inner, edge):  # an even prestress pulls on the edge alone
            return edge
        return np.asarray(edge - self.across.T @ self.solve_inside(inner))

    def everywhere(self, edge_movement: Floats, forces: Floats | None = None) -> Floats:
        """Movement of every node from that of the edge and forces on the inside.

        Args:
            edge_movement: Shape (2 m,). [mm]
            forces: In-plane forces on all nodes, shape (2 n_nodes,). [N]

        Returns:
            Shape (2 n_nodes,). [mm]
        """
        out = np.zeros(2 * self.grid.node_count)
        out[self.edge_xy] = edge_movement
        inside = -(self.across @ edge_movement)
        if forces is not None and not _is_nothing(forces[self.inner_xy], forces[self.edge_xy]):
            inside += forces[self.inner_xy]
        out[self.inner_xy] = self.solve_inside(inside)
        return out

    def tension(self, movement: Floats, prestrain: Floats, *, slackens: bool) -> tuple[Floats, Floats]:
        """Tension at every point, and its state.

        Args:
            movement: Shape (2 n_nodes,). [mm]
            prestrain: ex ey gxy at every point, shape (n_points, 3).
            slackens: False lets cloth push, as a check.

        Returns:
            Tx Ty Txy, shape (n_points, 3) [N/mm]; 0 slack, 1 rippled, 2 taut, shape (n_points,).
        """
        strain = np.asarray(self.sheet.strain @ movement).reshape(-1, 3) + prestrain
        taut = strain @ self.cloth.matrix
        if not slackens or _all_taut(taut):
            return taut, np.full(len(strain), 2.0)
        tension, state = tension_without_compression(self.cloth.matrix, strain, self.sheet.kept)
        return tension, state.astype(np.float64)

    def square_block(self, tension: Floats) -> Floats:
        """Stiffness of the edge against movement square to the canvas, shape (m, m). [N/mm]

        Args:
            tension: At every point, shape (n_points, 3). [N/mm]

        Returns:
            Dense symmetric block.
        """
        return on_edge(self.grid, geometric_blocks(self.grid, tension.reshape(-1, 4, 3)))

    def plane_block(self, tension: Floats) -> Floats:
        """In-plane geometric stiffness seen by the edge, the inside following elastically, shape (2 m, 2 m)."""
        matrix = geometric_stiffness(self.grid, tension.reshape(-1, 4, 3))
        shape = np.zeros((self.grid.node_count, 2, len(self.edge_xy)))
        flat = shape.reshape(2 * self.grid.node_count, -1)
        flat[self.edge_xy] = np.eye(len(self.edge_xy))
        flat[self.inner_xy] = self.solve_inside(-self.across.toarray())
        return np.asarray(sum(shape[:, k].T @ (matrix @ shape[:, k]) for k in (0, 1)))


def _all_taut(tension: Floats) -> bool:
    t_x, t_y, t_xy = tension.T
    return bool(t_x.min() >= 0 and t_y.min() >= 0 and (t_x * t_y - t_xy * t_xy).min() >= 0)


def _is_nothing(forces: Floats, beside: Floats) -> bool:
    return float(np.abs(forces).max(initial=0.0)) <= 1e-13 * float(np.abs(beside).max(initial=0.0))


@lru_cache(maxsize=8)
@on_one_thread
def prepare_canvas(
    *, width: float, height: float, cloth: Cloth, columns: int | None = None, rows: int | None = None
) -> EdgeCanvas:
    """Condenses a canvas on to its edge; kept for the next design of the same size and cloth.

    Args:
        width: Size along x, above 0. [mm]
        height: Size along y, above 0. [mm]
        cloth: The cloth in the state it is in.
        columns: Elements along x; about one per 45 mm where None, even.
        rows: Elements along y.

    Returns:
        The canvas.
    """
    columns = columns or 2 * max(4, round(width / ELEMENT / 2))
    rows = rows or 2 * max(4, round(height / ELEMENT / 2))
    return edge_canvas(_grid(width=width, height=height, columns=columns, rows=rows), cloth)


_grid = lru_cache(maxsize=4)(rectangle_grid)
"""One grid for every cloth on a face."""


def edge_canvas(grid: MembraneGrid, cloth: Cloth) -> EdgeCanvas:
    """Condenses a canvas on any grid with straight edges along x and y.

    Args:
        grid: The grid, lower left corner at the origin.
        cloth: The cloth.

    Returns:
        The canvas.
    """
    edge_xy, inner_xy = in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
    sheet = prepare_sheet(grid, cloth, held=edge_xy)
    blocks = in_plane_blocks(grid, cloth)
    if np.allclose(blocks, blocks[:1], rtol=1e-9, atol=0.0):
        blocks = blocks[:1]

    def solve_inside(forces: Floats) -> Floats:
        everywhere = np.zeros((2 * grid.node_count, *forces.shape[1:]))
        everywhere[inner_xy] = forces
        return sheet.solve(everywhere)[inner_xy]

    width, height = (float(v) for v in np.ptp(grid.nodes, axis=0))
    windows, shape = _windows(grid, sheet.areas, width, height)
    return EdgeCanvas(
        width=width,
        height=height,
        grid=grid,
        cloth=cloth,
        sheet=sheet,
        edge=grid.edge,
        edge_xy=edge_xy,
        inner_xy=inner_xy,
        block=frozen(on_edge(grid, blocks)),
        across=sheet.stiffness[inner_xy][:, edge_xy],
        solve_inside=solve_inside,
        even=frozen(sheet.forces @ np.tile(np.eye(3), (len(sheet.areas), 1))),
        windows=windows,
        window_shape=shape,
    )


def _windows(
    grid: MembraneGrid, areas: Floats, width: float, height: float
) -> tuple[csr_matrix, tuple[int, int]]:
    across, up = max(1, round(width / WINDOW)), max(1, round(height / WINDOW))
    at = np.repeat(grid.centres, 4, axis=0) / [width, height] * [across, up]
    cell = np.minimum(at.astype(int), [across - 1, up - 1])
    which = cell[:, 1] * across + cell[:, 0]
    total = np.bincount(which, areas, minlength=across * up)
    weights = areas / total[which]
    matrix = csr_matrix((weights, (which, np.arange(len(which)))), shape=(across * up, len(which)))
    return matrix, (up, across)
