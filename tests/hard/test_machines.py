"""Machines as they are: nowhere to keep compiled parts, full disks, parents that are killed."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from hard.commands import longpoint, spoke_plainly

pytestmark = pytest.mark.slow

NOWHERE_TO_KEEP = """
import sys
from numba.core.caching import CacheImpl
CacheImpl._locator_classes = []
from longpoint.cli import main
main()
"""

A_PARENT = """
import os, signal, sys, time
from longpoint.cli.processes import pool_of
if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored where the tests run in the background
    with pool_of(2) as pool:
        waiting = [pool.submit(time.sleep, 600) for _ in range(4)]
        pool.submit(os.getpid)
        time.sleep(1.5)
        print("ready", flush=True)
        waiting[0].result()
"""


def test_without_a_place_to_keep_what_was_compiled_the_command_runs_and_says_so_once(tmp_path: Path) -> None:
    (tmp_path / "l.json").write_text(
        json.dumps({"roll_width": 1000, "wanted": [{"name": "a", "across": 10, "along": 20, "how_many": 3}]})
    )
    done = subprocess.run(
        [sys.executable, "-c", NOWHERE_TO_KEEP, "lay", "l.json", "--json"],
        cwd=tmp_path,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["proven"] is True
    assert done.stderr.decode().count("NUMBA_CACHE_DIR") == 1


def test_without_a_compiler_the_same_comes_out_plainly(tmp_path: Path) -> None:
    (tmp_path / "l.json").write_text('{"roll_width": 9, "wanted": [{"name": "a", "across": 2, "along": 3}]}')
    done = longpoint("lay", "l.json", "--json", cwd=tmp_path, env={"NUMBA_DISABLE_JIT": "1"}, seconds=300)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["proven"] is True


def test_a_spoilt_store_of_compiled_parts_is_made_again(tmp_path: Path) -> None:
    (tmp_path / "l.json").write_text('{"roll_width": 9, "wanted": [{"name": "a", "across": 2, "along": 3}]}')
    kept = tmp_path / "kept"
    env = {"NUMBA_CACHE_DIR": str(kept)}
    assert longpoint("lay", "l.json", cwd=tmp_path, env=env, seconds=300).returncode == 0
    for file in kept.rglob("*.nb*"):
        file.write_bytes(file.read_bytes()[:40])
    again = longpoint("lay", "l.json", cwd=tmp_path, env=env, seconds=300)
    assert again.returncode == 0 and spoke_plainly(again), again.stderr
    assert b"NUMBA_CACHE_DIR" not in again.stderr


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL, signal.SIGHUP, signal.SIGINT])
def test_children_go_with_the_parent_however_it_ends(tmp_path: Path, how: signal.Signals) -> None:
    script = tmp_path / "parent.py"
    script.write_text(A_PARENT)
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path
    ) as parent:
        assert parent.stdout is not None
        assert parent.stdout.readline() == b"ready\n"
        os.kill(parent.pid, how)
        # A child that stays holds the pipe open: this would wait for its ten minutes.
        parent.communicate(timeout=20)


def test_a_full_disk_leaves_no_file(tmp_path: Path) -> None:
    """A file system of a few kilobytes, filled; skipped where one cannot be had."""
    small = tmp_path / "small"
    small.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=4k", "none", str(small)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("no small file system can be mounted here")
    try:
        (small / "mine.txt").write_bytes(b"x" * 4096)
        done = longpoint("new", "small/first.toml", cwd=tmp_path)
        assert done.returncode == 2 and b"no space left" in done.stderr
        batch = tmp_path / "b.toml"
        batch.write_text('[[work]]\nname = "a"\nwidth = 500\nheight = 400\n')
        plan = longpoint("plan", "b.toml", "-o", "small/out", "--by-rule", "--unrehearsed", cwd=tmp_path)
        assert plan.returncode == 2 and b"no space left" in plan.stderr and spoke_plainly(plan)
        elsewhere = longpoint(
            "plan", "b.toml", "-o", "out", "--by-rule", "--unrehearsed", cwd=tmp_path, seconds=300
        )
        assert elsewhere.returncode == 0, elsewhere.stderr
        assert longpoint("replan", "--starter", "e.toml", cwd=tmp_path).returncode == 0
        again = longpoint("replan", "out/plan.json", "e.toml", "-o", "small/rest", cwd=tmp_path, seconds=300)
        assert again.returncode == 2 and b"no space left" in again.stderr and spoke_plainly(again), (
            again.stderr
        )
        assert [path.name for path in small.iterdir()] == ["mine.txt"]
    finally:
        subprocess.run(["umount", str(small)], check=True)
