"""Bars cut through and joined again: breaks against closed forms, scarf and half-lap against hand values and a strip.

The strip is a plane-stress problem of its own, solved with scikit-fem: nothing of ours is in it but the question.
"""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest
from pytest import approx
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    FacetBasis,
    LinearForm,
    MeshQuad,
    condense,
    solve,
)
from skfem.helpers import sym_grad

from longpoint.errors import FaultsError, OutOfRangeError
from longpoint.strength.beams.bar_join import (
    CarriedForces,
    LapShape,
    Rectangle,
    lap_springs,
    lap_stress,
    left_section,
    scarf_efficiency,
    scarf_stress,
)
from longpoint.strength.beams.frame_model import (
    Break,
    FrameModel,
    Hold,
    Member,
    build_frame,
    frame_geometric,
    rigid_motions,
)
from longpoint.strength.beams.joint_stiffness import HINGED, JointStiffness
from longpoint.strength.beams.section import rectangle_section
from oracles.frame_solve import FrameSolution, solve_frame
from strength.frames import SLENDER, beam, broken, holds, pinned, spread

EI = 8000 * 151_875  # 45 x 20 on its flat
EVERY = "x y z rx ry rz"


def node_at(model: FrameModel, at: float) -> int:
    return int(model.member_nodes[0][np.argmin(np.abs(model.stations[0] - at))])


def fixed_ends(model: FrameModel, load: float) -> FrameSolution:
    last = int(model.member_nodes[0][-1])
    return solve_frame(model, spread(model, load), holds(model, {0: EVERY, last: EVERY}))


def test_a_spring_at_mid_span_adds_its_turn_times_a_quarter_of_the_span() -> None:
    length, load, spring = 1130.0, 0.27, 3.1e6
    model = broken(length, 8, length / 2, JointStiffness(in_plane=spring, out_of_plane=1e9, torsion=1e9))
    ends = [0, int(model.member_nodes[0][-1])]
    sag = solve_frame(model, spread(model, load), pinned(model, ends)).movement[node_at(model, 565.0), 1]
    turn = load * length**2 / 8 / spring  # moment at mid-span over the spring
    assert sag == approx(5 * load * length**4 / (384 * EI) + turn * length / 4, rel=1e-9)


def test_a_hinge_between_fixed_ends_leaves_two_cantilevers_that_share_the_load() -> None:
    length, a, force = 970.0, 211.0, 13.0
    b = length - a
    model = broken(length, 6, a, HINGED)
    loads = np.zeros((len(model.nodes), 6))
    hinge = node_at(model, a)
    loads[hinge, 1] = force
    answer = solve_frame(model, loads, holds(model, {0: EVERY, int(model.member_nodes[0][-1]): EVERY}))
    assert answer.movement[hinge, 1] == approx(force / (3 * EI / a**3 + 3 * EI / b**3), rel=1e-6)


def test_a_hinge_where_an_even_pull_does_not_bend_the_bar_changes_nothing() -> None:
    length, load = 1040.0, 0.25
    whole = beam(length, 12)
    sag = fixed_ends(whole, load).movement[:, 1].max()
    free_of_moment = length * (0.5 - 1 / sqrt(12))  # moment of a bar held at both ends is nought there
    hinged = broken(length, 12, free_of_moment, HINGED)
    assert fixed_ends(hinged, load).movement[:, 1].max() == approx(sag, rel=1e-6)
    fifth = fixed_ends(broken(length, 12, length / 5, HINGED), load).movement[:, 1].max()
    middle = fixed_ends(broken(length, 12, length / 2, HINGED), load).movement[:, 1].max()
    assert fifth < 1.15 * sag  # at a fifth of the bay hardly anything
    # two cantilevers: w (L/2)⁴/(8 EI) over w L⁴/(384 EI)
    assert middle == approx(3 * sag, rel=1e-6)


