"""The rehearsal against exact answers, an independent program, and properties that wrong code cannot have."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from longpoint.errors import FaultsError, OutOfRangeError
from longpoint.strength.beams.frame_model import build_frame
from longpoint.strength.canvas_edge import edge_canvas
from longpoint.strength.coupled import couple
from longpoint.strength.membrane.grid import Floats, rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.rehearsal.edge import OUTWARD, SIDES, rows_of, shares, side_nodes
from longpoint.stretching.rehearsal.field import bent_threads, windows_of
from longpoint.stretching.rehearsal.frame import give_from_stiffness, give_of_frame
from longpoint.stretching.rehearsal.linear import pull_fields
from longpoint.stretching.rehearsal.orders import Order, OrderRun, Place, usual_places, with_second_pass
from longpoint.stretching.rehearsal.orders_usual import EVEN, corners_first, middles_outward
from longpoint.stretching.rehearsal.rehearse import Hand, Rehearsal, hand_for_tension, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem, edge_system
from longpoint.stretching.rehearsal.system import StapledCloth
from oracles.loops import LoopBar, beam_loop, rigid_frame
from oracles.plain import dead_load
from oracles.support_case import BarSize, RailSize, Support, support_pieces

WIDTH, HEIGHT = 613.0, 407.0
RAW = Cloth(warp_stiffness=31.0, weft_stiffness=53.0, poisson_warp=0.19, shear_stiffness=2.3, warp_along="y")
HAND = hand_for_tension(0.31)
BAR = LoopBar(bending=8100.0 * 43 * 19**3 / 12, stretching=8100.0 * 43 * 19)


@cache
def bench(columns: int = 14, rows: int = 9, *, slackness: float = 0.0, kept: float = 1e-2) -> EdgeSystem:
    grid = rectangle_grid(width=WIDTH, height=HEIGHT, columns=columns, rows=rows)
    return edge_system(grid, RAW, slackness=slackness, kept=kept)


@cache
def soft(columns: int = 14, rows: int = 9) -> Floats:
    return beam_loop(bench(columns, rows).sheet.grid, level=BAR, upright=BAR)


def places() -> tuple[Place, ...]:
    return usual_places(width=WIDTH, height=HEIGHT, spacing=67.0, last=31.0)


@cache
def order() -> Order:
    return middles_outward(width=WIDTH, height=HEIGHT, places=places())


@cache
def rehearsed() -> Rehearsal:
    return rehearse(bench(slackness=0.0013), soft(), order(), HAND, maps=True)


@pytest.mark.slow
def test_all_edges_pulled_at_once_leave_the_exact_even_field() -> None:
    system = bench()
    forces = np.zeros(len(system.edge))
    for side, length, tension in (("bottom", WIDTH, 0.23), ("top", WIDTH, 0.23), ("left", HEIGHT, 0.17)):
        forces += rows_of(system.sheet.grid, side=side, along=length / 2, width=length)[0] * tension * length
    forces += rows_of(system.sheet.grid, side="right", along=HEIGHT / 2, width=HEIGHT)[0] * 0.17 * HEIGHT
    tension, _ = system.sheet.relieved(system.loose + system.taut_movement(forces))
    assert tension == pytest.approx(np.broadcast_to([0.17, 0.23, 0.0], tension.shape), abs=2e-5)
    # and what is then stapled edge to edge on a rigid frame stays: staples take over what the pulls held
    stapled = StapledCloth(system, rigid_frame(system.sheet.grid), staple_give=0.0)
    edge = (system.loose + system.taut_movement(forces))[system.edge]
    for side in SIDES:
        length = WIDTH if side in ("bottom", "top") else HEIGHT
        count = 14 if length == WIDTH else 9
        for k in range(count):
            size = length / count
            rows = rows_of(system.sheet.grid, side=side, along=(k + 0.5) * size, width=size)
            stapled.put_in(f"{side} {k}", rows, rows @ edge)
    held = stapled.taut_balance(stapled.taut_edge())
    assert held.tension == pytest.approx(np.broadcast_to([0.17, 0.23, 0.0], tension.shape), abs=2e-4)


@pytest.mark.slow
@pytest.mark.parametrize("order_of_strips", [(0, 1, 2, 3, 4), (2, 4, 0, 3, 1)])
def test_strips_on_a_flexible_bar_follow_the_influence_coefficients(order_of_strips: tuple[int, ...]) -> None:
    """Shear-free cloth is a row of upright strips; the bar's influence coefficients and the strips' own give.

    Solved here strip by strip with small dense systems that know nothing of membranes.
    """
    columns, strip = (
        5,
        Cloth(warp_stiffness=37.0, weft_stiffness=1e-6, poisson_warp=0.0, shear_stiffness=1e-6),
    )
    grid = rectangle_grid(width=500.0, height=300.0, columns=columns, rows=1)
    system = edge_system(grid, strip, kept=1.0)
    frame = beam_loop(grid, level=BAR, upright=LoopBar(bending=1e12, stretching=1e12))
    hand = Hand(force=11.0, jaw=30.0, friction=0.0, take_up=0.0, crown=30.0, spread=0.0, staple_give=0.0)
    middles = [50.0 + 100.0 * k for k in range(columns)]
    names = [f"top {k}" for k in range(columns)]
    pulls = [1.0, 0.7, 1.2, 0.5, 0.9]
    spots = [
        Place(f"bottom {k}", "bottom", float(100 * k) if 0 < k < 5 else 5.0 + 98.0 * k) for k in range(6)
    ]
    spots += [Place(f"{side} 0", side, 5.0) for side in ("left", "right")]
    spots += [Place(name, "top", at) for name, at in zip(names, middles, strict=True)]
    snug = [OrderRun("bottom", tuple(f"bottom {k}" for k in range(6)), (0.0,) * 6)]
    last = [OrderRun(side, (f"{side} 0",), (0.0,)) for side in ("left", "right")]  # snug and last: no change
    runs = [OrderRun("top", (names[k],), (pulls[k],)) for k in order_of_strips]
    made = Order("strips", "", 500.0, 300.0, tuple(spots), tuple(snug + runs + last))
    # Straight functions couple neighbouring strips, so that some nodes must be pushed: staples that push, too.
    found = rehearse(system, frame, made, hand, settling=0.0, tolerance=1e-9, pushes=True)

    # by influence coefficients: nodes on the top edge, strip stiffness (k/H) M with M of straight functions,
    # bottom nodes likewise held through their own staples: the bed is two edges joined by springs
    top, bottom = side_nodes(grid, "top"), side_nodes(grid, "bottom")
    dx = 100.0
    mass = np.zeros((6, 6))
    for k in range(5):
        mass[k : k + 2, k : k + 2] += dx / 6 * np.array([[2, 1], [1, 2]])
    bed = 37.0 / 300.0 * np.block([[mass, -mass], [-mass, mass]])  # top y, bottom y
    y = 2 * np.concatenate([top, bottom]) + 1
    bed += np.diag(system.sheet.springs[system.edge[y]])
    bar = frame[np.ix_(y, y)]
    crowns = []
    for k in range(6):
        row = np.zeros(12)
        nodes, share = shares(grid, side="bottom", along=spots[k].along, width=30.0)
        for node, value in zip(nodes, share, strict=True):
            row[6 + list(bottom).index(node)] = value
        crowns.append(row)
    held, spots_held = list(crowns), [0.0] * 6

    def solve(load: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        rows = np.array(held)
        n = len(rows)
        kkt = np.block([[bed, -rows.T], [rows, rows @ bar @ rows.T]])
        right = np.concatenate([load, np.array(spots_held) - rows @ bar @ load])
        answer = np.linalg.solve(kkt, right)
        cloth, force = answer[:12], answer[12 : 12 + n]
        return cloth, -bar @ (rows.T @ force + load), force

    for k in order_of_strips:
        row = np.zeros(12)
        row[k], row[k + 1] = 0.5, 0.5
        cloth, lips, _ = solve(row * 11.0 * pulls[k])
        held.append(row)
        spots_held.append(float(row @ (cloth - lips)))
    _, lips, force = solve(np.zeros(12))
    exact = dict(zip([names[k] for k in order_of_strips], force[6:], strict=True))
    for name in names:
        assert found.staple_loads[name] == pytest.approx(exact[name], abs=4e-3)  # of pulls up to 13 N
    assert found.balance.frame[y] == pytest.approx(lips, abs=2e-5)
    assert np.ptp(list(exact.values())) > 1.0  # later pulls have slackened earlier ones: order matters


@pytest.mark.slow
def test_another_program_solves_the_last_step_alike() -> None:
    """scikit-fem's stiffness of the same cloth, the staples as constraints of one direct solution."""
    from skfem import Basis, BilinearForm, ElementQuad1, ElementVector, MeshQuad

    system = bench(kept=1.0)
    grid = system.sheet.grid
    found = rehearse(
        system, rigid_frame(grid), order(), replace(HAND, staple_give=0.0), settling=0.0, tolerance=1e-9
    )
    mesh = MeshQuad(np.array(grid.nodes).T.copy(), np.array(grid.elements).T.copy())
    basis = Basis(mesh, ElementVector(ElementQuad1()))
    d = RAW.matrix

    @BilinearForm
    def stiffness(u, v, w):  # type: ignore[no-untyped-def]
        ux, uy = u.grad[0], u.grad[1]
        vx, vy = v.grad[0], v.grad[1]
        shear_u, shear_v = ux[1] + uy[0], vx[1] + vy[0]
        tx, ty = d[0, 0] * ux[0] + d[0, 1] * uy[1], d[0, 1] * ux[0] + d[1, 1] * uy[1]
        return tx * vx[0] + ty * vy[1] + d[2, 2] * shear_u * shear_v

    whole = stiffness.assemble(basis).toarray()
    at = basis.nodal_dofs.T  # (n_nodes, 2)
    ours = at.ravel()
    whole = whole[np.ix_(ours, ours)] + np.diag(system.sheet.springs)
    left = [place for place in order().places if place.name in found.staple_loads]
    rows = np.zeros((2 * len(left), len(whole)))
    for k, place in enumerate(left):
        rows[2 * k : 2 * k + 2, system.edge] = rows_of(
            grid, side=place.side, along=place.along, width=HAND.held
        )
    held = rows @ found.balance.movement
    kkt = np.block([[whole, rows.T], [rows, np.zeros((len(rows), len(rows)))]])
    answer = np.linalg.solve(kkt, np.concatenate([np.zeros(len(whole)), held]))
    assert answer[: len(whole)] == pytest.approx(found.balance.movement, abs=1e-6)
    force = -answer[len(whole) :].reshape(-1, 2)
    loads = [found.staple_loads[place.name] for place in left]
    assert np.hypot(*force.T) == pytest.approx(loads, rel=1e-5, abs=1e-6)


