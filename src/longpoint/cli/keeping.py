"""``longpoint store``: backup, restore and check of what rack and book are kept in."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import Annotated

import typer

from longpoint.cli.at_store import Data, opened
from longpoint.errors import FaultsError, refuse

app = typer.Typer(
    name="store", help="What rack and book are kept in: backup, restore, export, check.", no_args_is_help=True,
    rich_markup_mode=None,
)  # fmt: skip


@app.command()
def backup(file: Annotated[Path, typer.Argument(help="New file, .zip.")], data: Data = "") -> None:
    """Writes everything into one file, of one moment, while others go on working."""
    from longpoint.cli.writing import check_file
    from longpoint.store.keeping.archive import write_archive

    check_file(file)
    store = opened(data)
    name = ""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".longpoint-", dir=file.parent)
        with os.fdopen(handle, "wb") as out:
            counts = write_archive(store, out)
            out.flush()
            os.fsync(out.fileno())
        Path(name).rename(file)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-write", f"{file} cannot be written: {why}. Nothing was written.", "Make room."
        ) from None
    finally:
        store.close()
        if name:
            Path(name).unlink(missing_ok=True)
    typer.echo(f"{file}: {_said(counts)}, {counts['photographs']} photographs.")


@app.command()
def restore(file: Annotated[Path, typer.Argument(help="A backup.")], data: Data = "") -> None:
    """Reads a backup into a store that holds nothing yet; on either database."""
    from longpoint.store.keeping.archive import read_archive

    store = opened(data)
    try:
        with file.open("rb") as contents:
            counts = read_archive(store, contents, file=file.name)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise refuse(
            "cannot-read", f"{file} cannot be read: {why}.", "Check the name and the place."
        ) from None
    finally:
        store.close()
    typer.echo(f"{store.place}: {_said(counts)}.")


@app.command()
def export(folder: Annotated[Path, typer.Argument(help="New folder.")], data: Data = "") -> None:
    """Writes everything into a folder that a person can read: tables, plans, photographs, an index."""
    from longpoint.store.keeping.readable import write_readable

    store = opened(data)
    try:
        counts = write_readable(store, folder)
    finally:
        store.close()
    typer.echo(
        f"{folder}: {_said(counts)}, {counts['photographs']} photographs. README.md says what is what."
    )


@app.command(name="import")
def import_(
    folder: Annotated[Path, typer.Argument(help="A folder that was exported.")], data: Data = ""
) -> None:
    """Reads an exported folder into a store that holds nothing yet; on either database."""
    from longpoint.store.keeping.readable import read_readable

    store = opened(data)
    try:
        counts = read_readable(store, folder)
    finally:
        store.close()
    typer.echo(f"{store.place}: {_said(counts)}.")


def _said(counts: dict[str, int]) -> str:
    return f"{counts['item']} things, {counts['event']} lines of the journal, {counts['plan']} plans"


@app.command()
def check(data: Data = "") -> None:
    """Holds the store against its own journal, and photographs against their fingerprints."""
    from longpoint.errors import Fault
    from longpoint.store.keeping.archive import check_store

    store = opened(data)
    try:
        found = check_store(store)
    finally:
        store.close()
    if found:
        raise FaultsError(Fault("store-unsound", f"{what}.") for what in found)
    typer.echo(f"{store.place}: sound.")
