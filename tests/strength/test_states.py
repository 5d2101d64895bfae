"""States handed on, the hung work, bars with their end rails: against statics and closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from longpoint.errors import OutOfRangeError
from longpoint.strength.beams.frame_model import GRAVITY, Member, Seam, build_frame
from longpoint.strength.beams.joint_stiffness import SeamStiffness, glued_seam, screw_slip, screwed_joint
from longpoint.strength.beams.section import rectangle_section
from longpoint.strength.beams.timber import Timber, timber
from longpoint.strength.coupled import couple
from longpoint.strength.coupled_solve import prestrain_of, solve_coupled
from longpoint.strength.equilibrium import check_equilibrium
from longpoint.strength.hanging import hung_supports, place_rows
from longpoint.strength.membrane.solve import Cloth
from oracles.frame_solve import solve_frame
from oracles.full_solve import solve_full
from oracles.plain import couple_case, solve_case, support_case
from oracles.seams import joined_moment, screwed_seam
from oracles.support_case import BarSize, RailSize, Support, evenly, usual_joints
from strength.frames import SLENDER, holds

RAW = Cloth(
    warp_stiffness=15.0, weft_stiffness=30.0, poisson_warp=0.2, shear_stiffness=5.0, areal_mass=0.4e-6
)
PRIMED = Cloth(
    warp_stiffness=80.0, weft_stiffness=110.0, poisson_warp=0.2, shear_stiffness=35.0, areal_mass=0.75e-6
)
SUPPORT = Support(
    width=1510.0,
    height=1130.0,
    bar=BarSize(thickness=21.0, depth=44.0, bevel=5.0),
    rail=RailSize(thickness=21.0, depth=30.0, drop=2.0),
    cross_rails=evenly(1, width=1510.0),
    middle_pieces=True,
)


def test_hung_work_is_carried_by_its_hangers_and_leans_on_the_wall() -> None:
    case = support_case(SUPPORT, cloth=PRIMED, prestress=(0.2, 0.2))
    system = couple_case(case)
    model = system.model
    level = model.members[1].length - 240.0  # the left bar runs downwards, the right one upwards
    rows = hung_supports(model, hangers=(("left", 240.0), ("right", level)))
    hung = couple(model, system.canvas, supports=rows)
    state = solve_coupled(
        hung, prestrain_of(system.canvas, along_x=0.2, along_y=0.2), weight=np.array([0, -1, 0])
    )
    timber_weight = model.mass() * GRAVITY
    canvas_weight = 0.75e-6 * 1510 * 1130 * GRAVITY
    up = -(state.reactions[1] + state.reactions[3])
    assert up == approx(timber_weight + canvas_weight, rel=1e-9)
    assert state.reactions[1] == approx(state.reactions[3], rel=0.02)  # hung evenly
    assert check_equilibrium(hung, state).worst < 1e-9
    # moments about the hangers by hand: the weight pulls the top off the wall or the bottom on to it
    height = np.interp(
        240.0, [0, model.members[3].length], [model.members[3].start[1], model.members[3].end[1]]
    )
    beams = model.beams
    middles = model.nodes[beams.ends].mean(axis=1)
    lever = float((beams.weight * beams.length) @ (middles[:, 2] - model.members[3].start[2]))
    lever += canvas_weight * (0.0 - model.members[3].start[2])
    on_wall = lever / (height - model.members[0].start[1])
    assert state.reactions[5] == approx(-on_wall, rel=1e-6)


def test_without_weight_the_hangers_feel_nothing() -> None:
    system = couple_case(support_case(SUPPORT, cloth=PRIMED, prestress=(0.2, 0.2)))
    rows = hung_supports(system.model, hangers=(("left", 240.0), ("right", 880.0)))
    hung = couple(system.model, system.canvas, supports=rows)
    before = prestrain_of(system.canvas, along_x=0.2, along_y=0.2)
    state = solve_coupled(hung, before)
    assert np.abs(state.reactions).max() < 1e-6
    other = solve_coupled(system, before)
    assert state.tension == approx(other.tension, abs=1e-10)  # supports do not matter


def test_place_beyond_a_member_is_refused() -> None:
    system = couple_case(support_case(SUPPORT, cloth=PRIMED, prestress=(0.2, 0.2)))
    with pytest.raises(OutOfRangeError, match=r"2000 mm lies beyond 'top'"):
        place_rows(system.model, "top", 2000.0)


def test_quick_and_whole_solve_are_the_same_on_the_same_grid() -> None:
    system = couple_case(support_case(SUPPORT, cloth=PRIMED, prestress=(0.2, 0.2)))
    quick = solve_coupled(system, prestrain_of(system.canvas, along_x=0.2, along_y=0.15), slackens=False)
    whole = solve_full(system.model, system.canvas.grid, PRIMED, along_x=0.2, along_y=0.15)
    assert quick.movement == approx(whole.movement, abs=1e-8)
    assert quick.canvas_movement == approx(whole.canvas_movement, abs=1e-8)


@pytest.mark.parametrize("slip", [0.05, 2.0, 60.0])
def test_bar_with_a_rail_along_it_bends_as_the_slip_formula_says(slip: float) -> None:
    """Half-wave load, pinned: bow = load L⁴/(π⁴ E I_eff), I_eff after Newmark."""
    length, pieces = 1300.0, 24
    bar, rail = rectangle_section(thickness=21.0, depth=44.0), rectangle_section(thickness=25.0, depth=36.0)
    apart = 0.5 * (21.0 + 25.0)
    members = tuple(
        Member(
            name=name,
            start=(0, y, 0),
            end=(length, y, 0),
            section=s,
            across=(0, 1, 0),
            timber=SLENDER,
            pieces=n,
        )
        for name, y, s, n in (("bar", 0, bar, pieces), ("rail", apart, rail, 2))
    )
    seam = Seam(
        first="bar",
        second="rail",
        stiffness=SeamStiffness(along=slip, across=1e6, front=1e4, torsion=1e6),
        face_across=-12.5,
    )
    # the link's turning springs would be a glue line's; the formula has none, so they must not matter much
    model = build_frame(members, (), (seam,))
    loads = np.zeros((len(model.nodes), 6))
    at = model.stations[0]
    loads[model.member_nodes[0], 1] = 0.2 * np.sin(np.pi * at / length) * length / pieces
    first, last = model.member_nodes[0][[0, -1]]
    answer = solve_frame(model, loads, holds(model, {first: "x y z rx", last: "y z"}))
    effective = joined_moment(
        area=(bar.area, rail.area),
        moment=(bar.moment_across, rail.moment_across),
        apart=apart,
        modulus=8000.0,
        seam_along=slip,
        span=length,
    )
    expected = 0.2 * length**4 / (np.pi**4 * 8000 * effective)
    assert answer.movement[model.member_nodes[0][pieces // 2], 1] == approx(expected, rel=1e-2)


def test_glued_pair_of_equal_bars_is_four_times_the_plain_sum() -> None:
    plain = 44 * 21.0**3 / 12
    seam = glued_seam(shear_modulus=500.0, height=44.0, thickness=2.1)
    glued = joined_moment(
        area=(924.0, 924.0),
        moment=(plain, plain),
        apart=21.0,
        modulus=8000.0,
        seam_along=seam.along,
        span=1300.0,
    )
    assert glued == approx(4 * 2 * plain, rel=5e-3)
    loose = screwed_seam(density=370.0, diameter=4.5, spacing=250.0, height=44.0)
    screwed = joined_moment(
        area=(924.0, 924.0),
        moment=(plain, plain),
        apart=21.0,
        modulus=8000.0,
        seam_along=loose.along,
        span=1300.0,
    )
    assert 2 * plain < screwed < 0.5 * glued


def test_slip_of_a_screw_is_eurocodes() -> None:
    assert screw_slip(density=420.0, diameter=5.0) == approx(1871.2, rel=1e-3)  # 420^1.5 * 5 / 23
    joint = screwed_joint(density=420.0, diameter=5.0, count=2, spread_in_plane=10.0, spread_front=8.0)
    assert joint.in_plane == approx(2 * 1871.2 * 100, rel=1e-3)
    assert joint.torsion == approx(2 * 1871.2 * 164, rel=1e-3)


def test_handbook_stiffness_is_raised_because_it_holds_shear() -> None:
    assert timber(modulus=8900.0, holds_shear=True).modulus == approx(9790.0)
    assert timber(modulus=8900.0).modulus == 8900.0
    assert timber(modulus=8000.0).shear_modulus == 500.0


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"modulus": 0.0}, "stiffness along the grain is 0 MPa"),
        ({"shear_modulus": -3.0}, "shear stiffness is -3 MPa"),
        ({"density": float("nan")}, "density is nan"),
        ({"creep": -0.1}, "creep is -0.1"),
    ],
)
def test_impossible_timber_is_refused(given: dict[str, float], told: str) -> None:
    usual = {"modulus": 8000.0, "shear_modulus": 500.0, "density": 370.0}
    with pytest.raises(OutOfRangeError, match=told):
        Timber(**(usual | given))


def test_joint_that_can_bear_a_stated_moment_says_how_much_of_it_is_used() -> None:
    joints = usual_joints(bar=SUPPORT.bar, rail=SUPPORT.rail, wood=SUPPORT.timber)
    known = replace(joints, corner=replace(joints.corner, capacity=20_000.0))
    answer = solve_case(support_case(replace(SUPPORT, joints=known), cloth=PRIMED, tension_left=0.2))
    corner = answer.joints[0]
    assert corner.share == approx(abs(corner.in_plane) / 20_000)
    assert answer.joints[-1].share == 0.0  # not judged
    pair = screwed_joint(
        density=370.0, diameter=5.0, count=2, spread_in_plane=10.0, spread_front=8.0, screw_bears=300.0
    )
    assert pair.capacity == approx(6000.0)
