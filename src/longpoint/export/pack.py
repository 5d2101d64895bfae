"""The pack as PDF: page values in, bytes out.

Every page is written as typeset source that calls the functions in ``sheet.typ``; drawings go in as the same
SVG that is also written to files. Nothing here knows what a bar is.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from longpoint.drawing.lettering import fitted, shown, width_of
from longpoint.drawing.pages import (
    A4,
    Beside,
    BigWords,
    Blanks,
    Block,
    Bullets,
    CautionBox,
    Column,
    Contents,
    Drawing,
    Figures,
    Gap,
    Heading,
    NewSheet,
    Pack,
    Page,
    Paper,
    Paragraph,
    Step,
    Steps,
    Table,
    Together,
    drawings_of,
)
from longpoint.drawing.views import View
from longpoint.errors import Fault, FaultsError
from longpoint.export.pdf import pdf_of
from longpoint.export.svg import svg_of
from longpoint.export.table_widths import column_widths

_POINT = 25.4 / 72
"""Millimetres in a typographic point of 1/72 in."""

_STAND_IN = {
    "contents": "Pages",
    "page-of": "{page} of {pages}",
    "revision": "revision",
    "full-size": "Full size: print at 100 %",
    "caution": "Take care",
}


def pack_pdf(pack: Pack, *, paper: Paper = A4) -> bytes:
    """A pack as PDF.

    Args:
        pack: The pages.
        paper: The sheet they are printed on; pages must have been drawn for the same paper.

    Raises:
        FaultsError: If a drawing is larger than the sheet.
    """
    return pdf_of(pack_source(pack, paper=paper))


def pack_source(pack: Pack, *, paper: Paper = A4) -> str:
    """The typeset source of a pack, for tests and for looking at."""
    refuse_too_large(pack.pages, paper)
    words = _STAND_IN | dict(pack.words)
    parts = [
        _style(),
        f"#set document(title: {_string(pack.title)}, date: none)",
        f"#set text(font: ({', '.join(_string(name) for name in ('Source Sans Pro', 'Noto Sans'))}), "
        f"size: 12pt, lang: {_string(pack.language)}, fallback: true)",
        f"#set page(width: {paper.width}mm, height: {paper.height}mm, "
        f"margin: (x: {paper.side}mm, top: {paper.head}mm, bottom: {paper.foot}mm), "
        f"header-ascent: 4mm, footer-descent: 3mm)",
        "#set par(leading: 0.56em, spacing: 0.9em)",
    ]
    foot = " · ".join(
        bit
        for bit in (pack.title, f"{words['revision']} {pack.revision}" if pack.revision else "", pack.made_on)
        if bit
    )
    foot = fitted(shown(foot), width=paper.room[0] - 30, height=2.52)
    for number, page in enumerate(pack.pages):
        parts.append(_page(page, number, pack, foot, words, paper))
    return "\n".join(parts)


def refuse_too_large(pages: Sequence[Page], paper: Paper) -> None:
    """Refuses drawings that do not fit the sheet, all of them at once.

    Raises:
        FaultsError: One fault for each.
    """
    width, height = paper.room
    faults = [
        Fault(
            "drawing-too-large",
            f"The drawing {view.name!r} on the page {page.title!r} is {view.width:.0f} × {view.height:.0f} mm; "
            f"{paper.name} has room for {width:.0f} × {height:.0f} mm.",
            "Print on larger paper, or split the drawing.",
        )
        for page in pages
        for view in drawings_of(page)
        if view.width > width + 0.05 or view.height > height + 0.05
    ]
    if faults:
        raise FaultsError(faults)


@cache
def _style() -> str:
    return (files("longpoint.export") / "sheet.typ").read_text(encoding="utf-8")


def _page(page: Page, number: int, pack: Pack, foot: str, words: dict[str, str], paper: Paper) -> str:
    room = paper.room[0]
    about = fitted(shown(", ".join(page.about)), width=room * 0.62, height=2.52, weight="semibold")
    mark = "none"
    if page.stamp:
        mark = f"stamp-mark({_string(page.stamp)})"
    elif page.full_size:
        mark = f"size-mark({_string(words['full-size'])})"
    body = "\n".join(_block(block, pack, paper, room) for block in page.blocks)
    return (
        f"#page(header: running-head({_string(page.section)}, {_string(about)}), "
        f"footer: running-foot({_string(foot)}, {_string(words['page-of'])}))[\n"
        f"#metadata({_string(page.key)}) <sheet-{number}>\n"
        f"#page-title({_string(page.title)}, {_string(page.lead)}, {mark})\n{body}\n]"
    )


def _block(block: Block, pack: Pack, paper: Paper, room: float) -> str:
    """One block as source; ``room`` is the width it has [mm]."""
    match block:
        case Heading():
            return f"#heading-{block.level}({_string(block.words)})"
        case Paragraph():
            strong = "true" if block.strong else "false"
            return f"#para({_words(block.words)}, size: {_string(block.size)}, strong: {strong})"
        case Bullets():
            return f"#bullets(size: {_string(block.size)}, {_list(block.items)})" if block.items else ""
        case CautionBox():
            return f"#caution({_string(block.title)}, {_list(block.items)})" if block.items else ""
        case Steps():
            return _steps(block)
        case Table():
            return _table(block, room)
        case Figures():
            items = ", ".join(f"({_words(what)}, {_words(number)})" for what, number in block.items)
            return f"#figures({items})"
        case Blanks():
            items = ", ".join(
                f"({_words(what)}, {_words(printed)}, {_words(unit)})" for what, printed, unit in block.items
            )
            return f"#blanks({block.columns}, {items})"
        case BigWords():
            return _big_words(block, room)
        case Drawing():
            return _drawing(block.view, block.caption or block.view.title)
        case Gap():
            return f"#v({block.height}mm)"
        case NewSheet():
            return "#pagebreak(weak: true)"
        case Together():
            inner = "\n".join(_block(item, pack, paper, room) for item in block.blocks)
            return f"#block(breakable: false, width: 100%, above: 5.5mm)[\n{inner}\n]"
        case Beside():
            return _beside(block, pack, paper, room)
        case Contents():
            return _contents(block, pack, paper, room)


def _steps(block: Steps) -> str:
    def one(step: Step) -> str:
        stamp = f"stamp-mark({_string(step.stamp)})" if step.stamp else "none"
        view = _image(step.view) if step.view is not None else "none"
        lines = ", ".join(_words(line) for line in step.lines)
        return f"({_words(step.words)}, {stamp}, {view}, ({lines}{',' if step.lines else ''}))"

    tick = "true" if block.tick else "false"
    return f"#steps({block.first}, {tick}, {', '.join(one(step) for step in block.items)})"


_ALIGN = {"start": "left", "middle": "center", "end": "right"}
_TABLE_SIZES = {"small": 10.8, "body": 11.5, "large": 16.0}


def _table(block: Table, room: float) -> str:
    columns = list(block.columns)
    size = _TABLE_SIZES[block.size]
    widths = [f"{width:.2f}mm" for width in column_widths(block, room - (8.0 if block.tick else 0.0), size)]
    aligns = [_ALIGN[column.across] for column in columns]
    header = [_string(column.title) for column in columns]
    if block.tick:
        widths.insert(0, "8mm")
        aligns.insert(0, "left")
        header.insert(0, '""')
    heads = dict(block.heads)
    cells: list[str] = []
    for number, row in enumerate(block.rows):
        if number in heads:
            cells.append(f"sub-head({len(widths)}, {_words(heads[number])})")
        cells += _row(columns, row, tick=block.tick)
    if block.sums:
        cells += ["sum-cell([])"] if block.tick else []
        given = iter(block.sums)
        cells += [
            f"sum-cell({_words(next(given, ''))})" if column.blank is None else "sum-cell([])"
            for column in columns
        ]
    return (
        f"#rows(({', '.join(widths)},), align: ({', '.join(aligns)},), header: ({', '.join(header)},), "
        f"size: {_string(block.size)}, {', '.join(cells)})"
    )


def _row(columns: Sequence[Column], row: tuple[str, ...], *, tick: bool) -> list[str]:
    cells = ["tick-box()"] if tick else []
    given = iter(row)
    for column in columns:
        if column.blank is not None:
            cells.append("[]")
            continue
        words = _words(next(given, ""))
        cells.append(f"text(weight: 700, {words})" if column.strong else words)
    return cells


def _big_words(block: BigWords, room: float) -> str:
    widest = max(width_of(shown(words), height=10, weight="bold") for words in (*block.words, *block.like))
    capital = min(15.0, 10 * (room - 14) / widest)  # mm
    size = capital / 0.66 / _POINT
    return f"#big-words({size:.1f}pt, {', '.join(_string(words) for words in block.words)})"


def _drawing(view: View, caption: str) -> str:
    source = _string(svg_of(view, standalone=False), flat=False)
    return (
        f"#drawing({source}, {view.width:.4f}mm, {view.height:.4f}mm, {_words(caption)}, "
        f"{_string(view.title or view.name)})"
    )


def _image(view: View) -> str:
    source = _string(svg_of(view, standalone=False), flat=False)
    return (
        f'image(bytes({source}), format: "svg", width: {view.width:.4f}mm, height: {view.height:.4f}mm, '
        f"alt: {_string(view.title or view.name)})"
    )


def _beside(block: Beside, pack: Pack, paper: Paper, room: float) -> str:
    shares = block.shares or (1.0,) * len(block.columns)
    free = room - 8.0 * (len(block.columns) - 1)
    columns = [
        "[" + "\n".join(_block(item, pack, paper, free * share / sum(shares)) for item in column) + "]"
        for column, share in zip(block.columns, shares, strict=True)
    ]
    return f"#beside(({', '.join(f'{share}fr' for share in shares)},), {', '.join(columns)})"


_LINE, _HEAD = 5.7, 8.6
"""Heights of a line and of a section's head in the contents [mm]."""


