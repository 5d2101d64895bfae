"""Whether raw cloth is pulled only snug: where water will tighten it, and nowhere else."""

from __future__ import annotations

import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch


def planned(fibre: str, *, wished: int = 200) -> Plan:
    text = f"""
[cloth]
tension_left = {wished}
[[work]]
name = "Weir"
width = 397
height = 311
[[roll]]
name = "duck"
width = 2100
state = "raw"
fibre = "{fibre}"
"""
    return plan_batch(parse_batch(text), choose=design_of, rehearsing=False)


@pytest.mark.parametrize("fibre", ["cotton", "linen"])
def test_cotton_and_linen_are_pulled_snug_and_left_to_the_water(fibre: str) -> None:
    plan = planned(fibre)
    canvas = plan.works[0].canvas
    assert canvas.wetting is not None
    assert canvas.wetting.reached.high > 0.2  # N/mm: the wish can be reached
    assert "snug-before-water" in {caution.code for caution in plan.cautions}


def test_polyester_hardly_shrinks_and_is_pulled_to_the_wish() -> None:
    plan, cotton = planned("polyester"), planned("cotton")
    canvas = plan.works[0].canvas
    assert canvas.wetting is None
    codes = {caution.code for caution in plan.cautions}
    assert "water-adds-little" in codes
    assert "snug-before-water" not in codes
    assert canvas.pull.tension > 2 * cotton.works[0].canvas.pull.tension


def test_where_the_wish_is_small_enough_water_may_do_it_even_on_polyester() -> None:
    assert planned("polyester", wished=100).works[0].canvas.wetting is not None
