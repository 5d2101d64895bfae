"""Where what was told of a run lies."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from longpoint import __version__


def told_folder(run: Path, *, language: str, system: str) -> Path:
    """Where a run's pages in one language and one unit lie, as this state of the program tells them.

    What another state told lies elsewhere: pages that look for what it did not tell would fall over it.
    """
    return run / "told" / _shape() / f"{language}-{system}"


@cache
def _shape() -> str:
    """Short sign of how pages are told: of the version and of what tells them."""
    found = hashlib.sha256(__version__.encode())
    for file in sorted(Path(__file__).parent.glob("*.py")):
        found.update(file.read_bytes())
    return found.hexdigest()[:12]
