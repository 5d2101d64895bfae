"""``longpoint replan`` and ``longpoint rehearse`` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.called import longpoint

pytestmark = pytest.mark.slow

BATCH = """
[[work]]
name = "Small"
width = 517
height = 389
[[yard]]
name = "bars"
thickness = 21
depth = 44
serves = ["bars"]
lengths = [{ length = 2400, price = 6.2 }]
"""


def test_a_plan_goes_on_from_its_file_and_a_starter_and_says_what_stands_against_it(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text(BATCH, encoding="utf-8")
    assert longpoint("plan", "b.toml", "-o", "out", "--by-rule", cwd=tmp_path).returncode == 0
    assert longpoint("replan", "--starter", "e.toml", cwd=tmp_path).returncode == 0
    again = longpoint("replan", "--starter", "e.toml", cwd=tmp_path)
    assert again.returncode == 2 and "is there already" in again.stderr
    answer = longpoint("replan", "out/plan.json", "e.toml", "-o", "rest", "--json", cwd=tmp_path)
    assert answer.returncode == 0
    assert json.loads(answer.stdout) == json.loads((tmp_path / "rest/replan.json").read_text("utf-8"))
    assert (tmp_path / "rest/replan.pdf").read_bytes().startswith(b"%PDF")
    (tmp_path / "e2.toml").write_text('[[split]]\nboard = "2400"\nat = 700\n', encoding="utf-8")
    second = longpoint("replan", "rest/replan.json", "e2.toml", "-o", "rest-2", cwd=tmp_path)
    assert second.returncode == 0 and "longpoint replan rest-2/replan.json" in second.stdout
    assert len(json.loads((tmp_path / "rest-2/replan.json").read_text("utf-8"))["stages"]) == 2
    said_twice = longpoint("replan", "rest-2/replan.json", "e2.toml", "-o", "never", cwd=tmp_path)
    assert (
        said_twice.returncode == 2
        and "e2.toml, line 1" in said_twice.stderr
        and "said before" in said_twice.stderr
    )
    (tmp_path / "bad.toml").write_text('[[spoiled]]\npart = "Z1"\n[[cutt]]\n', encoding="utf-8")
    wrong = longpoint("replan", "out/plan.json", "bad.toml", "-o", "never", cwd=tmp_path)
    assert wrong.returncode == 2 and "bad.toml, line 3" in wrong.stderr and "'cut'" in wrong.stderr
    assert not (tmp_path / "never").exists()
    missing = longpoint("replan", "out/plan.json", cwd=tmp_path)
    assert missing.returncode == 2 and "Traceback" not in missing.stderr


def test_a_rehearsal_refuses_what_cannot_be_before_it_begins(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text(BATCH, encoding="utf-8")
    wrong = longpoint("rehearse", "b.toml", "--work", "Smal", "--by-rule", "-o", "never", cwd=tmp_path)
    assert wrong.returncode == 2 and "Did you mean 'Small'?" in wrong.stderr
    high = longpoint("rehearse", "b.toml", "--work", "Small", "--tension", "9000", cwd=tmp_path)
    assert high.returncode == 2 and "5 to 2000 N/m" in high.stderr
    assert not (tmp_path / "never").exists()
