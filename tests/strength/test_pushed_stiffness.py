"""The stiffness of pushed canvas is what its elements' matrices add up to, and the rate of its forces."""

from __future__ import annotations

import numpy as np

from longpoint.strength.membrane.grid import graded_grid
from longpoint.strength.membrane.large import _Pushed, _solved
from longpoint.strength.membrane.solve import Cloth

CLOTH = Cloth(warp_stiffness=90.0, weft_stiffness=60.0, poisson_warp=0.3, shear_stiffness=5.0, warp_along="x")


def test_it_is_the_rate_of_the_forces_by_central_differences() -> None:
    grid = graded_grid(x_lines=np.array([0.0, 30, 80, 140, 200]), y_lines=np.array([0.0, 50, 90, 160]))
    pushed = _Pushed(grid, CLOTH)
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