@pytest.mark.slow
def test_staple_in_and_out_again_changes_nothing() -> None:
    system = bench(slackness=0.0013)
    plain = rehearse(system, soft(), order(), HAND, tolerance=1e-4).balance
    # a snug staple in a free stretch right at the end, and out again
    spare = Place("top 99", "top", 411.0)
    runs = (*order().runs, OrderRun("top", ("top 99",), (0.0,)), OrderRun("top", (), (), ("top 99",)))
    with_spare = replace(order(), places=(*order().places, spare), runs=runs)
    again = rehearse(system, soft(), with_spare, HAND, tolerance=1e-4)
    assert again.balance.tension == pytest.approx(plain.tension, abs=3e-4)  # each rest to 1e-4
    # the same on the constraint itself, exactly
    stapled = StapledCloth(system, soft(), staple_give=1e-3)
    for place in order().places[:9]:
        stapled.put_in(
            place.name, rows_of(system.sheet.grid, side=place.side, along=place.along, width=12.0), np.ones(2)
        )
    before = stapled.factor.T @ stapled.factor
    forces = stapled.forces_for(np.arange(18.0))
    rows = rows_of(system.sheet.grid, side="right", along=203.0, width=12.0)
    stapled.put_in("spare", rows, np.zeros(2))
    assert stapled.forces_for(np.arange(20.0))[:18] != pytest.approx(forces, rel=1e-6)
    stapled.take_out("spare")
    assert stapled.forces_for(np.arange(18.0)) == pytest.approx(forces, rel=1e-9)
    stapled.put_in("spare", rows, np.zeros(2))
    stapled.take_out("bottom 3")
    fresh = stapled.refreshed(soft(), staple_give=1e-3)
    assert stapled.factor.T @ stapled.factor == pytest.approx(fresh.factor.T @ fresh.factor, abs=1e-9)
    assert before.shape == (18, 18)


