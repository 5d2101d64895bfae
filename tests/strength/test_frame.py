"""Bare frames against closed forms (shear switched off where the formula has none) and against rigid rotation.

Continuous beams: printed tables for equal spans (coefficients to four digits). Closed frames: rotation balance at
the corners, as worked in docs/theory/strength.md. Euler, Timoshenko & Gere: from memory, re-derived.
"""

from __future__ import annotations

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.beams.beam import Floats, beam_geometric, beam_stiffness
from longpoint.strength.beams.frame_model import (
    FrameModel,
    Joint,
    Member,
    build_frame,
    frame_stiffness,
    rigid_motions,
)
from longpoint.strength.beams.joint_stiffness import HINGED, RIGID, RIGID_TURN, JointStiffness
from longpoint.strength.beams.section import bevelled_section, polygon_section, rectangle_section
from longpoint.strength.beams.timber import Timber
from oracles.frame_solve import frame_buckling, solve_frame
from strength.frames import (
    SLENDER,
    STOCKY,
    beam,
    bow,
    closed_frame,
    holds,
    moment_at,
    pinned,
    solve_closed,
    spread,
)


def test_bar_45_by_20_one_metre_long_bows_2_68_pinned_and_0_536_fixed() -> None:
    model = beam(1000.0, 8)
    free = solve_frame(model, spread(model, 0.25), pinned(model, [0, 8]))
    assert free.movement[4, 1] == approx(5 * 0.25 * 1000**4 / (384 * 8000 * 151_875), rel=1e-9)
    assert free.movement[4, 1] == approx(2.68, rel=5e-3)
    every = "x y z rx ry rz"
    fixed = solve_frame(model, spread(model, 0.25), holds(model, {0: every, 8: every}))
    assert fixed.movement[4, 1] == approx(0.536, rel=5e-3)


@pytest.mark.parametrize(
    ("spans", "deflection", "reaction"), [(2, 0.005416, 0.375), (3, 0.006884, 0.4), (4, 0.00646, 0.3929)]
)
def test_continuous_beams_have_the_tables_deflections_and_reactions(
    spans: int, deflection: float, reaction: float
) -> None:
    span, load, ei = 700.0, 0.25, 8000 * 151_875
    model = beam(span * spans, 40 * spans)
    answer = solve_frame(model, spread(model, load), pinned(model, [40 * i for i in range(spans + 1)]))
    assert answer.movement[:, 1].max() * ei / (load * span**4) == approx(deflection, rel=1e-3)
    assert -answer.reactions[0, 1] / (load * span) == approx(reaction, rel=1e-3)


def test_square_frame_has_46_875_newton_metres_at_the_corner() -> None:
    model = closed_frame(1500, 1500, inertia=50_000, corner=RIGID)
    answer = solve_closed(model, 0.25)
    assert abs(moment_at(model, answer, 0, 0.0, 0.25)) / 1000 == approx(46.875, rel=1e-4)
    assert bow(model, answer, 0) == approx(0.25 * 1500**4 / (384 * 8000 * 50_000), rel=1e-4)


def test_frame_2000_by_1500_bows_inward_on_the_long_side_and_outward_on_the_short() -> None:
    model = closed_frame(2000, 1500, inertia=1e9 / 8000, corner=RIGID)
    answer = solve_closed(model, 0.25)
    assert abs(moment_at(model, answer, 0, 0.0, 0.25)) / 1000 == approx(67.708, rel=2e-3)
    assert abs(moment_at(model, answer, 0, 1000.0, 0.25)) / 1000 == approx(57.29, rel=2e-3)
    assert abs(moment_at(model, answer, 1, 750.0, 0.25)) / 1000 == approx(2.60, rel=5e-3)
    assert bow(model, answer, 0) == approx(18.23, rel=2e-3)
    assert bow(model, answer, 1) == approx(-2.56, rel=2e-3)


def test_frame_2000_by_1500_with_pinned_and_rigid_corners() -> None:
    for corner, expected in ((HINGED, 12.92), (RIGID, 4.52)):
        model = closed_frame(2000, 1500, inertia=4.032e9 / 8000, corner=corner)
        assert bow(model, solve_closed(model, 0.25), 0) == approx(expected, rel=3e-3)


