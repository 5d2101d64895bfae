"""The frame that winds itself up: how much tension it bears, and how far a natural twist grows.

Bars are soft in torsion; pulled together by the canvas, a frame twists into a propeller long before any bar
buckles, and a twist it already has grows by 1/(1 − T/T_cr). The lowest critical tension is found for frame and
canvas together, with geometric stiffness from axial force, shear, bending and torque of the bars, from the arms
at the lips and from the canvas's own tension; a rigid turn of the whole costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import LinAlgError, cho_factor, cho_solve, solve_triangular
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import LinearOperator, eigsh

from longpoint.errors import refuse
from longpoint.strength.beams.beam import Floats
from longpoint.strength.beams.frame_model import frame_geometric, weight_loads
from longpoint.strength.coupled import CoupledSystem
from longpoint.strength.coupled_solve import CoupledState
from longpoint.strength.membrane.solve import pressure_forces
from longpoint.strength.ties import ties_geometric
from longpoint.threads import on_one_thread


@dataclass(frozen=True, slots=True, eq=False)
class Winding:
    """When the frame gives way as a whole.

    Attributes:
        factor: Critical over present tension; below 1 the frame cannot stay flat. [-]
        critical_tension: Mean tension left at which it gives way. [N/mm]
        mode: Shape in which it does, freedoms of the frame, greatest slide 1, shape (n_nodes, 6).
        corner_lift: How the four corners go forward in that shape, from the lower left anticlockwise, the plane
            through them taken out; a propeller is (+, −, +, −), shape (4,).
        shares: Share of each member in the energy that resists, shape (n_members,).
    """

    factor: float
    critical_tension: float
    mode: Floats
    corner_lift: Floats
    shares: Floats

    def is_propeller(self) -> bool:
        """True if the frame winds; False if it gives way in another shape first."""
        a = self.corner_lift
        return bool(np.abs(a).max() > 0.05 and a[0] * a[1] < 0)


def geometric_matrix(system: CoupledSystem, state: CoupledState, *, in_plane: bool = False) -> Floats:
    """Geometric stiffness of frame and canvas as the frame's freedoms feel it, dense.

    Args:
        system: Frame and canvas.
        state: Where they are at rest.
        in_plane: True adds the canvas's in-plane part too, so that turning in the plane costs nothing either; it
            is as small beside the cloth's own stiffness as the strain is beside 1 and does not move the winding.

    Returns:
        Symmetric, shape (6 n_nodes, 6 n_nodes).
    """
    canvas, ties = system.canvas, system.ties
    sparse: csr_matrix = frame_geometric(system.model, state.movement)
    sparse = sparse + ties_geometric(system.model, ties, state.holding)
    dense = sparse.toarray()
    blocks = [(ties.square, canvas.square_block(state.tension))]
    if in_plane:
        blocks.append((ties.in_plane, canvas.plane_block(state.tension)))
    for rows, block in blocks:
        dense += rows.T @ np.ascontiguousarray((rows.T @ block).T)
    return np.asarray(0.5 * (dense + dense.T))


@on_one_thread
def find_winding(system: CoupledSystem, state: CoupledState) -> Winding:
    """The lowest critical tension with its shape.

    Forces in frame and canvas are taken to grow with the tension as a whole.

    Args:
        system: Frame and canvas.
        state: Where they are at rest under the tension in question.

    Returns:
        The winding.
    """
    factor, lower = system.factor
    geometric = geometric_matrix(system, state)
    size = len(geometric)

    def apply(vector: Floats) -> Floats:
        inside = solve_triangular(factor, vector, lower=lower, trans="T", check_finite=False)
        out = solve_triangular(factor, -(geometric @ inside), lower=lower, check_finite=False)
        return np.asarray(out)

    start = np.random.default_rng(7).standard_normal(size)
    operator = LinearOperator((size, size), matvec=apply, dtype=np.float64)
    values, vectors = eigsh(operator, k=1, which="LA", v0=start, tol=1e-9, ncv=24)
    shape = solve_triangular(factor, vectors[:, 0], lower=lower, trans="T", check_finite=False).reshape(-1, 6)
    lift = _corner_lift(system, shape)
    turned = 1.0 if lift[0] >= 0 else -1.0
    peak = float(np.abs(shape[:, :3]).max())
    # nothing in the frame is weakened by the tension: it never gives way
    critical = 1.0 / float(values[0]) if values[0] > 1e-12 else float("inf")
    return Winding(
        factor=critical,
        critical_tension=critical * state.mean_tension(system.canvas),
        mode=turned * shape / peak,
        corner_lift=turned * lift / peak,
        shares=_shares(system, shape),
    )


def _corner_rows(system: CoupledSystem) -> csr_matrix:
    ties = system.ties
    return ties.square[np.unique(ties.point[ties.weight == 0.5])]


def _corner_lift(system: CoupledSystem, movement: Floats) -> Floats:
    lift = _corner_rows(system) @ movement.ravel()
    return np.asarray(0.25 * (lift[0] - lift[1] + lift[2] - lift[3]) * np.array([1.0, -1.0, 1.0, -1.0]))


def _shares(system: CoupledSystem, movement: Floats) -> Floats:
    model = system.model
    local = movement[model.beams.ends].reshape(-1, 12)
    energy = np.einsum("ni,nij,nj->n", local, model.beam_stiffness, local)
    per_member = np.array([energy[beams].sum() for beams in model.member_beams])
    return np.asarray(per_member / max(float(per_member.sum()), 1e-300))


def _stressed_stiffness(system: CoupledSystem, state: CoupledState) -> tuple[Floats, Floats]:
    """Elastic and geometric stiffness together, and the elastic one, dense."""
    half = np.tril(system.factor[0])
    elastic = half @ half.T
    together = elastic + geometric_matrix(system, state)
    return 0.5 * (together + together.T), elastic


def _solve_stressed(together: Floats, loads: Floats) -> Floats:
    try:
        factor = cho_factor(together, lower=True, check_finite=False)
    except LinAlgError:
        code, what = "frame-winds-up", "At this tension the frame winds up by itself; it cannot lie flat."
        raise refuse(code, what, "Add end rails or rails both ways, or lower the tension.") from None
    return np.asarray(cho_solve(factor, loads, check_finite=False))


def free_corner_sag(system: CoupledSystem, state: CoupledState) -> float:
    """How far the fourth corner sinks when the work lies flat on three corners.

    A test for the bench: the softer the frame in winding, the further it sinks (equally: how far one corner can
    be lifted before the next leaves the bench).

    Args:
        system: Frame and canvas, on three-corner supports.
        state: Under tension, at rest.

    Returns:
        Sinking of the free corner. [mm]

    Raises:
        FaultsError: If the frame winds up by itself at this tension.
    """
    together, _ = _stressed_stiffness(system, state)
    down = np.array([0.0, 0.0, -1.0])
    loads = weight_loads(system.model, down).ravel()
    forces = pressure_forces(system.canvas.grid, -system.canvas.cloth.weight)
    grid = system.canvas.grid
    # the canvas's weight reaches the edge; where along it matters little, so each node's share goes to the
    # nearest edge point
    away = np.linalg.norm(grid.nodes[:, None] - system.canvas.edge_places[None], axis=2)
    shares = np.bincount(np.argmin(away, axis=1), forces, minlength=len(system.canvas.edge))
    loads = loads + system.ties.square.T @ shares
    movement = _solve_stressed(together, loads)
    lift = _corner_rows(system) @ movement
    return float(-(lift[2] - lift[1] - lift[3] + lift[0]))
