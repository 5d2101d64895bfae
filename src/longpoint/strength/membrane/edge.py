"""The canvas condensed on to its edge: what a frame feels of it, as two dense symmetric blocks.

The inside of the canvas carries no load of its own in the plane, so it can be taken out once per size and cloth;
what is left depends on neither section nor rails, and every design, joint or timber is a small frame plus this
block. Edge nodes run anticlockwise from the lower left corner (``MembraneGrid.edge``).
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import splu

from longpoint.strength.membrane.grid import Floats, Whole


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
