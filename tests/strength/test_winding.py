"""Winding: against the two closed forms for bars stiff but for torsion, and against rigid turns of the whole.

The closed forms are derived in docs/theory/strength.md (lifted corners make a skew quadrilateral); no published
source is known.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.beams.frame_model import Joint, Member, rigid_motions
from longpoint.strength.beams.joint_stiffness import JointStiffness
from longpoint.strength.beams.section import bevelled_section, rectangle_section
from longpoint.strength.beams.timber import timber
from longpoint.strength.coupled_solve import prestrain_of, solve_coupled
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.winding import find_winding, free_corner_sag, geometric_matrix
from oracles.plain import FrameCase, matched_case_system, solve_case
from oracles.plain_winding import equal_bars_critical_tension

WIDTH, HEIGHT = 1900.0, 1300.0
PLAIN = rectangle_section(thickness=21.0, depth=44.0)
CLOTH = Cloth(warp_stiffness=60.0, weft_stiffness=60.0, poisson_warp=0.2, shear_stiffness=24.0)
INWARD = {"bottom": (0, 1, 0), "right": (-1, 0, 0), "top": (0, -1, 0), "left": (1, 0, 0)}


def four_bars(
    *, stouter: float, in_plane: float, behind: float = 0.0, pieces: int = 8, rigid: float = 1e13
) -> FrameCase:
    """Four equal bars on the canvas's edge, ``stouter`` times as stiff in everything but torsion."""
    section = replace(
        PLAIN,
        area=PLAIN.area * stouter,
        moment_across=PLAIN.moment_across * stouter,
        moment_front=PLAIN.moment_front * stouter,
        principal_moments=(PLAIN.principal_moments[0] * stouter, PLAIN.principal_moments[1] * stouter),
        shear_areas=(PLAIN.shear_areas[0] * stouter, PLAIN.shear_areas[1] * stouter),
    )
    spots = [(0, 0, -behind), (WIDTH, 0, -behind), (WIDTH, HEIGHT, -behind), (0, HEIGHT, -behind)]
    names = list(INWARD)
    members = tuple(
        Member(
            name=name,
            start=spots[i],
            end=spots[(i + 1) % 4],
            section=section,
            across=INWARD[name],
            timber=timber(),
            pieces=pieces,
        )
        for i, name in enumerate(names)
    )
    corner = JointStiffness(in_plane=in_plane, out_of_plane=rigid, torsion=rigid, slip=(rigid / 1e3,) * 3)
    joints = tuple(
        Joint(
            first=names[i],
            first_at=members[i].length,
            second=names[(i + 1) % 4],
            second_at=0,
            stiffness=corner,
        )
        for i in range(4)
    )
    return FrameCase(
        width=WIDTH,
        height=HEIGHT,
        members=members,
        joints=joints,
        cloth=CLOTH,
        prestress=(0.05, 0.05),
        columns=16,
        rows=12,
    )


@pytest.mark.parametrize("rigid", [True, False])
def test_bars_stiff_but_for_torsion_wind_at_the_closed_form(rigid: bool) -> None:
    expected = equal_bars_critical_tension(
        width=WIDTH, height=HEIGHT, torsion=500 * PLAIN.torsion_constant, corners_rigid_in_plane=rigid
    )
    found = []
    for pieces in (4, 8, 24):
        case = four_bars(stouter=3e3, in_plane=1e13 if rigid else 0.0, pieces=pieces)
        answer = solve_case(case)
        found.append(answer.winding.critical_tension / expected)
        assert answer.winding.is_propeller()
    assert abs(found[0] - found[2]) > abs(found[1] - found[2])  # settles as elements get shorter
    assert found[2] == approx(1.0, abs=7e-3)


