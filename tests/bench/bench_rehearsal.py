"""Speed of the rehearsal, as ratios against named baselines in the same run (processor time, best of some).

Baselines: scipy's bare sparse factorisation of the cloth's stiffness (the faster of its default ordering and the
one for symmetric matrices); and the plain program that solves afresh at every step: staples and frame as one
sparse saddle matrix, put together and factored by scipy for every rest, slack treated alike (the same law, the
same mixing of steps, the same tolerance), beginning from the sheet as it was laid down. A fairer rival, which
begins every rest from the last one, is timed as well and only reported.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from functools import cache

import numpy as np
import pytest
from scipy.sparse import bmat, csc_matrix, diags
from scipy.sparse.linalg import splu

from longpoint.strength.membrane.grid import Floats, rectangle_grid
from longpoint.strength.membrane.mixing import accelerated
from longpoint.strength.membrane.solve import Cloth, in_plane_stiffness
from longpoint.stretching.rehearsal.edge import rows_of
from longpoint.stretching.rehearsal.improve import improve
from longpoint.stretching.rehearsal.orders import Order, usual_places
from longpoint.stretching.rehearsal.orders_usual import (
    EVEN,
    Lightness,
    corners_first,
    middles_outward,
    pinwheel,
)
from longpoint.stretching.rehearsal.rehearse import TOLERANCE, Rehearsal, _Bench, hand_for_tension, rehearse
from longpoint.stretching.rehearsal.sheet import EdgeSystem, edge_system
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from oracles.loops import LoopBar, beam_loop, rigid_frame

pytestmark = pytest.mark.bench

WIDTH, HEIGHT = 1900.0, 1300.0
RAW = Cloth(warp_stiffness=34.6, weft_stiffness=54.8, poisson_warp=0.2, shear_stiffness=1.7)
BAR = LoopBar(bending=8000.0 * 44 * 21**3 / 12, stretching=8000.0 * 44 * 21)
HAND = hand_for_tension(0.45)
LINES: list[str] = []


@pytest.fixture(scope="module", autouse=True)
def table(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    reporter = request.config.pluginmanager.get_plugin("terminalreporter")
    capture = request.config.pluginmanager.get_plugin("capturemanager")
    with capture.global_and_fixture_disabled():
        for line in ["", *LINES]:
            reporter.write_line(line)


def note(what: str, value: str) -> None:
    LINES.append(f"  {what:<78s} {value}")


def spent(job: Callable[[], object], times: int) -> float:
    """Least processor time of some runs. [s]"""
    taken = []
    for _ in range(times):
        begun = time.process_time()
        job()
        taken.append(time.process_time() - begun)
    return min(taken)


@cache
def system(columns: int = 48, rows: int = 32) -> EdgeSystem:
    return edge_system(
        rectangle_grid(width=WIDTH, height=HEIGHT, columns=columns, rows=rows), RAW, slackness=0.001
    )


@cache
def frame() -> Floats:
    return beam_loop(
        system().sheet.grid,
        level=BAR,
        upright=BAR,
        upright_rails=(640.0, 1260.0),
        level_rails=(650.0,),
        rail_stretching=8000.0 * 20 * 40,
    )


def order() -> Order:
    return middles_outward(width=WIDTH, height=HEIGHT, places=usual_places(width=WIDTH, height=HEIGHT))


@cache
def factorisation() -> float:
    """One factorisation of the cloth's stiffness by scipy, the faster of two orderings. [s]"""
    matrix = csc_matrix(system().sheet.stiffness)
    plain = spent(lambda: splu(matrix), 7)
    symmetric = spent(
        lambda: splu(
            matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        ),
        7,
    )
    note(
        "one factorisation of 48 x 32 elements by scipy (baseline)", f"{1e3 * min(plain, symmetric):8.1f} ms"
    )
    return min(plain, symmetric)


@cache
def rehearsed() -> tuple[Rehearsal, float]:
    rehearse(system(), frame(), order(), HAND, pushes=True)
    begun = time.process_time()
    found = rehearse(system(), frame(), order(), HAND)
    return found, time.process_time() - begun


def test_taut_steps_cost_a_tenth_of_a_factorisation() -> None:
    steps = order().steps
    quick = spent(lambda: rehearse(system(), frame(), order(), HAND, pushes=True), 3) / steps
    note(
        "taut step (pull, staple, let go; with loads and means each time), of one factorisation",
        f"{quick / factorisation():8.3f}",
    )
    assert quick <= factorisation() / 10


