"""Against Pynite 3.2 (beams without shear) in the shear-free limit: a braced frame, loaded in and out of plane."""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.beams.frame_model import Joint, Member, build_frame
from longpoint.strength.beams.joint_stiffness import RIGID
from longpoint.strength.beams.section import rectangle_section
from oracles.frame_solve import solve_frame
from strength.frames import SLENDER

Pynite = pytest.importorskip("Pynite", reason="Pynite is not installed")

WIDTH, HEIGHT, AT = 1710.0, 1130.0, 640.0


@pytest.mark.slow
def test_braced_frame_moves_as_in_the_other_program() -> None:
    bar, rail = rectangle_section(thickness=21.0, depth=43.0), rectangle_section(thickness=19.0, depth=31.0)
    spots = {
        "a": (0, 0),
        "p": (AT, 0),
        "b": (WIDTH, 0),
        "c": (WIDTH, HEIGHT),
        "q": (AT, HEIGHT),
        "d": (0, HEIGHT),
    }
    pieces = [
        ("a", "p", bar),
        ("p", "b", bar),
        ("b", "c", bar),
        ("c", "q", bar),
        ("q", "d", bar),
        ("d", "a", bar),
    ]
    pieces.append(("p", "q", rail))

    other = Pynite.FEModel3D()
    other.add_material("wood", SLENDER.modulus, SLENDER.shear_modulus, 0.3, 0.0)
    for name, (x, y) in spots.items():
        other.add_node(name, x, y, 0.0)
    for section, word in ((bar, "bar"), (rail, "rail")):
        # its local y is off the wall for members in the plane of x and y, so Iz resists bending off the wall
        other.add_section(
            word, section.area, section.moment_across, section.moment_front, section.torsion_constant
        )
    forces = {"p": (3.0, 190.0, 11.0), "c": (-45.0, -70.0, 6.0), "q": (0.0, -230.0, -9.0)}
    for i, (first, second, section) in enumerate(pieces):
        other.add_member(f"m{i}", first, second, "wood", "bar" if section is bar else "rail")
    for name, force in forces.items():
        for word, value in zip(("FX", "FY", "FZ"), force, strict=True):
            other.add_node_load(name, word, value)
    other.def_support("a", True, True, True, False, False, False)
    other.def_support("b", False, True, True, False, False, False)
    other.def_support("d", False, False, True, False, False, False)
    other.analyze_linear()

    # which of its axes lies in the plane differs between versions: ask it
    turn = other.members["m0"].T()[:3, :3]
    in_plane_is_y = abs(turn[1, 2]) < 0.5
    if in_plane_is_y:  # then Iz resists bending in the plane: swap and solve again
        for section, word in ((bar, "bar"), (rail, "rail")):
            other.sections[word].Iy, other.sections[word].Iz = section.moment_front, section.moment_across
        other.analyze_linear()

    members = []
    for i, (first, second, section) in enumerate(pieces):
        start, end = (*spots[first], 0.0), (*spots[second], 0.0)
        along = np.subtract(end, start) / np.linalg.norm(np.subtract(end, start))
        across = tuple(np.cross((0, 0, 1), along))
        members.append(
            Member(
                name=f"m{i}", start=start, end=end, section=section, across=across, timber=SLENDER, pieces=1
            )
        )
    joints = []
    for i, j in ((0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 0)):
        joints.append(
            Joint(first=f"m{i}", first_at=members[i].length, second=f"m{j}", second_at=0.0, stiffness=RIGID)
        )
    joints.append(Joint(first="m1", first_at=0.0, second="m6", second_at=0.0, stiffness=RIGID))
    joints.append(Joint(first="m4", first_at=0.0, second="m6", second_at=members[6].length, stiffness=RIGID))
    model = build_frame(tuple(members), tuple(joints))
    at = {
        name: int(np.argmin(np.linalg.norm(model.nodes - [*place, 0.0], axis=1)))
        for name, place in spots.items()
    }
    loads = np.zeros((len(model.nodes), 6))
    for name, force in forces.items():
        loads[at[name], :3] = force
    held = np.array(
        [6 * at["a"], 6 * at["a"] + 1, 6 * at["a"] + 2, 6 * at["b"] + 1, 6 * at["b"] + 2, 6 * at["d"] + 2]
    )
    answer = solve_frame(model, loads, held)
    for name in spots:
        node = other.nodes[name]
        theirs = [getattr(node, w)["Combo 1"] for w in ("DX", "DY", "DZ", "RX", "RY", "RZ")]
        assert answer.movement[at[name]][:3] == approx(theirs[:3], rel=1e-3, abs=1e-3), name
        assert answer.movement[at[name]][3:] == approx(theirs[3:], rel=1e-3, abs=1e-6), name
