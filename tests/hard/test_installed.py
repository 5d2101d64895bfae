"""What is installed is what is tested: the wheel in a fresh environment, from another folder, read-only.

The packages it needs come from the environment of the tests; ours comes from the wheel alone.
"""

from __future__ import annotations

import os
import re
import site
import subprocess
import sys
import venv
from collections.abc import Iterator
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The ``bin`` folder of an environment that holds the wheel and cannot be written."""
    pytest.importorskip("hatchling")
    built, top = tmp_path_factory.mktemp("built"), tmp_path_factory.mktemp("installed")
    pip = [sys.executable, "-m", "pip"]
    made = subprocess.run(
        [*pip, "wheel", "-q", "--no-deps", "--no-build-isolation", "-w", str(built), str(ROOT)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0, made.stderr
    (wheel,) = built.glob("longpoint-*.whl")
    all_powerful = os.geteuid() == 0  # modes do not bind this user: a file system of its own, read-only, does
    if (
        all_powerful
        and subprocess.run(
            ["mount", "-t", "tmpfs", "none", str(top)], capture_output=True, check=False
        ).returncode
    ):
        pytest.skip("no read-only file system can be made here")
    try:
        environment = top / "env"
        venv.create(environment, with_pip=False, symlinks=True)
        python = environment / "bin" / "python"
        packages = next((environment / "lib").glob("python*")) / "site-packages"
        subprocess.run(
            [
                *pip,
                "--python",
                str(python),
                "install",
                "-q",
                "--no-deps",
                "--no-index",
                "--no-compile",
                str(wheel),
            ],
            check=True,
        )
        (packages / "needed.pth").write_text("\n".join(site.getsitepackages()) + "\n")
        if all_powerful:
            subprocess.run(["mount", "-o", "remount,ro", str(top)], check=True)
        else:
            for path in [*top.rglob("*"), top]:
                if not path.is_symlink():
                    path.chmod(path.stat().st_mode & ~0o222)
        yield environment / "bin"
    finally:
        if all_powerful:
            subprocess.run(["umount", str(top)], check=True)
        else:
            for path in [top, *top.rglob("*")]:
                if not path.is_symlink():
                    path.chmod(path.stat().st_mode | 0o200)


def run(words: list[str], cwd: Path) -> subprocess.CompletedProcess[str]:
    """Runs a command that knows nothing of the source, without a home that can be written."""
    env = {key: value for key, value in os.environ.items() if key not in ("PYTHONPATH", "NUMBA_CACHE_DIR")}
    env |= {"HOME": "/proc/none", "XDG_CACHE_HOME": "/proc/none"}
    return subprocess.run(words, cwd=cwd, env=env, capture_output=True, text=True, check=False)


def test_the_version_is_the_newest_of_the_changelog(installed: Path, tmp_path: Path) -> None:
    released = re.findall(r"^## (\S+) — \d{4}-\d\d-\d\d$", (ROOT / "CHANGELOG.md").read_text("utf-8"), re.M)
    said = run([str(installed / "longpoint"), "--version"], tmp_path)
    ask = "from importlib.metadata import version; print(version('longpoint'))"
    wheel = run([str(installed / "python"), "-c", ask], tmp_path)
    assert said.stdout == f"longpoint {released[0]}\n"
    assert wheel.stdout == f"{released[0]}\n"


def test_the_wheel_plans_from_another_folder_where_nothing_of_it_can_be_written(
    installed: Path, tmp_path: Path
) -> None:
    where = run([str(installed / "python"), "-c", "import longpoint; print(longpoint.__file__)"], tmp_path)
    assert where.stdout.startswith(str(installed.parent)), where.stderr
    longpoint = str(installed / "longpoint")
    assert run([longpoint, "examples", "five-lines"], tmp_path).returncode == 0
    plan = run([longpoint, "plan", "five-lines.toml", "--by-rule", "--unrehearsed"], tmp_path)
    assert plan.returncode == 0, plan.stderr
    assert "Traceback" not in plan.stderr
    assert (tmp_path / "five-lines" / "pack.pdf").read_bytes().startswith(b"%PDF")
    assert plan.stderr.count("NUMBA_CACHE_DIR") == 1, plan.stderr