def test_double_pull_leaves_double_field() -> None:
    hand = replace(HAND, take_up=0.0, reach=1e6)
    once = rehearse(bench(), soft(), order(), hand, tolerance=1e-6, pushes=True)
    twice = rehearse(
        bench(), soft(), order(), replace(hand, force=2 * hand.force), tolerance=1e-6, pushes=True
    )
    assert twice.left.level == pytest.approx(2 * once.left.level, rel=1e-9)
    assert twice.left.upright == pytest.approx(2 * once.left.upright, rel=1e-9)
    assert once.left.mean_level > 0.02


@pytest.mark.slow
def test_double_pull_leaves_double_field_with_slack_cloth_too() -> None:
    """The law without compression is of degree one as well, so this holds as long as nothing lies loose."""
    hand = replace(HAND, take_up=0.0, reach=1e6)
    few = corners_first(
        width=WIDTH, height=HEIGHT, places=usual_places(width=WIDTH, height=HEIGHT, spacing=160)
    )
    once = rehearse(bench(), soft(), few, hand, tolerance=1e-5)
    twice = rehearse(bench(), soft(), few, replace(hand, force=2 * hand.force), tolerance=1e-5)
    assert any(step.rounds for step in once.steps)
    assert twice.left.level == pytest.approx(2 * once.left.level, abs=1e-3 * once.left.highest)


