"""``longpoint new``: five questions, or five options."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from longpoint.cli import new as command
from longpoint.cli.entry import app
from longpoint.errors import FaultsError
from longpoint.model.answers import QUESTIONS
from longpoint.model.reading import parse_batch


def test_questions_are_asked_until_they_can_be_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = iter(["cm", "2.1 x 4.4, 2.1 x 2.8", "240, 360", "raw", "210 raw linen", "Reeds: 1.7 m x 120"])
    asked: list[str] = []

    def answer(question: str) -> str:
        asked.append(question)
        return next(answers)

    monkeypatch.setattr("builtins.input", answer)
    for stream in ("stdin", "stdout"):
        monkeypatch.setattr(f"sys.{stream}.isatty", lambda: True)
    command.new(tmp_path / "b.toml", unit="", timber="", lengths="", cloth="", work="", whole=False)
    assert len(asked) == len(QUESTIONS) + 1  # the cloth twice
    assert "says no width; write it first, as 210 raw cotton." in capsys.readouterr().out
    batch = parse_batch((tmp_path / "b.toml").read_text())
    assert (batch.unit, len(batch.yard), batch.roll[0].fibre, batch.work[0].name) == (
        "cm",
        2,
        "linen",
        "Reeds",
    )


def test_options_are_the_same_answers_and_are_refused_together(tmp_path: Path) -> None:
    file = tmp_path / "b.toml"
    with pytest.raises(FaultsError) as caught:
        CliRunner().invoke(
            app,
            ["new", str(file), "--timber", "strip", "--work", "17"],
            catch_exceptions=False,
            standalone_mode=False,
        )
    assert [fault.where.key for fault in caught.value.faults] == ["--timber", "--work"]
    assert not file.exists()
    done = CliRunner().invoke(app, ["new", str(file), "--unit", "in", "--timber", "1x2", "--lengths", "8 ft"])
    assert done.exit_code == 0
    assert parse_batch(file.read_text()).yard[0].nominal == "1x2"


def test_nobody_is_asked_where_nobody_can_answer(tmp_path: Path) -> None:
    done = CliRunner().invoke(app, ["new", str(tmp_path / "b.toml"), "--all"])
    assert done.exit_code == 0
    assert "# bevel = 6" in (tmp_path / "b.toml").read_text()
