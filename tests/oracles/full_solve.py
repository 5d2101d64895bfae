"""Frame and canvas solved as one sparse system, nothing condensed: the plain way, to check the quick one by.

Unknowns are the frame's freedoms and the in-plane movement of the canvas inside its edge; edge points hang on the
bars. Small movements, taut cloth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import block_array, csc_matrix
from scipy.sparse.linalg import splu

from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_model import FrameModel, frame_stiffness
from longpoint.strength.coupled import three_corner_supports
from longpoint.strength.membrane.grid import MembraneGrid
from longpoint.strength.membrane.solve import Cloth, in_plane_freedoms, in_plane_stiffness, tension_forces
from longpoint.strength.ties import Ties, tie_points

#: As in the condensed solve: of no consequence on determinate supports.
_SUPPORT = 2000.0


@dataclass(frozen=True, slots=True, eq=False)
class FullSolution:
    """Answer of the plain sparse solve.

    Attributes:
        movement: Freedoms of the frame, shape (n_nodes, 6).
        canvas_movement: In-plane movement of the canvas, shape (n_canvas_nodes, 2). [mm]
        residual: Greatest force out of balance over the greatest load. [-]
        unknowns: Number of unknowns.
    """

    movement: Floats
    canvas_movement: Floats
    residual: float
    unknowns: int


def full_matrix(model: FrameModel, grid: MembraneGrid, cloth: Cloth, ties: Ties) -> csc_matrix:
    """The whole matrix: frame freedoms first, then x y of the canvas's inner nodes.

    Args:
        model: The frame.
        grid: The canvas's grid.
        cloth: The cloth.
        ties: Canvas edge on bars.

    Returns:
        Sparse symmetric matrix.
    """
    canvas = in_plane_stiffness(grid, cloth)
    edge, inner = in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
    on_bars = ties.in_plane
    held = three_corner_supports(ties)
    inside, by_edge = canvas[inner], canvas[edge]
    across = inside[:, edge] @ on_bars
    frame = frame_stiffness(model) + _SUPPORT * (held.T @ held) + on_bars.T @ (by_edge[:, edge] @ on_bars)
    return csc_matrix(block_array([[frame, across.T], [across, inside[:, inner]]], format="csc"))


def solve_full(
    model: FrameModel,
    grid: MembraneGrid,
    cloth: Cloth,
    *,
    along_x: float,
    along_y: float,
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left"),
) -> FullSolution:
    """One linear solve at a given prestress.

    Args:
        model: The frame.
        grid: The canvas's grid.
        cloth: The cloth.
        along_x: Tension along x on a rigid frame. [N/mm]
        along_y: Tension along y on a rigid frame. [N/mm]
        bars: Members under the bottom, right, top and left edge.

    Returns:
        The solution.
    """
    ties = tie_points(model, grid, bars)
    matrix = full_matrix(model, grid, cloth, ties)
    edge, inner = in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
    held = tension_forces(grid, (along_x, along_y, 0.0))
    load = -np.concatenate([ties.in_plane.T @ held[edge], held[inner]])
    answer = splu(
        matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    ).solve(load)
    left = matrix @ answer - load
    count = model.freedom_count
    canvas = np.zeros(2 * grid.node_count)
    canvas[edge], canvas[inner] = ties.in_plane @ answer[:count], answer[count:]
    return FullSolution(
        movement=answer[:count].reshape(-1, 6),
        canvas_movement=canvas.reshape(-1, 2),
        residual=float(np.abs(left).max() / np.abs(load).max()),
        unknowns=len(load),
    )
