"""The pack as PDF: page values in, bytes out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from longpoint.drawing.paper.pages import A4, Pack, Paper
from longpoint.export.packs.fitting import laid_out
from longpoint.export.typeset.pack_source import pack_source
from longpoint.export.typeset.pdf import pdf_of


def pack_pdf(pack: Pack, *, paper: Paper = A4, pictures: Path | None = None) -> bytes:
    """A pack as PDF, each page set so that no sheet holds a few left-over lines.

    Args:
        pack: The pages.
        paper: The sheet they are printed on; pages must have been drawn for the same paper.
        pictures: Folder that its photographs lie in.

    Raises:
        FaultsError: If a drawing is larger than the sheet.
    """
    layout = laid_out(pack, paper=paper)
    (part,) = layout.parts()
    return pdf_of(pack_source(pack, paper=paper, settings=layout.settings, part=part), pictures=pictures)


MOST_SHEETS = 300
"""So many sheets are one file: the typesetter holds up to three megabytes for each of them while it makes it."""


def pack_files(stem: str, pack: Pack, *, paper: Paper = A4) -> Iterator[tuple[str, bytes]]:
    """A pack as one PDF, or as several where it has many sheets; sheets are numbered through.

    Args:
        stem: Path of the first file without its ending; every further one has the number of its first sheet behind it.
        pack: The pages.
        paper: The sheet they are printed on; pages must have been drawn for the same paper.

    Raises:
        FaultsError: If a drawing is larger than the sheet.
    """
    layout = laid_out(pack, paper=paper)
    for part in layout.parts(MOST_SHEETS):
        source = pack_source(pack, paper=paper, settings=layout.settings, part=part)
        yield f"{stem}-{part.begins}.pdf" if part.begins > 1 else f"{stem}.pdf", pdf_of(source)
