"""``longpoint examples``: whole batches to try, which travel with the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from longpoint.errors import Where, refuse


def examples(
    copy: Annotated[str, typer.Argument(help="The one to copy to where you are; left out: list them.")] = "",
) -> None:
    """List example batches, or copy one to the folder you are in."""
    from longpoint.cli.writing import write_file
    from longpoint.export.examples import about_example, example_files

    found = example_files()
    if not copy:
        for name, item in sorted(found.items()):
            typer.echo(f"{name:<16} {about_example(item)}")
        typer.echo("Copy one: longpoint examples NAME")
        return
    name = copy.removesuffix(".toml")
    if name not in found:
        remedy = f"Use one of: {', '.join(sorted(found))}."
        raise refuse("no-such-example", f"there is no example {copy!r}.", remedy, Where("NAME"))
    file = Path(f"{name}.toml")
    write_file(file, found[name].read_bytes())
    typer.echo(f"{file} is written. Look at it: longpoint look {file}   Plan it: longpoint plan {file}")
