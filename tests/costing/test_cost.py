"""Cost and price: margin and markup are told apart, sums agree to the cent, and an hour earns what is left."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from pytest import approx

from longpoint.costing.cost import (
    CostSheet,
    WorkCost,
    cost_sheet,
    markup_of,
    price_with_margin,
    shared_out,
    work_cost,
)


def work(name: str, *, how_many: int = 1, timber: str = "40.10", hours: float = 3.0) -> WorkCost:
    return work_cost(
        work=name,
        how_many=how_many,
        timber=Decimal(timber),
        cloth=Decimal("21.35"),
        sundries=Decimal("4.87"),
        hours=hours,
        per_hour=24.0,
        overhead=0.2,
        waste=0.05,
    )


def sheet(margin: float = 0.25) -> CostSheet:
    return cost_sheet([work("Reeds"), work("Marsh", how_many=3, timber="77.77")], margin=margin, missing=())


def test_a_margin_is_no_markup() -> None:
    cost = Decimal("343.45")
    assert price_with_margin(cost, margin=0.30) == Decimal("490.64")
    assert cost * Decimal("1.30") == Decimal("446.485")  # as a markup the same share asks less
    assert markup_of(0.25) == approx(1 / 3)
    assert markup_of(0) == 0
    assert float(cost) * (1 + markup_of(0.30)) == approx(490.64, abs=0.005)


def test_parts_add_up_to_the_cost_and_prices_to_what_is_asked() -> None:
    found = sheet()
    for one in found.works:
        parts = (one.timber, one.cloth, one.sundries, one.waste, one.labour, one.overhead)
        assert sum(parts) == one.total
    assert found.total == sum(one.total for one in found.works)
    assert found.asked == found.price_of(found.works[0]) + 3 * found.price_of(found.works[1])


def test_an_hour_earns_what_all_else_leaves() -> None:
    found = sheet()
    labour = sum(one.labour for one in found.works)
    at_cost = found.earned_per_hour(found.total)
    assert at_cost == (labour / 6).quantize(Decimal("0.01")) == Decimal("24.00")
    assert found.earned_per_hour(found.total - labour) == 0
    asked = found.earned_per_hour(found.asked)
    assert asked is not None
    assert asked > 24
    idle = cost_sheet([work("Reeds", hours=0.0)], margin=0.25, missing=())
    assert idle.earned_per_hour(idle.asked) is None


@pytest.mark.parametrize("seed", range(5))
def test_shares_add_up_to_the_cent_and_none_is_a_cent_off(seed: int) -> None:
    random = np.random.default_rng(seed)
    for _ in range(200):
        total = Decimal(int(random.integers(0, 100_000))) / 100
        weights = {
            str(k): float(weight) for k, weight in enumerate(random.uniform(0, 9, int(random.integers(1, 9))))
        }
        shares = shared_out(total, weights)
        assert sum(shares.values()) == total
        whole = sum(weights.values())
        for name, share in shares.items():
            assert abs(float(share) - float(total) * weights[name] / whole) < 0.01