def _mirrored(made: Order) -> Order:
    swap = {"left": "right", "right": "left", "bottom": "bottom", "top": "top"}
    spots = []
    for place in made.places:
        along = WIDTH - place.along if place.side in ("bottom", "top") else place.along
        spots.append(replace(place, side=swap[place.side], along=along))  # type: ignore[arg-type]
    runs = tuple(replace(run, side=swap[run.side]) for run in made.runs)  # type: ignore[arg-type]
    return replace(made, places=tuple(spots), runs=runs)


@pytest.mark.slow
def test_mirrored_order_leaves_the_mirrored_field() -> None:
    few = middles_outward(
        width=WIDTH, height=HEIGHT, places=usual_places(width=WIDTH, height=HEIGHT, spacing=97)
    )
    plain = rehearse(bench(), rigid_frame(bench().sheet.grid), few, HAND, tolerance=1e-4)
    turned = rehearse(bench(), rigid_frame(bench().sheet.grid), _mirrored(few), HAND, tolerance=1e-4)
    assert turned.left.level == pytest.approx(plain.left.level[:, ::-1], abs=2e-3)
    assert turned.left.upright == pytest.approx(plain.left.upright[:, ::-1], abs=2e-3)
    assert plain.left.upright != pytest.approx(plain.left.upright[:, ::-1], abs=2e-3)  # the check can fail


