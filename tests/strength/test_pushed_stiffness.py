"""The stiffness of pushed canvas is what its elements' matrices add up to, and the rate of its forces."""

from __future__ import annotations

import numpy as np

from longpoint.strength.membrane.grid import graded_grid, rectangle_grid
from longpoint.strength.membrane.large import _Pushed, _solved, sink
from longpoint.strength.membrane.solve import Cloth

CLOTH = Cloth(warp_stiffness=90.0, weft_stiffness=60.0, poisson_warp=0.3, shear_stiffness=5.0, warp_along="x")


def test_it_is_the_rate_of_the_forces_by_central_differences() -> None:
    grid = graded_grid(x_lines=np.array([0.0, 30, 80, 140, 200]), y_lines=np.array([0.0, 50, 90, 160]))
    pushed = _Pushed(grid, CLOTH, "")
    movement = np.zeros(pushed.size)
    movement[pushed.free] = np.random.default_rng(5).normal(size=len(pushed.free))
    before = np.array([0.4, 0.3, 0.0])

    def forces(at: np.ndarray) -> np.ndarray:
        strain, rates = pushed.strain_and_rates(at)
        return pushed.forces(rates, strain @ pushed.matrix + before)[pushed.free]

    strain, rates = pushed.strain_and_rates(movement)
    band = pushed.stiffness(rates, strain @ pushed.matrix + before)
    lower = sum(np.diag(row[: len(row) - off], -off) for off, row in enumerate(band))
    found = lower + np.tril(lower, -1).T
    step = 1e-6
    for column, freedom in enumerate(pushed.free):
        moved = np.zeros(pushed.size)
        moved[freedom] = step
        rate = (forces(movement + moved) - forces(movement - moved)) / (2 * step)
        assert np.allclose(found[:, column], rate, rtol=1e-5, atol=1e-5 * np.abs(found).max())


def test_a_band_is_solved_whether_it_is_definite_or_not() -> None:
    luck = np.random.default_rng(3)
    size, wide = 30, 5
    for shift in (20.0, 0.3):
        lower = np.tril(luck.normal(size=(size, size))) * (np.subtract.outer(range(size), range(size)) < wide)
        whole = np.tril(lower, -1) + np.tril(lower, -1).T + shift * np.eye(size)
        band = np.zeros((wide, size))
        for off in range(wide):
            band[off, : size - off] = np.diag(whole, -off)
        right = luck.normal(size=size)
        assert np.allclose(whole @ _solved(band, right), right)
        assert (np.linalg.eigvalsh(whole).min() > 0) == (shift > 1)


def test_half_of_an_even_canvas_sinks_as_the_whole_does() -> None:
    whole = rectangle_grid(width=300.0, height=400.0, columns=6, rows=8)
    forces = np.zeros((9, 7))
    forces[3:6, 1:3] = 4.0
    full = sink(whole, CLOTH, prestress=(0.2, 0.3), forces=forces.ravel()).movement.reshape(9, 7)
    half = forces[4:].copy()
    half[0] /= 2
    grid = rectangle_grid(width=300.0, height=200.0, columns=6, rows=4)
    found = sink(grid, CLOTH, prestress=(0.2, 0.3), forces=half.ravel(), mirror="bottom").movement
    assert np.allclose(found.reshape(5, 7), full[4:], rtol=1e-8)
    turned = Cloth(
        warp_stiffness=90.0, weft_stiffness=60.0, poisson_warp=0.3, shear_stiffness=5.0, warp_along="y"
    )
    grid = rectangle_grid(width=200.0, height=300.0, columns=4, rows=6)
    found = sink(grid, turned, prestress=(0.3, 0.2), forces=half.T.ravel(), mirror="left").movement
    assert np.allclose(found.reshape(7, 5), full[4:].T, rtol=1e-8)
