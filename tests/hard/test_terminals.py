"""Terminals and pipes of every kind: signs they do not know, readers that go away, disks that are full."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest

from hard.commands import CALL, longpoint, spoke_plainly

pytestmark = pytest.mark.slow

BATCH = 'title = "Größer – 漢"\n[[work]]\nname = "Fünf × sechs 漢"\nwidth = 500\nheight = 400\n'
LIST = {
    "roll_width": 1000,
    "wanted": [{"name": "ä漢\N{OHM SIGN}", "across": 10, "along": 20}],
}


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-8"])
def test_every_encoding_of_a_terminal_gets_an_answer(tmp_path: Path, encoding: str) -> None:
    env = {"PYTHONIOENCODING": encoding, "LC_ALL": "C", "PYTHONUTF8": "0"}
    (tmp_path / "l.json").write_text(json.dumps(LIST), encoding="utf-8")
    lay = longpoint("lay", "l.json", "--json", cwd=tmp_path, env=env)
    assert json.loads(lay.stdout.decode(encoding))["placed"][0]["name"] == "ä漢\N{OHM SIGN}"
    assert spoke_plainly(longpoint("lay", "l.json", cwd=tmp_path, env=env))
    fault = longpoint("check", "none-größer-漢.toml", cwd=tmp_path, env=env)
    assert fault.returncode == 2 and b"cannot be read" in fault.stderr


@pytest.mark.parametrize(
    "words", [("--help",), ("lay", "l.json"), ("lay", "l.json", "--json"), ("cut", "c.json")]
)
def test_a_full_disk_behind_the_answer_is_one_message(tmp_path: Path, words: tuple[str, ...]) -> None:
    (tmp_path / "l.json").write_text(json.dumps(LIST))
    (tmp_path / "c.json").write_text(
        '{"at_hand": [{"name": "b", "length": 1000, "how_many": null}], "wanted": [{"name": "a", "length": 100}]}'
    )
    with Path("/dev/full").open("wb") as full:
        done = longpoint(*words, cwd=tmp_path, stdout=full)
    assert done.returncode == 2
    assert done.stderr.decode() == "What was to be printed cannot be: no space left on device.\n"


@pytest.mark.parametrize("words", [("--help",), ("lay", "l.json"), ("lay", "l.json", "--json")])
def test_a_reader_that_goes_away_is_not_told_of_it(tmp_path: Path, words: tuple[str, ...]) -> None:
    (tmp_path / "l.json").write_text(json.dumps(LIST))
    with subprocess.Popen(
        [*CALL, *words], cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as run:
        assert run.stdout is not None and run.stderr is not None
        run.stdout.close()
        said = run.stderr.read()
    assert run.returncode in (0, 141)
    assert said == b""


def test_control_signs_of_a_file_do_not_reach_the_terminal(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text('"\\u001b[31m\\u202e" = 1\n' + BATCH, encoding="utf-8")
    done = longpoint("check", "b.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert b"\x1b" not in done.stderr and "\u202e".encode() not in done.stderr
    assert b"<U+001B>" in done.stderr and b"<U+202E>" in done.stderr


def test_nothing_is_silent_for_long_in_a_pipe(tmp_path: Path) -> None:
    """The first compilation is named; a store that is empty makes this run a first one."""
    (tmp_path / "b.toml").write_text(BATCH, encoding="utf-8")
    kept = tmp_path / "kept"
    done = longpoint(
        "plan",
        "b.toml",
        cwd=tmp_path,
        env={"NUMBA_CACHE_DIR": str(kept), "LC_ALL": "C"},
        seconds=300,
    )
    lines = done.stderr.decode().splitlines()
    assert spoke_plainly(done), done.stderr
    seconds = [int(line.split(" … ")[1].split()[0]) for line in lines if " … " in line]
    assert any("making the program ready" in line for line in lines), lines
    assert all(after - before <= 5 for before, after in zip([0, *seconds], seconds, strict=False)), lines