def test_an_infinitely_stiff_join_is_the_whole_bar() -> None:
    endless = JointStiffness(in_plane=1e12, out_of_plane=1e12, torsion=1e12, slip=(1e10, 1e10, 1e10))
    whole, joined = beam(1110.0, 10), broken(1110.0, 10, 444.0, endless)
    one, two = fixed_ends(whole, 0.31).movement, fixed_ends(joined, 0.31).movement
    assert two[joined.member_nodes[0]] == approx(one[whole.member_nodes[0]], rel=2e-5, abs=2e-8)


def test_a_break_under_force_costs_a_rigid_turn_nothing() -> None:
    soft = JointStiffness(in_plane=2e6, out_of_plane=3e6, torsion=1e6, slip=(4e3, 2e3, 3e3))
    bar = Member(
        name="b",
        start=(10, 20, -7),
        end=(710, 340, 5),
        section=rectangle_section(thickness=24.0, depth=58.0),
        across=(-0.4, 0.9, 0.0),
        timber=SLENDER,
        pieces=4,
    )
    cut = Break(
        member="b", at=311.0, holds=(Hold(stiffness=soft, front=19.0), Hold(stiffness=soft, across=7.0))
    )
    model = build_frame((bar,), breaks=(cut,))
    rng = np.random.default_rng(5)
    loads = rng.standard_normal((len(model.nodes), 6)) * [9, 9, 9, 900, 900, 900]
    # in balance as a whole, or a turn would cost work
    rigid = rigid_motions(model.nodes).reshape(-1, 6)
    flat = loads.ravel()
    flat = flat - rigid @ np.linalg.lstsq(rigid, flat, rcond=None)[0]
    held = holds(model, {0: EVERY})
    answer = solve_frame(model, flat.reshape(-1, 6), held)
    assert np.abs(answer.reactions).max() < 1e-6 * np.abs(flat).max()
    stress = frame_geometric(model, answer.movement)
    force, moment = (flat.reshape(-1, 6)[:, part] for part in (slice(3), slice(3, 6)))
    for axis in range(
        3
    ):  # what is loaded turns with the whole: K_g times the turn is ω × force, half ω × moment
        omega = np.eye(3)[axis]
        expected = np.concatenate([np.cross(omega, force), 0.5 * np.cross(omega, moment)], axis=1)
        got = (stress @ rigid[:, 3 + axis]).reshape(-1, 6)
        assert np.abs(got - expected).max() < 1e-6 * np.abs(expected).max()


def test_breaks_that_cannot_be_are_all_refused_at_once() -> None:
    bar = Member(
        name="b",
        start=(0, 0, 0),
        end=(500, 0, 0),
        section=rectangle_section(thickness=21.0, depth=44.0),
        across=(0, 1, 0),
        timber=SLENDER,
    )
    hold = (Hold(stiffness=HINGED),)
    cuts = (
        Break(member="c", at=100.0, holds=hold),
        Break(member="b", at=500.0, holds=hold),
        Break(member="b", at=250.0, holds=()),
    )
    with pytest.raises(FaultsError) as caught:
        build_frame((bar,), breaks=cuts)
    assert [fault.code for fault in caught.value.faults] == [
        "break-no-member",
        "break-beyond-member",
        "break-not-held",
    ]


@pytest.mark.parametrize(
    ("slope", "efficiency"),
    [
        (0.0, 0.25),  # an end-grain butt: Wood Handbook FPL-GTR-190, chapter 10, read
        (5.0, 0.60),  # joint factors of the older Wood Handbooks, from memory
        (8.0, 0.75),
        (10.0, 0.80),
        (12.0, 0.85),
        (40.0, 0.85),  # no flatter scarf is counted for more
        (9.0, 0.775),  # half way
    ],
)
def test_a_scarf_bears_the_more_the_flatter_it_is(slope: float, efficiency: float) -> None:
    assert scarf_efficiency(slope) == approx(efficiency)


