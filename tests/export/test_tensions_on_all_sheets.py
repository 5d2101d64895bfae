"""Every tension on every sheet of a work is one of its stages, of its frame's solve, or of a limit.

Two works are read through, in pack and reasons: raw cotton that water tightens, oil-primed linen pulled to the wish.
"""

from __future__ import annotations

import re
import subprocess
from functools import cache
from pathlib import Path

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.drawing.paper.pages import A4
from longpoint.drawing.sheets.stages_table import rough
from longpoint.drawing.words.voice import voice_of
from longpoint.export.packs.pack_of import pack_of
from longpoint.export.packs.reasons_of import reasons_of
from longpoint.export.typeset.pack import pack_pdf
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch
from longpoint.needs.planned import PlannedWork

pytestmark = pytest.mark.slow

BATCH = """
title = "Story"
as_stated = true
[[work]]
name = "Mole"
width = 900
height = 700
[[yard]]
name = "strip"
thickness = 21
depth = 44
lengths = [2400, 3000]
[[roll]]
name = "cloth"
width = 2100
mass = 320
fibre = "{fibre}"
state = "{state}"
"""

STAGES = {
    "stapled": ("Last staple in", "Pulled snug, last staple in"),
    "settled": ("Settled, after some days",),
    "again": ("Pulled again, to the wish",),
    "dry": ("Dry after size or primer",),
    "driest air": ("Driest air of the year",),
    "dampest air": ("Dampest air of the year",),
}
KINDS = [("cotton", "raw"), ("linen", "oil-primed")]
NUMBER = r"(\d{1,3}(?: \d{3})+|\d+)"


@cache
def planned(fibre: str, state: str) -> Plan:
    batch = parse_batch(BATCH.format(fibre=fibre, state=state))
    return plan_batch(batch, choose=ComputedChooser(), rehearsing=True)


@cache
def text(fibre: str, state: str, folder: Path, *how: str) -> str:
    """Both packs in words, ``-layout`` for rows of tables."""
    plan, say = planned(fibre, state), voice_of("en")
    found = []
    for pack in (pack_of(plan, say=say, paper=A4), reasons_of(plan, say=say, paper=A4)):
        pdf = folder / "p.pdf"
        pdf.write_bytes(pack_pdf(pack, paper=A4))
        done = subprocess.run(["pdftotext", *how, str(pdf), "-"], check=True, capture_output=True, text=True)
        found.append(done.stdout)
    return re.sub(r"[\u202f\u00a0]", " ", "\n".join(found))


def value(words: str) -> int:
    return int(words.replace(" ", ""))


def shown(tension: float) -> int:
    return value(re.sub(r"[\u202f\u00a0]", "", rough(tension, voice_of("en"))))


def work_of(fibre: str, state: str) -> PlannedWork:
    (work,) = planned(fibre, state).works
    assert work.strength is not None
    return work


@pytest.mark.parametrize(("fibre", "state"), KINDS)
def test_the_table_of_stages_is_the_same_wherever_it_stands(fibre: str, state: str, tmp_path: Path) -> None:
    work, words = work_of(fibre, state), text(fibre, state, tmp_path, "-layout")
    names = [stage.name for stage in work.canvas.story.stages]
    assert names[:2] == (["stapled", "dry"] if state == "raw" else ["stapled", "settled"])
    for stage in work.canvas.story.stages:
        row = rf"(?:{'|'.join(STAGES[stage.name])})\s+{NUMBER}\s+{NUMBER}\s+{NUMBER} "
        rows = re.findall(row, words)
        assert len(rows) >= 2, (stage.name, row)
        wanted = [shown(one) for one in (stage.tension.low, stage.tension.middle, stage.tension.high)]
        assert all([value(one) for one in found] == wanted for found in rows), (stage.name, rows, wanted)


@pytest.mark.parametrize(("fibre", "state"), KINDS)
def test_sentences_say_the_figures_of_the_stages(fibre: str, state: str, tmp_path: Path) -> None:
    work = work_of(fibre, state)
    flat = re.sub(r"\s+", " ", text(fibre, state, tmp_path))
    rows = re.sub(r"\s+", " ", text(fibre, state, tmp_path, "-layout"))
    story = work.canvas.story
    (peak, most), *others = re.findall(rf"likely {NUMBER} N/m, at most {NUMBER} N/m \(estimate\)", flat)
    assert others == []
    assert (value(peak), value(most)) == (shown(story.peak), shown(story.most))
    near = re.findall(rf"should come out near {NUMBER} N/m", flat)
    assert {value(one) for one in near} == {shown(story.left.middle)}
    ranges = re.findall(rf"anything from {NUMBER} (?:N/m )?to\D{{0,40}}{NUMBER} N/m \(estimate\)", flat)
    assert ranges
    assert {tuple(map(value, one)) for one in ranges} == {(shown(story.left.low), shown(story.left.high))}
    for when, name in (("driest", "driest air"), ("dampest", "dampest air")):
        found = re.findall(rf"{when}, \d+ %, [\d−]+ °C {NUMBER} {NUMBER}–", rows)
        assert found
        assert {value(one) for one, _ in found} == {shown(story.at(name).middle)}  # type: ignore[arg-type]


@pytest.mark.parametrize(("fibre", "state"), KINDS)
def test_no_sheet_says_a_tension_that_none_of_its_sources_has(fibre: str, state: str, tmp_path: Path) -> None:
    work, words = work_of(fibre, state), text(fibre, state, tmp_path)
    assert work.strength is not None
    known = {
        shown(one)
        for stage in work.canvas.story.stages
        for one in (stage.tension.low, stage.tension.middle, stage.tension.high)
    }
    about_tension = ("tension", "bears", "year")
    for verdict in work.strength.verdicts:
        if verdict.key.startswith(about_tension):
            ends = (verdict.value, verdict.low, verdict.high, verdict.limit)
            known |= {shown(one) for one in ends if one is not None}
            known |= {shown(number) for _, number in verdict.numbers if isinstance(number, float)}
    found = re.findall(rf"buckle out of flat at {NUMBER} N/m", re.sub(r"\s+", " ", words))
    known |= {value(one) for one in found}  # far beyond any stage; held by its own tests
    assert work.canvas.press is not None
    known |= {shown(tension) for tension, _ in work.canvas.press.expected}
    for case in work.strength.cases.answers:
        known |= {shown(one) for one in (*case.mean, case.lowest, case.highest)}
    drawn = work.strength.cases.likely.tension
    each = 500 * (drawn.along_x + drawn.along_y)
    known |= {round(float(each.min())), round(float(each.max()))}  # named on the map, beside its scale's unit
    from_tables = {50, 80, 200, 340, 1000}  # named tensions of the tables, and how a unit is told
    said = {value(one) for one in re.findall(rf"(?<![\d.,–-]){NUMBER} N/m", re.sub(r"\s+", " ", words))}
    assert said
    year = re.findall(rf"anything from {NUMBER} to {NUMBER} N/m would", re.sub(r"\s+", " ", words))
    known |= {
        value(one) for pair in year for one in pair
    }  # from which the year still stays within its limits
    assert said <= known | from_tables, said - known - from_tables
