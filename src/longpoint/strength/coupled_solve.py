"""Frame and canvas at rest for a given prestrain, slack cloth let go; and the prestrain that leaves a tension.

Four tensions are kept apart: the *prestress* (what a rigid frame would leave), the *tension left* (mean of the
final field), the highest, and the dead load (tension that does not slacken), which gives the upper bound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from longpoint.errors import refuse
from longpoint.strength.beams.beam import Floats, beam_end_forces
from longpoint.strength.beams.frame_model import (
    FrameModel,
    weight_loads,
)
from longpoint.strength.canvas_edge import EdgeCanvas
from longpoint.strength.coupled import SUPPORT, CoupledSystem
from longpoint.strength.membrane.mixing import accelerated
from longpoint.strength.membrane.solve import pressure_forces
from longpoint.strength.ties import Ties
from longpoint.threads import on_one_thread

#: Out-of-balance of slack cloth that counts as rest, as a part of the whole (energy norm).
REST = 1e-5


@dataclass(frozen=True, slots=True, eq=False)
class CoupledState:
    """Frame and canvas at rest, with the proof.

    Attributes:
        movement: ux uy uz [mm] rx ry rz [rad] of each frame node, shape (n_nodes, 6).
        canvas_movement: In-plane movement of each canvas node, shape (n_canvas_nodes, 2). [mm]
        prestrain: ex ey gxy at every point of the canvas, shape (n_points, 3).
        tension: Tx Ty Txy at every point (four per element), shape (n_points, 3). [N/mm]
        state: 0 slack, 1 rippled, 2 taut, shape (n_points,).
        holding: Force that holds the canvas at each edge point, outward under tension, shape (m, 3). [N]
        end_forces: Force and moment on both ends of each beam element, global, canvas pull between the ends
            put back, shape (n_beams, 2, 6). [N, N mm]
        reactions: What each support row gives, shape (s,). [N]
        weight: Nodal loads of weight, shape (n_nodes, 6). [N, N mm]
        canvas_weight: In-plane loads on canvas nodes, shape (2 n_canvas_nodes,). [N]
        residual: Greatest force out of balance over the greatest pull on an edge point. [-]
        energy_gap: |work taken by frame and canvas − work of weight| over the work taken by the frame. [-]
        rounds: Rounds until the slack cloth was at rest; 1 when all is taut.
    """

    movement: Floats
    canvas_movement: Floats
    prestrain: Floats
    tension: Floats
    state: Floats
    holding: Floats
    end_forces: Floats
    reactions: Floats
    weight: Floats
    canvas_weight: Floats
    residual: float
    energy_gap: float
    rounds: int

    @property
    def is_taut(self) -> bool:
        """Whether no cloth pushes anywhere: then it is at rest as it is, and so is every multiple of it."""
        t_x, t_y, t_xy = self.tension.T
        return bool(t_x.min() >= 0 and t_y.min() >= 0 and (t_x * t_y - t_xy * t_xy).min() >= 0)

    def times(self, factor: float) -> CoupledState:
        """The same under another prestrain, all cloth taut and nothing weighing: everything is in proportion.

        Args:
            factor: On the prestrain, above 0. [1]
        """
        return replace(
            self,
            movement=factor * self.movement,
            canvas_movement=factor * self.canvas_movement,
            prestrain=factor * self.prestrain,
            tension=factor * self.tension,
            holding=factor * self.holding,
            end_forces=factor * self.end_forces,
            reactions=factor * self.reactions,
        )

    def mean_tension(self, canvas: EdgeCanvas) -> float:
        """Mean of (Tx + Ty)/2 over the canvas: the tension left. [N/mm]"""
        return mean_tension(canvas, self.tension)


def mean_tension(canvas: EdgeCanvas, tension: Floats) -> float:
    """Mean of (Tx + Ty)/2 over the canvas. [N/mm]"""
    areas = canvas.sheet.areas
    return float(areas @ (tension[:, 0] + tension[:, 1]) / (2 * areas.sum()))


@on_one_thread
def prestrain_of(canvas: EdgeCanvas, *, along_x: float, along_y: float) -> Floats:
    """The even prestrain that would be a given tension on a rigid frame.

    Args:
        canvas: The canvas.
        along_x: Tension along x. [N/mm]
        along_y: Tension along y. [N/mm]

    Returns:
        ex ey gxy, shape (3,).
    """
    return np.asarray(np.linalg.solve(canvas.cloth.matrix, np.array([along_x, along_y, 0.0])))


@on_one_thread
def solve_coupled(
    system: CoupledSystem,
    prestrain: Floats,
    *,
    weight: Floats | None = None,
    slackens: bool = True,
    start: CoupledState | None = None,
    limit: int = 400,
) -> CoupledState:
    """Frame and canvas at rest for a given prestrain.

    Args:
        system: Frame and canvas.
        prestrain: ex ey gxy, shape (3,) or (n_points, 3).
        weight: Direction of weight, unit vector, shape (3,); no weight where None.
        slackens: False lets cloth push, as a check.
        start: A nearby answer to start slack cloth from.
        limit: Most rounds for slack cloth.

    Returns:
        The state at rest.

    Raises:
        FaultsError: If slack cloth does not come to rest.
    """
    canvas = system.canvas
    points = len(canvas.sheet.areas)
    before = np.broadcast_to(np.asarray(prestrain, dtype=float), (points, 3))
    own, cloth_own = _weights(system, weight)
    if np.ndim(prestrain) == 1:
        pull = canvas.even @ (canvas.cloth.matrix @ prestrain) - cloth_own
    else:
        pull = np.asarray(canvas.sheet.forces @ (before @ canvas.cloth.matrix).ravel()) - cloth_own
    edge = system.ties.in_plane
    load = own.ravel() - edge.T @ canvas.condense(pull)
    frame_movement = system.solve(load)
    canvas_movement = canvas.everywhere(edge @ frame_movement, -pull)
    tension, state = canvas.tension(canvas_movement, before, slackens=slackens)
    rounds = 1
    if slackens and np.any(state < 2):
        frame_movement, canvas_movement, rounds = _let_slacken(
            system, before, own.ravel(), cloth_own, (frame_movement, canvas_movement), start, limit
        )
        tension, state = canvas.tension(canvas_movement, before, slackens=True)
    return _state(system, frame_movement, canvas_movement, before, tension, state, own, cloth_own, rounds)


def _weights(system: CoupledSystem, direction: Floats | None) -> tuple[Floats, Floats]:
    model, canvas = system.model, system.canvas
    if direction is None:
        return np.zeros((len(model.nodes), 6)), np.zeros(2 * canvas.grid.node_count)
    per_node = pressure_forces(canvas.grid, canvas.cloth.weight)
    return weight_loads(model, direction), np.outer(per_node, direction[:2]).ravel()


def _let_slacken(
    system: CoupledSystem,
    prestrain: Floats,
    own: Floats,
    cloth_own: Floats,
    taut: tuple[Floats, Floats],
    start: CoupledState | None,
    limit: int,
) -> tuple[Floats, Floats, int]:
    """Relieves compression as a pseudo-load, the factored taut stiffness staying as it is."""
    canvas, edge = system.canvas, system.ties.in_plane
    count, inner = system.model.freedom_count, canvas.inner_xy
    supports = SUPPORT * (system.supports.T @ system.supports)
    held = (system.frame + supports).tocsr()

    def split(both: Floats) -> tuple[Floats, Floats]:
        frame = both[:count]
        cloth = np.zeros(2 * canvas.grid.node_count)
        cloth[canvas.edge_xy], cloth[inner] = edge @ frame, both[count:]
        return frame, cloth

    def advance(both: Floats) -> tuple[Floats, Floats]:
        frame, cloth = split(both)
        tension, _ = canvas.tension(cloth, prestrain, slackens=True)
        gap = cloth_own - canvas.sheet.forces @ tension.ravel()
        on_frame = own - held @ frame + edge.T @ gap[canvas.edge_xy]
        loose = canvas.solve_inside(gap[inner])
        step = system.solve(on_frame - edge.T @ (canvas.across.T @ loose))
        inside = loose - canvas.solve_inside(canvas.across @ (edge @ step))
        return np.concatenate([step, inside]), np.concatenate([on_frame, gap[inner]])

    if start is None:
        first = np.concatenate([taut[0], taut[1][inner]])
    else:
        first = np.concatenate([start.movement.ravel(), start.canvas_movement.ravel()[inner]])
    strain = prestrain
    energy = float(canvas.sheet.areas @ np.einsum("na,ab,nb->n", strain, canvas.cloth.matrix, strain))
    both, imbalance, rounds = accelerated(
        advance, first, scale=float(np.sqrt(max(energy, 1e-300))), tolerance=REST, limit=limit
    )
    if imbalance > 100 * REST:
        code = "canvas-not-at-rest"
        what = (
            f"After {rounds} rounds the slack canvas is still out of balance by {imbalance:.1e} of the whole."
        )
        raise refuse(code, what, "The frame is far too soft for this tension; add rails or ask for less.")
    frame, cloth = split(both)
    return frame, cloth, rounds


def _state(
    system: CoupledSystem,
    frame_movement: Floats,
    canvas_movement: Floats,
    prestrain: Floats,
    tension: Floats,
    state: Floats,
    own: Floats,
    cloth_own: Floats,
    rounds: int,
) -> CoupledState:
    canvas, model, ties = system.canvas, system.model, system.ties
    reactions = SUPPORT * (system.supports @ frame_movement)
    forces = np.asarray(canvas.sheet.forces @ tension.ravel()) - cloth_own
    holding = np.zeros((len(canvas.edge), 3))
    holding[:, :2] = forces[canvas.edge_xy].reshape(-1, 2)
    gap = system.frame @ frame_movement + system.supports.T @ reactions - own.ravel()
    gap += ties.in_plane.T @ holding[:, :2].ravel()
    scale = max(float(np.abs(holding).max()), 1e-300)
    wrong = max(
        float(np.abs(gap.reshape(-1, 6)[:, :3]).max()), float(np.abs(forces[canvas.inner_xy]).max(initial=0))
    )
    shaped = frame_movement.reshape(-1, 6)
    bare = beam_end_forces(model.beam_stiffness, model.beams.ends, shaped)
    strain = np.asarray(canvas.sheet.strain @ canvas_movement).reshape(-1, 3)
    taken = float(canvas.sheet.areas @ np.einsum("na,na->n", tension, strain))
    in_frame = float(np.sum(bare * shaped[model.beams.ends])) + _link_work(model, shaped)
    given = float(own.ravel() @ frame_movement + cloth_own @ canvas_movement)
    given -= float(reactions @ (system.supports @ frame_movement))
    return CoupledState(
        movement=shaped,
        canvas_movement=canvas_movement.reshape(-1, 2),
        prestrain=prestrain,
        tension=tension,
        state=state,
        holding=holding,
        end_forces=bare + _put_back(model, ties, holding),
        reactions=np.asarray(reactions),
        weight=own,
        canvas_weight=cloth_own,
        residual=wrong / scale,
        energy_gap=abs(in_frame + taken - given) / max(abs(in_frame), 1e-300),
        rounds=rounds,
    )


def _link_work(model: FrameModel, movement: Floats) -> float:
    local = movement[model.links.ends].reshape(-1, 12)
    return float(np.einsum("mi,mij,mj->", local, model.link_stiffness, local))


def _put_back(model: FrameModel, ties: Ties, holding: Floats) -> Floats:
    """What the canvas pull between the ends of an element adds to its end forces."""
    force = holding[ties.point] * ties.weight[:, None]
    load = np.concatenate([force, np.cross(ties.arm, force)], axis=1)  # what the element gives at the tie
    shares = np.einsum("tki,tk->ti", ties.shapes, load).reshape(-1, 2, 6)
    out = np.zeros((len(model.beams.length), 2, 6))
    np.add.at(out, ties.element, shares)
    return out


@on_one_thread
def solve_for_tension_left(
    system: CoupledSystem,
    wanted: float,
    *,
    ratio: tuple[float, float] = (1.0, 1.0),
    slackens: bool = True,
    tolerance: float = 1e-4,
    unit_state: CoupledState | None = None,
) -> tuple[CoupledState, float]:
    """Finds the prestrain that leaves a wanted mean tension, and the state it leaves.

    Args:
        system: Frame and canvas.
        wanted: Mean of (Tx + Ty)/2 over the canvas, above 0. [N/mm]
        ratio: Prestress along x and y in relation to one another.
        slackens: False lets cloth push, as a check.
        tolerance: Relative, on the mean.
        unit_state: At rest under a prestress of 1 N/mm of that ratio, cloth let push; None: solved here.

    Returns:
        The state, and the prestress it takes (mean of both directions on a rigid frame). [N/mm]

    Raises:
        FaultsError: If ``wanted`` is not above 0, or no prestress leaves it.
    """
    if not 0 < wanted < float("inf"):
        code = "tension-not-above-nought"
        what = f"The tension left is given as {1000 * wanted:g} N/m."
        raise refuse(code, what, "Give a tension above 0; 200 N/m is usual.")
    canvas = system.canvas
    scale = np.asarray(ratio, dtype=float) * 2 / sum(ratio)
    unit = prestrain_of(canvas, along_x=float(scale[0]), along_y=float(scale[1]))
    first = unit_state or solve_coupled(system, unit, slackens=False)
    prestress = wanted / first.mean_tension(canvas)
    if not slackens or first.is_taut:
        return first.times(prestress), prestress
    state = solve_coupled(system, unit * prestress, slackens=slackens)
    low, low_mean = 0.0, 0.0
    for _ in range(30):
        mean = state.mean_tension(canvas)
        if abs(mean - wanted) <= tolerance * wanted:
            return state, prestress
        slope = (mean - low_mean) / (prestress - low)
        low, low_mean = prestress, mean
        prestress += float(np.clip((wanted - mean) / slope, -0.5 * prestress, prestress))
        state = solve_coupled(system, unit * prestress, slackens=slackens, start=state)
    code = "tension-out-of-reach"
    what = (
        f"No prestrain leaves {1000 * wanted:.0f} N/m on this frame: it gives way faster than it is pulled."
    )
    raise refuse(code, what, "Add rails or thicker bars, or ask for less tension.")
