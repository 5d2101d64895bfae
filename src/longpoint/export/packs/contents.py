"""The list of pages in front of a pack, in columns of about equal height."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from longpoint.drawing.paper.lettering import fitted, shown
from longpoint.drawing.paper.pages import Page
from longpoint.export.typeset.source_words import string_of

_COLUMNS = 3

_MOST_LINES = 40
"""So many lines of a column stand on one sheet."""


def contents_of(pages: Sequence[Page], *, room: float, pointing: Callable[[int], str]) -> str:
    """The list of pages as source.

    Args:
        pages: All pages of the pack.
        room: Width it has. [mm]
        pointing: Where a page is, as source: label and number of its sheet.
    """
    column = (room - 9.0 * (_COLUMNS - 1)) / _COLUMNS
    lines = []
    for number, page in enumerate(pages):
        if page.listed:
            short = fitted(shown(page.contents or page.title), width=column - 8.5, height=2.57)
            lines.append(f"contents-line({pointing(number)}, {string_of(short)})")
    blocks = [lines[i : i + _COLUMNS * _MOST_LINES] for i in range(0, len(lines), _COLUMNS * _MOST_LINES)]
    return "\n".join(map(_block, blocks))


def _block(lines: Sequence[str]) -> str:
    rows = -(-len(lines) // _COLUMNS)
    columns = [lines[i : i + rows] for i in range(0, len(lines), rows)]
    cells = ", ".join(f"({', '.join(each)},)" for each in columns)
    return f"#contents({_COLUMNS}, {cells})"
