"""What the how-to shows of square and wind is what the commands say."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from longpoint.cli.entry import app

TEXT = (Path(__file__).parents[1] / "docs" / "how-to.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"    longpoint ((?:square|wind) [^\n]*)\n\n```text\n(.*?)\n```", TEXT, re.DOTALL)


def test_the_page_shows_both_commands() -> None:
    assert [words.split()[0] for words, _ in SHOWN] == ["square", "wind"]


@pytest.mark.parametrize(("words", "said"), SHOWN)
def test_a_command_answers_as_the_page_shows(words: str, said: str) -> None:
    result = CliRunner().invoke(app, shlex.split(words))
    assert result.exit_code == 0
    assert said in result.stdout
