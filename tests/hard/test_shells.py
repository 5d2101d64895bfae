"""Before a person at a terminal: five questions are asked, and the tab key knows the commands in each shell."""

from __future__ import annotations

import os
import re
import shutil
import sys
from pathlib import Path

import pytest

from hard.commands import CALL, longpoint
from hard.terminal import Terminal
from longpoint.model.answers import QUESTIONS
from longpoint.model.reading import parse_batch

pytestmark = pytest.mark.slow


def test_a_person_is_asked_five_questions_and_once_more_where_it_cannot_be_read(tmp_path: Path) -> None:
    answers = {"unit": "in", "timber": "1x2", "lengths": "8 ft", "cloth": "60 duck", "work": "Reeds: 24 x 18"}
    assert list(answers) == list(QUESTIONS) and len(answers) == 5
    with Terminal([*CALL, "new", "mine.toml"], cwd=tmp_path, env=dict(os.environ)) as terminal:
        for name, answer in answers.items():
            terminal.until(re.escape(QUESTIONS[name]) + r" \[[^\]]+\] $")
            if name == "work":
                terminal.type("17\n")
                terminal.until(re.escape(QUESTIONS[name]) + r" \[[^\]]+\] $")
            terminal.type(f"{answer}\n")
        terminal.until("mine.toml is written")
        assert terminal.ends() == 0
    batch = parse_batch((tmp_path / "mine.toml").read_text())
    assert (batch.unit, batch.yard[0].nominal, batch.work[0].name) == ("in", "1x2", "Reeds")


def test_a_shell_that_asks_for_completion_is_answered_with_its_exit_code(tmp_path: Path) -> None:
    for typed, code in (("longpoint examp", 0), ("longpoint nothing-of-ours", 1)):
        asked = {
            "_LONGPOINT_COMPLETE": "complete_fish",
            "_TYPER_COMPLETE_FISH_ACTION": "is-args",
            "_TYPER_COMPLETE_ARGS": typed,
        }
        assert longpoint(cwd=tmp_path, env=asked).returncode == code


SHELLS = {"bash": "ready> $", "zsh": "ready> $", "fish": r"~[#>]"}
"""What each shell writes when it waits."""


@pytest.mark.parametrize("shell", SHELLS)
def test_the_tab_key_knows_commands_once_completion_is_installed(shell: str, tmp_path: Path) -> None:
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed: apt-get install {shell}")
    program = tmp_path / "bin" / "longpoint"
    program.parent.mkdir()
    program.write_text(f"#!{sys.executable}\nfrom longpoint.cli import main\nmain()\n")
    program.chmod(0o755)
    for name in (".bashrc", ".zshrc"):
        (tmp_path / name).write_text("PS1='ready> '\n")
    kept = ("PYTHONPATH", "LANG", "NUMBA_CACHE_DIR")
    env = {name: os.environ[name] for name in kept if name in os.environ} | {
        "HOME": str(tmp_path),
        "PATH": f"{program.parent}:{os.environ['PATH']}",
        "TERM": "xterm",
    }
    with Terminal([shell, "-i"], cwd=tmp_path, env=env) as terminal:
        terminal.until(SHELLS[shell])
        terminal.type("longpoint --install-completion\n")
        terminal.until("completion installed")
    with Terminal([shell, "-i"], cwd=tmp_path, env=env) as terminal:
        terminal.until(SHELLS[shell])
        terminal.type("longpoint examp")
        terminal.until("examp")
        terminal.type("\t")
        if shell == "zsh":  # the first press of a shell only loads what the second asks
            terminal.type("\t")
        terminal.type("\n")
        terminal.until("five-lines")