def test_half_stiff_corners_of_a_square_carry_30_49_newton_metres() -> None:
    corner = JointStiffness(in_plane=5e6, out_of_plane=RIGID_TURN, torsion=RIGID_TURN)
    model = closed_frame(1500, 1500, inertia=4.032e9 / 8000, corner=corner)
    assert abs(moment_at(model, solve_closed(model, 0.25), 0, 0.0, 0.25)) / 1000 == approx(30.49, rel=2e-3)


def test_one_brace_takes_191_newtons_and_eases_the_corner() -> None:
    model = closed_frame(2000, 1500, inertia=4.032e9 / 8000, corner=RIGID, brace=True)
    answer = solve_closed(model, 0.25)
    assert abs(moment_at(model, answer, 0, 0.0, 0.25)) / 1000 == approx(40.36, rel=3e-3)
    assert abs(moment_at(model, answer, 0, 1000.0, 0.25)) / 1000 == approx(11.07, rel=5e-3)
    rail = model.member_beams[4][0]
    assert answer.end_forces[rail, 1, 1] == approx(-191.4, rel=3e-3)  # pushed: compression


def test_long_side_carries_187_5_and_short_side_250_newtons_of_compression() -> None:
    model = closed_frame(2000, 1500, inertia=1e9 / 8000, corner=RIGID)
    answer = solve_closed(model, 0.25)
    assert answer.end_forces[model.member_beams[0][3], 1, 0] == approx(-187.5, rel=1e-6)
    assert answer.end_forces[model.member_beams[1][3], 1, 1] == approx(-250.0, rel=1e-6)


def test_bar_twists_1_326_degrees_under_one_newton_metre() -> None:
    model = beam(1000.0, 3)
    loads = np.zeros((4, 6))
    loads[3, 3] = 1000.0
    answer = solve_frame(model, loads, holds(model, {0: "x y z rx ry rz"}))
    assert np.degrees(answer.movement[3, 3]) == approx(1.326, rel=5e-3)


@pytest.mark.parametrize(("modulus", "expected"), [(8000.0, 1053.0), (5400.0, 711.0)])
def test_euler_load_of_the_weak_axis(modulus: float, expected: float) -> None:
    wood = Timber(modulus=modulus, shear_modulus=500.0, density=420.0, shear_counts=False)
    model = beam(1500.0, 12, wood)
    loads = np.zeros((13, 6))
    loads[12, 0] = -1.0
    held = holds(model, {0: "x y z rx", 12: "y z"})
    answer = solve_frame(model, loads, held)
    factors, _ = frame_buckling(model, answer.movement, held)
    assert factors[0] == approx(expected, rel=2e-3)


def test_lateral_buckling_under_even_moment_is_the_textbook_one() -> None:
    # M_cr = (pi/L) sqrt(E I_weak G J) / sqrt(1 - I_weak/I_strong): Timoshenko & Gere, Theory of Elastic
    # Stability, with the bend before buckling left out as here: without the root in the denominator.
    model = beam(1800.0, 24, section=rectangle_section(thickness=90.0, depth=9.0))
    loads = np.zeros((25, 6))
    loads[0, 5], loads[24, 5] = 1.0, -1.0
    held = holds(model, {0: "x y z rx", 24: "y z rx"})
    answer = solve_frame(model, loads, held)
    factors, _ = frame_buckling(model, answer.movement, held)
    s = model.members[0].section
    expected = np.pi / 1800 * np.sqrt(8000 * s.moment_front * 500 * s.torsion_constant)
    assert abs(factors[0]) == approx(expected, rel=2e-3)


def test_strip_loaded_at_its_free_end_tips_over_at_prandtls_load() -> None:
    # P_cr = 4.0126 sqrt(EI GJ) / L^2 for a load at the axis: Prandtl 1899, in Timoshenko & Gere.
    model = beam(1300.0, 30, section=rectangle_section(thickness=80.0, depth=8.0))
    loads = np.zeros((31, 6))
    loads[30, 1] = 1.0
    held = holds(model, {0: "x y z rx ry rz"})
    answer = solve_frame(model, loads, held)
    factors, _ = frame_buckling(model, answer.movement, held)
    s = model.members[0].section
    expected = 4.0126 * np.sqrt(8000 * s.moment_front * 500 * s.torsion_constant) / 1300**2
    assert abs(factors[0]) == approx(expected, rel=5e-3)


