"""How many sheets a bench pack takes, and that none of them is nearly empty."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from export.counting import sheets
from longpoint.choosing.chooser import ComputedChooser
from longpoint.drawing.paper.pages import A4, LETTER, Paper
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow

ONE = """
title = "One"
[bars]
depth = 44
bevel = 6
[[work]]
name = "Slack water"
width = 1700
height = 1200
"""


@cache
def computed() -> Plan:
    return plan_batch(parse_batch(ONE, file="t.toml"), choose=ComputedChooser())


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_single_work_takes_fourteen_sheets_none_nearly_empty(
    unit: str, language: str, paper: Paper
) -> None:
    plan = computed()
    plan = replace(plan, batch=plan.batch.model_copy(update={"show": unit}))
    made = sheets(plan, language, paper)
    assert len(made) <= 14, made
    assert min(share for _, share in made) > 0.28, made
