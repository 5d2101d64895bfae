"""What a run has to make ready: no loop for one work, none twice, and no library that a plan does not use."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

WATCH = """
import json, sys
from numba.core import event

made = []

class Watch(event.Listener):
    def on_start(self, event): pass
    def on_end(self, event):
        function = event.data["dispatcher"].py_func
        if function.__module__.startswith("longpoint"):
            made.append(function.__name__)

event.register("numba:compile", Watch())
from longpoint.cli import main
try:
    main()
finally:
    print(json.dumps(made), file=sys.stderr)
"""
LAY = {
    "unit": "mm",
    "roll_width": 1600,
    "wanted": [
        {"name": f"no. {k}", "across": 300 + 37 * k, "along": 400 + 53 * k, "how_many": 2} for k in range(8)
    ],
}


def made_ready(folder: Path, *words: str) -> list[str]:
    """Loops compiled by a command that has never run, by name."""
    done = subprocess.run(
        [sys.executable, "-c", WATCH, *words],
        cwd=folder,
        capture_output=True,
        text=True,
        env={**os.environ, "NUMBA_CACHE_DIR": str(folder / "kept")},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    names: list[str] = json.loads(done.stderr.splitlines()[-1])
    return names


@pytest.mark.slow
def test_a_look_at_one_work_compiles_nothing(tmp_path: Path) -> None:
    (tmp_path / "one.toml").write_text('unit = "mm"\n[[work]]\nname = "Reeds"\nwidth = 700\nheight = 500\n')
    assert made_ready(tmp_path, "look", "one.toml") == []


@pytest.mark.slow
def test_no_loop_is_compiled_twice(tmp_path: Path) -> None:
    (tmp_path / "lay.json").write_text(json.dumps(LAY))
    names = made_ready(tmp_path, "lay", "lay.json")
    assert "walk" in names
    assert sorted(names) == sorted(set(names))
    assert made_ready(tmp_path, "lay", "lay.json") == []  # kept


LOADED = """
import json, sys
from longpoint.cli import main
try:
    main()
finally:
    print(json.dumps(sorted(sys.modules)), file=sys.stderr)
"""
NOT_FOR_A_PLAN = {
    "scipy.stats",
    "sqlalchemy",
    "fastapi",
}


@pytest.mark.slow
def test_a_plan_loads_no_library_that_it_does_not_use(tmp_path: Path) -> None:
    (tmp_path / "one.toml").write_text('unit = "mm"\n[[work]]\nname = "Reeds"\nwidth = 700\nheight = 500\n')
    done = subprocess.run(
        [sys.executable, "-c", LOADED, "plan", "one.toml", "-o", "out", "--unrehearsed"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert NOT_FOR_A_PLAN & set(json.loads(done.stderr.splitlines()[-1])) == set()
