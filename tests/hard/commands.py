"""The command as a person's shell runs it, under a guard of memory and time."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

MEMORY = 2 << 30
"""Of address space a guarded command may take beyond what importing maps; see `guarded`. [bytes]"""

SECONDS = 60.0

CALL = (sys.executable, "-c", "from longpoint.cli import main; main()")


def longpoint(
    *words: str,
    cwd: Path,
    env: Mapping[str, str] | None = None,
    seconds: float = SECONDS,
    given: bytes | None = None,
    **more: Any,
) -> subprocess.CompletedProcess[bytes]:
    """Runs the command; ends it, with an error, where it takes too long or too much memory."""
    more.setdefault("stdout", subprocess.PIPE)
    more.setdefault("stderr", subprocess.PIPE)
    return subprocess.run(
        [*CALL, *words],
        cwd=cwd,
        env={**os.environ, **(env or {})},
        input=given,
        timeout=seconds,
        check=False,
        preexec_fn=guarded,
        **more,
    )


def guarded() -> None:
    """Data of the process at most 2 GB."""
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY, MEMORY))


def spoke_plainly(done: subprocess.CompletedProcess[bytes]) -> bool:
    """Whether it ended as documented, without a traceback."""
    said = (done.stdout or b"") + (done.stderr or b"")
    return done.returncode in (0, 1, 2) and b"Traceback" not in said and b"Exception ignored" not in said
