"""Typeset source to PDF bytes: offline, with the fonts of the installed packages, the same bytes every time."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import typst

from longpoint.drawing.paper.lettering import font_files
from longpoint.errors import refuse

_NO_CLOCK = datetime(2000, 1, 1, tzinfo=UTC)
"""Written where the file format insists on a moment: a fixed one, since equal plans give equal files."""


_SUSPECTS = b"/MarkInfo<</Marked true/Suspects false>>"
_FALSE = b"/Suspects false"
"""Said by the typesetter although it is what a reader takes for granted; some readers complain of it on every page."""


class TypesettingError(RuntimeError):
    """The typesetter refused what this program wrote: a fault of the program, not of the user."""


def pdf_of(source: str, *, pictures: Path | None = None) -> bytes:
    """Typst source as a PDF.

    Args:
        source: The source.
        pictures: Folder that its pictures lie in.

    Raises:
        FontMissingError: If a font package is incomplete.
        TypesettingError: If the source is wrong.
    """
    try:
        compiler: Any = (
            _compiler()
            if pictures is None or not pictures.is_dir()
            else typst.Compiler(root=str(pictures), font_paths=_fonts(), ignore_system_fonts=True)
        )
        made = compiler.compile(
            source.encode("utf-8"), format="pdf", timestamp=_NO_CLOCK, pdf_standards=["1.7"]
        )
    except typst.TypstError as error:
        msg = f"{error.message}\n{error.diagnostic}"
        raise TypesettingError(msg) from error
    finally:
        _forget(after=len(source))
    return bytes(made).replace(_SUSPECTS, _SUSPECTS.replace(_FALSE, b" " * len(_FALSE)))


def is_picture(file: Path) -> bool:
    """Whether a file is a picture that can be printed."""
    try:
        pdf_of(f'#image("/{file.name}", alt: "")', pictures=file.parent)
    except TypesettingError:
        return False
    return True


def sheets_in(pdf: bytes) -> int:
    """How many sheets a PDF of ours has."""
    return max((int(count) for count in re.findall(rb"/Count (\d+)", pdf)), default=0)


_ENDS = """
#context [#metadata(query(<end-of-page>).map(end => (end.value, end.location().page(),
  end.location().position().y / 1mm))) <ends>]
"""


def ends_of(source: str) -> list[tuple[int, int, float]]:
    """Where each page of a source ends: its number, the sheet from 1, and how far down that sheet. [mm].

    Pages end where ``<end-of-page>`` stands behind their number.

    Raises:
        TypesettingError: If the source is wrong.
    """
    whole = source + _ENDS
    try:
        found = json.loads(
            typst.query(
                whole.encode("utf-8"),
                "<ends>",
                field="value",
                one=True,
                font_paths=_fonts(),
                ignore_system_fonts=True,
            )
        )
    except typst.TypstError as error:
        msg = f"{error.message}\n{error.diagnostic}"
        raise TypesettingError(msg) from error
    finally:
        _forget(after=len(source))
    return [(int(number), int(sheet), float(down)) for number, sheet, down in found]


@cache
def _compiler() -> Any:
    """One compiler for the process, with exactly our fonts."""
    return typst.Compiler(font_paths=_fonts(), ignore_system_fonts=True)


_REMEMBERED = 10
"""So many documents back the typesetter keeps everything it has laid out: a megabyte for each sheet and more."""

_MOST_KEPT = 250_000
"""So long are sources together before it is made to forget: some hundred megabytes at most."""

_kept = 0


def _forget(*, after: int) -> None:
    """Lets the typesetter's memory go by setting empty documents; nothing of one document serves for the next."""
    global _kept
    _kept += after
    if _kept > _MOST_KEPT:
        for _ in range(_REMEMBERED + 1):
            _compiler().compile(b"", format="svg")
        _kept = 0


_EVERY_FONT = b"""#set text(font: ("Source Sans Pro", "Noto Sans"))
a #text(weight: 600)[a] #text(weight: 700)[a] #text(font: "Noto Sans")[a]"""


@cache
def _fonts() -> Any:
    """Our fonts, read once.

    The font packages hold each style in two formats; a folder with the chosen files alone leaves the typesetter
    no choice, so that every machine sets the same letters. Setting a line in all of them reads them into memory, so
    that the folder is gone again at once, whatever becomes of this process.

    Raises:
        FaultsError: If there is nowhere to put that folder.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="longpoint-fonts-") as name:
            for path in font_files().values():
                target = Path(name) / path.name
                try:
                    target.symlink_to(path)
                except OSError:  # some systems allow no links
                    shutil.copyfile(path, target)
            fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[name])
            typst.Compiler(font_paths=fonts, ignore_system_fonts=True).compile(_EVERY_FONT, format="pdf")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        what = f"no temporary folder can be made: {reason}."
        raise refuse("no-temporary-folder", what, "Make room, or name a folder in TMPDIR.") from None
    return fonts
