"""``longpoint look``: what a batch would give, on the screen and nowhere else."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def look(batch: Annotated[Path, typer.Argument(help="Batch file, TOML.")]) -> None:
    """Show works, designs, verdict, timber, cloth and cost of a batch; nothing is written."""
    from longpoint.choosing.chooser import ComputedChooser
    from longpoint.cli.batch_file import read_batch
    from longpoint.cli.progress import progress
    from longpoint.cli.speaking import say_cautions, say_early
    from longpoint.cli.summary import print_summary
    from longpoint.drawing.words.voice import voice_of
    from longpoint.errors import FaultsError
    from longpoint.jobs.plan import plan_batch

    read = read_batch(batch)
    say_early(read.batch)
    with progress() as say:
        try:
            planned = plan_batch(read.batch, choose=ComputedChooser(say), say=say)
        except FaultsError as error:
            raise FaultsError(read.placed(error.faults)) from None
    print_summary(planned, out=None)
    say_cautions(planned.cautions, voice_of(read.batch.language, read.batch.style))
