"""The taut cloth's stiffness factored once, and answered as quickly as it can be.

A rehearsal asks the same factored sheet thousands of times for one column at a time. Numbered along the shorter way of
a rectangular grid its stiffness is a narrow band, and a band is answered from numbers that lie in a row, with no
looking up where: half of what a general sparse factor takes, though that has fewer numbers.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.linalg.lapack import dpbtrf, dpbtrs
from scipy.sparse import coo_matrix

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import Floats, MembraneGrid, Whole
from longpoint.strength.membrane.solve import in_plane_freedoms


def narrow_order(grid: MembraneGrid) -> Whole:
    """In-plane freedoms of a rectangular grid, along its shorter way first, so that neighbours stay near.

    Args:
        grid: The grid.

    Returns:
        The freedoms in order, shape (2 n_nodes,).
    """
    x, y = grid.nodes[:, 0], grid.nodes[:, 1]
    return in_plane_freedoms(np.lexsort((y, x) if grid.rows <= grid.columns else (x, y)))


class QuickFactor:
    """A symmetric positive definite matrix, factored as a band.

    Attributes:
        size: Rows of the matrix.
        width: Of the band, its diagonal counted.
    """

    def __init__(self, matrix: Any, order: Whole | None = None) -> None:
        """Factors a matrix.

        Args:
            matrix: Sparse, shape (n, n).
            order: Its rows in an order that keeps the band narrow, shape (n,); as they stand where None.

        Raises:
            OutOfRangeError: If the matrix is not positive definite.
        """
        entries = coo_matrix(matrix)
        self.size = entries.shape[0]
        self._order = np.arange(self.size) if order is None else order
        place = np.empty(self.size, dtype=np.intp)
        place[self._order] = np.arange(self.size)
        row, column = place[entries.row], place[entries.col]
        lower = row >= column
        below = (row - column)[lower]
        self.width = int(below.max()) + 1
        band = np.zeros((self.width, self.size), order="F")
        np.add.at(band, (below, column[lower]), entries.data[lower])
        self._factor, wrong = dpbtrf(band, lower=1, overwrite_ab=1)
        if wrong:
            msg = "the stiffness is not positive definite"
            raise OutOfRangeError(msg)

    def solve(self, load: Floats) -> Floats:
        """Answers one load or several.

        Args:
            load: Shape (n,) or (n, k).

        Returns:
            The same shape.
        """
        found, _ = dpbtrs(self._factor, np.asfortranarray(load[self._order]), lower=1, overwrite_b=1)
        answer = np.empty(np.shape(load))
        answer[self._order] = found
        return answer
