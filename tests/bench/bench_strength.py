"""Speed of the strength engine, as ratios against named baselines in the same run (processor time, best of some).

Baselines: scipy's bare sparse factorisation of the same matrix (its fastest ordering here, and its default);
a whole CalculiX run (Debian's ccx) on the same mesh: same canvas elements, one beam per canvas edge.
"""

from __future__ import annotations

import resource
import subprocess
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from scipy.sparse.linalg import splu

from longpoint.strength.beams.frame_model import FrameModel, build_frame
from longpoint.strength.beams.pieces import FramePieces
from longpoint.strength.canvas_edge import prepare_canvas
from longpoint.strength.coupled import couple
from longpoint.strength.coupled_solve import prestrain_of, solve_coupled
from longpoint.strength.membrane.grid import MembraneGrid, rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.ties import tie_points
from longpoint.strength.winding import find_winding
from oracles.full_solve import full_matrix, solve_full
from oracles.plain import solve_case, support_case
from oracles.support_case import BarSize, RailSize, Support, evenly, support_pieces

pytestmark = pytest.mark.bench

CLOTH = Cloth(warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0)
SUPPORT = Support(
    width=1900.0,
    height=1300.0,
    bar=BarSize(thickness=21.0, depth=44.0, bevel=5.0),
    rail=RailSize(thickness=21.0, depth=30.0, drop=2.0),
    cross_rails=evenly(2, width=1900.0),
    middle_pieces=True,
)
LINES: list[str] = []


@pytest.fixture(scope="module", autouse=True)
def table(request: pytest.FixtureRequest) -> Iterator[None]:
    yield
    reporter = request.config.pluginmanager.get_plugin("terminalreporter")
    capture = request.config.pluginmanager.get_plugin("capturemanager")
    with capture.global_and_fixture_disabled():
        for line in ["", *LINES]:
            reporter.write_line(line)


def best(job: Callable[[], object], times: int = 5) -> float:
    """Least processor time of some runs. [s]"""
    job()
    taken = []
    for _ in range(times):
        start = time.process_time()
        job()
        taken.append(time.process_time() - start)
    return min(taken)


def meshed(
    columns: int, rows: int, pieces: FramePieces | None = None
) -> tuple[Callable[[], FrameModel], MembraneGrid]:
    """The support with about one beam per canvas edge."""
    pieces = pieces or support_pieces(SUPPORT)
    members = tuple(
        replace(m, pieces=max(m.pieces, int(m.length / 1900.0 * columns))) if m.name in pieces.bars else m
        for m in pieces.members
    )
    grid = rectangle_grid(width=1900.0, height=1300.0, columns=columns, rows=rows)
    return lambda: build_frame(members, pieces.joints, pieces.seams), grid


def whole(columns: int, rows: int) -> tuple[float, float, float, int]:
    """Assembly and solve; bare factorisation, fastest and default ordering; unknowns."""
    build, grid = meshed(columns, rows)
    times = 3 if columns > 100 else 6
    ours = best(lambda: solve_full(build(), grid, CLOTH, along_x=0.2, along_y=0.2), times)
    model = build()
    matrix = full_matrix(model, grid, CLOTH, tie_points(model, grid, ("bottom", "right", "top", "left")))
    quick = {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}
    return (
        ours,
        best(lambda: splu(matrix, **quick), times),
        best(lambda: splu(matrix), times),
        matrix.shape[0],
    )


@pytest.mark.parametrize(("columns", "rows"), [(54, 36), (190, 125)], ids=["5k", "50k"])
def test_linear_coupled_solve_takes_at_most_three_bare_factorisations(columns: int, rows: int) -> None:
    ours, quick, default, unknowns = whole(columns, rows)
    LINES.append(
        f"coupled solve, {unknowns} unknowns: {ours / quick:.2f} × bare factorisation "
        f"({ours / default:.2f} × with scipy's default ordering), {ours * 1000:.0f} ms"
    )
    assert ours < 3 * quick


def test_growth_from_1k_to_100k_unknowns() -> None:
    sizes, taken = [], []
    for columns, rows in ((20, 13), (60, 40), (160, 110), (270, 182)):
        build, grid = meshed(columns, rows)
        model = build()
        taken.append(
            best(lambda m=model, g=grid: solve_full(m, g, CLOTH, along_x=0.2, along_y=0.2), 2)  # type: ignore[misc]
        )
        sizes.append(model.freedom_count + 2 * (columns - 1) * (rows - 1))
    slope = np.polyfit(np.log(sizes), np.log(taken), 1)[0]
    last = np.log(taken[-1] / taken[-2]) / np.log(sizes[-1] / sizes[-2])
    LINES.append(
        f"growth from {sizes[0]} to {sizes[-1]} unknowns: exponent {slope:.2f} ({last:.2f} at the end)"
    )
    assert slope < 1.5


