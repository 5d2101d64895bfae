"""Frames for a rehearsal: how far the lips give way in the plane, per force on them.

A rehearsal asks of a frame only this: a dense symmetric compliance over the edge points of the canvas, x y of
each, anticlockwise from the lower left corner, on statically determinate supports. The real frame's comes from
the strength part, condensed to its lips; the loop of beams here serves trials and tests.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.frame_model import FrameModel, frame_stiffness
from longpoint.strength.coupled import three_corner_supports
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.strength.ties import tie_points

#: Stiffness of each of the three held corners; being determinate they take nothing under balanced pulls. [N/mm]
SUPPORT = 1e5


def give_from_stiffness(stiffness: Floats, grid: MembraneGrid) -> Floats:
    """Compliance of the lips from a stiffness that lets the whole frame move freely.

    The lower left corner is held, and the lower right one upwards: determinate, so balanced loads bend nothing
    at the supports.

    Args:
        stiffness: In-plane stiffness condensed to the lips, shape (2 m, 2 m). [N/mm]
        grid: Grid of the canvas.

    Returns:
        Compliance, shape (2 m, 2 m). [mm/N]
    """
    size = len(stiffness)
    held = [0, 1, 2 * grid.columns + 1]
    free = np.setdiff1d(np.arange(size), held)
    give = np.zeros((size, size))
    inverse = np.linalg.inv(stiffness[np.ix_(free, free)])
    give[np.ix_(free, free)] = 0.5 * (inverse + inverse.T)
    return give


def give_of_frame(
    model: FrameModel,
    grid: MembraneGrid,
    *,
    bars: tuple[str, str, str, str] = ("bottom", "right", "top", "left"),
) -> Floats:
    """Compliance of the lips of a real frame: bars bending, turning in and squeezed, joints and rails giving.

    Pulled at the lips, the bare frame held at three corners; the canvas's own hold on it comes in the rehearsal.

    Args:
        model: The frame; the canvas lies at z = 0, its lower left corner at the origin.
        grid: Grid of the canvas.
        bars: Members under the bottom, right, top and left edge.

    Returns:
        Compliance, shape (2 m, 2 m). [mm/N]

    Raises:
        OutOfRangeError: If the frame can move without any force.
    """
    ties = tie_points(model, grid, bars)
    held = three_corner_supports(ties)
    stiffness = csc_matrix(frame_stiffness(model) + SUPPORT * (held.T @ held))
    lips = ties.in_plane.toarray()
    give = lips @ splu(stiffness).solve(lips.T.copy())
    if not np.all(np.isfinite(give)):
        msg = "the frame can move without any force: give every piece at least two joints that hold it"
        raise OutOfRangeError(msg)
    return np.asarray(0.5 * (give + give.T))


def _corners(grid: MembraneGrid) -> tuple[int, int, int, int]:
    """Corners in the edge order, anticlockwise from the lower left."""
    c, r = grid.columns, grid.rows
    return (0, c, c + r, 2 * c + r)
