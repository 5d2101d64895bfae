"""Where what was told of a run lies."""

from __future__ import annotations

from pathlib import Path


def told_folder(run: Path, *, language: str, system: str) -> Path:
    """Where a run's pages in one language and one unit lie."""
    return run / "told" / f"{language}-{system}"
