"""The canvas condensed on to its edge: what a frame feels of it, as two dense symmetric blocks.

The inside of the canvas carries no load of its own in the plane, so it can be taken out once per size and cloth;
what is left depends on neither section nor rails, and every design, joint or timber is a small frame plus this
block. Edge nodes run anticlockwise from the lower left corner (``MembraneGrid.edge``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import cho_factor, cho_solve
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole, frozen
from longpoint.strength.membrane.solve import (
    Cloth,
    geometric_stiffness,
    in_plane_freedoms,
    in_plane_stiffness,
    tension_forces,
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


def edge_compliance(block: Floats, rest_stiffness: float) -> Floats:
    """How far the free edge of a canvas moves per force, each edge freedom held by a very soft spring.

    A free sheet can slide and turn as a whole; the soft springs stand for the little friction with which cloth
    lies on the frame, and make the answer exist.

    Args:
        block: In-plane stiffness of the edge, shape (2 m, 2 m). [N/mm]
        rest_stiffness: Stiffness of each soft spring, above 0, far below the cloth's. [N/mm]

    Returns:
        Dense symmetric compliance, shape (2 m, 2 m). [mm/N]
    """
    size = len(block)
    inverse = cho_solve(cho_factor(block + rest_stiffness * np.eye(size)), np.eye(size))
    return np.asarray(0.5 * (inverse + inverse.T))
