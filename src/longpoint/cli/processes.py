"""Processes beside this one, which end with it, however it ends."""

from __future__ import annotations

import multiprocessing
import multiprocessing.connection
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from longpoint.errors import refuse


@contextmanager
def pool_of(count: int) -> Iterator[ProcessPoolExecutor]:
    """A pool of processes, open as long as the block lasts.

    Yields:
        The pool.

    Raises:
        FaultsError: If one of them is ended from outside.
    """
    # spawn: the same on every system, and no half-copied threads
    pool = ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=_go_with_the_parent
    )
    try:
        yield pool
    except BaseException as error:
        for child in multiprocessing.active_children():
            child.kill()
        if isinstance(error, BrokenProcessPool):
            raise refuse(
                "process-ended",
                "a process that computed for this plan was ended from outside, perhaps for want of memory.",
                "Close other programs and try again; plan --unrehearsed needs no such processes.",
            ) from None
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _go_with_the_parent() -> None:
    """In a child: Ctrl-C is the parent's to answer, and the parent's end is the child's."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch() -> None:
        multiprocessing.connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
