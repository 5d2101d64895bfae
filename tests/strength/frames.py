"""Frames that several tests of the strength room share: plain beams, closed frames, even loads."""

from __future__ import annotations

import numpy as np

from longpoint.strength.beams.beam import Floats, Whole
from longpoint.strength.beams.frame_model import Break, FrameModel, Hold, Joint, Member, build_frame
from longpoint.strength.beams.joint_stiffness import HINGED, JointStiffness
from longpoint.strength.beams.section import rectangle_section
from longpoint.strength.beams.timber import Timber
from oracles.frame_solve import FrameSolution, solve_frame

SLENDER = Timber(modulus=8000.0, shear_modulus=500.0, density=420.0, shear_counts=False)
STOCKY = Timber(modulus=8000.0, shear_modulus=500.0, density=420.0)
RECTANGLE = rectangle_section(thickness=45.0, depth=20.0)


def beam(length: float, pieces: int, wood: Timber = SLENDER, **kinds: object) -> FrameModel:
    given = {"section": RECTANGLE, "across": (0.0, 1.0, 0.0)} | kinds
    one = Member(name="b", start=(0, 0, 0), end=(length, 0, 0), timber=wood, pieces=pieces, **given)
    return build_frame((one,))


def broken(
    length: float, pieces: int, at: float, stiffness: JointStiffness, wood: Timber = SLENDER
) -> FrameModel:
    """The bar of `beam`, cut through once; with a node at mid-span, too."""
    bar = Member(
        name="b",
        start=(0, 0, 0),
        end=(length, 0, 0),
        section=RECTANGLE,
        across=(0.0, 1.0, 0.0),
        timber=wood,
        pieces=pieces,
    )
    cut = Break(member="b", at=at, holds=(Hold(stiffness=stiffness),))
    return build_frame((bar,), extra_stations={"b": np.array([length / 2])}, breaks=(cut,))


def spread(model: FrameModel, load: float, direction: tuple[float, float, float] = (0, 1, 0)) -> Floats:
    """Consistent nodal loads of an even load per length on every element."""
    out = np.zeros((len(model.nodes), 6))
    for (a, b), length, triad in zip(model.beams.ends, model.beams.length, model.beams.triad, strict=True):
        force = 0.5 * load * length * np.asarray(direction, dtype=float)
        moment = np.cross(triad[0], force) * length / 6
        out[a] += [*force, *moment]
        out[b] += [*force, *-moment]
    return out


def holds(model: FrameModel, at: dict[int, str]) -> Whole:
    names = ["x", "y", "z", "rx", "ry", "rz"]
    return np.array([6 * node + names.index(word) for node, words in at.items() for word in words.split()])


def pinned(model: FrameModel, nodes: list[int]) -> Whole:
    at = dict.fromkeys(nodes, "y z")
    at[nodes[0]] = "x y z rx"
    return holds(model, at)


def closed_frame(
    width: float,
    height: float,
    *,
    inertia: float,
    corner: JointStiffness,
    brace: bool = False,
    pieces: int = 8,
    wood: Timber = SLENDER,
    depth: float = 4000.0,
) -> FrameModel:
    # so deep that bars hardly shorten: the formulas know no shortening (at a depth of 20 mm it shifts the moment
    # over the brace from 11.07 to 11.22)
    thickness = (12 * inertia / depth) ** (1 / 3)
    section = rectangle_section(thickness=thickness, depth=depth)
    spots = [(0, 0, 0), (width, 0, 0), (width, height, 0), (0, height, 0)]
    names, inward = ["bottom", "right", "top", "left"], [(0, 1, 0), (-1, 0, 0), (0, -1, 0), (1, 0, 0)]
    members = [
        Member(
            name=names[i],
            start=spots[i],
            end=spots[(i + 1) % 4],
            section=section,
            across=inward[i],
            timber=wood,
            pieces=pieces,
        )
        for i in range(4)
    ]
    joints = [
        Joint(
            first=names[i],
            first_at=members[i].length,
            second=names[(i + 1) % 4],
            second_at=0.0,
            stiffness=corner,
        )
        for i in range(4)
    ]
    if brace:
        stout = rectangle_section(thickness=900.0, depth=900.0)
        middle = Member(
            name="rail",
            start=(width / 2, 0, 0),
            end=(width / 2, height, 0),
            section=stout,
            across=(1, 0, 0),
            timber=SLENDER,
        )
        members.append(middle)
        joints += [
            Joint(first="bottom", first_at=width / 2, second="rail", second_at=0.0, stiffness=HINGED),
            Joint(first="top", first_at=width / 2, second="rail", second_at=height, stiffness=HINGED),
        ]
    return build_frame(tuple(members), tuple(joints))


def solve_closed(model: FrameModel, load: float) -> FrameSolution:
    loads = np.zeros((len(model.nodes), 6))
    for i in range(4):
        inward = model.members[i].triad()[1]
        for e in model.member_beams[i]:
            a, b = model.beams.ends[e]
            length = model.beams.length[e]
            force = 0.5 * load * length * inward
            moment = np.cross(model.beams.triad[e, 0], force) * length / 6
            loads[a] += [*force, *moment]
            loads[b] += [*force, *-moment]
    first, second, third = model.member_nodes[0][0], model.member_nodes[0][-1], model.member_nodes[2][-1]
    return solve_frame(model, loads, holds(model, {first: "x y z", second: "y z", third: "z"}))


def bow(model: FrameModel, answer: FrameSolution, member: int) -> float:
    nodes = model.member_nodes[member]
    inward = answer.movement[nodes, :3] @ model.members[member].triad()[1]
    return float(inward[len(nodes) // 2] - 0.5 * (inward[0] + inward[-1]))


def moment_at(model: FrameModel, answer: FrameSolution, member: int, at: float, load: float) -> float:
    """Bending moment in the canvas plane, with the part of an evenly loaded element put back."""
    i = int(np.argmin(np.abs(model.stations[member] - at)))
    element = model.member_beams[member][min(i, len(model.member_beams[member]) - 1)]
    end = 0 if i < len(model.member_beams[member]) else 1
    length = model.beams.length[element]
    share = load * length**2 / 12
    return float(answer.end_forces[element, end, 5] * (1 if end == 0 else -1) - share)
