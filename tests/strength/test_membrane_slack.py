"""Cloth that cannot push: the law against a brute-force search, and known states at rest."""

from __future__ import annotations

import numpy as np
import pytest

from longpoint.errors import OutOfRangeError
from longpoint.strength.membrane.grid import rectangle_grid
from longpoint.strength.membrane.slack import RIPPLED, SLACK, TAUT, prepare_sheet, tension_without_compression
from longpoint.strength.membrane.solve import Cloth, in_plane_freedoms
from oracles.canvas_edges import come_to_rest

LINEN = Cloth(
    warp_stiffness=23.0, weft_stiffness=41.0, poisson_warp=0.17, shear_stiffness=3.7, warp_along="x"
)


@pytest.mark.slow
def test_tension_is_the_nearest_one_without_compression() -> None:
    """Against a search over all tensions L Lᵀ, minimising the distance in the cloth's compliance."""
    from scipy.optimize import minimize

    strains = np.random.default_rng(11).normal(size=(14, 3)) * [0.004, 0.003, 0.005]
    tension, state = tension_without_compression(LINEN.matrix, strains)
    compliance = np.linalg.inv(LINEN.matrix)
    assert set(state) == {SLACK, RIPPLED, TAUT}
    for strain, got in zip(strains, tension, strict=True):

        def distance(low: np.ndarray, strain: np.ndarray = strain) -> float:
            t = np.array([low[0] ** 2, low[1] ** 2 + low[2] ** 2, low[0] * low[1]]) * 0.1
            return float(1e3 * (0.5 * t @ compliance @ t - t @ strain))

        starts = ([1.0, 0.1, 0.4], [0.2, -0.5, 0.1], [0.01, 0.9, 0.01])
        best = min((minimize(distance, start, tol=1e-14) for start in starts), key=lambda found: found.fun)
        low = best.x
        t = np.array([low[0] ** 2, low[1] ** 2 + low[2] ** 2, low[0] * low[1]]) * 0.1
        ours = 1e3 * (0.5 * got @ compliance @ got - got @ strain)
        assert ours <= best.fun + 1e-9
        assert got == pytest.approx(t, abs=2e-4)


def test_no_compression_and_taut_cloth_untouched() -> None:
    strains = np.random.default_rng(2).normal(size=(500, 3)) * 0.004
    tension, state = tension_without_compression(LINEN.matrix, strains)
    determinant = tension[:, 0] * tension[:, 1] - tension[:, 2] ** 2
    assert tension[:, :2].min() >= 0
    assert determinant.min() > -1e-12
    assert tension[state == TAUT] == pytest.approx(strains[state == TAUT] @ LINEN.matrix)
    kept, _ = tension_without_compression(LINEN.matrix, strains, kept=0.02)
    assert kept == pytest.approx(0.98 * tension + 0.02 * strains @ LINEN.matrix)


def test_strip_pulled_one_way_ripples_and_carries_its_own_stiffness_only() -> None:
    """Held at both ends, sides pushed in: Tx is k_x times strain, without the Poisson term."""
    grid = rectangle_grid(width=307.0, height=101.0, columns=9, rows=4)
    held = in_plane_freedoms(grid.edge)
    given = np.stack([0.0043 * grid.nodes[:, 0], -0.009 * grid.nodes[:, 1]], axis=1).ravel()
    rest = come_to_rest(prepare_sheet(grid, LINEN, held=held, kept=1e-4), given=given, tolerance=1e-8)
    assert rest.settled
    assert set(rest.state) == {RIPPLED}
    assert rest.tension[:, 0] == pytest.approx(23.0 * 0.0043, rel=2e-3)  # uniaxial by hand
    assert np.abs(rest.tension[:, 1]).max() < 1e-4


def test_hanging_corner_load_comes_to_rest_in_balance() -> None:
    grid = rectangle_grid(width=613.0, height=407.0, columns=12, rows=8)
    held = in_plane_freedoms(grid.left)
    sheet = prepare_sheet(grid, LINEN, held=held, kept=1e-2)
    load = np.zeros(2 * grid.node_count)
    load[2 * grid.right[0]], load[2 * grid.right[0] + 1] = 17.0, -9.0
    rest = come_to_rest(sheet, forces=load, tolerance=1e-7)
    assert rest.settled
    assert SLACK in rest.state
    left = sheet.holding_forces(rest.movement)
    free = np.setdiff1d(np.arange(2 * grid.node_count), held)
    assert np.abs((left - load)[free]).max() < 1e-3
    assert left[held][0::2].sum() == pytest.approx(-17.0, abs=1e-3)
    # Clapeyron for a law of degree two: the stored energy is half the work
    assert sheet.energy(rest.movement) == pytest.approx(0.5 * load @ rest.movement, rel=1e-5)


def test_rest_does_not_depend_on_where_it_starts() -> None:
    grid = rectangle_grid(width=613.0, height=407.0, columns=10, rows=7)
    held = in_plane_freedoms(np.concatenate([grid.left, grid.right]))
    sheet = prepare_sheet(grid, LINEN, held=held)
    given = np.zeros((grid.node_count, 2))
    given[grid.right] = [0.9, 3.1]
    plain = come_to_rest(sheet, given=given.ravel(), tolerance=1e-7)
    pushed = given + np.random.default_rng(1).normal(size=given.shape)
    pushed[grid.left], pushed[grid.right] = 0.0, [0.9, 3.1]
    other = come_to_rest(sheet, given=pushed.ravel(), tolerance=1e-7)
    assert other.tension == pytest.approx(plain.tension, abs=2e-5)


def test_part_kept_is_refused_out_of_range() -> None:
    with pytest.raises(OutOfRangeError, match="slack cloth keeps"):
        prepare_sheet(rectangle_grid(width=3, height=2, columns=1, rows=1), LINEN, kept=0.0)