def test_slack_steps_cost_at_most_five_factorisations() -> None:
    found, seconds = rehearsed()
    slack = [step for step in found.steps if step.rounds]
    each = seconds / len(found.steps)
    note(
        f"slack step, mean of {len(slack)} of {len(found.steps)}, of one factorisation",
        f"{each / factorisation():8.2f}",
    )
    note("whole rehearsal of 136 staples on its flexible frame, processor time", f"{seconds:8.2f} s")
    assert len(found.steps) >= 50
    assert each <= 5 * factorisation()


class _Afresh:
    """The plain program: one saddle matrix of cloth, staples and frame, factored by scipy for every rest."""

    def __init__(self, rows: list[Floats], places: list[Floats], row: Floats | None, force: float) -> None:
        whole, size = system(), len(system().loose)
        held = np.vstack(rows)
        spread = csc_matrix((len(held), size)).tolil()
        spread[:, whole.edge] = held
        spread = csc_matrix(spread)
        parted = csc_matrix(-(held @ frame() @ held.T) - HAND.staple_give * np.eye(len(held)))
        cloth = in_plane_stiffness(whole.sheet.grid, RAW) + diags(whole.sheet.springs)
        matrix = bmat([[cloth, spread.T], [spread, parted]], format="csc")
        self.factor = splu(matrix)
        self.load = np.zeros(size)
        self.right = np.concatenate(places)
        if row is not None:
            self.load[whole.edge] = row * force
            self.right = self.right - held @ frame() @ row * force

    def rest(self, start: Floats | None) -> tuple[Floats, int]:
        sheet, size = system().sheet, len(self.load)

        def advance(movement: Floats) -> tuple[Floats, Floats]:
            off = self.load - sheet.holding_forces(movement) + sheet.stiffness @ movement
            step = self.factor.solve(np.concatenate([off, self.right]))[:size] - movement
            return step, sheet.stiffness @ step

        begin = np.zeros(size) if start is None else start
        step, imbalance = advance(begin)
        scale = max(float(step @ imbalance), 2 * sheet.energy(begin)) ** 0.5
        movement, _, rounds = accelerated(advance, begin + step, scale=scale, tolerance=TOLERANCE, limit=400)
        return movement, rounds + 1


def test_whole_is_five_times_faster_than_solving_afresh_at_every_step() -> None:
    bench = _Bench(system(), frame(), HAND, TOLERANCE, False)
    stapled, places = bench.stapled, {place.name: place for place in order().places}
    afresh = warm = ours = 0.0
    rounds = [0, 0]
    number = taken = 0

    def held() -> tuple[list[Floats], list[Floats]]:
        # strips that hang loose carry nothing outward: the rival is told which, and need not look for them
        rows, spots = [], []
        for k, name in enumerate(stapled.names):
            part = slice(2 * k + (name in stapled.loose), 2 * k + 2)
            rows.append(stapled.rows[part].copy())
            spots.append(stapled.places[part].copy())
        return rows, spots

    for run in order().runs:
        for name in run.takes_out:
            stapled.take_out(name)
        for name, share in zip(run.puts_in, run.shares, strict=True):
            place, number = places[name], number + 1
            counted = number > 6 and number % 9 == 0  # every ninth step stands for the rest
            before, start = held(), bench.now.movement
            begun = time.process_time()
            bench.staple(name, place.side, place.along, share)
            if not counted:
                continue
            ours += time.process_time() - begun
            taken += 1
            force = share * HAND.at_lip
            row = rows_of(system().sheet.grid, side=place.side, along=place.along, width=HAND.jaw)[0]
            after = held()  # where the staple holds is taken from ours, so that both answer the same question
            for kind in (0, 1):
                begun = time.process_time()
                pulled, first = _Afresh(*before, row, force).rest(None if kind == 0 else start)
                let_go, second = _Afresh(*after, None, 0.0).rest(None if kind == 0 else pulled)
                used = time.process_time() - begun
                rounds[kind] += first + second
                afresh, warm = (afresh + used, warm) if kind == 0 else (afresh, warm + used)
                theirs, _ = system().sheet.relieved(let_go)
                gap = np.sqrt(np.mean((theirs - bench.now.tension) ** 2) / np.mean(bench.now.tension**2))
                assert gap < 0.1  # both at rest with the same tension, as far as the tolerance goes
    note(f"solving afresh at every step, over ours ({taken} steps of the order)", f"{afresh / ours:8.1f}")
    note("  the same rival beginning every rest from the last one (reported only)", f"{warm / ours:8.1f}")
    note("  rounds per step of the two rivals", f"{rounds[0] / taken:8.0f} {rounds[1] / taken:.0f}")
    assert afresh / ours >= 5


