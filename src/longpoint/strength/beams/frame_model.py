"""A frame of members, joints and seams, cut into elements and assembled.

Members are straight pieces of one section (``frame_parts``). A joint holds a place of one member to a place of
another by six springs (``frame_links``); a seam holds two members side by side along their length; at a break a
member is cut through and held together again by six springs. The frame itself knows nothing of canvas. Angles and
eccentricities enter as rigid arms from a member's node line to the point where a joint acts.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix

from longpoint.strength.beams.beam import (
    Beams,
    Floats,
    Whole,
    beam_end_forces,
    beam_geometric,
    beam_stiffness,
    cross_matrix,
)
from longpoint.strength.beams.frame_cut import project, stations_of
from longpoint.strength.beams.frame_links import Links as Links
from longpoint.strength.beams.frame_links import link_geometric, link_stiffness
from longpoint.strength.beams.frame_parts import Break as Break
from longpoint.strength.beams.frame_parts import Hold as Hold
from longpoint.strength.beams.frame_parts import Joint as Joint
from longpoint.strength.beams.frame_parts import Member as Member
from longpoint.strength.beams.frame_parts import Place as Place
from longpoint.strength.beams.frame_parts import Seam as Seam
from longpoint.strength.beams.frame_parts import check_parts

#: Standard acceleration of free fall. [m/s²]  CGPM 1901, exact.
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FrameModel:
    """A frame cut into elements.

    Attributes:
        members: The members, in the order given.
        nodes: Places, shape (n_nodes, 3). [mm]
        stations: Per member, distances of its nodes from its start, rising. [mm]
        member_nodes: Per member, its nodes in the same order.
        member_beams: Per member, its elements in the same order.
        beams: All beam elements.
        links: All springs; joints first, in the order given, then seams, then breaks.
        joints: The joints, in the order given.
        breaks: The breaks, in the order given; the element behind one starts at a node of its own, which comes
            after all nodes of members.
        beam_stiffness: Elastic, shape (n_beams, 12, 12).
        link_stiffness: Elastic, shape (n_links, 12, 12).
    """

    members: tuple[Member, ...]
    nodes: Floats
    stations: tuple[Floats, ...]
    member_nodes: tuple[Whole, ...]
    member_beams: tuple[Whole, ...]
    beams: Beams
    links: Links
    joints: tuple[Joint, ...]
    breaks: tuple[Break, ...]
    beam_stiffness: Floats
    link_stiffness: Floats

    @property
    def freedom_count(self) -> int:
        """Six per node."""
        return 6 * len(self.nodes)

    def member_index(self, name: str) -> int:
        """Number of a member by its name."""
        return [member.name for member in self.members].index(name)

    def mass(self) -> float:
        """Mass of all timber. [kg]"""
        return float(self.beams.weight @ self.beams.length) / GRAVITY


def build_frame(
    members: tuple[Member, ...],
    joints: tuple[Joint, ...] = (),
    seams: tuple[Seam, ...] = (),
    extra_stations: dict[str, Floats] | None = None,
    breaks: tuple[Break, ...] = (),
) -> FrameModel:
    """Cuts members into elements with a node at every joint.

    Args:
        members: The members.
        joints: The joints.
        seams: The seams.
        extra_stations: Further distances from the start at which a member gets a node. [mm]
        breaks: Where members are cut through and held together again.

    Returns:
        The model.

    Raises:
        FaultsError: If a joint, seam or break names a member that is not there, or a place beyond its ends.
    """
    check_parts(members, joints, seams, breaks)
    number = {member.name: i for i, member in enumerate(members)}
    stations = stations_of(members, joints, seams, extra_stations or {}, number, breaks)
    counts = [len(s) for s in stations]
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    nodes = np.concatenate(
        [
            np.asarray(m.start) + np.outer(s / m.length, np.subtract(m.end, m.start))
            for m, s in zip(members, stations, strict=True)
        ]
    )
    node_sets = tuple(np.arange(first[i], first[i + 1]) for i in range(len(members)))
    axes = [member.triad() for member in members]
    beams, beam_sets = _beams(members, stations, node_sets, axes)
    places = [(number[b.member], int(np.argmin(np.abs(stations[number[b.member]] - b.at)))) for b in breaks]
    links = _links(members, joints, seams, stations, node_sets, nodes, number, axes)
    if breaks:
        behind = len(nodes) + np.arange(len(breaks))
        before = np.array([node_sets[i][k] for i, k in places], dtype=np.intp)
        nodes = np.concatenate([nodes, nodes[before]])
        ends = beams.ends.copy()
        ends[[beam_sets[i][k] for i, k in places], 0] = behind
        beams = replace(beams, ends=ends)
        links = _with_breaks(links, breaks, np.stack([before, behind], axis=1), [axes[i] for i, _ in places])
    return FrameModel(
        members=members,
        nodes=nodes,
        stations=tuple(stations),
        member_nodes=node_sets,
        member_beams=beam_sets,
        beams=beams,
        links=links,
        joints=joints,
        breaks=breaks,
        beam_stiffness=beam_stiffness(beams),
        link_stiffness=link_stiffness(links),
    )


def _beams(
    members: tuple[Member, ...], stations: list[Floats], node_sets: tuple[Whole, ...], axes: list[Floats]
) -> tuple[Beams, tuple[Whole, ...]]:
    counts = np.array([len(s) - 1 for s in stations])
    rows = []
    for member in members:
        s, t = member.section, member.timber
        line = s.centroid if member.line is None else member.line
        i_1, i_2 = s.principal_moments
        shear = [1 / (t.shear_modulus * a) if t.shear_counts else 0.0 for a in s.shear_areas]
        rows.append(
            [
                t.modulus * s.area,
                t.modulus * i_1,
                t.modulus * i_2,
                t.shear_modulus * s.torsion_constant,
                *shear,
                s.principal_angle,
                s.centroid[0] - line[0],
                s.centroid[1] - line[1],
                s.shear_centre[0] - line[0],
                s.shear_centre[1] - line[1],
                (i_1 + i_2) / s.area,
                s.area * t.density * 1e-9 * GRAVITY,
            ]
        )
    table = np.repeat(np.array(rows), counts, axis=0)
    beams = Beams(
        ends=np.concatenate([np.stack([n[:-1], n[1:]], axis=1) for n in node_sets]),
        length=np.concatenate([np.diff(s) for s in stations]),
        triad=np.repeat(np.array(axes), counts, axis=0),
        axial=table[:, 0],
        bending=table[:, 1:3],
        torsion=table[:, 3],
        shear_flexibility=table[:, 4:6],
        angle=table[:, 6],
        centroid=table[:, 7:9],
        shear_centre=table[:, 9:11],
        polar=table[:, 11],
        weight=table[:, 12],
    )
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    return beams, tuple(np.arange(first[i], first[i + 1]) for i in range(len(members)))


def _links(
    members: tuple[Member, ...],
    joints: tuple[Joint, ...],
    seams: tuple[Seam, ...],
    stations: list[Floats],
    node_sets: tuple[Whole, ...],
    nodes: Floats,
    number: dict[str, int],
    axes: list[Floats],
) -> Links:
    ends: list[tuple[int, int]] = []
    points: list[Floats] = []
    triads: list[Floats] = []
    springs: list[tuple[float, ...]] = []
    sorted_at = [list(at) for at in stations]

    def node(name: str, at: float) -> int:
        i = number[name]
        known = sorted_at[i]
        k = min(bisect_left(known, at), len(known) - 1)
        if k and at - known[k - 1] < known[k] - at:
            k -= 1
        return int(node_sets[i][k])

    for joint in joints:
        one, two = node(joint.first, joint.first_at), node(joint.second, joint.second_at)
        k = joint.stiffness
        ends.append((one, two))
        points.append(nodes[two] if joint.point is None else np.asarray(joint.point, dtype=float))
        triads.append(axes[number[joint.second]])
        springs.append(k.springs)
    for seam in seams:
        i = number[seam.second]
        triad, at = axes[i], stations[i]
        share = np.gradient(at) if len(at) > 2 else np.full(2, at[-1] / 2)
        share[[0, -1]] = np.diff(at)[[0, -1]] / 2
        k_seam = seam.stiffness
        for place, mine, length in zip(at, node_sets[i], share, strict=True):
            other = project(members[number[seam.first]], members[i].point(place))
            ends.append((node(seam.first, other), int(mine)))
            points.append(nodes[mine] + seam.face_across * triad[1])
            triads.append(triad)
            per = (k_seam.along, k_seam.across, k_seam.front, k_seam.torsion)
            springs.append((*(k * length for k in per), k_seam.along * length, k_seam.along * length))
    pairs = np.array(ends, dtype=np.intp).reshape(-1, 2)
    at_points = np.array(points).reshape(-1, 1, 3)
    return Links(
        ends=pairs,
        arms=at_points - nodes[pairs],
        triad=np.array(triads).reshape(-1, 3, 3),
        stiffness=np.array(springs, dtype=float).reshape(-1, 6),
    )


def _with_breaks(links: Links, breaks: tuple[Break, ...], ends: Whole, triads: list[Floats]) -> Links:
    """The links with those of every break, between the two nodes that lie there on top of one another."""
    held = [(i, hold) for i, cut in enumerate(breaks) for hold in cut.holds]
    which = [i for i, _ in held]
    triad = np.array(triads)[which]
    arm = np.array([hold.across * t[1] + hold.front * t[2] for t, (_, hold) in zip(triad, held, strict=True)])
    return Links(
        ends=np.concatenate([links.ends, ends[which]]),
        arms=np.concatenate([links.arms, np.stack([arm, arm], axis=1)]),
        triad=np.concatenate([links.triad, triad]),
        stiffness=np.concatenate([links.stiffness, np.array([h.stiffness.springs for _, h in held])]),
    )


def assemble(size: int, *parts: tuple[Whole, Floats]) -> csr_matrix:
    """Element matrices added into one sparse matrix.

    Args:
        size: Number of freedoms.
        parts: Nodes of each element, shape (n, k), with its matrices, shape (n, 6 k, 6 k).

    Returns:
        Sparse matrix, shape (size, size).
    """
    rows, columns, values = [], [], []
    for ends, blocks in parts:
        k = 6 * ends.shape[1]
        freedoms = (6 * ends[:, :, None] + np.arange(6)).reshape(len(ends), k)
        rows.append(np.repeat(freedoms, k, axis=1).ravel())
        columns.append(np.tile(freedoms, (1, k)).ravel())
        values.append(blocks.ravel())
    places = (np.concatenate(rows), np.concatenate(columns))
    return coo_matrix((np.concatenate(values), places), shape=(size, size)).tocsr()


def frame_stiffness(model: FrameModel) -> csr_matrix:
    """Elastic stiffness of the bare frame, without supports.

    Args:
        model: The frame.

    Returns:
        Sparse symmetric, shape (6 n_nodes, 6 n_nodes).
    """
    return assemble(
        model.freedom_count,
        (model.beams.ends, model.beam_stiffness),
        (model.links.ends, model.link_stiffness),
    )


def frame_geometric(model: FrameModel, movement: Floats) -> csr_matrix:
    """Geometric stiffness of beams and joints under the forces that a movement calls up.

    Args:
        model: The frame.
        movement: Freedoms of all nodes, shape (n_nodes, 6).

    Returns:
        Sparse symmetric, shape (6 n_nodes, 6 n_nodes).
    """
    forces = beam_end_forces(model.beam_stiffness, model.beams.ends, movement)
    return assemble(
        model.freedom_count,
        (model.beams.ends, beam_geometric(model.beams, forces)),
        (model.links.ends, link_geometric(model.links, movement)),
    )


def weight_loads(model: FrameModel, direction: Floats) -> Floats:
    """Nodal loads of the timber's own weight.

    Args:
        model: The frame.
        direction: Unit vector along which weight acts, shape (3,).

    Returns:
        Loads, shape (n_nodes, 6). [N, N mm]
    """
    beams = model.beams
    half = 0.5 * (beams.weight * beams.length)[:, None] * direction
    arm = np.einsum("nk,nkx->nx", beams.centroid, beams.triad[:, 1:])
    load = np.concatenate([half, np.cross(arm, half)], axis=1)
    out = np.zeros((len(model.nodes), 6))
    for end in (0, 1):
        np.add.at(out, beams.ends[:, end], load)
    return out


def rigid_motions(points: Floats) -> Floats:
    """Freedoms of nodes when everything moves as one: three slides, three turns about the origin.

    Args:
        points: Places, shape (n, 3). [mm]

    Returns:
        Shape (n, 6, 6): freedom, motion.
    """
    out = np.zeros((len(points), 6, 6))
    out[:, :3, :3] = out[:, 3:, 3:] = np.eye(3)
    out[:, :3, 3:] = -cross_matrix(points)
    return out