def test_the_two_closed_forms_for_1900_by_1300_by_hand() -> None:
    # 12 GJ (W + H) / (W H)^2 with GJ = 1e8: 12e8 * 3200 / 2.47e6^2 = 0.62942
    args = {"width": 1900.0, "height": 1300.0, "torsion": 1e8}
    assert equal_bars_critical_tension(**args, corners_rigid_in_plane=True) == approx(0.62942, rel=1e-4)
    # 12 GJ (W + H) / (W H (W^2 + H^2)): 3.84e12 / (2.47e6 * 5.3e6) = 0.29333
    assert equal_bars_critical_tension(**args, corners_rigid_in_plane=False) == approx(0.29333, rel=1e-4)


def test_real_bars_approach_the_closed_form_from_above_where_corners_are_free() -> None:
    expected = equal_bars_critical_tension(
        width=WIDTH, height=HEIGHT, torsion=500 * PLAIN.torsion_constant, corners_rigid_in_plane=False
    )
    found = [
        solve_case(four_bars(stouter=s, in_plane=0.0)).winding.critical_tension / expected
        for s in (10, 100, 1e3)
    ]
    assert found[0] > found[1] > found[2] > 0.99


def test_geometric_stiffness_of_frame_and_canvas_vanishes_on_every_rigid_rotation() -> None:
    section = bevelled_section(thickness=21.0, depth=44.0, bevel=5.0)
    case = four_bars(stouter=1.0, in_plane=4e5, behind=19.0, rigid=1e8)
    members = tuple(replace(m, section=section, pieces=1) for m in case.members)
    system = matched_case_system(replace(case, members=members), columns=10, rows=8)
    state = solve_coupled(system, prestrain_of(system.canvas, along_x=0.31, along_y=0.23), slackens=False)
    geometric = geometric_matrix(system, state, in_plane=True)
    motions = rigid_motions(system.model.nodes).reshape(-1, 6)
    left = np.abs(geometric @ motions).max(axis=0)
    size = np.abs(geometric).max()
    assert left[:3].max() < 1e-12 * size
    assert left[3:].max() < 1e-9 * size * WIDTH


def test_without_shear_and_moment_the_rigid_turn_would_cost_something() -> None:
    """The check above can fail: axial force alone leaves most of it over."""
    case = four_bars(stouter=1.0, in_plane=4e5, behind=19.0, rigid=1e8)
    system = matched_case_system(case, columns=10, rows=8)
    state = solve_coupled(system, prestrain_of(system.canvas, along_x=0.31, along_y=0.23), slackens=False)
    whole = geometric_matrix(system, state, in_plane=True)
    square = system.canvas.square_block(state.tension)
    canvas_alone = (system.ties.square.T @ square @ system.ties.square.toarray()).T
    motions = rigid_motions(system.model.nodes).reshape(-1, 6)
    assert np.abs(canvas_alone @ motions[:, 3:]).max() > 1e6 * np.abs(whole @ motions[:, 3:]).max()


def test_factor_halves_when_the_tension_doubles_while_taut() -> None:
    case = four_bars(stouter=40.0, in_plane=1e6, behind=19.0)
    once, twice = (solve_case(replace(case, prestress=(t, t))) for t in (0.06, 0.12))
    assert once.winding.factor == approx(2 * twice.winding.factor, rel=1e-6)
    assert once.winding.critical_tension == approx(twice.winding.critical_tension, rel=1e-6)


def test_free_corner_sinks_further_the_harder_the_canvas_pulls() -> None:
    case = four_bars(stouter=1.0, in_plane=1e8, behind=19.0)
    sags = []
    for tension in (0.001, 0.12):
        system = matched_case_system(case, columns=10, rows=8)
        state = solve_coupled(system, prestrain_of(system.canvas, along_x=tension, along_y=tension))
        sags.append(free_corner_sag(system, state))
        factor = find_winding(system, state).factor
    assert 0 < sags[0] < sags[1]
    # the winding part of the sag grows by 1/(1 - 1/factor)
    assert sags[1] / sags[0] == approx(1 / (1 - 1 / factor), rel=0.25)