def test_whole_calculix_run_on_the_same_mesh_takes_at_least_five_times_as_long(tmp_path: Path) -> None:
    import shutil

    ccx = shutil.which("ccx")
    if ccx is None:
        pytest.skip("CalculiX's ccx is not installed (Debian package calculix-ccx)")
    columns, rows = 48, 32
    build, grid = meshed(columns, rows, support_pieces(replace(SUPPORT, cross_rails=(), middle_pieces=False)))
    ours = best(lambda: solve_full(build(), grid, CLOTH, along_x=0.2, along_y=0.2))
    (tmp_path / "case.inp").write_text("\n".join(beam_deck(grid)) + "\n")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(
        [ccx, "case"], cwd=tmp_path, capture_output=True, text=True, check=False, timeout=300
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert (tmp_path / "case.frd").exists(), done.stdout[-1500:]
    theirs = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    LINES.append(
        f"whole CalculiX run, {columns} × {rows} canvas elements, bars as beams: {theirs / ours:.1f} × ours"
    )
    assert theirs > 5 * ours


def beam_deck(grid: MembraneGrid) -> list[str]:
    """The bare frame with canvas for CalculiX: membranes and beams on the same nodes."""
    out = ["*NODE, NSET=NALL"]
    out += [f"{i + 1}, {x:.6f}, {y:.6f}, 0." for i, (x, y) in enumerate(grid.nodes)]
    out.append("*ELEMENT, TYPE=M3D4, ELSET=CLOTH")
    out += [f"{i + 1}, " + ", ".join(str(n + 1) for n in e) for i, e in enumerate(grid.elements)]
    number = len(grid.elements)
    for name, nodes in (("EX1", grid.bottom), ("EX2", grid.top), ("EY1", grid.left), ("EY2", grid.right)):
        out.append(f"*ELEMENT, TYPE=B31, ELSET={name}")
        for a, b in pairwise(nodes):
            number += 1
            out.append(f"{number}, {a + 1}, {b + 1}")
    out += ["*MATERIAL, NAME=WOOD", "*ELASTIC", "8000., 0.3", "*EXPANSION", "0."]
    for name in ("EX1", "EX2", "EY1", "EY2"):
        out += [f"*BEAM SECTION, ELSET={name}, MATERIAL=WOOD, SECTION=RECT", "44., 21.", "0., 0., 1."]
    out += ["*MATERIAL, NAME=CANVAS", "*ELASTIC", "60., 0.2", "*EXPANSION", "0.004"]
    out += ["*MEMBRANE SECTION, ELSET=CLOTH, MATERIAL=CANVAS", "1.0"]
    out += ["*BOUNDARY", "1, 1, 3", f"{grid.columns + 1}, 2, 3", f"{grid.left[-1] + 1}, 3, 3"]
    inner = [n + 1 for n in grid.inner]
    out += [f"{n}, 3, 3" for n in inner]
    out += [
        "*INITIAL CONDITIONS, TYPE=TEMPERATURE",
        "NALL, 0.",
        "*STEP",
        "*STATIC",
        "*TEMPERATURE",
        "NALL, -1.",
    ]
    return [*out, "*NODE FILE", "U", "*END STEP"]


def test_further_design_on_a_prepared_canvas_takes_at_most_a_fifth_of_a_whole_solve() -> None:
    columns, rows = 54, 36
    canvas = prepare_canvas(width=1900.0, height=1300.0, cloth=CLOTH, columns=columns, rows=rows)
    before = prestrain_of(canvas, along_x=0.2, along_y=0.2)

    def design() -> None:
        pieces = support_pieces(SUPPORT)
        system = couple(build_frame(pieces.members, pieces.joints, pieces.seams), canvas, bars=pieces.bars)
        solve_coupled(system, before)

    build, grid = meshed(columns, rows)
    full = best(lambda: solve_full(build(), grid, CLOTH, along_x=0.2, along_y=0.2), 8)
    quick = best(design, 12)
    LINES.append(
        f"further design on a prepared canvas: 1/{full / quick:.1f} of a whole solve, {quick * 1000:.1f} ms"
    )
    assert quick < full / 5


def test_three_cases_now_and_later_and_winding_take_at_most_fifteen_whole_solves() -> None:
    columns, rows = 54, 36
    canvas = prepare_canvas(width=1900.0, height=1300.0, cloth=CLOTH, columns=columns, rows=rows)
    build, grid = meshed(columns, rows)
    full = best(lambda: solve_full(build(), grid, CLOTH, along_x=0.2, along_y=0.2), 5)

    def verdicts() -> None:
        for weak, left in ((1.0, 0.2), (0.675, 0.2), (0.675, 0.34)):
            wood = replace(
                SUPPORT.timber,
                modulus=SUPPORT.timber.modulus * weak,
                shear_modulus=SUPPORT.timber.shear_modulus * weak,
            )
            support = replace(SUPPORT, timber=wood)
            now = solve_case(replace(support_case(support, cloth=CLOTH, tension_left=left)), canvas)
            pieces = support_pieces(support.in_the_long_run())
            system = couple(
                build_frame(pieces.members, pieces.joints, pieces.seams), canvas, bars=pieces.bars
            )
            later = solve_coupled(system, now.prestrain)
            find_winding(system, later)

    taken = best(verdicts, 3)
    LINES.append(f"three cases, now and later, winding each: {taken / full:.1f} whole solves")
    assert taken < 15 * full