@pytest.mark.slow
def test_window_means_settle_under_refinement_with_the_same_staples() -> None:
    fields = []
    for columns, rows in ((9, 6), (18, 12), (27, 18)):
        system = bench(columns, rows)
        fields.append(rehearse(system, rigid_frame(system.sheet.grid), order(), HAND).left)
    mean = fields[-1].mean_level

    def off(k: int) -> float:
        both = [np.stack([fields[n].level, fields[n].upright]) for n in (k, 2)]
        return float(np.sqrt(np.mean((both[0] - both[1]) ** 2)) / mean)

    assert off(1) < 0.5 * off(0)
    assert off(1) < 0.06
    assert fields[1].mean_level == pytest.approx(mean, rel=0.04)
    assert fields[1].highest == pytest.approx(fields[2].highest, rel=0.06)
    assert fields[1].lowest == pytest.approx(fields[2].lowest, abs=0.06 * mean)


@pytest.mark.slow
def test_energy_never_appears_from_nothing() -> None:
    before = bench(slackness=0.0013).sheet.energy(np.zeros(2 * 15 * 10))  # cloth laid down too long
    for step in rehearsed().steps:
        assert step.energy <= before + step.work + 0.01 * (before + step.work) + 1e-6, step.staple
        before = step.energy
    assert before > 10.0
    assert (
        sum(step.work for step in rehearsed().steps) > 2 * before
    )  # unstapled edges and take-up lose the rest


def test_linear_field_of_the_pulls_is_the_field_of_the_rehearsal() -> None:
    hand = replace(HAND, reach=1e6)
    second = with_second_pass(order(), ["bottom 2", "left 3"])
    kinds = sorted({share for run in second.runs for share in run.shares if share > 0})
    groups = [
        [n for run in order().runs for n, s in zip(run.puts_in, run.shares, strict=True) if s == kind]
        for kind in kinds
    ]
    system = bench(slackness=0.0013)
    linear = pull_fields(system, soft(), order(), hand, groups, settling=0.3, frame_creep=0.6)
    whole = rehearse(system, soft(), order(), hand, pushes=True, settling=0.3, frame_creep=0.6)
    ours = linear.field(kinds)
    assert ours[..., 0] == pytest.approx(whole.left.level, abs=1e-5)
    assert ours[..., 1] == pytest.approx(whole.left.upright, abs=1e-5)


def test_settling_on_a_rigid_frame_takes_its_part_exactly() -> None:
    rigid = rigid_frame(bench().sheet.grid)
    hand = replace(HAND, staple_give=0.0)
    found = rehearse(bench(), rigid, order(), hand, settling=0.37, pushes=True)
    assert found.left.level == pytest.approx(0.63 * found.at_once.level, rel=1e-4, abs=1e-6)
    soft_left = rehearse(bench(), soft(), order(), hand, settling=0.37, pushes=True)
    # a soft frame comes back a little and keeps the tension up
    assert soft_left.left.mean_upright > 0.63 * soft_left.at_once.mean_upright * 1.001


@pytest.mark.slow
def test_hand_stops_at_its_reach() -> None:
    short = replace(HAND, reach=0.9)
    found = rehearse(bench(slackness=0.0013), soft(), order(), short)
    reached = [step for step in found.steps if step.stopped_by == "reach"]
    assert len(reached) > 5
    assert max(step.travel for step in found.steps) < 0.9 * 1.02
    assert found.left.mean_upright < rehearsed().left.mean_upright


def test_pull_by_hand_loads_the_bar_only_once_stapled() -> None:
    """Bars drawn in while pulling shorten the way; a painter who holds against the floor does not bend them."""
    levered = rehearse(bench(), soft(), order(), HAND, pushes=True)
    by_hand = rehearse(bench(), soft(), order(), replace(HAND, reaction="painter"), pushes=True)
    assert by_hand.left.mean_upright < levered.left.mean_upright
    rigid = rigid_frame(bench().sheet.grid)
    same = [
        rehearse(bench(), rigid, order(), replace(HAND, reaction=r), pushes=True) for r in ("bar", "painter")
    ]  # type: ignore[arg-type]
    assert same[0].left.level == pytest.approx(same[1].left.level, rel=1e-9)