@pytest.mark.parametrize(("ends", "add"), [("pinned", 0.0384), ("fixed", 0.192)])
def test_shear_adds_3_84_percent_at_one_twentieth_of_the_span(ends: str, add: float) -> None:
    # 0.96 (E/G)(h/L)^2 for pinned ends; five times as much of a fifth of the bow for fixed ones
    section = rectangle_section(thickness=50.0, depth=20.0)
    held_at = {
        "pinned": lambda m: pinned(m, [0, 8]),
        "fixed": lambda m: holds(m, dict.fromkeys((0, 8), EVERY)),
    }
    bows = []
    for wood in (SLENDER, STOCKY):
        model = beam(1000.0, 8, wood, section=section)
        # spread() holds no moment correction for shear: exact for mid-span of an even mesh only in the limit
        bows.append(solve_frame(model, spread(model, 0.25), held_at[ends](model)).movement[4, 1])
    assert bows[1] / bows[0] - 1 == approx(add, rel=2e-3)


EVERY = "x y z rx ry rz"


def test_bevelled_bar_loaded_inward_also_moves_to_the_front() -> None:
    section = polygon_section(((0, 0), (60, 0), (60, 22), (0, 30)))
    model = beam(1500.0, 10, section=section)
    answer = solve_frame(model, spread(model, 0.25), pinned(model, [0, 10]))
    inward, front = answer.movement[5, 1], answer.movement[5, 2]
    assert front / inward == approx(0.336, rel=2e-3)
    effective = section.moment_across - section.product**2 / section.moment_front
    assert inward == approx(5 * 0.25 * 1500**4 / (384 * 8000 * effective), rel=1e-4)


def test_load_through_the_shear_centre_does_not_twist_and_through_the_centroid_does() -> None:
    section = polygon_section(((0, 0), (60, 0), (60, 22), (0, 30)))
    twists = []
    for line in (section.shear_centre, section.centroid):
        model = beam(900.0, 6, STOCKY, section=section, line=line)
        loads = np.zeros((7, 6))
        loads[6, 2] = 10.0
        answer = solve_frame(model, loads, holds(model, {0: EVERY}))
        twists.append(answer.movement[6, 3])
    offset = section.centroid[0] - section.shear_centre[0]
    assert twists[0] == approx(0.0, abs=1e-12)
    assert twists[1] == approx(10.0 * offset * 900 / (500 * section.torsion_constant), rel=1e-3)


def skew_model() -> FrameModel:
    wood = Timber(modulus=9100.0, shear_modulus=570.0, density=430.0)
    bar = bevelled_section(thickness=21.0, depth=44.0, bevel=5.0)
    rail = rectangle_section(thickness=19.0, depth=31.0)
    members = (
        Member(name="a", start=(0, 0, 0), end=(700, 80, 33), section=bar, across=(0, 1, 0), timber=wood),
        Member(
            name="b", start=(700, 80, 33), end=(650, 520, -20), section=rail, across=(-1, 0, 0.2), timber=wood,
            line=(3.0, 40.0),
        ),
        Member(name="c", start=(330, 60, 10), end=(610, 500, -40), section=rail, across=(-1, 0, 0), timber=wood),
    )  # fmt: skip
    soft = JointStiffness(in_plane=3e6, out_of_plane=2e6, torsion=4e5, slip=(900.0, 700.0, 800.0))
    joints = (
        Joint(first="a", first_at=members[0].length, second="b", second_at=0.0, stiffness=RIGID),
        Joint(first="a", first_at=300.0, second="c", second_at=0.0, stiffness=soft),
        Joint(first="b", first_at=400.0, second="c", second_at=members[2].length, stiffness=soft),
    )
    return build_frame(members, joints)


def test_a_rigid_movement_calls_up_no_elastic_force() -> None:
    model = skew_model()
    motions = rigid_motions(model.nodes).reshape(-1, 6)
    stiffness = frame_stiffness(model)
    assert np.abs(stiffness @ motions).max() < 1e-9 * np.abs(stiffness).max() * np.abs(motions).max()
    assert np.abs(stiffness - stiffness.T).max() < 1e-9 * np.abs(stiffness).max()


