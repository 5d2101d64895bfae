"""Long lists of cloth: laid in parts, priced by classes of like sizes; what is said of them holds."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from longpoint.cutting.cloth.check import check_cloth_plan
from longpoint.cutting.cloth.problem import ClothPiece, ClothProblem, ClothRoll
from longpoint.cutting.cloth.search import plan_cloth
from longpoint.cutting.lay.exact import bound
from longpoint.cutting.lay.ground import Ground, Stock, Want


def sizes(count: int, seed: int) -> list[tuple[int, int]]:
    random = np.random.default_rng(seed)
    return [(int(a), int(b)) for a, b in random.integers(300, 1700, (count, 2))]


@pytest.fixture(scope="module")
def long_problem() -> ClothProblem:
    pieces = tuple(ClothPiece(f"p{k}", a, b, count=1 + k % 2) for k, (a, b) in enumerate(sizes(160, 1)))
    return ClothProblem(pieces=pieces, rolls=(ClothRoll("roll", width=2100, price=Decimal(9)),))


def test_a_long_list_is_laid_whole_and_its_bound_holds(long_problem: ClothProblem) -> None:
    plan = plan_cloth(long_problem, effort=400)
    assert check_cloth_plan(long_problem, plan) == ()
    assert len(plan.laid) == 240
    area = sum(piece.across_warp * piece.along_warp * piece.count for piece in long_problem.pieces)
    assert area / 2100 <= plan.used_at_least <= plan.used <= 1.12 * area / 2100


@pytest.mark.parametrize("harm", ["moved", "twice", "another sheet"])
def test_the_referee_sees_a_fault_deep_in_a_long_lay(long_problem: ClothProblem, harm: str) -> None:
    plan = plan_cloth(long_problem, effort=1)
    order = sorted(range(len(plan.laid)), key=lambda at: plan.laid[at].y)
    one, other = order[120], order[125]
    laid, cuts = list(plan.laid), list(plan.cuts)
    if harm == "moved":
        laid[one] = replace(laid[one], x=laid[other].x, y=laid[other].y + 1)
        wanted = "overlap"
    elif harm == "twice":
        cuts.insert(121, cuts[120])
        wanted = "goes through a sheet that is not there"
    else:
        cuts[120] = replace(cuts[120], y=cuts[120].y + 0.5)
        wanted = "goes through a sheet that is not there"
    said = [
        fault.what
        for fault in check_cloth_plan(long_problem, replace(plan, laid=tuple(laid), cuts=tuple(cuts)))
    ]
    assert any(wanted in what for what in said)


@pytest.mark.parametrize("turning", [False, True])
def test_classes_of_like_sizes_prove_nearly_what_each_size_does(
    monkeypatch: pytest.MonkeyPatch, turning: bool
) -> None:
    wants = tuple(Want(a, b, 1, turning) for a, b in sizes(60, 3) if a > 700 or turning)
    ground = Ground(wants, (Stock(2100),))
    each, _ = bound.least_length(ground)
    monkeypatch.setattr(bound, "MOST_KINDS", 10)
    monkeypatch.setattr(bound, "CLASSES", 25)
    classed, worths = bound.least_length(ground)
    assert len(worths) == len(wants)
    assert bound.area_length(ground) <= classed <= each + 1
    assert classed >= 0.97 * each
