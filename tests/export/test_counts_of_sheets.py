"""How many sheets a bench pack takes, and that none of them is nearly empty."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.drawing.paper.pages import A4, LETTER, Paper
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.fitting import fills_of, settings_for
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.typeset.pack_source import groups_of
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow

EXAMPLES = Path(__file__).parents[2] / "examples"

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


def sheets(plan: Plan, language: str, paper: Paper) -> list[tuple[str, float]]:
    """Every sheet but the last of each run of pages counts as full: (first page's key, share used)."""
    pack = pack_of(plan, say=voice_of(language, plan.batch.style), paper=paper)
    settings = settings_for(pack, paper=paper)
    fills = fills_of(pack, paper=paper, settings=settings)
    found = []
    for group in groups_of(fills, settings):
        count = sum(fills[number].sheets for number in group) - len(group) + 1
        key = " + ".join(pack.pages[number].key for number in group)
        found += [(key, 1.0)] * (count - 1) + [(key, fills[group[-1]].last)]
    return found


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


@cache
def planned(name: str) -> Plan:
    text = (EXAMPLES / f"{name}.toml").read_text(encoding="utf-8")
    return plan_batch(parse_batch(text, file=f"{name}.toml"))


@pytest.mark.parametrize(
    ("name", "language", "most"),
    [
        pytest.param("winter-show", "en", 28, marks=pytest.mark.xdist_group("winter-show")),
        pytest.param("winter-show", "de", 28, marks=pytest.mark.xdist_group("winter-show")),
        pytest.param("sixty-works", "en", 90, marks=pytest.mark.xdist_group("sixty-works")),
        pytest.param("sixty-works", "de", 90, marks=pytest.mark.xdist_group("sixty-works")),
    ],
)
def test_a_show_and_sixty_works_keep_to_their_counts(name: str, language: str, most: int) -> None:
    made = sheets(planned(name), language, A4)
    assert len(made) <= most, made
    thin = [one for one in made if one[1] < 0.18]
    assert not thin, thin
