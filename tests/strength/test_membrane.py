"""The canvas as a taut membrane.

Published: the membrane under a pressure follows the torsion of a rectangular bar (Prandtl's analogy), whose
series is in Timoshenko & Goodier, Theory of Elasticity (series from memory; its sums computed here and given to
five figures). Plane-stress orthotropic law: any text on laminates; numbers by hand.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.edge import on_edge
from longpoint.strength.membrane.grid import MembraneGrid, graded_grid, locate, rectangle_grid
from longpoint.strength.membrane.solve import (
    Cloth,
    dip,
    geometric_blocks,
    geometric_stiffness,
    in_plane_blocks,
    in_plane_freedoms,
    in_plane_stiffness,
    patch_forces,
    pressure_forces,
    tension_forces,
    tension_from_strain,
    tensions_of,
)
from oracles.canvas_edges import (
    condense_on_edge,
    condensed,
    mapped_grid,
    movement_everywhere,
    strain_from_tension,
)

LINEN = Cloth(
    warp_stiffness=23.0,
    weft_stiffness=41.0,
    poisson_warp=0.17,
    shear_stiffness=3.7,
    warp_along="x",
    areal_mass=0.41e-6,
)


def skewed(columns: int = 7, rows: int = 5) -> MembraneGrid:
    grid = rectangle_grid(width=907.0, height=613.0, columns=columns, rows=rows)

    def move(nodes: NDArray[np.float64]) -> NDArray[np.float64]:
        shift = np.random.default_rng(5).uniform(-0.18, 0.18, nodes.shape)
        inside = np.ones(len(nodes))
        inside[grid.edge] = 0
        return nodes + shift * inside[:, None] * [907.0 / columns, 613.0 / rows] + 0.11 * nodes[:, ::-1]

    return mapped_grid(grid, move)


def series_centre(a: float, b: float) -> float:
    """Centre of a rectangle a × b under even tension, in q a² / T."""
    m = np.arange(1, 60, 2)
    return float(
        4 / np.pi**3 * np.sum((-1.0) ** ((m - 1) // 2) / m**3 * (1 - 1 / np.cosh(m * np.pi * b / (2 * a))))
    )


def test_tension_both_ways_is_the_hand_value() -> None:
    cloth = Cloth(warp_stiffness=60, weft_stiffness=120, poisson_warp=0.1, shear_stiffness=9, warp_along="x")
    assert cloth.poisson_weft == pytest.approx(0.2)  # reciprocity: 60 × 0.2 = 120 × 0.1
    tension = tension_from_strain(cloth, [0.003, 0.002, 0.0011])
    # by hand: 60/(1 − 0.02) (0.003 + 0.2 × 0.002) = 0.20816; 120/0.98 (0.002 + 0.1 × 0.003) = 0.28163 N/mm
    assert tension == pytest.approx([0.20816, 0.28163, 0.0099], rel=1e-4)
    assert strain_from_tension(cloth, tension) == pytest.approx([0.003, 0.002, 0.0011])


def test_turning_the_warp_swaps_the_axes() -> None:
    turned = Cloth(
        warp_stiffness=23.0, weft_stiffness=41.0, poisson_warp=0.17, shear_stiffness=3.7, warp_along="y"
    )
    swap = [1, 0, 2]
    assert turned.matrix == pytest.approx(LINEN.matrix[np.ix_(swap, swap)])
    assert turned.matrix[0, 0] > turned.matrix[1, 1]


def test_skewed_elements_carry_an_even_strain_exactly() -> None:
    grid = skewed()
    slopes = np.array([[0.0031, -0.0007], [0.0019, 0.0023]])
    exact = grid.nodes @ slopes.T
    edge, inner = in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
    stiffness = in_plane_stiffness(grid, LINEN).toarray()
    moved = exact.ravel().copy()
    moved[inner] = np.linalg.solve(
        stiffness[np.ix_(inner, inner)], -stiffness[np.ix_(inner, edge)] @ moved[edge]
    )
    assert moved == pytest.approx(exact.ravel(), abs=1e-9)
    strain = [slopes[0, 0], slopes[1, 1], slopes[0, 1] + slopes[1, 0]]
    even = np.broadcast_to(tension_from_strain(LINEN, strain), (35, 3))
    assert tensions_of(grid, LINEN, moved) == pytest.approx(even, rel=1e-9)


def test_moving_and_turning_the_whole_sheet_costs_nothing() -> None:
    grid = skewed()
    stiffness = in_plane_stiffness(grid, LINEN)
    turn = np.stack([-grid.nodes[:, 1], grid.nodes[:, 0]], axis=1).ravel()
    for movement in (np.tile([1.0, 0.0], grid.node_count), np.tile([0.0, 1.0], grid.node_count), turn):
        assert np.abs(stiffness @ movement).max() < 1e-9 * np.abs(movement).max() * 41
    tension = geometric_stiffness(grid, (0.21, 0.13, 0.02))
    assert np.abs(tension @ np.ones(grid.node_count)).max() < 1e-12
    assert abs(tension - tension.T).max() < 1e-12


@pytest.mark.parametrize(
    ("ratio", "published"),
    [(1.0, 0.07367), (1.25, 0.08951), (1.5, 0.10077), (2.0, 0.11387), (3.0, 0.12268)],  # series
)
def test_centre_of_a_rectangle_is_the_membrane_series(ratio: float, published: float) -> None:
    a, pressure, tension = 613.0, 3.1e-6, 0.237
    assert series_centre(a, ratio * a) == pytest.approx(published, abs=6e-6)
    grid = rectangle_grid(width=ratio * a, height=a, columns=round(24 * ratio), rows=24)
    sag = dip(grid, (tension, tension, 0.0), pressure_forces(grid, pressure))
    assert sag.max() * tension / (pressure * a**2) == pytest.approx(published, abs=1.5e-4)


def test_unequal_tensions_follow_the_series_of_the_stretched_rectangle() -> None:
    width, height, tx, ty, pressure = 907.0, 613.0, 0.31, 0.17, 2.3e-6
    # stretch y by √(Tx/Ty): an even tension Tx on width × height √(Tx/Ty)
    stretched = height * np.sqrt(tx / ty)
    a, b = min(width, stretched), max(width, stretched)
    exact = series_centre(a, b) * pressure * a**2 / tx
    grid = rectangle_grid(width=width, height=height, columns=48, rows=32)
    assert dip(grid, (tx, ty, 0), pressure_forces(grid, pressure)).max() == pytest.approx(exact, rel=1e-3)
    swapped = dip(grid, (ty, tx, 0), pressure_forces(grid, pressure)).max()
    assert abs(swapped / exact - 1) > 0.1  # the check can fail: the two tensions are not interchangeable


def test_own_weight_of_a_square_metre_sags_as_computed_by_hand() -> None:
    heavy = Cloth(
        warp_stiffness=23, weft_stiffness=41, poisson_warp=0.17, shear_stiffness=3.7, areal_mass=0.6e-6
    )
    grid = rectangle_grid(width=1000, height=1000, columns=32, rows=32)
    sag = dip(grid, (0.2, 0.2, 0), pressure_forces(grid, heavy.weight)).max()
    assert sag == pytest.approx(2.168, rel=5e-3)  # series: 0.073671 × 0.6 × 9.81 / 200 m


@pytest.mark.slow
def test_pad_in_the_middle_of_a_square_dips_by_the_known_coefficient() -> None:
    grid = rectangle_grid(width=1000, height=1000, columns=60, rows=60)
    forces = patch_forces(grid, x=500, y=500, width=100, height=100, force=20.0)
    assert forces.sum() == pytest.approx(20.0)
    sunk = dip(grid, (0.2, 0.2, 0), forces).max()
    assert sunk * 0.2 / 20 == pytest.approx(0.4371, abs=2e-3)  # double series for c/a = 0.1
    assert sunk == pytest.approx(43.7, rel=5e-3)


def test_pad_may_lie_anywhere_and_keeps_its_moment() -> None:
    grid = skewed()
    forces = patch_forces(grid, x=431.0, y=377.0, width=83.0, height=57.0, force=3.7)
    assert forces @ grid.nodes == pytest.approx([3.7 * 431.0, 3.7 * 377.0], rel=1e-6)
    rounded = patch_forces(grid, x=431.0, y=377.0, width=83.0, height=83.0, force=3.7, round_pad=True)
    assert rounded.sum() == pytest.approx(3.7)
    with pytest.raises(OutOfRangeError, match="outside the canvas"):
        patch_forces(grid, x=5.0, y=5.0, width=83.0, height=57.0, force=1.0)


def test_made_up_movement_is_met_with_second_order() -> None:
    """Manufactured: u = sin(πx/a) sin(πy/b), v = 0.7 sin(πx/a) sin(2πy/b) on skewed inner lines."""
    a, b, errors = 907.0, 613.0, []
    d = LINEN.matrix
    for columns in (8, 16, 32):
        base = rectangle_grid(width=a, height=b, columns=columns, rows=columns)

        def bulge(nodes: NDArray[np.float64]) -> NDArray[np.float64]:
            x, y = nodes[:, 0], nodes[:, 1]
            push = np.sin(np.pi * x / a) * np.sin(np.pi * y / b)
            return np.stack([x + 61.0 * push, y - 43.0 * push], axis=1)

        grid = mapped_grid(base, bulge)
        p, q = np.pi / a, np.pi / b

        def movement(n: NDArray[np.float64]) -> NDArray[np.float64]:
            x, y = n[:, 0], n[:, 1]
            u = np.sin(p * x) * np.sin(q * y)  # noqa: B023
            v = 0.7 * np.sin(p * x) * np.sin(2 * q * y)  # noqa: B023
            return np.stack([u, v], axis=1)

        def body(n: NDArray[np.float64]) -> NDArray[np.float64]:
            x, y = n[:, 0], n[:, 1]
            sx, cx = np.sin(p * x), np.cos(p * x)  # noqa: B023
            sy, cy, s2, c2 = np.sin(q * y), np.cos(q * y), np.sin(2 * q * y), np.cos(2 * q * y)  # noqa: B023
            uxx, uyy, uxy = -p * p * sx * sy, -q * q * sx * sy, p * q * cx * cy  # noqa: B023
            vxx, vyy, vxy = -0.7 * p * p * sx * s2, -2.8 * q * q * sx * s2, 1.4 * p * q * cx * c2  # noqa: B023
            fx = d[0, 0] * uxx + d[0, 1] * vxy + d[2, 2] * (uyy + vxy)
            fy = d[0, 1] * uxy + d[1, 1] * vyy + d[2, 2] * (uxy + vxx)
            return -np.stack([fx, fy], axis=1)

        from longpoint.strength.membrane.grid import GAUSS_POINTS, gradients, shapes_at

        _, area = gradients(grid)
        shapes = shapes_at(GAUSS_POINTS)
        places = np.einsum("pn,enx->epx", shapes, grid.nodes[grid.elements])
        dense = body(places.reshape(-1, 2)).reshape(*area.shape, 2)
        load = np.zeros((grid.node_count, 2))
        np.add.at(load, grid.elements, np.einsum("epx,pn,ep->enx", dense, shapes, area))
        inner = in_plane_freedoms(grid.inner)
        from scipy.sparse.linalg import spsolve

        stiffness = in_plane_stiffness(grid, LINEN)
        found = np.zeros(2 * grid.node_count)
        found[inner] = spsolve(stiffness[inner][:, inner].tocsc(), load.ravel()[inner])
        at = np.einsum("pn,enx->epx", shapes, found.reshape(-1, 2)[grid.elements])
        gap = at - movement(places.reshape(-1, 2)).reshape(at.shape)
        errors.append(float(np.sqrt(np.einsum("epx,ep->", gap**2, area))))
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert rates == pytest.approx(2.0, abs=0.1)


def test_even_prestress_pulls_the_edge_with_its_tension_times_length() -> None:
    grid = graded_grid(x_lines=[0, 31, 97, 211, 433], y_lines=[0, 53, 131, 307])
    block = condense_on_edge(grid, LINEN, (0.31, 0.17, 0.0))
    pull = block.pull.reshape(-1, 2)
    right = np.isclose(grid.nodes[block.nodes, 0], 433)
    top = np.isclose(grid.nodes[block.nodes, 1], 307)
    assert pull[right, 0].sum() == pytest.approx(-0.31 * 307)
    assert pull[top, 1].sum() == pytest.approx(-0.17 * 433)
    assert np.abs(block.inside_rest).max() < 1e-12
    assert tension_forces(grid, (0.31, 0.17, 0.0)).sum() == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(("columns", "rows"), [(7, 5), (5, 7), (1, 1), (1, 4), (4, 1), (16, 3)])
def test_lines_taken_out_between_strips_leave_what_one_solve_of_the_inside_leaves(
    columns: int, rows: int
) -> None:
    uneven, even = skewed(columns, rows), rectangle_grid(width=90.7, height=61.3, columns=columns, rows=rows)
    for grid, blocks in (
        (uneven, in_plane_blocks(uneven, LINEN)),
        (even, in_plane_blocks(even, LINEN)[:1]),
    ):
        plain, _ = condensed(
            in_plane_stiffness(grid, LINEN), in_plane_freedoms(grid.edge), in_plane_freedoms(grid.inner)
        )
        np.testing.assert_allclose(on_edge(grid, blocks), plain, rtol=0, atol=1e-9 * np.abs(plain).max())
    tension = np.random.default_rng(3).uniform(0.05, 0.4, (len(uneven.elements), 3)) * [1, 1, 0.3]
    plain, _ = condensed(geometric_stiffness(uneven, tension), uneven.edge, uneven.inner)
    found = on_edge(uneven, geometric_blocks(uneven, tension))
    np.testing.assert_allclose(found, plain, rtol=0, atol=1e-9 * np.abs(plain).max())


def test_condensed_edge_answers_as_the_whole_sheet_does() -> None:
    grid = skewed()
    block = condense_on_edge(grid, LINEN, (0.2, 0.15, 0.01))
    assert block.in_plane == pytest.approx(block.in_plane.T)
    edge = np.random.default_rng(3).normal(size=2 * len(block.nodes))
    everywhere = movement_everywhere(grid, block, edge)
    stiffness = in_plane_stiffness(grid, LINEN)
    whole = stiffness @ everywhere
    assert whole[in_plane_freedoms(block.nodes)] == pytest.approx(block.in_plane @ edge, rel=1e-9, abs=1e-9)
    turn = np.stack([-grid.nodes[block.nodes, 1], grid.nodes[block.nodes, 0]], axis=1).ravel()
    assert np.abs(block.in_plane @ turn).max() < 1e-9 * np.abs(turn).max() * 41
    assert np.abs(block.out_of_plane @ np.ones(len(block.nodes))).max() < 1e-11


def test_places_are_found_in_skewed_elements() -> None:
    grid = skewed()
    element, own = locate(grid, np.array(grid.centres))
    assert list(element) == list(range(35))
    assert np.abs(own).max() < 1e-9


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"warp_stiffness": 0.0}, "above 0"),
        ({"poisson_warp": 0.9}, "product below 1"),
        ({"areal_mass": -1.0}, "below 0"),
    ],
)
def test_cloth_that_cannot_be_is_refused(change: dict[str, float], words: str) -> None:
    values = {"warp_stiffness": 20.0, "weft_stiffness": 40.0, "poisson_warp": 0.1, "shear_stiffness": 4.0}
    with pytest.raises(OutOfRangeError, match=words):
        Cloth(**(values | change))  # type: ignore[arg-type]


def test_grid_that_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="rise"):
        graded_grid(x_lines=[0, 5, 5], y_lines=[0, 1])
    with pytest.raises(OutOfRangeError, match="above 0"):
        rectangle_grid(width=0, height=1, columns=2, rows=2)
    with pytest.raises(OutOfRangeError, match="inside out"):
        mapped_grid(rectangle_grid(width=3, height=3, columns=2, rows=2), lambda nodes: nodes * [-1.0, 1.0])


def test_a_square_grid_finds_places_as_trying_every_element_does() -> None:
    x = [0.0, 31.0, 70.5, 200.0, 411.0]
    square = graded_grid(x_lines=x, y_lines=[0.0, 44.0, 97.0, 310.0])
    rng = np.random.default_rng(11)
    places = np.concatenate([rng.uniform([0, 0], [411, 310], (60, 2)), square.nodes, square.centres])
    on_lines = np.stack([rng.choice(x, 20), rng.uniform(0, 310, 20)], axis=1)
    places = np.concatenate([places, on_lines])
    # a shear too small to move a place into another element, but no longer square to the axes
    leaning = mapped_grid(square, lambda nodes: nodes + np.outer(nodes[:, 1], [1e-13, 0.0]))
    quick, slow = locate(square, places), locate(leaning, places)
    assert np.array_equal(quick[0], slow[0])
    assert quick[1] == pytest.approx(slow[1], abs=1e-9)
    with pytest.raises(OutOfRangeError, match=r"x = 411\.5"):
        locate(square, np.array([[411.5, 3.0]]))
