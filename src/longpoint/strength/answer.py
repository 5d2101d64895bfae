"""What a person reads off a solved frame: pull-in, turning in, hollow, tension map, forces in bars and joints.

Signs: pulled in is positive inward; turning in is positive when the front of a bar leans inward; hollow is
positive when the middle of a bar goes to the wall against its corners; axial force is positive in tension.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from longpoint.strength.beams.beam import Floats, beam_movement_at
from longpoint.strength.beams.frame_model import FrameModel, Member
from longpoint.strength.coupled import CoupledSystem, centred
from longpoint.strength.coupled_solve import CoupledState


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class BarMovement:
    """How one bar of the outer frame moves.

    Attributes:
        places: Distance along the canvas edge from its first corner (anticlockwise), shape (k,). [mm]
        pulled_in: Of the lip, against a string between its two corners, shape (k,). [mm]
        turning_in: Shape (k,). [rad]
        hollow: Of the bar's axis, against its two ends, shape (k,). [mm]
    """

    places: Floats
    pulled_in: Floats
    turning_in: Floats
    hollow: Floats

    @property
    def greatest_pull_in(self) -> float:
        """Greatest pull-in either way, with its sign. [mm]"""
        return float(self.pulled_in[np.argmax(np.abs(self.pulled_in))])


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MemberForces:
    """Forces in one member about its centroid, at both ends of each of its elements.

    Attributes:
        places: Distance from the member's start, shape (n, 2). [mm]
        axial: Positive in tension, shape (n, 2). [N]
        shear_in_plane: Along ``across``, shape (n, 2). [N]
        shear_front: Along ``front``, shape (n, 2). [N]
        torque: Shape (n, 2). [N mm]
        moment_in_plane: About ``front``; positive stretches the side away from ``across``, shape (n, 2). [N mm]
        moment_front: About ``across`` turned so that positive stretches the back, shape (n, 2). [N mm]
        buckling_factor: Euler load over greatest compression; infinite without compression.
    """

    places: Floats
    axial: Floats
    shear_in_plane: Floats
    shear_front: Floats
    torque: Floats
    moment_in_plane: Floats
    moment_front: Floats
    buckling_factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointForces:
    """What one joint carries, in the axes of its second member.

    Attributes:
        first: Member.
        second: Member that ends there.
        force: Of the first on the second along, across and front. [N]
        torsion: About the second's own axis. [N mm]
        out_of_plane: [N mm]
        in_plane: [N mm]
        opening: Turning of the joint's in-plane spring. [rad]
        slide: Sliding along, across and front. [mm]
        share: In-plane moment over what the joint can bear; 0 where that is not judged. [-]
        turn: Turning about along, across and front; the last is the opening. [rad]
    """

    first: str
    second: str
    force: tuple[float, float, float]
    torsion: float
    out_of_plane: float
    in_plane: float
    opening: float
    slide: tuple[float, float, float]
    share: float = 0.0
    turn: tuple[float, float, float] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class TensionMap:
    """Tension left, averaged over windows of about 90 mm.

    Attributes:
        x: Middles of the windows, shape (columns,). [mm]
        y: Middles, shape (rows,). [mm]
        along_x: Tx, shape (rows, columns). [N/mm]
        along_y: Ty, shape (rows, columns). [N/mm]
        shear: Txy, shape (rows, columns). [N/mm]
        lowest: Least principal tension of any window. [N/mm]
        highest: Greatest principal tension of any window. [N/mm]
        mean: Mean of (Tx + Ty)/2 over the whole. [N/mm]
        mean_x: Mean of Tx. [N/mm]
        mean_y: Mean of Ty. [N/mm]
        slack_share: Share of the area that is rippled or slack. [-]
    """

    x: Floats
    y: Floats
    along_x: Floats
    along_y: Floats
    shear: Floats
    lowest: float
    highest: float
    mean: float
    mean_x: float
    mean_y: float
    slack_share: float


def bar_movements(system: CoupledSystem, movement: Floats) -> dict[str, BarMovement]:
    """How the four outer bars move.

    Args:
        system: Frame and canvas.
        movement: Freedoms of the frame, shape (n_nodes, 6).

    Returns:
        Per bar, bottom, right, top, left.
    """
    canvas, ties = system.canvas, system.ties
    columns, rows = canvas.grid.columns, canvas.grid.rows
    starts = np.cumsum([0, columns, rows, columns, rows])
    count = len(canvas.edge)
    lips = (ties.movement @ movement.ravel()).reshape(-1, 3)
    settled = centred(system, movement)
    first_tie = np.cumsum([0, columns + 1, rows + 1, columns + 1])
    out = {}
    for side, name in enumerate(system.bars):
        member = system.model.members[system.model.member_index(name)]
        triad = member.triad()
        mine = np.arange(starts[side], starts[side + 1] + 1) % count
        places = np.linalg.norm(canvas.edge_places[mine] - canvas.edge_places[mine[0]], axis=1)
        in_ties = first_tie[side] + np.arange(len(mine))
        ends = system.model.beams.ends[ties.element[in_ties]]
        axis = (ties.shapes[in_ties] @ settled[ends].reshape(-1, 12, 1))[..., 0]
        hollow = -axis[:, 2]
        out[name] = BarMovement(
            places=places,
            pulled_in=_off_string(places, lips[mine] @ triad[1]),
            turning_in=-(axis[:, 3:] @ triad[0]),
            hollow=_off_string(places, hollow),
        )
    return out


def _off_string(places: Floats, values: Floats) -> Floats:
    return np.asarray(values - np.interp(places, places[[0, -1]], values[[0, -1]]))


@lru_cache(maxsize=1)
def member_forces(system: CoupledSystem, state: CoupledState) -> dict[str, MemberForces]:
    """Forces in every member.

    Args:
        system: Frame and canvas.
        state: At rest.

    Returns:
        Per member.
    """
    model = system.model
    out = {}
    for index, member in enumerate(model.members):
        beams, triad = model.member_beams[index], member.triad()
        forces = state.end_forces[beams].copy()
        forces[:, 0] *= -1.0  # the start receives the opposite of what is inside
        force, moment = forces[..., :3] @ triad.T, forces[..., 3:] @ triad.T
        stations = model.stations[index]
        out[member.name] = MemberForces(
            places=np.stack([stations[:-1], stations[1:]], axis=1),
            axial=force[..., 0],
            shear_in_plane=force[..., 1],
            shear_front=force[..., 2],
            torque=moment[..., 0],
            moment_in_plane=moment[..., 2],
            moment_front=-moment[..., 1],
            buckling_factor=_euler(model, member, float(-force[..., 0].min())),
        )
    return out


def _euler(model: FrameModel, member: Member, compression: float) -> float:
    """In the plane between joints, off the wall over the whole length; ends taken as hinged."""
    if compression <= 1e-9:
        return float("inf")
    at = [0.0, member.length]
    at += [j.first_at for j in model.joints if j.first == member.name]
    at += [j.second_at for j in model.joints if j.second == member.name]
    gap = float(np.diff(np.sort(at)).max())
    stiff = member.timber.modulus * np.pi**2
    section = member.section
    critical = min(stiff * section.moment_across / gap**2, stiff * section.moment_front / member.length**2)
    return float(critical / compression)


@lru_cache(maxsize=1)
def joint_forces(system: CoupledSystem, state: CoupledState) -> tuple[JointForces, ...]:
    """What every joint carries, in the order of the joints.

    Args:
        system: Frame and canvas.
        state: At rest.

    Returns:
        One per joint.
    """
    carried = _carried(system, state)
    return tuple(
        _spring_forces(carried, i, first=joint.first, second=joint.second, capacity=joint.stiffness.capacity)
        for i, joint in enumerate(system.model.joints)
    )


def break_forces(system: CoupledSystem, state: CoupledState) -> tuple[tuple[JointForces, ...], ...]:
    """What every break carries, in the order of the breaks; both its sides bear the member's name.

    Args:
        system: Frame and canvas.
        state: At rest.

    Returns:
        One per hold of each break, in the member's own axes, where the hold acts.
    """
    model, carried = system.model, _carried(system, state)
    link = len(model.links.ends) - sum(len(cut.holds) for cut in model.breaks)
    out = []
    for cut in model.breaks:
        out.append(
            tuple(
                _spring_forces(
                    carried,
                    link + i,
                    first=cut.member,
                    second=cut.member,
                    capacity=hold.stiffness.capacity,
                )
                for i, hold in enumerate(cut.holds)
            )
        )
        link += len(cut.holds)
    return tuple(out)


def _carried(system: CoupledSystem, state: CoupledState) -> tuple[Floats, Floats, Floats]:
    """What every link carries, shape (n_links, 6), and how far it slides and turns, shape (n_links, 3) each."""
    links = system.model.links
    moved, triad = state.movement[links.ends], links.triad
    ends = moved[..., :3] + np.cross(moved[..., 3:], links.arms)
    slide, turn = ((triad @ (end[:, 1] - end[:, 0])[..., None])[..., 0] for end in (ends, moved[..., 3:]))
    return -links.stiffness * np.concatenate([slide, turn], axis=1), slide, turn


def _spring_forces(
    all_links: tuple[Floats, Floats, Floats], link: int, *, first: str, second: str, capacity: float
) -> JointForces:
    carried, slide, turn = (values[link] for values in all_links)
    return JointForces(
        first=first,
        second=second,
        force=(float(carried[0]), float(carried[1]), float(carried[2])),
        torsion=float(carried[3]),
        out_of_plane=float(carried[4]),
        in_plane=float(carried[5]),
        opening=float(turn[2]),
        slide=(float(slide[0]), float(slide[1]), float(slide[2])),
        share=abs(float(carried[5])) / capacity,
        turn=(float(turn[0]), float(turn[1]), float(turn[2])),
    )


def tension_map(system: CoupledSystem, state: CoupledState) -> TensionMap:
    """Tension left over windows.

    Args:
        system: Frame and canvas.
        state: At rest.

    Returns:
        The map.
    """
    canvas = system.canvas
    rows, columns = canvas.window_shape
    field = np.asarray(canvas.windows @ state.tension).reshape(rows, columns, 3)
    middle = 0.5 * (field[..., 0] + field[..., 1])
    spread = np.hypot(0.5 * (field[..., 0] - field[..., 1]), field[..., 2])
    share = canvas.sheet.areas / canvas.sheet.areas.sum()
    mean = share @ state.tension
    return TensionMap(
        x=(np.arange(columns) + 0.5) * canvas.width / columns,
        y=(np.arange(rows) + 0.5) * canvas.height / rows,
        along_x=field[..., 0],
        along_y=field[..., 1],
        shear=field[..., 2],
        lowest=float((middle - spread).min()),
        highest=float((middle + spread).max()),
        mean=float(0.5 * (mean[0] + mean[1])),
        mean_x=float(mean[0]),
        mean_y=float(mean[1]),
        slack_share=float(share @ (state.state < 2)),
    )


def shape_along(system: CoupledSystem, movement: Floats, name: str, *, count: int = 21) -> Floats:
    """A member's node line as it lies after the movement, for drawing.

    Args:
        system: Frame and canvas.
        movement: Freedoms of the frame, shape (n_nodes, 6).
        name: The member.
        count: Places along it.

    Returns:
        Distance along [mm] and ux uy uz [mm], shape (count, 4).
    """
    model = system.model
    index = model.member_index(name)
    stations = model.stations[index]
    at = np.linspace(0.0, stations[-1], count)
    local = np.clip(np.searchsorted(stations, at, side="right") - 1, 0, len(stations) - 2)
    beams = model.member_beams[index][local]
    inside = (at - stations[local]) / (stations[local + 1] - stations[local])
    moved = movement[model.beams.ends[beams]].reshape(-1, 12, 1)
    lines = (beam_movement_at(model.beams, beams, inside) @ moved)[:, :3, 0]
    return np.column_stack([at, lines])
