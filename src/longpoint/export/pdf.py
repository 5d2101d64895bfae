"""Typeset source to PDF bytes: offline, with the fonts of the installed packages, the same bytes every time."""

from __future__ import annotations

import shutil
import tempfile
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from longpoint.drawing.lettering import font_files

_NO_CLOCK = datetime(2000, 1, 1, tzinfo=UTC)
"""Written where the file format insists on a moment: a fixed one, since equal plans give equal files."""


class TypesettingError(RuntimeError):
    """The typesetter refused what this program wrote: a fault of the program, not of the user."""


def pdf_of(source: str) -> bytes:
    """Typst source as a PDF.

    Raises:
        FontMissingError: If a font package is incomplete.
        TypesettingError: If the source is wrong.
    """
    try:
        made = _compiler().compile(
            source.encode("utf-8"), format="pdf", timestamp=_NO_CLOCK, pdf_standards=["1.7"]
        )
    except typst.TypstError as error:
        msg = f"{error.message}\n{error.diagnostic}"
        raise TypesettingError(msg) from error
    return bytes(made)


@cache
def _compiler() -> Any:
    """One compiler for the process, with exactly our fonts.

    The font packages hold each style in two formats; a folder with the chosen files alone leaves the typesetter
    no choice, so that every machine sets the same letters.
    """
    folder = _font_folder()
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder.name])
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=True)


@cache
def _font_folder() -> tempfile.TemporaryDirectory[str]:
    folder = tempfile.TemporaryDirectory(prefix="longpoint-fonts-")
    for path in font_files().values():
        target = Path(folder.name) / path.name
        try:
            target.symlink_to(path)
        except OSError:  # some systems allow no links
            shutil.copyfile(path, target)
    return folder
