"""What a process apart may take, and how it ends with the server that began it."""

from __future__ import annotations

import contextlib
import os
import resource
import threading

MEMORY = 6 * 1024**3
"""Most memory of a process apart, addresses counted: what is loaded alone takes one to two of it. [bytes] Estimate."""


def keep_within(*, seconds: int, memory: int = MEMORY) -> None:
    """Ends this process where it takes more than it may.

    Args:
        seconds: Of computing. [s]
        memory: Addresses. [bytes]
    """
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 5))
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    with contextlib.suppress(OSError):
        os.nice(5)  # pages come before plans


def go_with_the_server() -> None:
    """Ends this process when the server's end of its standard input is closed."""

    def watch() -> None:
        with contextlib.suppress(OSError):
            while os.read(
                0, 4096
            ):  # not the buffered stream: a thread that holds it would keep this process from ending
                pass
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