def test_friction_round_the_edge_keeps_its_part_of_the_pull() -> None:
    hand = Hand(force=50.4, jaw=75.0, friction=0.63, wrap=np.pi / 2)
    assert hand.at_lip == pytest.approx(18.75, rel=1e-3)  # 75 mm at 250 N/m through 90 degrees
    assert hand.tension == pytest.approx(0.25, rel=1e-3)
    assert hand_for_tension(0.25, wrap=np.pi / 2).force == pytest.approx(50.4, rel=1e-3)


def test_report_names_what_a_person_needs() -> None:
    found = rehearsed()
    assert len(found.steps) == found.order.steps
    assert len(found.maps) == len(found.order.runs)
    assert found.left.lowest < found.left.mean_level < found.left.highest
    assert found.peak_load[0] >= max(found.staple_loads.values())
    assert not any(name.startswith("hold") for name in found.staple_loads)
    assert found.left.bent > 0
    assert max(step.pulled_in[0] for step in found.steps) > 0.05


@pytest.mark.slow
def test_bars_of_a_loop_bend_as_by_hand() -> None:
    """Closed frame, rigid corners, even pull; corner moment w (a² − ab + b²)/12, mid-side 5wL⁴/384EI − ML²/8EI."""
    grid = rectangle_grid(width=2000.0, height=1500.0, columns=40, rows=30)
    bar = LoopBar(bending=1e9, stretching=1e12)  # EI 1000 N m²
    give = beam_loop(grid, level=bar, upright=bar)
    inward = np.zeros(len(give))
    for side in SIDES:
        length = 2000.0 if side in ("bottom", "top") else 1500.0
        rows = rows_of(grid, side=side, along=length / 2, width=length)
        inward -= rows[0] * 0.25 * length
    moved = give @ inward
    top, right = side_nodes(grid, "top"), side_nodes(grid, "right")
    string = 0.5 * (moved[2 * top[0] + 1] + moved[2 * top[-1] + 1])
    assert string - moved[2 * top[20] + 1] == pytest.approx(18.23, rel=2e-3)  # long side
    string = 0.5 * (moved[2 * right[0]] + moved[2 * right[-1]])
    assert string - moved[2 * right[15]] == pytest.approx(-2.56, rel=3e-3)  # short side bows outward
    assert give == pytest.approx(give.T)
    hinged = beam_loop(grid, level=bar, upright=bar, soft_corners=1e-3) @ inward
    string = 0.5 * (hinged[2 * top[0] + 1] + hinged[2 * top[-1] + 1])
    assert string - hinged[2 * top[20] + 1] == pytest.approx(5 * 0.25 * 2000**4 / (384 * 1e9), rel=2e-3)


def test_rails_hold_the_middles_of_the_bars() -> None:
    grid = bench().sheet.grid
    bare, braced = (
        soft(),
        beam_loop(grid, level=BAR, upright=BAR, upright_rails=(300.0,), rail_stretching=8e6),
    )
    middle = 2 * side_nodes(grid, "top")[7] + 1
    assert braced[middle, middle] < 0.6 * bare[middle, middle]
    with pytest.raises(OutOfRangeError, match="stiffness above 0"):
        beam_loop(grid, level=LoopBar(bending=0.0, stretching=1.0), upright=BAR)


def test_free_frame_stiffness_becomes_a_compliance() -> None:
    grid = rectangle_grid(width=300.0, height=200.0, columns=3, rows=2)
    give = beam_loop(grid, level=BAR, upright=BAR)
    held = [0, 1, 2 * 3 + 1]
    free = np.setdiff1d(np.arange(20), held)
    stiffness = np.zeros((20, 20))
    stiffness[np.ix_(free, free)] = np.linalg.inv(give[np.ix_(free, free)])
    assert give_from_stiffness(stiffness, grid) == pytest.approx(give, rel=1e-6, abs=1e-12)


