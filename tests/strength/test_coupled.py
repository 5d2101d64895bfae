"""Frame and canvas as one: statics that no stiffness can change, signs, near pairs, proofs of the answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from longpoint.errors import FaultsError
from longpoint.strength.beams.joint_stiffness import RIGID
from longpoint.strength.beams.timber import timber
from longpoint.strength.coupled import CoupledSystem
from longpoint.strength.coupled_solve import CoupledState, prestrain_of, solve_coupled
from longpoint.strength.equilibrium import check_equilibrium
from longpoint.strength.membrane.solve import Cloth
from oracles.plain import FrameAnswer, couple_case, matched_case_system, solve_case, support_case
from oracles.support_case import BarSize, RailSize, Support, evenly, usual_joints

CLOTH = Cloth(
    warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0, areal_mass=0.6e-6
)
BAR = BarSize(thickness=21.0, depth=44.0, bevel=5.0)
RAIL = RailSize(thickness=21.0, depth=30.0, drop=2.0)
BARE = Support(width=1900.0, height=1300.0, bar=BAR)
BRACED = replace(BARE, rail=RAIL, cross_rails=evenly(2, width=1900.0))
FULL = replace(BRACED, middle_pieces=True, end_rails=True)


def solved(support: Support, *, left: float = 0.2, cloth: Cloth = CLOTH) -> FrameAnswer:
    return solve_case(support_case(support, cloth=cloth, tension_left=left))


@pytest.mark.parametrize("support", [BARE, BRACED, FULL], ids=["bare", "two cross rails", "everything"])
def test_answer_is_in_balance_by_code_of_its_own(support: Support) -> None:
    answer = solved(support)
    balance = check_equilibrium(answer.system, answer.state)
    taut = answer.tension.slack_share == 0
    assert balance.worst < (1e-9 if taut else 5e-4)
    assert answer.energy_gap < (1e-10 if taut else 5e-4)
    assert answer.tension.mean == approx(0.2, rel=1e-4)


def test_balance_check_notices_a_tension_that_was_tampered_with() -> None:
    answer = solved(BRACED)
    tension = answer.state.tension.copy()
    tension[200, 0] += 0.01
    assert check_equilibrium(answer.system, replace(answer.state, tension=tension)).worst > 1e-5
    forces = answer.state.end_forces.copy()
    forces[7, 1, 0] += 0.5
    assert check_equilibrium(answer.system, replace(answer.state, end_forces=forces)).worst > 1e-4


def test_canvas_across_a_cut_and_bars_and_rails_along_it_cancel() -> None:
    answer = solved(FULL)
    system, canvas = answer.system, answer.system.canvas
    middle = int(0.4 * canvas.grid.columns)
    lines = np.unique(canvas.grid.nodes[:, 0])
    at = 0.5 * (lines[middle] + lines[middle + 1])
    cells = np.flatnonzero(np.abs(canvas.grid.centres[:, 0] - at) < 1e-6)
    across = float((answer.state.tension.reshape(-1, 4, 3)[cells, :, 0].mean(axis=1)).sum())
    across *= canvas.height / canvas.grid.rows
    carried = 0.0
    for member in system.model.members:
        low, high = sorted((member.start[0], member.end[0]))
        if low < at < high:
            forces = answer.members[member.name]
            along = abs(at - member.start[0])
            i = int(np.flatnonzero((forces.places[:, 0] <= along) & (forces.places[:, 1] >= along))[0])
            carried += float(forces.axial[i].mean())
    assert across > 200
    # axial force changes by the canvas's shear between an element's ends: within one percent
    assert carried == approx(-across, rel=1e-2)


@pytest.mark.parametrize("modulus", [3000.0, 8000.0, 60_000.0])
def test_bar_torque_is_tension_times_lever_times_half_the_length_whatever_the_stiffness(
    modulus: float,
) -> None:
    """Dead pull on a plain bar behind the lip: the corner receives T e L/2 per bar, by statics alone."""
    support = replace(
        BARE, bar=BarSize(thickness=21.0, depth=44.0, bevel=0.0), timber=timber(modulus=modulus)
    )
    soft = replace(CLOTH, warp_stiffness=1e-6, weft_stiffness=1e-6, shear_stiffness=1e-7)
    case = replace(support_case(support, cloth=soft, prestress=(0.2, 0.2)), slackens=False)
    system = couple_case(case)
    state = solve_coupled(system, prestrain_of(system.canvas, along_x=0.2, along_y=0.2), slackens=False)
    bottom = system.model.member_beams[0]
    torque = -state.end_forces[bottom[0], 0, 3]
    lever, half_cell = 22.0, 0.5 * system.canvas.width / system.canvas.grid.columns
    # the last half element's pull goes straight into the corner, the rest comes along the bar
    assert abs(torque) == approx(0.2 * lever * (1900.0 / 2 - half_cell), rel=1e-4)


def test_signs_of_turning_in_hollow_and_rail_forces() -> None:
    answer = solved(BRACED)
    for bar in answer.bars.values():
        middle = len(bar.places) // 2
        assert bar.turning_in[middle] > 0  # the front leans inward
        assert bar.pulled_in[middle] > 0
    assert answer.bars["bottom"].hollow.max() > 0.3  # middles go to the wall
    rail = answer.members["cross rail 1"]
    assert rail.axial.max() < 0  # pushed
    # the rail lies behind the canvas: what it is pushed with bows it to the wall, its back is stretched
    assert rail.moment_front[1:3].mean() > 0


def test_bevel_alone_takes_the_middles_to_the_front() -> None:
    """Its product of inertia couples the two ways of bending, as in a bare bar: v/u = −I_xy / I_front."""
    case = support_case(replace(BARE, bar=replace(BAR, bevel=8.0)), cloth=CLOTH, tension_left=0.2)
    flat = tuple(replace(m, start=(*m.start[:2], 0.0), end=(*m.end[:2], 0.0)) for m in case.members)
    answer, usual = solve_case(replace(case, members=flat)), solve_case(case)
    bar, section = answer.bars["bottom"], case.members[0].section
    middle = len(bar.places) // 2
    expected = section.product / section.moment_front * bar.pulled_in[middle]
    assert bar.hollow[middle] == approx(expected, rel=0.05)
    assert (
        bar.hollow[middle] < 0 < usual.bars["bottom"].hollow[middle]
    )  # the lever is the stronger of the two


def test_canvas_at_the_axis_neither_turns_nor_hollows_plain_bars() -> None:
    """Offset off: with the lever gone, turning in and hollow vanish and pull-in is that of plain bending."""
    support = replace(BRACED, bar=replace(BAR, bevel=0.0), rail=RailSize(thickness=21.0, depth=44.0))
    case = support_case(support, cloth=CLOTH, tension_left=0.2)
    # all axes in the canvas plane
    flat = tuple(replace(m, start=(*m.start[:2], 0.0), end=(*m.end[:2], 0.0)) for m in case.members)
    answer, usual = solve_case(replace(case, members=flat)), solve_case(case)
    assert np.abs(answer.bars["bottom"].turning_in).max() < 1e-9
    assert np.abs(answer.bars["bottom"].hollow).max() < 1e-6
    assert answer.bars["bottom"].pulled_in.max() < 0.8 * usual.bars["bottom"].pulled_in.max()


def test_near_pairs_are_ranked_right_at_equal_tension_left() -> None:
    pull_in = {
        name: max(abs(bar.greatest_pull_in) for bar in solved(support).bars.values())
        for name, support in {
            "none": BARE,
            "one": replace(BRACED, cross_rails=evenly(1, width=1900.0), middle_pieces=True),
            "two": replace(BRACED, middle_pieces=True),
            "30 thick": replace(BARE, bar=BarSize(thickness=30.0, depth=44.0, bevel=5.0)),
            "45 thick": replace(BARE, bar=BarSize(thickness=45.0, depth=44.0, bevel=5.0)),
        }.items()
    }
    assert pull_in["none"] > pull_in["one"] > pull_in["two"]
    assert pull_in["none"] > pull_in["30 thick"] > pull_in["45 thick"]


def test_frame_that_is_trusted_and_frame_that_is_known_to_fail_are_told_apart() -> None:
    """Common practice, no published source: about 1.7 × 1.2 m in light pine on edge."""
    bare = Support(width=1700.0, height=1200.0, bar=BarSize(thickness=20.0, depth=45.0, bevel=5.0))
    trusted = replace(
        bare,
        rail=RailSize(thickness=20.0, depth=32.0, drop=2.0),
        cross_rails=evenly(2, width=1700.0),
        middle_pieces=True,
        end_rails=True,
    )
    known_to_fail, good = solved(bare), solved(trusted)
    assert max(b.greatest_pull_in for b in known_to_fail.bars.values()) > 4.0  # drawn in visibly
    assert max(b.greatest_pull_in for b in good.bars.values()) < 1.0
    assert known_to_fail.winding.factor < 3.0
    assert good.winding.factor > 2.5 * known_to_fail.winding.factor


def test_prestrain_doubled_doubles_everything_while_taut() -> None:
    case = support_case(FULL, cloth=CLOTH, prestress=(0.1, 0.12))
    once, twice = solve_case(case), solve_case(replace(case, prestress=(0.2, 0.24)))
    assert once.tension.slack_share == twice.tension.slack_share == 0
    assert twice.state.movement == approx(2 * once.state.movement, rel=1e-9, abs=1e-12)
    assert twice.state.tension == approx(2 * once.state.tension, rel=1e-9, abs=1e-12)


def test_softer_cloth_moves_a_good_frame_hardly_at_equal_tension_left() -> None:
    half = replace(CLOTH, warp_stiffness=20.0, weft_stiffness=30.0, shear_stiffness=6.0)
    stiff, soft = (
        max(b.greatest_pull_in for b in solved(FULL, cloth=c).bars.values()) for c in (CLOTH, half)
    )
    assert soft == approx(stiff, rel=0.12)


def test_dead_load_is_an_upper_bound() -> None:
    for support in (BARE, FULL):
        answer = solved(support)
        dead, bar = answer.dead["bottom"], answer.bars["bottom"]
        assert np.abs(dead.pulled_in).max() > 0.98 * bar.pulled_in.max()


def test_slack_cloth_carries_no_compression_and_the_taut_answer_would() -> None:
    stiff = replace(CLOTH, warp_stiffness=90.0, weft_stiffness=120.0, shear_stiffness=20.0)
    weak = replace(BARE, bar=BarSize(thickness=14.0, depth=40.0, bevel=4.0))
    case = support_case(weak, cloth=stiff, tension_left=0.2)
    slack, pushed = solve_case(case), solve_case(replace(case, slackens=False))
    assert slack.tension.slack_share > 0.02
    assert slack.tension.lowest > -0.01 > pushed.tension.lowest
    assert slack.tension.mean == approx(0.2, rel=1e-3)


def test_end_rail_glued_is_stiffer_than_screwed_is_stiffer_than_none() -> None:
    from oracles.seams import screwed_seam

    with_end = replace(BARE, rail=RAIL, end_rails=True)
    joints = usual_joints(bar=BAR, rail=RAIL, wood=with_end.timber)
    seam = screwed_seam(density=370.0, diameter=4.5, spacing=250.0, height=30.0)
    screwed = replace(with_end, joints=replace(joints, seam=seam))
    none, loose, tight = (solved(s).bars["left"].greatest_pull_in for s in (BARE, screwed, with_end))
    assert none > 1.2 * loose > 1.2 * tight


def test_long_run_gives_more_pull_in_and_less_tension_at_the_same_prestrain() -> None:
    now = solved(BRACED)
    later = solve_case(
        support_case(BRACED.in_the_long_run(), cloth=CLOTH, prestress=(now.prestress, now.prestress))
    )
    ratio = later.bars["left"].greatest_pull_in / now.bars["left"].greatest_pull_in
    assert 1.02 < ratio < 1.6  # below the factor 1 + 0.6 that dead load would give
    assert later.tension.mean < now.tension.mean


def test_quick_model_agrees_with_nodes_that_meet() -> None:
    case = support_case(FULL, cloth=CLOTH, prestress=(0.25, 0.25))
    quick = solve_case(case)
    system = matched_case_system(case, columns=42, rows=28)
    state = solve_coupled(system, prestrain_of(system.canvas, along_x=0.25, along_y=0.25))
    mid = len(quick.bars["bottom"].pulled_in) // 2

    def lip(system: CoupledSystem, state: CoupledState) -> float:
        moved = (system.ties.movement @ state.movement.ravel()).reshape(-1, 3)
        columns = system.canvas.grid.columns
        return float(moved[columns // 2, 1] - 0.5 * (moved[0, 1] + moved[columns, 1]))

    assert quick.bars["bottom"].pulled_in[mid] == approx(lip(system, state), rel=1e-2)


def test_tension_windows_settle_as_the_canvas_grid_gets_finer() -> None:
    lowest = [
        solve_case(
            replace(support_case(BRACED, cloth=CLOTH, tension_left=0.2), columns=c, rows=r)
        ).tension.along_y.min()
        for c, r in ((21, 14), (42, 28), (63, 42))
    ]
    assert abs(lowest[2] - lowest[1]) < 0.6 * abs(lowest[1] - lowest[0])
    assert lowest[2] == approx(lowest[1], rel=0.05)


def test_tall_work_is_the_wide_one_turned() -> None:
    tall = replace(FULL, width=1300.0, height=1900.0)
    turned = replace(CLOTH, warp_along="x" if CLOTH.warp_along == "y" else "y")
    wide, high = solved(FULL), solved(tall, cloth=turned)
    assert high.bars["left"].greatest_pull_in == approx(wide.bars["bottom"].greatest_pull_in, rel=1e-9)
    assert high.winding.factor == approx(wide.winding.factor, rel=1e-3)
    assert high.timber_mass == approx(wide.timber_mass)


def test_shifted_middle_piece_bends_the_rail_it_meets() -> None:
    case = replace(FULL, end_rails=False)
    straight = solved(case)
    shifted = solved(replace(case, middle_shifts=(0.0, 60.0, 0.0)))
    rail = "cross rail 1"
    most = [np.abs(a.members[rail].moment_in_plane).max() for a in (straight, shifted)]
    assert most[1] > most[0] + 500.0


def test_tension_not_above_nought_is_refused_in_plain_words() -> None:
    with pytest.raises(FaultsError, match=r"given as -50 N/m.*200 N/m is usual"):
        solved(BARE, left=-0.05)


def test_all_faults_of_a_support_are_told_at_once() -> None:
    bad = replace(
        BARE, bar=BarSize(thickness=21.0, depth=44.0, bevel=50.0), rail=RailSize(thickness=21.0, depth=60.0),
        cross_rails=(5.0, 900.0, 905.0),
    )  # fmt: skip
    with pytest.raises(FaultsError) as told:
        support_case(bad, cloth=CLOTH, tension_left=0.2)
    codes = {fault.code for fault in told.value.faults}
    assert codes == {"bevel-too-deep", "rail-too-deep", "rail-outside", "rails-overlap"}


def test_joint_that_turns_freely_is_not_a_mechanism_but_a_piece_held_by_nothing_is() -> None:
    case = support_case(BRACED, cloth=CLOTH, prestress=(0.2, 0.2))
    loose = replace(case, joints=tuple(j for j in case.joints if j.second != "cross rail 1"))
    with pytest.raises(FaultsError, match="some piece is not held by its joints"):
        solve_case(loose)
    assert RIGID.in_plane > 0
