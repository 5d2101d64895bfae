"""A bare frame under stated loads, held at stated freedoms: movement, reactions, member forces, buckling.

For frames without canvas, and for comparing with formulas and other programs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse.linalg import eigsh, splu

from longpoint.errors import refuse
from longpoint.strength.beams.beam import Floats, Whole, beam_end_forces
from longpoint.strength.beams.frame_model import FrameModel, frame_geometric, frame_stiffness


@dataclass(frozen=True, slots=True, eq=False)
class FrameSolution:
    """Answer of a bare frame.

    Attributes:
        movement: ux uy uz [mm] rx ry rz [rad] of each node, shape (n_nodes, 6).
        reactions: What the held freedoms receive, 0 elsewhere, shape (n_nodes, 6). [N, N mm]
        end_forces: Force and moment on both ends of each element, global, shape (n_beams, 2, 6). [N, N mm]
        residual: Greatest out-of-balance over the greatest load. [-]
    """

    movement: Floats
    reactions: Floats
    end_forces: Floats
    residual: float


def _free(model: FrameModel, held: Whole) -> Whole:
    keep = np.ones(model.freedom_count, dtype=bool)
    keep[held] = False
    return np.flatnonzero(keep)


def solve_frame(model: FrameModel, loads: Floats, held: Whole) -> FrameSolution:
    """Solves a bare frame, small movements.

    Args:
        model: The frame.
        loads: Forces and moments on the nodes, shape (n_nodes, 6). [N, N mm]
        held: Freedoms held at nought (6 × node + freedom), shape (k,).

    Returns:
        The solution.

    Raises:
        FaultsError: If what is held does not stop the frame from moving freely.
    """
    stiffness = frame_stiffness(model)
    free = _free(model, np.asarray(held))
    inner = stiffness[free][:, free].tocsc()
    rhs = loads.ravel()[free]
    movement = np.zeros(model.freedom_count)
    try:
        movement[free] = splu(inner).solve(rhs)
    except RuntimeError:
        movement[free] = np.nan
    out = stiffness @ movement - loads.ravel()
    scale = max(float(np.abs(loads).max()), 1e-300)
    residual = float(np.abs(out[free]).max() / scale) if len(free) else 0.0
    if not residual < 1e-4:
        what = "The frame can move without any force: it is held in too few places or a joint turns freely."
        remedy = "Hold three places of it, or give every joint some stiffness."
        code = "frame-moves-freely"
        raise refuse(code, what, remedy)
    reactions = np.zeros_like(out)
    reactions[held] = out[held]
    shaped = movement.reshape(-1, 6)
    forces = beam_end_forces(model.beam_stiffness, model.beams.ends, shaped)
    return FrameSolution(shaped, reactions.reshape(-1, 6), forces, residual)


def frame_buckling(
    model: FrameModel, movement: Floats, held: Whole, *, count: int = 1
) -> tuple[Floats, Floats]:
    """Factors on the loads at which the bare frame gives way.

    Args:
        model: The frame.
        movement: Answer under the loads, shape (n_nodes, 6).
        held: Freedoms held, shape (k,).
        count: How many factors.

    Returns:
        Factors, the nearest to nought first, shape (count,); shapes, shape (count, n_nodes, 6), greatest 1.
    """
    free = _free(model, np.asarray(held))
    elastic = frame_stiffness(model)[free][:, free].tocsc()
    geometric = -frame_geometric(model, movement)[free][:, free].tocsc()
    start = np.random.default_rng(1).standard_normal(len(free))
    inverse, modes = eigsh(geometric, k=count, M=elastic, which="BE" if count > 1 else "LA", v0=start)
    order = np.argsort(-inverse)
    shapes = np.zeros((count, model.freedom_count))
    shapes[:, free] = modes[:, order].T
    shapes /= np.abs(shapes).max(axis=1, keepdims=True)
    return 1.0 / inverse[order], shapes.reshape(count, -1, 6)
