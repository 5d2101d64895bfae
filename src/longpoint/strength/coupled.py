"""Frame and canvas as one system: what the frame gives way, the canvas loses.

The canvas hangs on the lips; its prestrain pulls, the frame yields, the canvas slackens where the frame has
yielded, until both are at rest. Small movements; cloth that would be pushed goes slack (tension field). The
frame stands on statically determinate supports, which receive nothing unless weight is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve
from scipy.sparse import csr_matrix

from longpoint.errors import refuse
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_model import (
    FrameModel,
    frame_stiffness,
    rigid_motions,
)
from longpoint.strength.canvas_edge import EdgeCanvas
from longpoint.strength.membrane.slack import NO_MATRIX, NO_VALUES
from longpoint.strength.ties import Ties, tie_canvas
from longpoint.threads import on_one_thread

#: Stiffness of each support; with determinate supports its size changes nothing but a drift taken out again.
SUPPORT = 2000.0


@dataclass(frozen=True, slots=True, eq=False)
class CoupledSystem:
    """A frame and a canvas tied together, factored.

    Attributes:
        model: The frame.
        canvas: The canvas.
        ties: Canvas edge on bars.
        bars: Members under the bottom, right, top and left edge.
        frame: Elastic stiffness of the bare frame, sparse.
        supports: Rows of what is held, shape (s, 6 n_nodes).
        factor: Cholesky factor of frame, canvas edge and supports together.
    """

    model: FrameModel
    canvas: EdgeCanvas
    ties: Ties
    bars: tuple[str, str, str, str]
    frame: csr_matrix
    supports: csr_matrix
    factor: tuple[Floats, bool]

    def solved(self) -> CoupledSystem:
        """What is left once the frame is not solved any more."""
        return replace(self, frame=NO_MATRIX, factor=(NO_VALUES, False))

    def settled(self) -> CoupledSystem:
        """What is left once nothing is solved any more: enough to draw it and to weigh its balance."""
        return replace(self.solved(), canvas=self.canvas.settled())

    def solve(self, loads: Floats) -> Floats:
        """Frame freedoms under loads on them, the canvas resisting as taut cloth, shape (6 n_nodes,)."""
        return np.asarray(cho_solve(self.factor, loads, check_finite=False))


def three_corner_supports(ties: Ties) -> csr_matrix:
    """Rows that hold the lip at three corners, statically determinate: x y z, y z and z.

    Args:
        ties: The ties.

    Returns:
        Sparse, shape (6, 6 n_nodes).
    """
    corners = np.unique(ties.point[ties.weight == 0.5])
    first, second, _, fourth = corners
    square = len(ties.point) - len(corners)  # where rows z begin, halved
    picked = [2 * first, 2 * first + 1, 2 * square + first]
    picked += [2 * second + 1, 2 * square + second, 2 * square + fourth]
    return ties.rows[picked]


@on_one_thread
def couple(
    model: FrameModel,
    canvas: EdgeCanvas,
    *,
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left"),
    supports: csr_matrix | None = None,
) -> CoupledSystem:
    """Ties a canvas to a frame and factors the two as one.

    Args:
        model: The frame.
        canvas: The prepared canvas.
        bars: Members under the bottom, right, top and left edge.
        supports: Rows of what is held; the lip at three corners where None.

    Returns:
        The system.

    Raises:
        FaultsError: If the frame can move without any force.
    """
    ties = tie_canvas(model, canvas, bars)
    frame = frame_stiffness(model)
    held = three_corner_supports(ties) if supports is None else supports
    edge = ties.in_plane
    together = frame.toarray()
    some = np.unique(held.indices)
    few = held[:, some].toarray()
    together[np.ix_(some, some)] += SUPPORT * (few.T @ few)
    turned = edge.T.tocsr()
    together += turned @ np.ascontiguousarray((turned @ canvas.block).T)
    try:
        # symmetric, so the transpose is the same matrix, laid out as the factorisation wants it
        factor = cho_factor(together.T, lower=True, overwrite_a=True, check_finite=False)
    except LinAlgError:
        code = "frame-moves-freely"
        what = "The frame can move without any force: some piece is not held by its joints."
        raise refuse(code, what, "Give every piece at least two joints that hold it.") from None
    return CoupledSystem(model, canvas, ties, bars, frame, held, factor)


def centred(system: CoupledSystem, movement: Floats) -> Floats:
    """The same movement seen from the four corners of the lip: what slid or turned as a whole taken out.

    Args:
        system: Frame and canvas.
        movement: Freedoms, shape (n_nodes, 6).

    Returns:
        Freedoms, shape (n_nodes, 6).
    """
    ties = system.ties
    corners = np.unique(ties.point[ties.weight == 0.5])
    rows = ties.movement[(3 * corners[:, None] + np.arange(3)).ravel()]
    rigid = rigid_motions(system.model.nodes).reshape(-1, 6)
    share, *_ = np.linalg.lstsq(rows @ rigid, rows @ movement.ravel(), rcond=None)
    return np.asarray(movement - (rigid @ share).reshape(-1, 6))
