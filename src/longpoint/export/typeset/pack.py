"""The pack as PDF: page values in, bytes out."""

from __future__ import annotations

from pathlib import Path

from longpoint.drawing.paper.pages import A4, Pack, Paper
from longpoint.export.packs.fitting import settings_for
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
    source = pack_source(pack, paper=paper, settings=settings_for(pack, paper=paper))
    return pdf_of(source, pictures=pictures)
