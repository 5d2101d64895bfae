"""The list of pages in front of a pack, in columns of about equal height."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.lettering import fitted, shown
from longpoint.drawing.pages import Contents, Page
from longpoint.export.source_words import string_of

_LINE, _HEAD = 5.7, 8.6
"""Heights of a line and of a section's head in the contents [mm]."""


def contents_of(block: Contents, pages: Sequence[Page], *, room: float, height: float, trial: bool) -> str:
    """The list of pages as source.

    Args:
        block: The block.
        pages: All pages of the pack.
        room: Width it has. [mm]
        height: Of a sheet, inside the borders. [mm]
        trial: Whether the pages themselves are not there to be counted.
    """
    listed = sum(page.listed for page in pages)
    columns = block.columns if listed <= 30 else max(block.columns, 3)  # a long list stays on one sheet
    column = (room - 9.0 * (columns - 1)) / columns
    sections: dict[str, list[str]] = {}
    for number, page in enumerate(pages):
        if page.listed:
            about = ", ".join(name for name in page.about if name not in page.title)
            words = page.contents or (f"{page.title} · {about}" if about else page.title)
            short = fitted(shown(words), width=column - 8.5, height=2.57)
            target = "none" if trial else f"<sheet-{number}>"
            sections.setdefault(page.section, []).append(f"contents-line({target}, {string_of(short)})")
    most = height - 20.0
    pieces = [(section, line) for section, lines in sections.items() for line in lines]
    total = len(pieces) * _LINE + len(sections) * _HEAD
    share = min(total / columns, most)
    filled = _in_columns(pieces, share)
    while len(filled) > columns and share < most:  # a little longer, until none is left over
        share = min(share + _LINE, most)
        filled = _in_columns(pieces, share)
    rows = [filled[i : i + columns] for i in range(0, len(filled), columns)]
    made = []
    for row in rows:
        cells = [
            ", ".join(f"({string_of(section)}, ({', '.join(lines)},))" for section, lines in cell)
            for cell in row
        ]
        made.append(f"#contents({columns}, {', '.join(f'({cell},)' for cell in cells)})")
    return "\n".join(made)


def _in_columns(pieces: Sequence[tuple[str, str]], share: float) -> list[list[tuple[str, list[str]]]]:
    """Lines with their sections in columns of at most this height [mm]."""
    filled: list[list[tuple[str, list[str]]]] = [[]]
    used = 0.0
    for section, line in pieces:
        fresh = not filled[-1] or filled[-1][-1][0] != section
        need = _LINE + (_HEAD if fresh else 0.0)
        if used + need > share and filled[-1]:
            filled.append([])
            used, fresh, need = 0.0, True, _LINE + _HEAD
        if fresh:
            filled[-1].append((section, []))
        filled[-1][-1][1].append(line)
        used += need
    return filled
