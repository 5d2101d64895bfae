"""A pseudo-terminal with a program in it: what a person would see, and what they would type."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import subprocess
import termios
import time
from pathlib import Path
from types import TracebackType

PATIENCE = 90.0
"""How long an answer may take on a crowded machine. [s]"""


class Terminal:
    """A program that believes a person sits before it.

    Attributes:
        seen: Everything it has written so far.
    """

    def __init__(self, words: list[str], *, cwd: Path, env: dict[str, str]) -> None:
        self.seen = ""
        self._ours, theirs = pty.openpty()
        self._run = subprocess.Popen(
            words, cwd=cwd, env=env, stdin=theirs, stdout=theirs, stderr=theirs, preexec_fn=_before_a_person
        )
        os.close(theirs)

    def until(self, sign: str) -> str:
        """Reads on until what is new on the screen matches a pattern; fails after `PATIENCE`.

        Returns:
            What is new, with what only steers the screen taken out.
        """
        end, new = time.monotonic() + PATIENCE, b""
        while time.monotonic() < end:
            if select.select([self._ours], [], [], 0.2)[0]:
                try:
                    more = os.read(self._ours, 65536)
                except OSError:  # it has ended
                    more = b""
                if b"\x1b[c" in more or b"\x1b[0c" in more:
                    self.type("\x1b[?62;c")  # what kind of terminal: a shell asks, and waits
                if b"\x1b[6n" in more:
                    self.type("\x1b[1;1R")  # and where it stands
                new += more
                text = bare(new.decode(errors="replace"))
                if re.search(sign, text):
                    self.seen += text
                    return text
                if not more:
                    break
        raise AssertionError(
            f"waited for {sign!r} and saw\n{self.seen}\n---\n{bare(new.decode(errors='replace'))}"
        )

    def type(self, text: str) -> None:
        """Types."""
        os.write(self._ours, text.encode())

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._run.kill()
        self._run.wait()
        os.close(self._ours)

    def ends(self) -> int:
        """Waits until the program ends.

        Returns:
            Its exit code.
        """
        return self._run.wait(PATIENCE)


def _before_a_person() -> None:
    """Makes the terminal the one that this process is steered from, as a shell wants it."""
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def bare(text: str) -> str:
    """Text without what steers the screen."""
    return re.sub(r"\x1b(\[[0-9;?=<>]*[ -/]*[@-~]|\][^\x07\x1b]*(\x07|\x1b\\)|[@-Z\\-_=>]|[()].)", "", text)
