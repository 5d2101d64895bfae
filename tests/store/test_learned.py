"""What was measured here becomes a default where it is asked for and nothing is stated, always with its number."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from longpoint.choosing.by_rule import design_of
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import plan_batch
from longpoint.model.reading import parse_batch
from longpoint.store import Store
from longpoint.store.book.compare import compared
from longpoint.store.book.learned import estimate, factors_measured, learned, with_learned
from longpoint.store.book.plans import add_plan
from longpoint.store.book.values import measure
from longpoint.store.rack.for_plan import MOST, with_rack
from longpoint.store.rack.stock import put, take
from store.making import RACK, board, cloth, fill


@pytest.mark.parametrize("values", [[3.0], [1.0, 9.0], [2.0, 7.0, 4.0], [5.0, 1.0, 8.0, 2.5, 40.0]])
def test_medians_and_quartiles_are_those_of_numpy(values: list[float]) -> None:
    """Against numpy's percentile, method "linear"."""
    found = estimate("mass", "", values)
    assert (found.low, found.median, found.high) == tuple(np.percentile(values, [25, 50, 75]))
    assert found.count == len(values)


def test_a_cloth_measured_often_enough_is_used_where_nothing_is_stated(lite: Store) -> None:
    batch = parse_batch(RACK)
    with lite.writing("Mara") as desk:
        put(desk, [cloth(cloth="linen 340", fibre="linen")])
        for value in (300.0, 340.0):
            measure(desk, "water tension", value, about="linen 340")
        assert with_learned(desk, batch) == (batch, ())  # two readings are no estimate
        measure(desk, "water tension", 310.0, about="linen 340")
        stated, used = with_learned(desk, batch)
        assert [(one.where, one.value, one.learned.count) for one in used] == [
            ("roll[1].water_tension", "310", 3)
        ]
        assert stated.roll[0].water_tension == 310.0
        assert "measured here, n = 3" in used[0].learned.words
        own = batch.model_copy(update={"roll": (batch.roll[0].model_copy(update={"water_tension": 200.0}),)})
        assert with_learned(desk, own) == (own, ())


def test_bends_of_a_yards_timber_are_given_to_its_boards_that_were_not_measured(lite: Store) -> None:
    with lite.writing("Mara") as desk:
        put(desk, [board(2000, crook=c, yard="North") for c in (4, 8, 6)])
        put(desk, [board(1000, yard="North"), board(1000, yard="South")])
        stated, _ = with_rack(desk, parse_batch(RACK))
        learnt, used = with_learned(desk, stated)
    by = {one.name: one.crook for one in learnt.rack}
    # 6 mm over 2 m is a circle's 1.5 mm over 1 m: bend grows with the square of length
    assert (by["B4"], by["B5"], by["B1"]) == (1.5, None, 4)
    assert [one.where.split(".")[1] for one in used] == ["crook"]


def test_hours_of_building_are_told_over_those_planned(lite: Store, document: dict[str, Any]) -> None:
    with lite.writing("Mara") as desk:
        add_plan(desk, document)
        does = document["costs"][0]["operations"]
        planned = sum(
            one["minutes"]["middle"] for one in does if one["kind"] in ("hole", "screw", "assemble")
        )
        for copy, times in (("W1", 1.5), ("W2", 1.0), ("W3", 2.0)):
            measure(desk, "hours build", 9.0, label=copy)
            value = measure(desk, "hours build", times * planned / 60 / 3, label=copy)  # the last one holds
            assert value.planned == pytest.approx(planned / 60 / 3)
        found = factors_measured(desk)["build"]
        assert found.count == 3 and found.median == pytest.approx(1.5)
        assert [one.what for one in learned(desk)] == ["hours build"]


def test_the_rack_goes_into_a_plan_but_what_others_keep(lite: Store, document: dict[str, Any]) -> None:
    batch = parse_batch(RACK)
    fill(lite)
    with lite.writing("Mara") as desk:
        put(desk, [board(1000, thickness=18)])
        add_plan(desk, {**document, "title": "Another"}, from_rack=True)
        found, left_out = with_rack(desk, batch)
        assert [one.name for one in found.rack] == ["B3"] and left_out == {}
        assert found.roll[0].name == "R1" and float(found.roll[0].length or 0) < 6000
    with lite.writing("Mara") as desk:
        own = batch.model_copy(update={"title": "Another"})
        assert [one.name for one in with_rack(desk, own)[0].rack] == ["B1", "B2", "O1", "B3"]
        take(desk, "B3")
        put(desk, [board() for _ in range(MOST + 5)])
        found, left_out = with_rack(desk, batch)
        assert len(found.rack) == MOST and left_out == {"21 × 44": 5}


