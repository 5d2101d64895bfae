"""A page of few kinds of blocks as one HTML file with its photographs inside, to be sent or kept beside a work."""

from __future__ import annotations

import base64
from html import escape
from pathlib import Path

from longpoint.drawing.paper.pages import Beside, Block, Column, Heading, Page, Paragraph, Photo, Table

_STYLE = """
body { font: 16px/1.5 "Source Sans Pro", "Noto Sans", sans-serif; max-width: 52em; margin: 2em auto; padding: 0 1em;
  color: #1a1a1a; background: #ffffff; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: start; padding: .25em .75em .25em 0; border-bottom: 1px solid #b0b0b0; vertical-align: top; }
.end { text-align: end; }
figure { display: inline-block; margin: 0 1em 1em 0; max-width: 24em; }
img { max-width: 100%; max-height: 30em; }
figcaption, .small { font-size: 14px; color: #444444; }
"""

_KINDS = {"jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp"}


def page_html(page: Page, *, pictures: Path, language: str) -> bytes:
    """A page as HTML that needs nothing beside it.

    Args:
        page: Headings, paragraphs, tables and photographs.
        pictures: Folder that photographs lie in; what is missing there is said by its caption alone.
        language: Of its words.
    """
    body = "\n".join(_block(block, pictures) for block in page.blocks)
    return (
        f'<!doctype html>\n<html lang="{escape(language)}">\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{escape(page.title)}</title>\n<style>{_STYLE}</style>\n"
        f"<h1>{escape(page.title)}</h1>\n<p>{escape(page.lead)}</p>\n{body}\n</html>\n"
    ).encode()


def _block(block: Block, pictures: Path) -> str:
    match block:
        case Heading():
            return f"<h{block.level + 1}>{escape(block.words)}</h{block.level + 1}>"
        case Paragraph():
            return f'<p class="{block.size}">{escape(block.words)}</p>'
        case Table():
            head = "".join(f"<th{_end(column)}>{escape(column.title)}</th>" for column in block.columns)
            rows = "".join(
                "<tr>"
                + "".join(
                    f"<td{_end(column)}>{escape(cell)}</td>"
                    for column, cell in zip(block.columns, row, strict=True)
                )
                + "</tr>\n"
                for row in block.rows
            )
            return f"<table>\n<tr>{head}</tr>\n{rows}</table>"
        case Beside():
            return "\n".join(_block(inner, pictures) for column in block.columns for inner in column)
        case Photo():
            return f"<figure>{_image(block, pictures)}<figcaption>{escape(block.below)}</figcaption></figure>"
        case _:
            msg = f"{type(block).__name__} is on no such page"
            raise TypeError(msg)


def _end(column: Column) -> str:
    return ' class="end"' if column.across == "end" else ""


def _image(block: Photo, pictures: Path) -> str:
    file = pictures / block.file
    try:
        data = base64.b64encode(file.read_bytes()).decode()
    except OSError:
        return ""
    return f'<img alt="{escape(block.shows)}" src="data:{_KINDS[file.suffix[1:]]};base64,{data}">'
