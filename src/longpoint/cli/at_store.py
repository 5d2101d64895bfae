"""The store on the command line: where it lies, and who asks."""

from __future__ import annotations

import contextlib
import getpass
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longpoint.store import Desk, Store

Data = Annotated[
    str,
    typer.Option(
        "--data",
        metavar="PLACE",
        help="Folder of the store, or a server as postgresql://NAME@MACHINE/DATABASE; otherwise LONGPOINT_DATA, "
        "else your own folder for data.",
    ),
]
"""Where the store lies."""

WHO = "LONGPOINT_WHO"
"""Of the environment: who asks; otherwise the name one is signed in with on the machine."""


def who_asks() -> str:
    """Whose name stands in journal and book."""
    try:
        return os.environ.get(WHO, "") or getpass.getuser()
    except (OSError, KeyError):
        return "somebody"


def opened(data: str) -> Store:
    """The store.

    Raises:
        FaultsError: If it cannot be opened.
    """
    from longpoint.store import open_store, place_of

    return open_store(place_of(data, os.environ))


@contextlib.contextmanager
def looking(data: str) -> Iterator[Desk]:
    """A look at the store."""
    with contextlib.closing(opened(data)) as store, store.reading(who_asks()) as desk:
        yield desk


@contextlib.contextmanager
def changing(data: str) -> Iterator[Desk]:
    """A change of the store, kept whole or not at all."""
    with contextlib.closing(opened(data)) as store, store.writing(who_asks()) as desk:
        yield desk