def test_two_plans_are_told_apart_by_what_is_other(document: dict[str, Any]) -> None:
    import copy

    assert compared(document, document) == []
    other = copy.deepcopy(document)
    other["works"][0]["parts"][0]["long_point"] = 519.0
    other["costs"][0]["total"] = "99.00"
    other["boards"][0]["boards"][0]["cuts"].pop()
    assert [(one.about, one.what) for one in compared(document, other)] == [
        ("parts", "A1"),
        ("boards", "bars 21 × 44 mm: B1 no. 1"),
        ("costs", "Small, total"),
    ]


def test_measured_hours_and_amounts_change_the_next_plan_once(lite: Store, document: dict[str, Any]) -> None:
    batch = parse_batch(RACK)
    with lite.writing("Mara") as desk:
        add_plan(desk, document)
        for copy in ("W1", "W2", "W3"):
            measure(desk, "hours build", 1.2 * 0.857, label=copy)
            measure(desk, "staples", 66, label=copy)
        stated, used = with_learned(desk, batch)
    said = {one.where: (one.value, one.learned.count) for one in used}
    assert said == {"shop.factors.build": ("1.2", 3), "shop.factors.staples": ("1.1", 3)}
    before, after = (plan_batch(each, choose=design_of) for each in (batch, stated))
    built = [
        sum(
            one.minutes.middle
            for one in each.cost.works[0].operations
            if one.kind in ("hole", "screw", "assemble")
        )
        for each in (before, after)
    ]
    assert built[1] == pytest.approx(1.2 * built[0]) and after.cost.hours.middle > before.cost.hours.middle
    (need,) = (line.need for line in after.buying if line.group == "staples")
    assert need == 198
    # the plan that was made with it is held against the estimate without it: nothing is learned twice
    with lite.writing("Mara") as desk:
        add_plan(desk, json.loads(plan_json(after)))
        assert factors_measured(desk)["build"].median == pytest.approx(1.2, rel=0.01)
        own = batch.model_copy(update={"shop": stated.shop})
        assert with_learned(desk, own) == (own, ())


def test_a_measured_cloth_changes_the_tensions_of_the_next_plan(lite: Store) -> None:
    batch = parse_batch(RACK)
    with lite.writing("Mara") as desk:
        for stiff, shrinks in ((20_000, 0.011), (24_000, 0.012), (22_000, 0.012)):
            measure(desk, "stiffness", stiff, about="R1")
            measure(desk, "shrinkage", shrinks, about="R1")
        stated, used = with_learned(desk, batch)
    # two strips are a straight line: what keeps it from shrinking is shrinkage times stiffness
    assert (stated.roll[0].stiffness, stated.roll[0].water_tension) == (22_000.0, 264.0)
    assert {one.where for one in used} == {"roll[1].stiffness", "roll[1].water_tension"}
    before, after = (plan_batch(each, choose=design_of).works[0] for each in (batch, stated))
    assert after.cloth.settled.warp == pytest.approx(22.0)
    assert after.cloth.settled.weft / before.cloth.settled.weft == pytest.approx(
        22.0 / before.cloth.settled.warp
    )
    assert after.canvas.story.left.high < 0.6 * before.canvas.story.left.high
    assert after.canvas.press != before.canvas.press


def test_a_roll_of_the_rack_is_worth_what_it_cost_or_a_share_where_the_batch_has_prices(lite: Store) -> None:
    batch = parse_batch(RACK.replace('name = "R1"\nwidth', 'name = "shop"\nper_metre = 16.80\nwidth'))
    with lite.writing("Mara") as desk:
        put(desk, [cloth(), cloth(6000, cost="54"), cloth(per_metre="7.5")])
        rates = {roll.name: roll.rate for roll in with_rack(desk, batch)[0].roll}
        assert {name: float(rate or 0) for name, rate in rates.items()} == {
            "R1": 8.4, "R2": 9.0, "R3": 7.5, "shop": 16.8,
        }  # fmt: skip
        assert {roll.rate for roll in with_rack(desk, parse_batch(RACK))[0].roll} == {None}
