"""What the command line says, and how: answers on stdout, everything else on stderr."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

from longpoint.drawing.own_words import caution_words
from longpoint.drawing.remarks import ranked
from longpoint.drawing.voice import Voice
from longpoint.errors import Caution, Fault


def answers() -> Console:
    """The console for answers."""
    return Console(highlight=False, soft_wrap=True)


def aside() -> Console:
    """The console for progress, cautions and faults."""
    return Console(stderr=True, highlight=False, soft_wrap=True)


def say_faults(faults: Iterable[Fault]) -> None:
    """All faults, numbered where there are several, plainly."""
    listed = list(faults)
    if len(listed) > 1:
        sys.stderr.write(f"{len(listed)} things stand against it:\n")
    for number, fault in enumerate(listed, start=1):
        head = f"{number}. " if len(listed) > 1 else ""
        sys.stderr.write(f"{head}{fault}\n")


def say_cautions(cautions: Iterable[Caution], say: Voice | None = None) -> None:
    """Cautions, last of all.

    Args:
        cautions: What a person should know.
        say: The language they are said in, where the catalogue knows how; English where None.
    """
    listed = list(cautions)
    if not listed:
        return
    console = aside()
    for rank, some in ranked(listed):
        console.print("Mind:" if say is None else say(f"summary.{rank}"), style="bold")
        for caution in some:
            words = str(caution) if say is None else caution_words(caution, say)
            console.print(f"  – {words}", markup=False)


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """A line that says what is being done, for anything that takes more than a second.

    Yields:
        A function that takes the text of what is being done now.
    """
    with Progress(
        SpinnerColumn(),
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=aside(),
        transient=True,
    ) as bar:
        task = bar.add_task("Reading", total=None)

        def say(text: str) -> None:
            bar.update(task, description=text)

        yield say
