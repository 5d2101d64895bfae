"""Looking without writing, and examples that travel with the program."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from longpoint.cli.entry import app
from longpoint.errors import FaultsError

runner = CliRunner()
BATCH = 'unit = "mm"\n[[work]]\nname = "Reeds"\nwidth = 700\nheight = 500\n'


@pytest.mark.slow
def test_look_says_what_is_made_and_writes_nothing(tmp_path: Path) -> None:
    batch = tmp_path / "b.toml"
    batch.write_text(BATCH)
    result = runner.invoke(app, ["look", str(batch)])
    assert result.exit_code == 0
    assert "Reeds" in result.stdout and "proven least" in result.stdout
    assert [path.name for path in tmp_path.iterdir()] == ["b.toml"]


def test_every_example_is_listed_and_can_be_copied_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    listed = runner.invoke(app, ["examples"]).stdout
    shelf = Path(__file__).parents[2] / "examples"
    names = [path.stem for path in shelf.glob("*.toml") if not path.name.startswith("replan-")]
    assert names and all(name in listed for name in names)
    for name in names:
        assert runner.invoke(app, ["examples", name]).exit_code == 0
        assert (tmp_path / f"{name}.toml").read_bytes() == (shelf / f"{name}.toml").read_bytes()
    again = runner.invoke(app, ["examples", names[0]])
    assert isinstance(again.exception, FaultsError) and "is there already" in str(again.exception)
    wrong = runner.invoke(app, ["examples", "nope"])
    assert isinstance(wrong.exception, FaultsError) and "no example" in str(wrong.exception)
