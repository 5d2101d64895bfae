"""Studies: seeded, balanced, the same wherever they are solved."""

from __future__ import annotations

import numpy as np
import pytest

from longpoint.cli.check_spread import spread
from longpoint.jobs.study import study_faults
from longpoint.strength.membrane.solve import Cloth
from longpoint.strength.study import (
    PULL,
    TIMBER,
    VARIED,
    CaseResult,
    ClothBand,
    Study,
    make_study,
    study_points,
    summed_up,
    varied_case,
)
from longpoint.strength.verdicts.verdict import OwnLimits
from longpoint.strength.work_case import Bay, CornerFace, LowEdge, WorkCase
from oracles.support_case import BarSize, Support, support_pieces


def small_case() -> WorkCase:
    width, height = 610.0, 430.0
    bar = BarSize(thickness=19.0, depth=42.0, bevel=5.0)
    cloth = Cloth(warp_stiffness=35.0, weft_stiffness=55.0, poisson_warp=0.2, shear_stiffness=2.0)
    sides = (("bottom", width), ("right", height), ("top", width), ("left", height))
    return WorkCase(
        width=width,
        height=height,
        pieces=support_pieces(Support(width=width, height=height, bar=bar)),
        weak=0.675,
        raw=cloth,
        settled=cloth,
        tension_left=0.2,
        hard_tension=0.34,
        peak=1.8,
        year=(-0.02, 0.02),
        bays=tuple(Bay(bar=name, number=1, of=1, start=0.0, stop=length) for name, length in sides),
        low_edges=(LowEdge(what="bar", inset=19.0, clearance=5.0),),
        corner=CornerFace(width=26.9, depth=42.0, strength=3.0, screws=2),
        bending_strength=11.0,
        natural_twist=4e-6,
        natural_bow=2.5e-7,
        mass=1.1,
    )


def study(cases: int) -> Study:
    band = ClothBand(warp=1.7, weft=1.8, shear=3.5)
    return Study(small_case(), OwnLimits(), band, band, study_points(cases=cases, seed=3))


def test_the_sequence_is_seeded_and_balanced() -> None:
    points = np.array(study_points(cases=30, seed=5))
    assert points.shape == (32, len(VARIED))
    assert study_points(cases=30, seed=5) == study_points(cases=30, seed=5)
    assert study_points(cases=30, seed=6) != study_points(cases=30, seed=5)
    assert ((points < 0.5).sum(axis=0) == 16).all()


def test_every_varied_cloth_is_possible_and_the_middle_changes_nothing_but_the_grid() -> None:
    base = study(8)
    middle = varied_case(base, dict.fromkeys(VARIED, 0.5))
    assert np.allclose(middle.raw.matrix, base.case.raw.matrix)
    assert middle.tension_left == pytest.approx(0.2)
    assert middle.pieces == base.case.pieces
    for corner in (0.001, 0.999):  # Cloth refuses what breaks reciprocity
        for other in (0.001, 0.999):
            varied_case(base, dict.fromkeys(VARIED, 0.5) | {"warp": corner, "weft": other})


@pytest.mark.slow
def test_processes_give_the_same_numbers_as_one() -> None:
    with spread(processes=1, cluster="") as run:
        alone = make_study(study(8), run=run)
    with spread(processes=2, cluster="") as run:
        together = make_study(study(8), run=run)
    assert alone == together
    assert alone.stands == 1.0
    assert 0.0 <= alone.holds <= 1.0


def test_the_driver_is_the_one_that_moves_the_number() -> None:
    points = np.array(study_points(cases=64, seed=1))
    value = 3.0 - 2.0 * points[:, VARIED.index(TIMBER)] + 0.05 * points[:, VARIED.index(PULL)]
    results = [CaseResult(True, (("hollow", float(v), "mm", bool(v < 2.0)),)) for v in value]
    share = summed_up(points, results).shares[0]
    assert share.passes == pytest.approx(0.5, abs=0.05)
    assert share.drivers[0][0] == TIMBER
    assert share.drivers[0][1] < -0.95


def test_an_open_line_to_a_cluster_is_refused() -> None:
    assert [f.code for f in study_faults(cases=64, processes=0, cluster="tcp://shop.example:8786")] == [
        "study-cluster"
    ]
    assert study_faults(cases=64, processes=0, cluster="tcp://127.0.0.1:8786") == ()
    assert study_faults(cases=64, processes=0, cluster="tls://shop.example:8786") == ()
    assert len(study_faults(cases=3, processes=-1, cluster="ftp://x")) == 3
