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
    source = pack_source(pack, paper=paper, settings=laid_out(pack, paper=paper).settings)
    return pdf_of(source, pictures=pictures)


MOST_SHEETS = 400
"""So many sheets are one file: the typesetter holds up to two megabytes for each of them while it makes it."""


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
    parts = layout.parts(MOST_SHEETS)
    for part in parts:
        begins = part.first[part.pages[0]]
        source = pack_source(
            pack, paper=paper, settings=layout.settings, part=part if len(parts) > 1 else None
        )
        yield f"{stem}-{begins}.pdf" if begins > 1 else f"{stem}.pdf", pdf_of(source)
