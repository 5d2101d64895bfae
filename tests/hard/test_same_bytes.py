"""The same file gives the same bytes, whatever the hash seed, hour and zone of the clock and the language around."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from hard.commands import longpoint

pytestmark = pytest.mark.slow

BATCH = (
    '[[work]]\nname = "Reeds"\nwidth = 500\nheight = 400\n\n'
    '[[work]]\nname = "Ferry"\nwidth = 700\nheight = 450\nhow_many = 2\n'
)
MACHINES = (
    {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Kiritimati", "LC_ALL": "C.UTF-8", "SOURCE_DATE_EPOCH": "0"},
)


def sums(folder: Path) -> dict[str, str]:
    """Every file with the sum of its bytes."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_every_file_is_the_same_under_another_hash_seed_clock_and_language(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text(BATCH)
    odd = tmp_path / "odd"
    odd.mkdir()
    (odd / "sitecustomize.py").write_text(
        "import time\ntime.time = lambda: 1.0  # the clock of a board without a battery\n"
    )
    paths = (os.environ.get("PYTHONPATH", ""), f"{odd}:{os.environ.get('PYTHONPATH', '')}")
    made = []
    for number, machine in enumerate(MACHINES):
        env = {**machine, "PYTHONPATH": paths[number]}
        out = f"out-{number}"
        done = longpoint(
            "plan", "b.toml", "-o", out, "--by-rule", "--unrehearsed", cwd=tmp_path, env=env, seconds=600
        )
        assert done.returncode == 0, done.stderr
        made.append(sums(tmp_path / out))
    assert any(name.endswith(".dxf") for name in made[0])
    assert made[0] == made[1]
