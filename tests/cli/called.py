"""The command as a shell would call it, in this process: what it says, and its exit code."""

from __future__ import annotations

import contextlib
import io
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from longpoint.cli import entry


@dataclass(frozen=True)
class Called:
    """What became of a call, named as `subprocess.CompletedProcess` does."""

    returncode: int
    stdout: str
    stderr: str


def longpoint(*words: str, cwd: Path) -> Called:
    """Calls the command; what it would end a process with in a traceback, it raises here."""
    said, told = io.StringIO(), io.StringIO()
    with (
        contextlib.chdir(cwd),
        mock.patch.object(sys, "argv", ["longpoint", *words]),
        contextlib.redirect_stdout(said),
        contextlib.redirect_stderr(told),
    ):
        code = entry._run()
    return Called(code, said.getvalue(), told.getvalue())