def test_a_slope_below_nought_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="0 or more"):
        scarf_efficiency(-3.0)


def test_a_scarf_asks_for_the_bending_stress_over_its_efficiency() -> None:
    forces = CarriedForces(
        axial=-130.0,
        shear_in_plane=41.0,
        shear_front=9.0,
        torque=700.0,
        moment_in_plane=6100.0,
        moment_front=2900.0,
    )
    b, d = 23.0, 47.0
    stress = scarf_stress(
        forces,
        efficiency=0.75,
        area=b * d,
        moments=(d * b**3 / 12, b * d**3 / 12),
        far=(b / 2, d / 2),
        torsion=0.229 * d * b**3,  # a rectangle of 2 : 1
        thickness=b,
    )
    by_hand = 130 / 1081 + 6 * 6100 / (47 * 23**2) + 6 * 2900 / (23 * 47**2)
    assert stress.bending == approx(by_hand / 0.75)
    assert stress.shear == approx((1.5 * hypot(41, 9) / 1081 + 700 / (0.229 * 47 * 23**2)) / 0.75)


def test_two_halves_side_by_side_are_the_whole_again() -> None:
    halves = tuple(Rectangle(across=a, front=0.0, thickness=11.5, depth=47.0) for a in (-5.75, 5.75))
    whole = left_section(halves)
    assert whole.moment_across == approx(47 * 23**3 / 12)
    assert whole.moment_front == approx(23 * 47**3 / 12)
    assert (whole.far_across, whole.far_front) == approx((11.5, 23.5))


def test_the_shoulders_of_a_lap_keep_one_half_and_the_plate() -> None:
    lap = LapShape(
        thickness=22.0, depth=40.0, length=126.0, plate_thickness=21.0, plate_depth=28.0, plate_front=-4.0
    )
    outer, inner = lap.shoulders()
    # inner half 11 x 40 at +5.5 and plate 21 x 28 at +21.5: centroid (440·5.5 + 588·21.5)/1028 = 14.652
    assert inner.centroid == approx((14.652, -2.288), abs=1e-3)
    assert inner.moment_across == approx(
        40 * 11**3 / 12 + 28 * 21**3 / 12 + 440 * (5.5 - 14.652) ** 2 + 588 * (21.5 - 14.652) ** 2, rel=1e-4
    )
    # the outer half stands off from the plate by the half that ends: it is the stiffer of the two
    assert outer.moment_across > inner.moment_across


def test_a_plain_laps_spring_is_worth_its_give_of_half_the_bar() -> None:
    lap = LapShape(thickness=22.0, depth=41.0, length=126.0)
    whole = (41 * 22**3 / 12, 22 * 41**3 / 12, 0.263 * 41 * 22**3)
    springs = lap_springs(lap, modulus=8000.0, shear_modulus=500.0, whole=whole)
    assert springs.in_plane == approx(8000 * whole[0] / (2 * 1.3 * 22 * 7))  # a half is 8 times as soft
    assert springs.out_of_plane == approx(
        8000 * whole[1] / (2 * 1.3 * 22 * 1)
    )  # and twice as soft off the wall


def test_a_plate_as_deep_as_the_bar_makes_the_lap_no_softer_in_the_plane() -> None:
    lap = LapShape(thickness=22.0, depth=41.0, length=126.0, plate_thickness=22.0, plate_depth=41.0)
    whole = (41 * 22**3 / 12, 22 * 41**3 / 12, 1e5)
    assert lap_springs(lap, modulus=8000.0, shear_modulus=500.0, whole=whole).in_plane >= 1e11


