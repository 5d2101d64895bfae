"""Where results go: the folder that ``-o`` names, or the one beside the batch."""

from __future__ import annotations

from pathlib import Path

from longpoint.errors import Where, refuse


def named_folder(text: str) -> Path:
    """A folder as an option names it.

    Raises:
        FaultsError: If nothing is named.
    """
    if not str(text).strip():
        remedy = "Name one, e.g. -o out; -o . is the folder you are in."
        raise refuse("no-folder", "no folder is named.", remedy, Where("-o"))
    return Path(text)


def beside(batch: Path) -> Path:
    """The folder of results beside a batch file, named like it."""
    folder = batch.with_suffix("") if batch.name else batch
    return folder if folder != batch else batch.with_name(f"{batch.name}-plan")
