"""A frame of members, joints and seams, cut into elements and assembled.

Members are straight pieces of one section. A joint holds a place of one member to a place of another by six
springs; a seam holds two members side by side along their length. The frame itself knows nothing of canvas.

Axes: x right, y up, z out of the wall; see ``beam`` for a section's own axes. Angles and eccentricities enter as
rigid arms from a member's node line to the point where a joint acts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix, csr_matrix

from longpoint.errors import Fault, FaultsError, Where
from longpoint.strength.beam import (
    Beams,
    Floats,
    Whole,
    beam_end_forces,
    beam_geometric,
    beam_stiffness,
    cross_matrix,
)
from longpoint.strength.joint_stiffness import JointStiffness, SeamStiffness
from longpoint.strength.section import Point, Section
from longpoint.strength.timber import Timber

#: Standard acceleration of free fall. [m/s²]  CGPM 1901, exact.
GRAVITY = 9.80665

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One straight piece of timber.

    Attributes:
        name: Its name, one per piece.
        start: Where its node line begins. [mm]
        end: Where it ends. [mm]
        section: Its section.
        across: Direction of the section's ``across``, square to the piece (for a bar: inward).
        timber: Its timber.
        line: Point of the section (across, front) that lies on the node line; the centroid where None. [mm]
        pieces: Least number of elements.
    """

    name: str
    start: Place
    end: Place
    section: Section
    across: Place
    timber: Timber
    line: Point | None = None
    pieces: int = 4

    @property
    def length(self) -> float:
        """Length of the node line. [mm]"""
        return math.dist(self.start, self.end)

    def point(self, at: float) -> Floats:
        """Place on the node line, shape (3,).

        Args:
            at: Distance from the start. [mm]

        Returns:
            x y z. [mm]
        """
        start = np.asarray(self.start, dtype=float)
        return np.asarray(start + np.subtract(self.end, self.start) * (at / self.length))

    def triad(self) -> Floats:
        """Rows along, across, front, right-handed, shape (3, 3)."""
        length = self.length
        a, b, c = ((q - p) / length for p, q in zip(self.start, self.end, strict=True))
        d, e, f = self.across
        lean = a * d + b * e + c * f
        d, e, f = d - a * lean, e - b * lean, f - c * lean
        size = math.hypot(d, e, f)
        d, e, f = d / size, e / size, f / size
        return np.array([(a, b, c), (d, e, f), (b * f - c * e, c * d - a * f, a * e - b * d)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Where one member holds another.

    Attributes:
        first: Name of the member that runs through (or either, at a corner).
        first_at: Distance from its start. [mm]
        second: Name of the member that ends there; the springs follow its axes.
        second_at: Distance from its start. [mm]
        stiffness: The springs.
        point: Where the joint acts; the second member's place on its node line where None. [mm]
    """

    first: str
    first_at: float
    second: str
    second_at: float
    stiffness: JointStiffness
    point: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam:
    """Two members side by side, held along the second one's whole length.

    Attributes:
        first: Name of the longer member.
        second: Name of the member laid along it.
        stiffness: The springs per length, in the second member's axes.
        face_across: Where the touching face lies in the second's section axes, from its node line. [mm]
    """

    first: str
    second: str
    stiffness: SeamStiffness
    face_across: float = 0.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Links:
    """Springs between two nodes, as arrays.

    Attributes:
        ends: First and second node, shape (m, 2).
        arms: From each node to the point where the spring acts, shape (m, 2, 3). [mm]
        triad: Rows are the springs' directions, shape (m, 3, 3).
        stiffness: Three sliding [N/mm], three turning [N mm/rad], shape (m, 6).
    """

    ends: Whole
    arms: Floats
    triad: Floats
    stiffness: Floats


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
        links: All springs; joints first, in the order given, then seams.
        joints: The joints, in the order given.
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
) -> FrameModel:
    """Cuts members into elements with a node at every joint.

    Args:
        members: The members.
        joints: The joints.
        seams: The seams.
        extra_stations: Further distances from the start at which a member gets a node. [mm]

    Returns:
        The model.

    Raises:
        FaultsError: If a joint or seam names a member that is not there, or a place beyond its ends.
    """
    _check(members, joints, seams)
    number = {member.name: i for i, member in enumerate(members)}
    stations = _stations(members, joints, seams, extra_stations or {}, number)
    counts = [len(s) for s in stations]
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    nodes = np.concatenate(
        [
            np.asarray(m.start) + np.outer(s / m.length, np.subtract(m.end, m.start))
            for m, s in zip(members, stations, strict=True)
        ]
    )
    node_sets = tuple(np.arange(first[i], first[i + 1]) for i in range(len(members)))
    beams, beam_sets = _beams(members, stations, node_sets)
    links = _links(members, joints, seams, stations, node_sets, nodes, number)
    return FrameModel(
        members=members,
        nodes=nodes,
        stations=tuple(stations),
        member_nodes=node_sets,
        member_beams=beam_sets,
        beams=beams,
        links=links,
        joints=joints,
        beam_stiffness=beam_stiffness(beams),
        link_stiffness=_link_stiffness(links),
    )


def _check(members: tuple[Member, ...], joints: tuple[Joint, ...], seams: tuple[Seam, ...]) -> None:
    faults = []
    lengths: dict[str, float] = {}
    for i, member in enumerate(members):
        where = Where(key=f"members[{i}]")
        if member.name in lengths:
            faults.append(Fault("member-named-twice", f"Two members are named {member.name!r}.", where=where))
        lengths[member.name] = member.length
        if not member.length > 0:
            faults.append(Fault("member-no-length", f"{member.name!r} has no length.", where=where))
        elif not _stands_square(member):
            what = f"The section of {member.name!r} points along the piece."
            faults.append(Fault("member-across", what, "Give a direction square to it.", where))
    for i, joint in enumerate(joints):
        for name, at in ((joint.first, joint.first_at), (joint.second, joint.second_at)):
            where = Where(key=f"joints[{i}]")
            if name not in lengths:
                faults.append(Fault("joint-no-member", f"There is no member {name!r}.", where=where))
            elif not -1e-6 <= at <= lengths[name] + 1e-6:
                what = f"{at:g} mm lies beyond {name!r}, which is {lengths[name]:g} mm long."
                faults.append(Fault("joint-beyond-member", what, "Move the joint on to the member.", where))
    for i, seam in enumerate(seams):
        for name in (seam.first, seam.second):
            if name not in lengths:
                what = f"There is no member {name!r}."
                faults.append(Fault("seam-no-member", what, where=Where(key=f"seams[{i}]")))
    if faults:
        raise FaultsError(faults)


def _stands_square(member: Member) -> bool:
    with np.errstate(invalid="ignore"):
        try:
            return bool(np.isfinite(member.triad()).all())
        except ZeroDivisionError:
            return False


def _stations(
    members: tuple[Member, ...],
    joints: tuple[Joint, ...],
    seams: tuple[Seam, ...],
    extra: dict[str, Floats],
    number: dict[str, int],
) -> list[Floats]:
    wanted: list[list[float]] = [[0.0, m.length, *extra.get(m.name, ())] for m in members]
    for joint in joints:
        wanted[number[joint.first]].append(joint.first_at)
        wanted[number[joint.second]].append(joint.second_at)
    for seam in seams:  # the bar gets a node at each end of what is laid along it
        one, two = number[seam.first], number[seam.second]
        wanted[one] += [_project(members[one], members[two].point(at)) for at in (0.0, members[two].length)]
    cut = [_subdivide(w, m.length, m.pieces) for w, m in zip(wanted, members, strict=True)]
    for seam in seams:  # and the laid-on member shares the bar's nodes
        one, two = number[seam.first], number[seam.second]
        back = [_project(members[two], members[one].point(at)) for at in cut[one]]
        inside = [at for at in back if 0 <= at <= members[two].length]
        cut[two] = _subdivide([*wanted[two], *inside], members[two].length, 1)
        ahead = [_project(members[one], members[two].point(at)) for at in cut[two]]
        inside = [at for at in ahead if 0 <= at <= members[one].length]
        cut[one] = _subdivide([*cut[one], *inside], members[one].length, 1)
    return cut


def _project(member: Member, point: Floats) -> float:
    gaps = zip(member.start, member.end, point, strict=True)
    return float(sum((at - a) * (b - a) for a, b, at in gaps)) / member.length


def _subdivide(wanted: list[float], length: float, pieces: int) -> Floats:
    """Sorted places, near doubles merged, gaps cut so that there are at least ``pieces`` elements."""
    tolerance = 1e-6 * length
    clipped = np.sort(np.clip(np.asarray(wanted), 0.0, length))
    clipped = clipped[np.concatenate([[True], np.diff(clipped) > tolerance])]
    clipped[-1] = length
    gaps = np.maximum(1, np.ceil(np.diff(clipped) / (length / pieces) - 1e-9)).astype(int)
    # the r-th of n parts of a gap begins at its low end plus r/n of it
    first = np.repeat(np.cumsum(gaps) - gaps, gaps)
    part = (np.arange(gaps.sum()) - first) / np.repeat(gaps, gaps)
    places = np.repeat(clipped[:-1], gaps) + part * np.repeat(np.diff(clipped), gaps)
    return np.append(places, length)


def _beams(
    members: tuple[Member, ...], stations: list[Floats], node_sets: tuple[Whole, ...]
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
        triad=np.repeat(np.stack([m.triad() for m in members]), counts, axis=0),
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
) -> Links:
    ends: list[tuple[int, int]] = []
    points: list[Floats] = []
    triads: list[Floats] = []
    springs: list[tuple[float, ...]] = []
    axes = {member.name: member.triad() for member in members}

    def node(name: str, at: float) -> int:
        i = number[name]
        return int(node_sets[i][np.argmin(np.abs(stations[i] - at))])

    for joint in joints:
        one, two = node(joint.first, joint.first_at), node(joint.second, joint.second_at)
        k = joint.stiffness
        ends.append((one, two))
        points.append(nodes[two] if joint.point is None else np.asarray(joint.point, dtype=float))
        triads.append(axes[joint.second])
        springs.append((*k.slip, k.torsion, k.out_of_plane, k.in_plane))
    for seam in seams:
        i = number[seam.second]
        triad, at = axes[seam.second], stations[i]
        share = np.gradient(at) if len(at) > 2 else np.full(2, at[-1] / 2)
        share[[0, -1]] = np.diff(at)[[0, -1]] / 2
        k_seam = seam.stiffness
        for place, mine, length in zip(at, node_sets[i], share, strict=True):
            other = _project(members[number[seam.first]], members[i].point(place))
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


def _link_rows(links: Links) -> Floats:
    """From the twelve freedoms to the six stretches of each spring, shape (m, 6, 12)."""
    out = np.zeros((len(links.ends), 6, 12))
    for end, sign in ((0, -1.0), (1, 1.0)):
        at = 6 * end
        out[:, :3, at : at + 3] = sign * links.triad
        out[:, :3, at + 3 : at + 6] = -sign * links.triad @ cross_matrix(links.arms[:, end])
        out[:, 3:, at + 3 : at + 6] = sign * links.triad
    return out


def _link_stiffness(links: Links) -> Floats:
    rows = _link_rows(links)
    return np.asarray(np.swapaxes(rows, 1, 2) @ (links.stiffness[:, :, None] * rows))


def arm_stiffness(force: Floats, arm: Floats) -> Floats:
    """Geometric stiffness of a rigid arm that carries a force.

    Args:
        force: Internal force on the arm's tip (the structure's resistance there), shape (k, 3). [N]
        arm: From the node to the tip, shape (k, 3). [mm]

    Returns:
        Symmetric matrices on the node's rotation, shape (k, 3, 3).
    """
    mixed = 0.5 * force[:, :, None] * arm[:, None, :]
    dot = np.einsum("ki,ki->k", force, arm)
    return np.asarray(mixed + np.swapaxes(mixed, 1, 2) - dot[:, None, None] * np.eye(3))


def _link_geometric(links: Links, movement: Floats) -> Floats:
    rows = _link_rows(links)
    local = movement[links.ends].reshape(-1, 12)
    pull = links.stiffness * (rows @ local[..., None])[..., 0]
    force = (np.swapaxes(links.triad, 1, 2) @ pull[:, :3, None])[..., 0]
    moment = (np.swapaxes(links.triad, 1, 2) @ pull[:, 3:, None])[..., 0]
    out = np.zeros((len(links.ends), 12, 12))
    out[:, 3:6, 3:6] += arm_stiffness(-force, links.arms[:, 0])
    out[:, 9:, 9:] += arm_stiffness(force, links.arms[:, 1])
    turn = -0.5 * cross_matrix(moment)  # −½ m·(θa × θb) = −½ θb·(m × θa)
    out[:, 9:, 3:6] += turn
    out[:, 3:6, 9:] += np.swapaxes(turn, 1, 2)
    # the springs' directions turn with the first node: −f·(θa × d) with d the first-order gap
    gap = np.zeros((len(links.ends), 3, 12))
    for end, sign in ((0, -1.0), (1, 1.0)):
        gap[:, :, 6 * end : 6 * end + 3] = sign * np.eye(3)
        gap[:, :, 6 * end + 3 : 6 * end + 6] = -sign * cross_matrix(links.arms[:, end])
    follow = cross_matrix(force) @ gap  # −f·(θa × d) = θa·(f × d)
    out[:, 3:6, :] += follow
    out[:, :, 3:6] += np.swapaxes(follow, 1, 2)
    return out


def assemble(size: int, ends: Whole, blocks: Floats) -> csr_matrix:
    """Element matrices added into one sparse matrix.

    Args:
        size: Number of freedoms.
        ends: Nodes of each element, shape (n, k).
        blocks: Shape (n, 6 k, 6 k).

    Returns:
        Sparse matrix, shape (size, size).
    """
    freedoms = (6 * ends[:, :, None] + np.arange(6)).reshape(len(ends), 6 * ends.shape[1])
    k = freedoms.shape[1]
    rows, columns = np.repeat(freedoms, k, axis=1).ravel(), np.tile(freedoms, (1, k)).ravel()
    return coo_matrix((blocks.ravel(), (rows, columns)), shape=(size, size)).tocsr()


def frame_stiffness(model: FrameModel) -> csr_matrix:
    """Elastic stiffness of the bare frame, without supports.

    Args:
        model: The frame.

    Returns:
        Sparse symmetric, shape (6 n_nodes, 6 n_nodes).
    """
    size = model.freedom_count
    return assemble(size, model.beams.ends, model.beam_stiffness) + assemble(
        size, model.links.ends, model.link_stiffness
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
    size = model.freedom_count
    return assemble(size, model.beams.ends, beam_geometric(model.beams, forces)) + assemble(
        size, model.links.ends, _link_geometric(model.links, movement)
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