def test_a_lap_is_judged_by_shoulder_glue_and_peel() -> None:
    lap = LapShape(thickness=22.0, depth=41.0, length=126.0)
    bent = CarriedForces(
        axial=0.0, shear_in_plane=0.0, shear_front=0.0, torque=0.0, moment_in_plane=5000.0, moment_front=0.0
    )
    stress = lap_stress(lap, bent)
    assert stress.bending == approx(6 * 5000 / (41 * 11**2))
    assert stress.peel == approx(6 * 5000 / (41 * 126**2))
    hollow = CarriedForces(
        axial=0.0, shear_in_plane=0.0, shear_front=0.0, torque=0.0, moment_in_plane=0.0, moment_front=9000.0
    )
    # the glued face 126 x 41 turned in its own plane: M r over the polar moment
    by_hand = 9000 * hypot(126, 41) / 2 / (126 * 41 * (126**2 + 41**2) / 12)
    assert lap_stress(lap, hollow).shear == approx(by_hand)


def _strip_turns(*, thickness: float, lap: float, shouldered: bool, layers: int) -> float:
    """Turn of one end of a strip against the other under a moment of 1 N mm per mm of depth, plane stress."""
    along, across, slide, poisson = 8000.0, 8000.0 / 30, 500.0, 0.35  # softwood, EN 338 C16
    h, half = thickness / layers, 2.5 * lap
    fine = np.arange(-lap / 2 - thickness, lap / 2 + thickness + h / 2, h)
    coarse = np.linspace(lap / 2 + thickness, half, 9)[1:]
    lines = np.unique(np.round(np.concatenate([-coarse, fine, coarse]), 9))
    mesh = MeshQuad.init_tensor(lines, np.linspace(0, thickness, layers + 1))
    if shouldered:  # a gap one element wide: end grain that holds nothing
        x, y = mesh.p[:, mesh.t].mean(axis=1)
        upper = (np.abs(x + lap / 2 - h / 2) < 0.49 * h) & (y > thickness / 2)
        lower = (np.abs(x - lap / 2 + h / 2) < 0.49 * h) & (y < thickness / 2)
        mesh = mesh.remove_elements(np.flatnonzero(upper | lower))
    part = 1 - poisson**2 * across / along
    basis = Basis(mesh, ElementVector(ElementQuad2()))

    @BilinearForm
    def stiffness(u, v, w):  # type: ignore[no-untyped-def]
        e, f = sym_grad(u), sym_grad(v)
        sx = (along * e[0, 0] + poisson * across * e[1, 1]) / part
        sy = (poisson * across * e[0, 0] + across * e[1, 1]) / part
        return sx * f[0, 0] + sy * f[1, 1] + 4 * slide * e[0, 1] * f[0, 1]

    @LinearForm
    def moment(v, w):  # type: ignore[no-untyped-def]
        return (w.x[1] - thickness / 2) * 12 / thickness**3 * v[0]

    right = mesh.facets_satisfying(lambda x: np.abs(x[0] - half) < 1e-9)
    left = mesh.facets_satisfying(lambda x: np.abs(x[0] + half) < 1e-9)
    load = moment.assemble(FacetBasis(mesh, basis.elem, facets=right))
    moved = solve(*condense(stiffness.assemble(basis), load, D=basis.get_dofs(left).all()))
    return float(load @ moved)


@pytest.mark.slow
def test_a_plain_lap_gives_as_much_as_a_strip_with_two_slits() -> None:
    thickness, lap = 22.0, 132.0
    whole = _strip_turns(thickness=thickness, lap=lap, shouldered=False, layers=8)
    assert whole == approx(5 * lap * 12 / (8000 * thickness**3), rel=1e-3)  # M L / E I
    more = _strip_turns(thickness=thickness, lap=lap, shouldered=True, layers=8) - whole
    shape = LapShape(thickness=thickness, depth=1.0, length=lap)
    springs = lap_springs(
        shape, modulus=8000.0, shear_modulus=500.0, whole=(thickness**3 / 12, thickness / 12, 1.0)
    )
    # 18.3 at 16 layers and 18.0 at 32 in thicknesses of bar; ours 18.2
    assert 1 / springs.in_plane == approx(more, rel=0.06)
