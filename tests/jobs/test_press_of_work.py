"""The press test of a work of the demo: the printed page and the command have one source, and the way back is exact."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from longpoint.choosing.by_rule import design_of
from longpoint.cli.entry import app
from longpoint.errors import FaultsError
from longpoint.model.reading import parse_batch
from longpoint.works.draft import CanvasWork, canvas_work

DEMO = Path(__file__).parents[2] / "examples" / "winter-show.toml"
WORK = "Standing figure"
RUN = CliRunner()


@cache
def found() -> CanvasWork:
    return canvas_work(parse_batch(DEMO.read_bytes()), WORK, choose=design_of)


@cache
def pressed(*options: str) -> dict[str, Any]:
    result = RUN.invoke(app, ["press", str(DEMO), "--work", WORK, "--by-rule", "--json", *options])
    assert result.exit_code == 0, result.exception
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


@pytest.mark.slow
def test_the_command_proposes_what_the_plan_prints() -> None:
    plan, said = found().canvas.press, pressed()
    assert plan is not None
    assert (said["x"], said["y"], said["mass"]) == (round(plan.x, 1), round(plan.y, 1), 1000 * plan.mass)
    assert [(row["tension"], row["dip"]) for row in said["expected"]] == [
        (round(1000 * tension), round(dip, 4)) for tension, dip in plan.expected
    ]


@pytest.mark.slow
def test_the_proposed_place_lies_in_a_bay_and_the_dip_stays_clear_of_the_rails() -> None:
    plan, work = found().canvas.press, found()
    assert plan is not None
    for member in work.frame.members:
        if member.axis == "y":
            assert (
                abs(plan.x - float(member.centre)) - float(member.thickness) / 2
                >= plan.pad / 2 + plan.clear - 0.1
            )
    assert plan.expected[1][1] < float(work.frame.design.gap)


@pytest.mark.slow
@pytest.mark.parametrize(("tension", "mass", "deep"), [(200, None, False), (35, 250, True)])
def test_tension_to_dip_to_tension_comes_back_within_a_percent(
    tension: float, mass: float | None, deep: bool
) -> None:
    laid = [] if mass is None else ["--mass", str(mass)]
    said = pressed("--tension", str(tension), *laid)
    dip = next(row["dip"] for row in said["expected"] if row["tension"] == tension)
    answer = pressed(
        "--dip", f"{dip} mm", "--mass", str(said["mass"]), "--x", str(said["x"]), "--y", str(said["y"])
    )
    assert answer["tension"] == pytest.approx(tension, rel=0.01)
    assert answer["from"] < tension < answer["to"]
    # where the dip is deep the formula for small dips misses by far: the way back is not the same formula turned round
    plain = found().canvas.bench.answer(
        x=said["x"], y=said["y"], mass=said["mass"] / 1000, pad=60.0, deep=dip
    )
    assert (plain.small_answer / plain.tension > 1.25) is deep


def test_numbers_that_the_batch_knows_are_refused_beside_it() -> None:
    call = ["press", str(DEMO), "--width", "900", "--state", "raw", "--mass", "0"]
    result = RUN.invoke(app, call)
    assert isinstance(result.exception, FaultsError)
    assert {fault.where.key for fault in result.exception.faults} == {
        "--width",
        "--state",
        "--mass",
        "--work",
    }


def test_a_work_that_the_batch_does_not_have_is_named_with_the_nearest() -> None:
    result = RUN.invoke(app, ["press", str(DEMO), "--work", "Standing figur", "--by-rule"])
    assert isinstance(result.exception, FaultsError)
    assert "Standing figure" in result.exception.faults[0].remedy