@pytest.mark.slow
def test_real_frame_gives_way_as_the_strength_part_says() -> None:
    """Even pull that does not slacken, on the same frame: the strength part's own sparse solution."""
    support = Support(
        width=WIDTH,
        height=HEIGHT,
        bar=BarSize(thickness=19.0, depth=43.0, bevel=5.0),
        rail=RailSize(thickness=19.0, depth=31.0, drop=2.0),
        cross_rails=(287.0,),
    )
    pieces = support_pieces(support)
    model = build_frame(pieces.members, pieces.joints, pieces.seams)
    grid = bench().sheet.grid
    give = give_of_frame(model, grid, bars=pieces.bars)
    system = couple(model, edge_canvas(grid, RAW), bars=pieces.bars)
    exact = system.ties.in_plane @ dead_load(system, along_x=0.17, along_y=0.23).ravel()
    pulls = np.zeros(len(give))
    for side, tension in (("bottom", 0.23), ("right", 0.17), ("top", 0.23), ("left", 0.17)):
        length = WIDTH if side in ("bottom", "top") else HEIGHT
        pulls -= rows_of(grid, side=side, along=length / 2, width=length)[0] * tension * length
    assert give @ pulls == pytest.approx(exact, abs=1e-4 * np.abs(exact).max())
    assert np.abs(exact).max() > 0.02
    assert np.linalg.eigvalsh(give).min() > -1e-9


def test_shares_of_a_stretch_are_those_of_an_even_load() -> None:
    grid = bench().sheet.grid
    nodes, share = shares(grid, side="left", along=100.0, width=61.0)
    heights = grid.nodes[grid.edge[nodes], 1]
    assert share.sum() == pytest.approx(1.0)
    assert share @ heights == pytest.approx(100.0)
    corner, clipped = shares(grid, side="top", along=0.0, width=20.0)
    assert clipped @ grid.nodes[grid.edge[corner], 0] == pytest.approx(5.0)
    with pytest.raises(OutOfRangeError, match="outside the left side"):
        shares(grid, side="left", along=900.0, width=20.0)
    assert OUTWARD["bottom"] == (0.0, -1.0)


def test_windows_hold_their_area_and_know_their_corners() -> None:
    grid = bench().sheet.grid
    windows = windows_of(grid)
    assert WIDTH / len(windows.x) == pytest.approx(90, abs=10)
    values = np.array(grid.centres) @ [[0.3, 1.0], [0.7, 2.0]]
    means = windows.means(values)
    assert means.mean(axis=(0, 1)) == pytest.approx(values.mean(axis=0))
    assert windows.means(np.ones(len(values))) == pytest.approx(np.ones(means.shape[:2]))
    assert windows.corner[0, 0]
    assert not windows.corner[len(windows.y) // 2, len(windows.x) // 2]


def test_straight_threads_stay_straight_and_bent_ones_are_measured() -> None:
    grid = bench().sheet.grid
    leaning = np.stack([0.01 * grid.nodes[:, 1] + 0.3, 0.02 * grid.nodes[:, 0]], axis=1)
    assert bent_threads(grid, leaning.ravel()) < 1e-12
    bowed = leaning.copy()
    bowed[:, 1] += 1.7 * np.cos(2 * np.pi * grid.nodes[:, 0] / WIDTH)
    assert bent_threads(grid, bowed.ravel()) == pytest.approx(1.7, rel=0.15)


def test_every_fault_of_hand_and_settling_is_told_at_once() -> None:
    hand = Hand(force=-1.0, jaw=0.0, friction=-0.1)
    with pytest.raises(FaultsError) as caught:
        rehearse(bench(), soft(), order(), hand, settling=1.2)
    assert [fault.where.key for fault in caught.value.faults] == [
        "hand.force", "hand.jaw", "hand.friction", "settling",
    ]  # fmt: skip
    with pytest.raises(OutOfRangeError, match="shape"):
        rehearse(bench(), np.zeros((4, 4)), order(), HAND)
    assert EVEN.share == 1.0
