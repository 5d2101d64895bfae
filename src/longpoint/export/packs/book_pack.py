"""Prints of rack and book: the page for a work's file, labels for what lies in the rack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from longpoint.drawing.paper.pages import Pack, Paper
from longpoint.drawing.sheets.file_page import WorkFile, file_page
from longpoint.drawing.words.voice import Voice, frame_words
from longpoint.export.packs.label_qr import WorkLabel, label_pages
from longpoint.export.typeset.pack import pack_pdf
from longpoint.export.typeset.pdf import is_picture


def file_pdf(file: WorkFile, *, pictures: Path, revision: str, say: Voice, paper: Paper) -> bytes:
    """The page for a work's file.

    Args:
        file: What it says; pictures that are damaged are named instead.
        pictures: Folder that its photographs lie in.
        revision: Of the plan that holds.
        say: How it speaks.
        paper: The sheet.
    """
    shown = [row if is_picture(pictures / row.file) else replace(row, file="") for row in file.photographs]
    pages = (file_page(replace(file, photographs=shown), say=say),)
    return pack_pdf(
        Pack(title=file.title, revision=revision, pages=pages, language=say.language, words=frame_words(say)),
        paper=paper,
        pictures=pictures,
    )


def rack_labels_pdf(labels: Sequence[tuple[str, Sequence[str]]], *, say: Voice, paper: Paper) -> bytes:
    """Labels for things in the rack, each with its label as a square code.

    Args:
        labels: What is written on each, and the lines below.
        say: How they speak.
        paper: The sheet.
    """
    made = [WorkLabel(title=label, lines=tuple(lines), code=label) for label, lines in labels]
    pages = label_pages(
        made, say=say, paper=paper, title=say("book.rack-title"), section=say("book.rack-section")
    )
    return pack_pdf(
        Pack(
            title=say("book.rack-title"),
            revision="",
            pages=pages,
            language=say.language,
            words=frame_words(say),
        ),
        paper=paper,
    )
