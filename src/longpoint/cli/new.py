"""``longpoint new``: a starter batch file with comments."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def new(
    file: Annotated[Path, typer.Argument(help="Batch file to write; it must not be there yet.")],
    inches: Annotated[bool, typer.Option("--inches", help="Write it in inches.")] = False,
    short: Annotated[bool, typer.Option("--short", help="Only what must be said: five lines.")] = False,
) -> None:
    """Write a starter batch file with a comment for every key."""
    from longpoint.cli.writing import write_file
    from longpoint.model.starter import starter_text

    write_file(file, starter_text(inches=inches, short=short).encode())
    typer.echo(f"{file} is written. Change it, then: longpoint plan {file} -o out")