def _contents(block: Contents, pack: Pack, paper: Paper, room: float) -> str:
    listed = sum(page.listed for page in pack.pages)
    columns = block.columns if listed <= 30 else max(block.columns, 3)  # a long list stays on one sheet
    column = (room - 9.0 * (columns - 1)) / columns
    sections: dict[str, list[str]] = {}
    for number, page in enumerate(pack.pages):
        if page.listed:
            about = ", ".join(name for name in page.about if name not in page.title)
            words = page.contents or (f"{page.title} · {about}" if about else page.title)
            short = fitted(shown(words), width=column - 8.5, height=2.57)
            sections.setdefault(page.section, []).append(f"contents-line(<sheet-{number}>, {_string(short)})")
    most = paper.room[1] - 20.0
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
            ", ".join(f"({_string(section)}, ({', '.join(lines)},))" for section, lines in cell)
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


def _list(items: Sequence[str]) -> str:
    return ", ".join(_words(item) for item in items)


def _words(words: str) -> str:
    """Running text as a content expression; ``**`` turns strong on and off."""
    pieces = words.split("**")
    if len(pieces) % 2 == 0:  # a lone pair of stars is just two stars
        pieces = [words]
    if len(pieces) == 1:
        return f"text({_string(words)})"
    made = [f"#strong({_string(piece)})" if i % 2 else f"#{_string(piece)}" for i, piece in enumerate(pieces)]
    return "[" + "".join(made) + "]"


def _string(words: str, *, flat: bool = True) -> str:
    """A string literal; words are first made drawable."""
    text = _kept_ends(words) if flat else words.replace("\n", "")
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _kept_ends(words: str) -> str:
    """Drawable words that keep a space at either end, so that strong stretches do not stick to their neighbours."""
    if not words.strip():
        return " " if words else ""
    return (" " if words[0].isspace() else "") + shown(words) + (" " if words[-1].isspace() else "")
