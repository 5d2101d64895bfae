"""What the command line says, and how: answers on stdout, everything else on stderr."""

from __future__ import annotations

import sys
from collections.abc import Iterable

from rich.console import Console

from longpoint.cli.progress import plain
from longpoint.drawing.words.own_words import caution_words
from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.remarks import ranked
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.errors import Caution, Fault
from longpoint.model.batch import Batch
from longpoint.works.leaving import early_cautions


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
        sys.stderr.write(f"{head}{plain(_clipped(fault))}\n")


_MOST_LETTERS = 600


def _clipped(fault: Fault) -> str:
    """A fault, each of its sentences cut where a file made it as long as itself."""
    where, what, remedy = (
        text
        if len(text) <= _MOST_LETTERS
        else f"{text[: _MOST_LETTERS // 2]} … {text[-_MOST_LETTERS // 4 :]}"
        for text in (str(fault.where), fault.what, fault.remedy)
    )
    return " ".join(bit for bit in (f"{where}:" if where else "", what, remedy) if bit)


def say_cautions(cautions: Iterable[Caution], say: Voice | None = None) -> None:
    """Cautions, last of all.

    Args:
        cautions: What a person should know.
        say: How they are said; plain English where None.
    """
    listed = list(cautions)
    if not listed:
        return
    console = aside()
    for rank, some in ranked(listed):
        console.print("Note:" if say is None else say(f"summary.{rank}"), style="bold")
        for caution in some:
            voice = voice_of() if say is None else say
            words = with_pounds(caution_words(caution, voice), voice)
            console.print(f"  – {words}", markup=False)


def say_early(batch: Batch) -> None:
    """What can be said of a batch before anything is computed: which works get out on none of their ways."""
    say_cautions(early_cautions(batch), voice_of(batch.language, batch.style))
