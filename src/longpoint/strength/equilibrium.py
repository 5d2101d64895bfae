"""Is the answer in balance? Checked with code of its own, in plain loops, from forces and tensions alone.

Nothing here uses the solver's matrices: canvas forces come from the printed tensions by a hand-written rule for
four-sided elements, bars are cut and what lies on one side of the cut is added up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from longpoint.strength.beams.beam import Floats, Whole
from longpoint.strength.coupled import CoupledSystem
from longpoint.strength.coupled_solve import CoupledState


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """How far an answer is from balance; every number is a share of the canvas's whole pull on one side.

    Attributes:
        nodes: Worst force left over at any frame node or on any element.
        moments: Worst moment left over there, over pull times the frame's longer side.
        canvas: Worst force left over at any canvas node inside the edge.
        cuts: Worst force left over at any cut through the whole.
        cut_moments: Worst moment left over at any cut, over pull times the longer side.
        supports: Worst reaction where no weight acts.
        worst: The greatest of all.
    """

    nodes: float
    moments: float
    canvas: float
    cuts: float
    cut_moments: float
    supports: float

    @property
    def worst(self) -> float:
        """The greatest of all."""
        return max(self.nodes, self.moments, self.canvas, self.cuts, self.cut_moments, self.supports)


def canvas_node_forces(nodes: Floats, elements: Whole, tension: Floats) -> Floats:
    """Forces that hold a canvas with given tensions, each point of the rule on all elements at once.

    Args:
        nodes: Places, shape (n, 2). [mm]
        elements: Corner numbers anticlockwise, shape (e, 4).
        tension: Tx Ty Txy at the points of the 2 × 2 rule, shape (4 e, 3). [N/mm]

    Returns:
        Forces, shape (n, 2). [N]
    """
    out = np.zeros((len(nodes), 2))
    g = 1 / 3**0.5
    rule = ((-g, -g), (g, -g), (g, g), (-g, g))
    x, y = nodes[elements, 0], nodes[elements, 1]
    for p, (s, t) in enumerate(rule):
        ds = np.array([-(1 - t), 1 - t, 1 + t, -(1 + t)]) / 4
        dt = np.array([-(1 - s), -(1 + s), 1 + s, 1 - s]) / 4
        xs, ys, xt, yt = x @ ds, y @ ds, x @ dt, y @ dt
        area = (xs * yt - ys * xt)[:, None]
        dx = (yt[:, None] * ds - ys[:, None] * dt) / area
        dy = (xs[:, None] * dt - xt[:, None] * ds) / area
        tx, ty, txy = (part[:, None] for part in tension[p::4].T)
        np.add.at(out[:, 0], elements, area * (tx * dx + txy * dy))
        np.add.at(out[:, 1], elements, area * (txy * dx + ty * dy))
    return out


def _moment(arm: Floats, force: Floats) -> Floats:
    """Arm times force; numpy's product for stacks of vectors takes ten times as long for one."""
    x, y, z = arm
    u, v, w = force
    return np.array([y * w - z * v, z * u - x * w, x * v - y * u])


def check_equilibrium(system: CoupledSystem, state: CoupledState) -> Balance:
    """Checks nodes, canvas, cuts and supports of an answer.

    Args:
        system: Frame and canvas.
        state: The answer.

    Returns:
        What is left over.
    """
    grid = system.canvas.grid
    cloth = canvas_node_forces(grid.nodes, grid.elements, state.tension)
    loads = state.canvas_weight.reshape(-1, 2)
    edge = [int(n) for n in grid.edge]
    inside = np.ones(len(cloth), dtype=bool)
    inside[edge] = False
    pull = max(float(np.abs(cloth[edge]).sum(axis=0).max()) / 2, 1e-300)
    size = max(system.canvas.width, system.canvas.height)
    on_edge = cloth[edge] - loads[edge]
    left = _node_sums(system, state)
    element_force, element_moment = _element_gap(system, state, on_edge)
    cut_force, cut_moment = _cuts(system, state, on_edge)
    weighed = bool(np.any(state.weight))
    return Balance(
        nodes=max(float(np.abs(left[:, :3]).max()), element_force) / pull,
        moments=max(float(np.abs(left[:, 3:]).max()), element_moment) / (pull * size),
        canvas=float(np.abs((cloth - loads)[inside]).max(initial=0.0)) / pull,
        cuts=cut_force / pull,
        cut_moments=cut_moment / (pull * size),
        supports=0.0 if weighed else float(np.abs(state.reactions).max()) / pull,
    )


def _spring_forces(
    system: CoupledSystem, state: CoupledState
) -> list[tuple[int, int, Floats, Floats, Floats]]:
    """Each spring: its two nodes, where it acts, force and moment of the first on the second."""
    links, nodes = system.model.links, system.model.nodes
    out = []
    for i, (a, b) in enumerate(links.ends):
        at = nodes[a] + links.arms[i, 0]
        ua, ub = state.movement[a], state.movement[b]
        gap = ub[:3] + _moment(ub[3:], at - nodes[b]) - ua[:3] - _moment(ua[3:], at - nodes[a])
        k, t = links.stiffness[i], links.triad[i]
        force = -t.T @ (k[:3] * (t @ gap))
        moment = -t.T @ (k[3:] * (t @ (ub[3:] - ua[3:])))
        out.append((int(a), int(b), at, force, moment))
    return out