def test_geometric_stiffness_of_a_balanced_frame_vanishes_on_every_rigid_rotation() -> None:
    model = skew_model()
    motions = rigid_motions(model.nodes).reshape(-1, 6)
    # the closed loop a-b-c is stressed by forcing its last joint open; nothing holds it from outside
    gap = np.zeros(model.freedom_count)
    link = model.link_stiffness[2] @ np.array([0, 0, 0, 0, 0, 0, 1.5, -2.0, 0.7, 0.01, -0.02, 0.03])
    gap[6 * model.links.ends[2, 0] + np.arange(6)] = link[:6]
    gap[6 * model.links.ends[2, 1] + np.arange(6)] = link[6:]
    held = np.arange(6)
    answer = solve_frame(model, -gap.reshape(-1, 6), held)
    assert np.abs(answer.reactions).max() < 1e-6 * np.abs(gap).max()
    geometric = frame_geometric_with_gap(model, answer.movement)
    size = np.abs(geometric).max()
    assert size > 0.1
    out = geometric @ motions
    assert np.abs(out[:, :3]).max() < 1e-9 * size * 1e3
    assert np.abs(out[:, 3:]).max() < 1e-8 * size * 1e3


def frame_geometric_with_gap(model: FrameModel, movement: Floats) -> Floats:
    """Geometric stiffness when the last joint was forced open by the gap of the test above."""
    from dataclasses import replace

    from longpoint.strength.beams.frame_links import link_geometric
    from longpoint.strength.beams.frame_model import assemble

    opened = movement.copy()
    forces = (model.beam_stiffness @ opened[model.beams.ends].reshape(-1, 12, 1))[..., 0].reshape(-1, 2, 6)
    total = assemble(model.freedom_count, (model.beams.ends, beam_geometric(model.beams, forces)))
    for i in range(3):
        links = replace(
            model.links,
            ends=model.links.ends[i : i + 1],
            arms=model.links.arms[i : i + 1],
            triad=model.links.triad[i : i + 1],
            stiffness=model.links.stiffness[i : i + 1],
        )
        local = opened.copy()
        if i == 2:
            local[model.links.ends[2, 1]] += [1.5, -2.0, 0.7, 0.01, -0.02, 0.03]
        total = total + assemble(model.freedom_count, (links.ends, link_geometric(links, local)))
    return total.toarray()


def test_geometric_stiffness_is_the_rate_at_which_turned_end_forces_change() -> None:
    """One element: K_g times a rigid turn is ω × force, and half of ω × moment (rotation-vector freedoms)."""
    model = skew_model()
    rng = np.random.default_rng(5)
    movement = rng.standard_normal((len(model.nodes), 6)) * [1, 1, 1, 0.01, 0.01, 0.01]
    forces = (beam_stiffness(model.beams) @ movement[model.beams.ends].reshape(-1, 12, 1))[..., 0]
    forces = forces.reshape(-1, 2, 6)
    geometric = beam_geometric(model.beams, forces)
    motions = rigid_motions(model.nodes)[:, :, 3:]
    for i in range(3):
        omega = np.eye(3)[i]
        moved = motions[model.beams.ends][..., i].reshape(-1, 12)
        got = (geometric @ moved[..., None])[..., 0].reshape(-1, 2, 6)
        expected = np.concatenate(
            [np.cross(omega, forces[..., :3]), 0.5 * np.cross(omega, forces[..., 3:])], axis=-1
        )
        assert np.abs(got - expected).max() < 1e-9 * np.abs(forces).max()


def test_bow_converges_at_once_because_the_elements_are_exact() -> None:
    bows = []
    for pieces in (2, 4, 16):
        model = beam(1000.0, pieces, STOCKY)
        bows.append(
            solve_frame(model, spread(model, 0.25), pinned(model, [0, pieces])).movement[pieces // 2, 1]
        )
    assert bows[0] == approx(bows[2], rel=1e-9)
    assert bows[1] == approx(bows[2], rel=1e-9)
