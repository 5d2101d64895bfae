"""What is being done, while it is being done: a line that moves on a terminal, lines now and then in a pipe."""

from __future__ import annotations

import sys
import threading
import time
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

from longpoint.compiling import is_kept

SILENT = 3.0
"""Nothing is silent for longer. [s]"""

_FIRST_TIME = "making the program ready for this machine, once; later runs begin at once"
_NOT_KEPT = (
    "There is no folder where the program can keep what it made ready for this machine, so every run does that again. "
    "Set NUMBA_CACHE_DIR to a folder that can be written.\n"
)


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """A line that says what is being done: one that moves on a terminal, one every few seconds in a pipe.

    Yields:
        A function that takes the text of what is being done now.
    """
    with _compiling() as is_compiling, (_moving if sys.stderr.isatty() else _lines)(is_compiling) as say:
        yield say
    if not is_kept():
        sys.stderr.write(_NOT_KEPT)


@contextmanager
def _moving(is_compiling: Callable[[], bool]) -> Iterator[Callable[[str], None]]:
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    with Progress(
        SpinnerColumn(),
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(stderr=True, highlight=False, soft_wrap=True),
        transient=True,
    ) as bar:
        task = bar.add_task("Reading", total=None)
        doing = "Reading"

        def show() -> None:
            more = f" ({_FIRST_TIME})" if is_compiling() else ""
            bar.update(task, description=plain(f"{doing}{more}"))

        def say(text: str) -> None:
            nonlocal doing
            doing = text
            show()

        with _every(0.5, show):
            yield say


@contextmanager
def _lines(is_compiling: Callable[[], bool]) -> Iterator[Callable[[str], None]]:
    begun = said = time.monotonic()
    doing = "Reading"

    def tell() -> None:
        nonlocal said
        now = time.monotonic()
        if now - said < SILENT - 0.5:
            return
        said = now
        more = f" ({_FIRST_TIME})" if is_compiling() else ""
        with suppress(OSError, ValueError):  # nobody listens any more
            sys.stderr.write(f"{plain(doing)} … {now - begun:.0f} s{more}\n")
            sys.stderr.flush()

    def say(text: str) -> None:
        nonlocal doing
        doing = text

    with _every(0.5, tell):
        yield say


@contextmanager
def _every(seconds: float, tell: Callable[[], None]) -> Iterator[None]:
    """Calls a function again and again beside the work."""
    over = threading.Event()

    def run() -> None:
        while not over.wait(seconds):
            tell()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@contextmanager
def _compiling() -> Iterator[Callable[[], bool]]:
    """Whether loops are being compiled at the moment, as far as the compiler tells."""
    from numba.core import event

    class Watch(event.Listener):  # type: ignore[misc]
        depth = 0

        def on_start(self, _event: object) -> None:
            self.depth += 1

        def on_end(self, _event: object) -> None:
            self.depth -= 1

    watch = Watch()
    event.register("numba:compile", watch)
    try:
        yield lambda: watch.depth > 0
    finally:
        event.unregister("numba:compile", watch)


def plain(text: str) -> str:
    """Text without signs that would steer a terminal or turn the direction of writing."""
    return "".join(f"<U+{ord(sign):04X}>" if _steers(sign) else sign for sign in text)


def _steers(sign: str) -> bool:
    return sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