def _node_sums(system: CoupledSystem, state: CoupledState) -> Floats:
    """What is left over at every node: elements (pull between the ends put back), springs, weight, supports."""
    model = system.model
    left = state.weight.copy()
    for ends, forces in zip(model.beams.ends, state.end_forces, strict=True):
        left[ends[0]] -= forces[0]
        left[ends[1]] -= forces[1]
    for a, b, at, force, moment in _spring_forces(system, state):
        left[b, :3] += force
        left[b, 3:] += moment + _moment(at - model.nodes[b], force)
        left[a, :3] -= force
        left[a, 3:] -= moment + _moment(at - model.nodes[a], force)
    left -= (system.supports.T @ state.reactions).reshape(-1, 6)
    return left


def _element_gap(system: CoupledSystem, state: CoupledState, on_edge: Floats) -> tuple[float, float]:
    """Worst force and moment left over on any element under what its nodes and the canvas put on it."""
    model, ties = system.model, system.ties
    worst_force = worst_moment = 0.0
    for e, ends in enumerate(model.beams.ends):
        force, moment = state.end_forces[e, :, :3].sum(axis=0), state.end_forces[e, :, 3:].sum(axis=0)
        span = model.nodes[ends[1]] - model.nodes[ends[0]]
        moment = moment + _moment(span, state.end_forces[e, 1, :3])
        for t in np.flatnonzero(ties.element == e):
            given = np.append(-on_edge[ties.point[t]] * ties.weight[t], 0.0)
            force = force + given
            moment = moment + _moment(ties.at[t] * span + ties.arm[t], given)
        worst_force = max(worst_force, float(np.abs(force).max()))
        worst_moment = max(worst_moment, float(np.abs(moment).max()))
    return worst_force, worst_moment


def _cuts(system: CoupledSystem, state: CoupledState, on_edge: Floats) -> tuple[float, float]:
    """Cuts square to x and to y: canvas tension across, plus what cut members carry, plus weight, is nought.

    A cut runs through the middle of a row of canvas elements; the tension across it is the row's mean (what a
    four-node element really passes on), its lever mirrored about the row's middle for the same reason.
    """
    model, grid = system.model, system.canvas.grid
    worst_force = worst_moment = 0.0
    springs = _spring_forces(system, state)
    reaction = (system.supports.T @ state.reactions).reshape(-1, 6)
    corners = grid.nodes[np.asarray(grid.elements)]
    for axis in (0, 1):
        lines = np.unique(grid.nodes[:, axis])
        for share in (0.213, 0.487, 0.741):
            j = min(int(share * (len(lines) - 1)), len(lines) - 2)
            at, step = float(0.5 * (lines[j] + lines[j + 1])), float(lines[j + 1] - lines[j])
            force, moment = np.zeros(3), np.zeros(3)
            for cell in np.flatnonzero(
                (corners[:, :, axis].min(axis=1) < at) & (corners[:, :, axis].max(axis=1) > at)
            ):
                low, high = corners[cell].min(axis=0), corners[cell].max(axis=0)
                part = float(np.prod(high - low)) / 4 / step
                for p in range(4):
                    tx, ty, txy = state.tension[4 * int(cell) + p]
                    given = part * np.array([tx, txy, 0.0] if axis == 0 else [txy, ty, 0.0])
                    sign = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])[p]
                    place = np.append(0.5 * (low + high) + sign / 3**0.5 * 0.5 * (high - low), 0.0)
                    place[axis] = 2 * at - place[axis]
                    force += given
                    moment += _moment(place, given)
            near = model.nodes[:, axis] < at
            for n in np.flatnonzero(near):
                given = state.weight[n, :3] - reaction[n, :3]
                force += given
                moment += state.weight[n, 3:] - reaction[n, 3:] + _moment(model.nodes[n], given)
            own = state.canvas_weight.reshape(-1, 2)
            for n in np.flatnonzero((grid.nodes[:, axis] < at) & own.any(axis=1)):
                given = np.append(own[n], 0.0)
                force += given
                moment += _moment(np.append(grid.nodes[n], 0.0), given)
            for k, ends in enumerate(model.beams.ends):
                if near[ends[0]] != near[ends[1]]:
                    given, place, turn = _inside_at_cut(system, state, k, axis, at, on_edge)
                    force += given
                    moment += turn + _moment(place, given)
            for a, b, where, given, turn in springs:
                if near[a] != near[b]:
                    sign = 1.0 if near[b] else -1.0
                    force += sign * given
                    moment += sign * (turn + _moment(where, given))
            worst_force = max(worst_force, float(np.abs(force).max()))
            worst_moment = max(worst_moment, float(np.abs(moment).max()))
    return worst_force, worst_moment


def _tie_place(system: CoupledSystem, tie: int) -> Floats:
    ties, model = system.ties, system.model
    ends = model.beams.ends[ties.element[tie]]
    return np.asarray(model.nodes[ends[0]] + ties.at[tie] * (model.nodes[ends[1]] - model.nodes[ends[0]]))


def _inside_at_cut(
    system: CoupledSystem, state: CoupledState, element: int, axis: int, at: float, on_edge: Floats
) -> tuple[Floats, Floats, Floats]:
    """Force, its place, and moment that the far part of a cut element puts on its near part."""
    model, ties = system.model, system.ties
    ends = model.beams.ends[element]
    near_end = 0 if model.nodes[ends[0], axis] < at else 1
    start, other = model.nodes[ends[near_end]], model.nodes[ends[1 - near_end]]
    cut = start + (at - start[axis]) / (other[axis] - start[axis]) * (other - start)
    given = state.end_forces[element, near_end]
    force, moment = -given[:3], -(given[3:] + _moment(start - cut, given[:3]))
    for t in np.flatnonzero(ties.element == element):
        place = _tie_place(system, int(t))
        if place[axis] < at:
            pull = np.append(-on_edge[ties.point[t]] * ties.weight[t], 0.0)
            force = force - pull
            moment = moment - _moment(place + ties.arm[t] - cut, pull)
    return force, cut, moment
