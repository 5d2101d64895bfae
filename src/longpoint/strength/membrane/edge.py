"""The canvas condensed on to its edge: what a frame feels of it, as two dense symmetric blocks.

The inside of the canvas carries no load of its own in the plane, so it can be taken out once per size and cloth;
what is left depends on neither section nor rails, and every design, joint or timber is a small frame plus this
block. Edge nodes run anticlockwise from the lower left corner (``MembraneGrid.edge``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

from longpoint.strength.membrane.grid import Floats, Whole


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
