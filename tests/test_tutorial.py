"""What the pages say of their files: one timber serves, 1x2 is read as it measures, timber that came counts."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from longpoint.choosing.chooser import ComputedChooser
from longpoint.drawing.words.own_words import sentence_of
from longpoint.drawing.words.voice import voice_of
from longpoint.errors import FaultsError
from longpoint.export.rows.money import buy_row
from longpoint.export.rows.plan import plan_json
from longpoint.jobs.plan import Plan, plan_batch
from longpoint.model.reading import parse_batch

DOCS = Path(__file__).parents[1] / "docs"
FILES = {
    found[1]: found[2]
    for page in ("tutorial.md", "inches.md", "class.md")
    for found in re.finditer(
        r"```toml\n# ([a-z .]+?)(?:\.toml)?\n(.*?)```", (DOCS / page).read_text(encoding="utf-8"), re.DOTALL
    )
}
"""Files of the pages; where a page writes one twice, as it stands in the end."""


def planned(name: str) -> Plan:
    return plan_batch(parse_batch(FILES[name]), choose=ComputedChooser())


@pytest.mark.slow
def test_one_metric_timber_serves_for_everything() -> None:
    plan = planned("first")
    design = plan.works[0].designed.design
    assert (design.bar_thickness, design.bar_depth) == (18, 44)
    assert {section.section.assumed for section in plan.boards} == {False}
    assert len(plan.boards) == 1  # bars and rails share boards
    said = next(
        sentence_of(caution, voice_of()) for caution in plan.cautions if caution.code == "design-assumed"
    )
    assert "bars 44 mm deep, 18 mm thick" in said
    assert "plain mitres" not in said or design.end_rails
    assert "design-assumed" in plan_json(plan).decode()
    assumed = {line.group for line in plan.buying if "assumed" in buy_row(line).note}
    assert {"screws", "cloth", "staples", "glue", "primer", "hangers"} <= assumed
    assert "timber" not in assumed


@pytest.mark.slow
def test_one_american_timber_by_its_name() -> None:
    plan = planned("inches")
    design = plan.works[0].designed.design
    assert [float(side / 25.4) for side in (design.bar_thickness, design.bar_depth)] == pytest.approx(
        [0.75, 1.5]
    )
    assert plan.batch.paper == "Letter"
    codes = {caution.code for caution in plan.cautions}
    assert {"nominal-read", "design-assumed"} <= codes
    assert not any(" mm" in buy_row(line).what for line in plan.buying)
    assert any(buy_row(line).what.startswith("screw No. ") for line in plan.buying)
    assert any(line.unit == "yd" for line in plan.buying if line.group == "cloth")


def test_another_unit_is_asked_about() -> None:
    with pytest.raises(FaultsError) as caught:
        parse_batch(FILES["asked"])
    (fault,) = caught.value.faults
    assert fault.code == "which-unit"
    assert "17 m" in fault.remedy
    parse_batch(FILES["asked"].replace("= 17", '= "17 m"').replace("= 12", '= "12 m"'))


@pytest.mark.slow
def test_two_timbers_and_what_they_really_measure() -> None:
    before = planned("two")
    after = plan_batch(parse_batch(FILES["two"] + FILES["more for two"]), choose=ComputedChooser())
    assert float(before.works[0].designed.design.bar_depth) == 44
    assert float(after.works[0].designed.design.bar_depth) == 43.5


@pytest.mark.slow
def test_money_of_the_class_is_what_its_plan_says() -> None:
    plan = planned("class")
    paid: dict[str, Fraction] = {}
    for line in plan.buying:
        if line.total is not None and line.group != "advised":
            paid[line.group] = paid.get(line.group, Fraction(0)) + Fraction(line.total)
    said = {
        found[1].strip(): (found[2], found[3])
        for found in re.finditer(
            r"^\| \**([a-z ]+)[^|]*\| \**([\d.]+)\** \| \**([\d.]+)\** \|$",
            (DOCS / "class.md").read_text(encoding="utf-8"),
            re.MULTILINE,
        )
    }
    hardware = paid["screws"] + paid["glue"] + paid["staples"]
    for row, money in {
        "timber": paid["timber"],
        "cloth": paid["cloth"],
        "screws": hardware,
        "primer": paid["primer"],
        "hangers": paid["hangers"],
        "to pay at the till": sum(paid.values()),
        "of that used up by the twelve works": plan.cost.total,
    }.items():
        assert said[row] == (f"{float(money):.2f}", f"{float(money) / 12 + 1e-9:.2f}"), row
