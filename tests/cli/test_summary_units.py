"""On the screen, too, figures are in the reader's units: timber by its length, masses and forces with their pounds."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from longpoint.cli.entry import app


@pytest.mark.slow
@pytest.mark.parametrize(("unit", "boards"), [("mm", "1 to buy), 2.40 m,"), ("in", "1 to buy), 7.87 ft,")])
def test_unpriced_boards_are_counted_in_the_readers_unit(unit: str, boards: str, tmp_path: Path) -> None:
    file = tmp_path / "b.toml"
    file.write_text(
        f'unit = "{unit}"\n[[work]]\nname = "A"\nwidth = "400 mm"\nheight = "300 mm"\n'
        '[[yard]]\nname = "strip"\nthickness = "21 mm"\ndepth = "44 mm"\nlengths = ["2400 mm"]\n'
    )
    assert boards in CliRunner().invoke(app, ["look", str(file)]).stdout


@pytest.mark.slow
@pytest.mark.parametrize(("unit", "pounds"), [("mm", False), ("in", True)])
def test_a_table_of_limits_has_pounds_for_readers_of_inches(unit: str, pounds: bool, tmp_path: Path) -> None:
    file = tmp_path / "b.toml"
    file.write_text(f'unit = "{unit}"\n[[work]]\nname = "A"\nwidth = "400 mm"\nheight = "300 mm"\n')
    answer = CliRunner().invoke(app, ["check", str(file)]).stdout
    (mass,) = [line for line in answer.splitlines() if line[2:].startswith("Mass ")]
    assert re.search(r"\d lb", mass) is not None if pounds else "lb" not in answer
