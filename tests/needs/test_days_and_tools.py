"""The days of a batch replayed with a clock in hand, and tools counted again from joints and days."""

from __future__ import annotations

from functools import cache

import jsonschema
import pytest

from longpoint.export.rows.plan import plan_document, plan_schema
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch
from longpoint.needs.days import BenchDays, days_of
from longpoint.needs.hours import stages_of
from longpoint.needs.tools import CLAMPS_A_FRAME, CLAMPS_AT_THE_CORNER, filler_grams, tools_of

pytestmark = pytest.mark.slow

BATCH = """
title = "Three"
[bars]
depth = 44
bevel = 5
thickness = 21
[[work]]
name = "Slack water"
width = 1307
height = 893
how_many = 2
[[work]]
name = "Reeds"
width = 611
height = 1003
how_many = 5
[[work]]
name = "Study"
width = 303
height = 211
[glue]
set_minutes = 75
[shop]
hours_a_day = {day}
"""


@cache
def plan(day: float) -> Plan:
    return plan_batch(parse_batch(BATCH.format(day=day), file="t.toml"))


def days(day: float) -> BenchDays:
    return days_of(plan(day).batch, plan(day).works)


@pytest.mark.parametrize("day", [3.0, 7.0])
def test_every_stage_of_every_copy_is_done_once_and_the_hours_are_those_of_the_cost(day: float) -> None:
    made, found = plan(day), days(day)
    done: dict[str, int] = {}
    for one in found.days:
        for task in one.tasks:
            for code, count in task.works:
                done[code] = done.get(code, 0) + count
    for work in made.works:
        assert done[work.code] == (len(stages_of(made.batch.shop, made.batch.glue, work)) - 1) * work.how_many
    assert found.hours == pytest.approx(sum(one.minutes for one in found.days) / 60)
    assert found.hours == pytest.approx(made.cost.hours.middle, abs=0.02)


@pytest.mark.parametrize("day", [3.0, 7.0])
def test_no_day_is_longer_than_it_may_be_and_nothing_comes_before_its_time(day: float) -> None:
    found = days(day)
    longest = max(
        stage.minutes
        for work in plan(day).works
        for stage in stages_of(plan(day).batch.shop, plan(day).batch.glue, work)
    )
    for one in found.days:
        assert one.minutes <= (one.last - one.first + 1) * max(60 * day, longest) + 1e-6
    seen: dict[str, dict[tuple[str, int], tuple[int, int]]] = {}
    for one in found.days:
        for task in one.tasks:
            for code, _ in task.works:
                first, _ = seen.setdefault(code, {}).setdefault((task.kind, task.coat), (one.first, one.last))
                seen[code][task.kind, task.coat] = (first, one.last)
    for code, stages in seen.items():
        # glue stands for a day and night before anything is stretched: not on the day the frame was finished
        assert stages["stretch", 0][0] > stages["inside", 0][0], code
        assert stages["coat", 3][1] >= stages["coat", 2][0] >= stages["coat", 1][0] >= stages["stretch", 0][0]
    # a day and night at least between the last coat and the brush
    assert found.ready > max(one.last for one in found.days)


def test_short_days_take_more_of_them() -> None:
    assert days(3.0).ready > days(7.0).ready


def test_waits_are_the_batch_s_own() -> None:
    waits = {(wait.after, wait.last): wait for wait in days(7.0).waits}
    assert waits["corners", False].low == pytest.approx(75 / 60)
    assert waits["frame", False].low == 24
    assert waits["coat", False].low == 6
    assert (waits["coat", True].low, waits["coat", True].high) == (24, 72)


def test_tools_are_counted_from_joints_and_days() -> None:
    made, found = plan(7.0), days(7.0)
    tools = {tool.key: tool for tool in tools_of(made.batch, made.works, found)}
    setting = max(one.clamped for one in found.days)
    assert setting >= 2  # while one sets the next is glued
    assert tools["clamps"].count == CLAMPS_A_FRAME * setting + CLAMPS_AT_THE_CORNER
    fixings = [f for work in made.works for joint in work.build.joints for f in joint.fixings]
    assert set(tools["clearance-bits"].sizes) == {round(float(f.clearance_hole), 2) for f in fixings}
    assert set(tools["pilot-bits"].sizes) == {round(float(f.pilot_hole), 2) for f in fixings}
    assert tools["tape"].sizes[0] == pytest.approx((1307**2 + 893**2) ** 0.5)
    assert set(tools["packers"].sizes) == {
        float(work.frame.design.gap) for work in made.works if work.frame.design.has_rails
    }
    assert "spanners" not in tools
    heads = {
        work.code: sum(f.under_canvas for joint in work.build.joints for f in joint.fixings)
        for work in made.works
    }
    assert filler_grams(made.works) == pytest.approx(
        sum(0.4 * heads[work.code] * work.how_many for work in made.works), abs=0.1 * len(made.works) * 5
    )


def test_days_and_tools_stand_in_the_plan_as_json() -> None:
    made, found = plan(7), days(7)
    document = plan_document(made).model_dump(mode="json")
    jsonschema.validate(document, plan_schema())
    rows = document["days"]
    assert rows["ready"] == found.ready
    assert [(row["first"], row["last"], round(60 * row["hours"])) for row in rows["days"]] == [
        (day.first, day.last, pytest.approx(day.minutes, abs=3.1)) for day in found.days
    ]
    glued = sum(
        task["works"].get("A", 0)
        for row in rows["days"]
        for task in row["tasks"]
        if task["kind"] == "corners"
    )
    assert glued == 2  # both copies of the first work
    tools = tools_of(made.batch, made.works, found)
    assert {row["key"]: row["count"] for row in document["tools"]} == {one.key: one.count for one in tools}
