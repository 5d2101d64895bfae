"""Observed rates of convergence: the strongest thing that can be said of a finite element code."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pytest import approx

from longpoint.strength.coupled_solve import prestrain_of, solve_coupled
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.winding import find_winding
from oracles.frame_solve import frame_buckling, solve_frame
from oracles.plain import matched_case_system, solve_case, support_case
from oracles.support_case import BarSize, Support
from strength.frames import SLENDER, beam, holds
from strength.test_winding import four_bars


def rate(coarse: float, middle: float, fine: float, *, ratio: float = 2.0) -> float:
    """Order from three answers on meshes each ``ratio`` times finer."""
    return float(np.log(abs((coarse - middle) / (middle - fine))) / np.log(ratio))


def test_euler_load_converges_with_the_fourth_power_of_the_element_length() -> None:
    exact = np.pi**2 * SLENDER.modulus * 30_000 / 1500.0**2
    errors = []
    for pieces in (1, 2, 4, 8):
        model = beam(1500.0, pieces)
        loads = np.zeros((pieces + 1, 6))
        loads[pieces, 0] = -1.0
        held = holds(model, {0: "x y z rx", pieces: "y z"})
        factor = frame_buckling(model, solve_frame(model, loads, held).movement, held)[0][0]
        errors.append(abs(factor / exact - 1))
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders[-1] == approx(4.0, abs=0.15)


@pytest.mark.slow
def test_winding_converges_with_the_square_of_the_canvas_element() -> None:
    case = four_bars(stouter=3e3, in_plane=1e13, pieces=1)
    found = []
    for columns, rows in ((8, 6), (16, 12), (32, 24)):
        system = matched_case_system(case, columns=columns, rows=rows)
        state = solve_coupled(system, prestrain_of(system.canvas, along_x=0.05, along_y=0.05))
        found.append(find_winding(system, state).critical_tension)
    assert rate(*found) == approx(2.0, abs=0.25)


@pytest.mark.slow
def test_pull_in_converges_as_canvas_and_bars_are_cut_finer() -> None:
    cloth = Cloth(warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0)
    support = Support(width=1510.0, height=1130.0, bar=BarSize(thickness=28.0, depth=44.0, bevel=5.0))
    case = replace(support_case(support, cloth=cloth, prestress=(0.2, 0.2)), slackens=False)
    found = []
    for factor in (1, 2, 4):
        members = tuple(replace(m, pieces=4 * factor) for m in case.members)
        answer = solve_case(replace(case, members=members, columns=10 * factor, rows=8 * factor))
        middle = len(answer.bars["bottom"].places) // 2
        found.append(answer.bars["bottom"].pulled_in[middle])
    # corners of a canvas on bars that yield are mildly singular: between first and second order
    assert 1.2 < rate(*found) < 2.6
    assert found[2] == approx(found[1], rel=3e-3)


@pytest.mark.slow
def test_curved_in_plane_tension_converges_with_the_square_of_the_element() -> None:
    """A manufactured field: u = a sin(πx/W) sin(πy/H), v likewise; nodal forces worked out from its stresses."""
    from longpoint.strength.canvas_edge import edge_canvas
    from longpoint.strength.membrane.grid import GAUSS_POINTS, gradients, rectangle_grid, shapes_at

    width, height = 1510.0, 1130.0
    cloth = Cloth(warp_stiffness=40.0, weft_stiffness=60.0, poisson_warp=0.15, shear_stiffness=12.0)
    d = cloth.matrix
    p, q = np.pi / width, np.pi / height

    def exact(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return 0.7 * np.sin(p * x) * np.sin(q * y), -0.4 * np.sin(2 * p * x) * np.sin(q * y)

    def body(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        # minus the divergence of the tension of `exact`
        u_xx = -0.7 * p * p * np.sin(p * x) * np.sin(q * y)
        u_yy = -0.7 * q * q * np.sin(p * x) * np.sin(q * y)
        u_xy = 0.7 * p * q * np.cos(p * x) * np.cos(q * y)
        v_xx = 0.4 * 4 * p * p * np.sin(2 * p * x) * np.sin(q * y)
        v_yy = 0.4 * q * q * np.sin(2 * p * x) * np.sin(q * y)
        v_xy = -0.4 * 2 * p * q * np.cos(2 * p * x) * np.cos(q * y)
        fx = -(d[0, 0] * u_xx + d[0, 1] * v_xy + d[2, 2] * (u_yy + v_xy))
        fy = -(d[1, 1] * v_yy + d[0, 1] * u_xy + d[2, 2] * (v_xx + u_xy))
        return fx, fy

    errors = []
    for n in (8, 16, 32):
        grid = rectangle_grid(width=width, height=height, columns=n, rows=n)
        canvas = edge_canvas(grid, cloth)
        _, area = gradients(grid)
        shapes = shapes_at(GAUSS_POINTS)
        places = np.einsum("pn,enx->epx", shapes, grid.nodes[grid.elements])
        fx, fy = body(places[..., 0], places[..., 1])
        forces = np.zeros((grid.node_count, 2))
        for k, f in enumerate((fx, fy)):
            np.add.at(forces[:, k], grid.elements, np.einsum("pn,ep->en", shapes, f * area))
        moved = canvas.everywhere(np.zeros(len(canvas.edge_xy)), forces.ravel()).reshape(-1, 2)
        u, v = exact(grid.nodes[:, 0], grid.nodes[:, 1])
        errors.append(np.sqrt(np.mean((moved[:, 0] - u) ** 2 + (moved[:, 1] - v) ** 2)))
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert orders[-1] == approx(2.0, abs=0.1)