def test_three_by_two_metres_with_250_staples_takes_seconds_while_taut() -> None:
    grid = rectangle_grid(width=3000.0, height=2000.0, columns=78, rows=52)
    big = edge_system(grid, RAW)
    wide = beam_loop(grid, level=BAR, upright=BAR)
    places = usual_places(width=3000.0, height=2000.0, spacing=39.5)
    made = middles_outward(width=3000.0, height=2000.0, places=places)
    seconds = spent(lambda: rehearse(big, wide, made, HAND, pushes=True), 1)
    note(f"3 x 2 m, {made.steps} staples, 78 x 52 elements, taut: processor time", f"{seconds:8.2f} s")
    assert made.steps >= 250
    assert seconds < 10


def test_cost_of_a_taut_step_grows_no_faster_than_the_square_of_the_edge_points() -> None:
    costs, points = [], []
    for columns, rows in ((24, 16), (48, 32), (96, 64)):
        sized = edge_system(rectangle_grid(width=WIDTH, height=HEIGHT, columns=columns, rows=rows), RAW)
        loop = beam_loop(sized.sheet.grid, level=BAR, upright=BAR)
        made = middles_outward(
            width=WIDTH,
            height=HEIGHT,
            places=usual_places(width=WIDTH, height=HEIGHT, spacing=50 * 48 / columns),
        )

        def run(s: EdgeSystem = sized, f: Floats = loop, o: Order = made) -> object:
            return rehearse(s, f, o, HAND, pushes=True)

        costs.append(spent(run, 2) / made.steps)
        points.append(2 * (columns + rows))
    power = float(np.log(costs[2] / costs[0]) / np.log(points[2] / points[0]))
    note("power of the edge points with which a taut step's cost grows (80 to 320 points)", f"{power:8.2f}")
    assert power <= 2.1


def test_improving_an_order_takes_less_than_a_minute() -> None:
    said: list[str] = []
    places = usual_places(width=WIDTH, height=HEIGHT)
    orders = (
        order(),
        middles_outward(width=WIDTH, height=HEIGHT, places=places, holding=0, light=EVEN),
        pinwheel(width=WIDTH, height=HEIGHT, places=places),
        corners_first(width=WIDTH, height=HEIGHT, places=places),
    )
    starts = [rehearse(system(), frame(), waiting_for_corners(one), HAND) for one in orders]
    begun = time.process_time()
    better = improve(system(), frame(), starts, HAND, tension=0.2, tear_load=55.0, say=said.append)
    seconds = time.process_time() - begun
    note(
        f"improving an order, {len(better.tried)} rehearsals with slack, processor time", f"{seconds:8.1f} s"
    )
    note("  spread, of the best plain order's", f"{better.best.left.spread / better.plain.left.spread:8.2f}")
    assert seconds < 60
    assert said


def test_corners_want_less_on_soft_bars_and_a_little_at_the_last_staple_everywhere() -> None:
    """The table of docs/theory/rehearsal.md: one order, only the pull near the corners varied."""
    grid = rectangle_grid(width=WIDTH, height=HEIGHT, columns=51, rows=35)
    cloth, places = edge_system(grid, RAW, slackness=0.001), usual_places(width=WIDTH, height=HEIGHT)
    thick = LoopBar(bending=8000.0 * 44 * 28**3 / 12, stretching=8000.0 * 44 * 28)
    frames = {
        "soft": beam_loop(grid, level=BAR, upright=BAR),
        "stiff": beam_loop(
            grid,
            level=thick,
            upright=thick,
            upright_rails=(475.0, 950.0, 1425.0),
            level_rails=(433.0, 867.0),
            rail_stretching=8000.0 * 20 * 40,
        ),
        "rigid": rigid_frame(grid),
    }
    spread: dict[tuple[str, float, float], float] = {}
    for name, give in frames.items():
        for within, share in ((0.0, 1.0), (150.0, 0.75), (150.0, 2 / 3), (150.0, 0.5), (60.0, 0.5)):
            light = Lightness(within=within, share=share)
            made = middles_outward(width=WIDTH, height=HEIGHT, places=places, light=light, holding=0)
            left = rehearse(cloth, give, waiting_for_corners(made), HAND, brief=True).left
            mean = 0.5 * (left.mean_level + left.mean_upright)
            spread[name, within, share] = left.spread
            note(
                f"{name}: pull within {within:.0f} mm at {share:.2f}; corners of the mean, lowest, highest, spread",
                f"{left.corner_mean / mean:6.2f} {1e3 * left.corner_lowest:5.0f} {1e3 * left.corner_highest:5.0f} "
                f"{left.spread:6.3f}",
            )
    assert spread["soft", 150.0, 2 / 3] < spread["soft", 0.0, 1.0]
    assert spread["stiff", 150.0, 2 / 3] > spread["stiff", 0.0, 1.0]
    assert all(spread[name, 60.0, 0.5] < spread[name, 0.0, 1.0] for name in frames)
