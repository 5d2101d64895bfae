"""``longpoint press`` on plain numbers."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from longpoint.cli.entry import app
from longpoint.errors import FaultsError

RUN = CliRunner()


@pytest.mark.slow
def test_proposal_and_answer_fit_together() -> None:
    work = ["press", "--width", "1.13 m", "--height", "870", "--upright-rail", "561", "--json"]
    plan = json.loads(RUN.invoke(app, work).stdout)
    dips = {row["tension"]: row["dip"] for row in plan["expected"]}
    assert abs(plan["x"] - 561) > 10 + 30
    place = ["--x", str(plan["x"]), "--y", str(plan["y"]), "--mass", str(plan["mass"])]
    answer = json.loads(RUN.invoke(app, [*work, *place, "--dip", f"{dips[200]} mm"]).stdout)
    assert answer["tension"] == pytest.approx(200, rel=0.01)
    assert answer["from"] < 200 < answer["to"]
    assert answer["verdict"] == "right"


def test_all_faults_of_a_call_are_told_at_once() -> None:
    call = ["press", "--width", "big", "--height", "870", "--state", "wet", "--dip", "4"]
    result = RUN.invoke(app, call)
    assert isinstance(result.exception, FaultsError)
    assert [fault.where.key for fault in result.exception.faults] == ["--width", "--state", "--mass"]
