"""A canvas condensed on to its edge by itself, without a frame."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

from longpoint.strength.membrane.grid import (
    Floats,
    MembraneGrid,
    Whole,
    frozen,
    gradients,
)
from longpoint.strength.membrane.mixing import accelerated
from longpoint.strength.membrane.slack import Rest, Sheet
from longpoint.strength.membrane.solve import (
    Cloth,
    geometric_stiffness,
    in_plane_freedoms,
    in_plane_stiffness,
    tension_forces,
)
from longpoint.threads import on_one_thread


def condensed(matrix: csr_matrix, edge: Whole, inner: Whole) -> tuple[Floats, Floats]:
    """A symmetric sparse matrix condensed on to some of its freedoms.

    Args:
        matrix: Symmetric, with a regular inner block, shape (n, n).
        edge: Freedoms kept, shape (a,).
        inner: Freedoms taken out, shape (b,).

    Returns:
        Dense symmetric block, shape (a, a); inner movement per edge movement, shape (b, a).
    """
    kept = matrix[edge][:, edge].toarray()
    if not len(inner):
        return kept, np.zeros((0, len(edge)))
    across = matrix[inner][:, edge].toarray()
    follow = -splu(matrix[inner][:, inner].tocsc()).solve(across)
    block = kept + across.T @ follow
    return 0.5 * (block + block.T), follow


def condense_on_edge(grid: MembraneGrid, cloth: Cloth, tension: ArrayLike) -> EdgeBlock:
    """The canvas condensed on to its edge.

    Args:
        grid: The grid.
        cloth: The cloth as it is while the edge moves.
        tension: Prestress Tx Ty Txy, shape (3,) or (n_elements, 3). [N/mm]

    Returns:
        The two blocks, the pull, and how the inside follows.
    """
    edge, inner = grid.edge, grid.inner
    edge_xy, inner_xy = in_plane_freedoms(edge), in_plane_freedoms(inner)
    stiffness = in_plane_stiffness(grid, cloth)
    block, follow = condensed(stiffness, edge_xy, inner_xy)
    held = tension_forces(grid, tension)
    pull = -(held[edge_xy] + follow.T @ held[inner_xy])
    rest = np.zeros(len(inner_xy))
    if len(inner_xy):
        rest = splu(stiffness[inner_xy][:, inner_xy].tocsc()).solve(-held[inner_xy])
    square = np.zeros((len(edge), len(edge)))  # cloth without tension resists nothing square to itself
    if np.any(np.asarray(tension)):
        square, _ = condensed(geometric_stiffness(grid, tension), edge, inner)
    return EdgeBlock(edge, frozen(block), frozen(square), frozen(pull), frozen(follow), frozen(rest))


def movement_everywhere(grid: MembraneGrid, block: EdgeBlock, edge_movement: Floats) -> Floats:
    """In-plane movement of every node from that of the edge.

    Args:
        grid: The grid the block was made from.
        block: The block.
        edge_movement: x y of each edge node, shape (2 m,). [mm]

    Returns:
        Movements, shape (2 n_nodes,). [mm]
    """
    movement = np.zeros(2 * grid.node_count)
    movement[in_plane_freedoms(block.nodes)] = edge_movement
    movement[in_plane_freedoms(grid.inner)] = block.inside @ edge_movement + block.inside_rest
    return movement


def mapped_grid(grid: MembraneGrid, move: Callable[[Floats], Floats]) -> MembraneGrid:
    """The same columns and rows with every node moved, for skewed frames and distorted elements.

    Args:
        grid: The grid to start from.
        move: Takes places, shape (n_nodes, 2) [mm], and gives the new ones, same shape.

    Returns:
        The moved grid.

    Raises:
        OutOfRangeError: If an element turns inside out.
    """
    moved = MembraneGrid(frozen(move(np.array(grid.nodes))), grid.elements, grid.columns, grid.rows)
    gradients(moved)
    return moved


def strain_from_tension(cloth: Cloth, tension: ArrayLike) -> Floats:
    """Strain that taut cloth has under a tension; the prestrain of a wished prestress.

    Args:
        cloth: The cloth.
        tension: Tx Ty Txy, shape (..., 3). [N/mm]

    Returns:
        ex ey gxy, shape (..., 3).
    """
    return np.asarray(np.asarray(tension, dtype=np.float64) @ np.linalg.inv(cloth.matrix))


@on_one_thread
def come_to_rest(
    sheet: Sheet,
    *,
    forces: Floats | None = None,
    given: Floats | None = None,
    tolerance: float = 1e-4,
    limit: int = 2000,
) -> Rest:
    """Where a canvas that cannot push comes to rest, some freedoms held.

    Args:
        sheet: The sheet, prepared with its ``held`` freedoms.
        forces: In-plane forces, shape (2 n_nodes,). [N]
        given: Movements of the held freedoms (others are a first guess), shape (2 n_nodes,). [mm]
        tolerance: Imbalance to reach, as a part of the whole.
        limit: Most rounds.

    Returns:
        The canvas at rest.
    """
    size = 2 * sheet.grid.node_count
    load = np.zeros(size) if forces is None else forces
    start = np.zeros(size) if given is None else np.array(given, dtype=np.float64)

    def advance(movement: Floats) -> tuple[Floats, Floats]:
        imbalance = load - sheet.holding_forces(movement)
        return sheet.solve(imbalance), imbalance

    first, _ = advance(start)
    start = start + first
    matrix: Any = sheet.stiffness
    strain = sheet.strains(start)
    scale = math.sqrt(
        float(sheet.areas @ np.einsum("na,ab,nb->n", strain, sheet.cloth.matrix, strain))
        + float(start @ (matrix @ start))
    )
    movement, imbalance, rounds = accelerated(advance, start, scale=scale, tolerance=tolerance, limit=limit)
    tension, state = sheet.relieved(movement)
    return Rest(
        movement=frozen(movement),
        tension=frozen(tension),
        state=state,
        imbalance=imbalance,
        rounds=rounds,
        settled=imbalance < tolerance,
    )


@dataclass(frozen=True, slots=True, eq=False)
class EdgeBlock:
    """What the edge of a canvas feels.

    Attributes:
        nodes: Edge nodes, anticlockwise from the lower left, shape (m,).
        in_plane: Stiffness of the edge in the plane, order x y of each edge node, shape (2 m, 2 m). [N/mm]
        out_of_plane: Stiffness of the edge square to the canvas, from the tension alone, shape (m, m). [N/mm]
        pull: Forces with which the canvas pulls on the edge before it moves, x y of each edge node, inward for a
            positive tension, shape (2 m,). [N]
        inside: In-plane movement of the inner nodes per movement of the edge, shape (2 n_inner, 2 m);
            inner nodes in the order of ``MembraneGrid.inner``.
        inside_rest: In-plane movement of the inner nodes with the edge held (zero for an even prestress),
            shape (2 n_inner,). [mm]
    """

    nodes: Whole
    in_plane: Floats
    out_of_plane: Floats
    pull: Floats
    inside: Floats
    inside_rest: Floats
