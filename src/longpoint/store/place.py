"""Where a store lies: a file in the user's folder for data or another, or a PostgreSQL server."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from longpoint.errors import Where, refuse

FILE = "longpoint.db"
"""The store's file where it lies in a folder."""

VARIABLE = "LONGPOINT_DATA"
"""Of the environment: where the store lies where ``--data`` does not say."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a store lies.

    Attributes:
        url: As SQLAlchemy names it.
        folder: Folder for photographs; of a file, where it lies.
    """

    url: str
    folder: Path

    @property
    def file(self) -> Path | None:
        """The store's file; None on a server."""
        return self.folder / FILE if self.url.startswith("sqlite") else None

    def __str__(self) -> str:
        return str(self.file) if self.file is not None else _without_password(self.url)


def place_of(said: str, environment: Mapping[str, str]) -> Place:
    """Where the store lies.

    Args:
        said: What ``--data`` says: a folder, or a URL that begins with ``postgresql://``; "" where it does not say.
        environment: Variables of the environment.

    Raises:
        FaultsError: If it is a URL of a kind that is not known.

    References:
        XDG Base Directory Specification, version 0.8, "Environment variables": XDG_DATA_HOME, else ~/.local/share.
    """
    text = (said or environment.get(VARIABLE, "")).strip()
    own = own_folder(environment, sys.platform)
    if "://" not in text:
        folder = Path(text).expanduser() if text else own
        return Place(f"sqlite:///{(folder / FILE).as_posix()}", folder)
    scheme, rest = text.split("://", 1)
    if scheme not in ("postgresql", "postgres", "postgresql+psycopg"):
        raise refuse(
            "no-such-store",
            f"a store at {scheme}:// is not known.",
            "Name a folder, or a server as postgresql://NAME@MACHINE/DATABASE.",
            Where("--data"),
        )
    return Place(f"postgresql+psycopg://{rest}", own)


def own_folder(environment: Mapping[str, str], platform: str) -> Path:
    """The user's folder for data of this program.

    Args:
        environment: Variables of the environment.
        platform: As ``sys.platform`` names it.
    """
    home = Path(environment.get("HOME") or environment.get("USERPROFILE") or Path.home())
    if platform == "darwin":
        return home / "Library" / "Application Support" / "longpoint"
    if platform == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / "longpoint"
    told = environment.get("XDG_DATA_HOME", "")
    return (Path(told) if told.startswith("/") else home / ".local" / "share") / "longpoint"


def _without_password(url: str) -> str:
    scheme, rest = url.removeprefix("postgresql+psycopg").split("://", 1)
    who, at, machine = rest.rpartition("@")
    return f"postgresql{scheme}://{who.split(':', 1)[0]}{at}{machine}"
