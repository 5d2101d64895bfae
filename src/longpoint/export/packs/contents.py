"""The list of pages in front of a pack, in columns of about equal height."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.lettering import fitted, shown
from longpoint.drawing.paper.pages import Page
from longpoint.export.typeset.source_words import string_of

_COLUMNS = 3


def contents_of(pages: Sequence[Page], *, room: float, trial: bool) -> str:
    """The list of pages as source.

    Args:
        pages: All pages of the pack.
        room: Width it has. [mm]
        trial: Whether the pages themselves are not there to be counted.
    """
    column = (room - 9.0 * (_COLUMNS - 1)) / _COLUMNS
    lines = []
    for number, page in enumerate(pages):
        if page.listed:
            short = fitted(shown(page.contents or page.title), width=column - 8.5, height=2.57)
            target = "none" if trial else f"<sheet-{number}>"
            lines.append(f"contents-line({target}, {string_of(short)})")
    rows = -(-len(lines) // _COLUMNS)
    columns = [lines[i : i + rows] for i in range(0, len(lines), rows)]
    cells = ", ".join(f"({', '.join(each)},)" for each in columns)
    return f"#contents({_COLUMNS}, {cells})"
