"""How wide the columns of a table are: as their words need, as far as the sheet has room."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.drawing.paper.lettering import CAPITAL, width_of
from longpoint.drawing.paper.marks import Weight
from longpoint.drawing.paper.pages import Column, Table
from longpoint.export.typeset.source_words import together

_POINT = 25.4 / 72
"""Millimetres in a typographic point of 1/72 in."""

_INSET = 3.2
"""Empty width inside a table cell, both sides together (``sheet.typ``) [mm]."""


def column_widths(block: Table, room: float, size: float) -> list[float]:
    """Widths of a table's columns: as wide as their words if all fit, else the widest give way first.

    Args:
        block: The table.
        room: Width for all columns together. [mm]
        size: Type size. [pt]

    Returns:
        Widths that sum to the room. [mm]
    """
    height = size * _POINT * CAPITAL
    natural: list[float] = []
    roomy: list[float] = []  # with every head in one line
    least: list[float] = []
    printed = [i for i, column in enumerate(block.columns) if column.blank is None]
    for i, column in enumerate(block.columns):
        head = 10.8 * _POINT * CAPITAL
        title = together(column.title)
        texts = []
        if column.blank is None:
            place = printed.index(i)
            rows = (*block.rows, block.sums) if block.sums else block.rows
            texts += [(together(row[place]).replace("**", ""), height) for row in rows if place < len(row)]
        weight: Weight = "bold" if column.strong else "semibold"
        long = max((width_of(bit, height=head, weight="semibold") for bit in title.split(" ")), default=0.0)
        full = width_of(title, height=head, weight="semibold")
        wide = max(long, full if full < 20.0 else _in_two_lines(title, head))
        whole = full
        word = long
        for words, cap in texts:
            wide = max(wide, width_of(words, height=cap, weight=weight))
            whole = max(whole, width_of(words, height=cap, weight=weight))
            for bit in words.split(" "):
                word = max(word, width_of(bit, height=cap, weight=weight))
        roomy.append(max(whole + _INSET + 0.5, column.blank or 0.0))
        natural.append(max(wide + _INSET + 0.5, column.blank or 0.0))
        least.append(max(word + _INSET + 0.5, column.blank or 0.0))
    natural = roomy if sum(roomy) <= room else natural
    spare = room - sum(natural)
    if spare >= 0:
        shares = [column.share or 0.0 for column in block.columns]
        if not any(shares):
            shares = (
                [1.0 if i == printed[0] else 0.0 for i in range(len(natural))]
                if printed
                else [1.0] * len(natural)
            )
        return [width + spare * share / sum(shares) for width, share in zip(natural, shares, strict=True)]
    shared = _shared_widths(block.columns, natural, least, room)
    if shared is not None:
        return shared
    low, high = 0.0, max(natural)
    for _ in range(60):  # the level down to which the widest columns give way
        level = (low + high) / 2
        taken = sum(max(m, min(n, level)) for n, m in zip(natural, least, strict=True))
        low, high = (low, level) if taken > room else (level, high)
    widths = [max(m, min(n, low)) for n, m in zip(natural, least, strict=True)]
    rest = room - sum(widths)
    return [width * (1 + rest / sum(widths)) for width in widths]


def _in_two_lines(title: str, height: float) -> float:
    """Least width in which a head stands in two lines. [mm]"""
    words = title.split(" ")
    return min(
        (
            max(
                width_of(" ".join(part), height=height, weight="semibold")
                for part in (words[:at], words[at:])
            )
            for at in range(1, len(words))
        ),
        default=width_of(title, height=height, weight="semibold"),
    )


_WHOLE = 27.0
"""A column this narrow is not made narrower beside one that takes what is left. [mm]"""


def _shared_widths(
    columns: Sequence[Column], natural: Sequence[float], least: Sequence[float], room: float
) -> list[float] | None:
    """Widths where columns with a share take what the others leave; None where that leaves too little."""
    widths = [
        0.0 if column.share else max(m, min(n, max(0.24 * room, _WHOLE)))
        for column, n, m in zip(columns, natural, least, strict=True)
    ]
    open_columns = [i for i, column in enumerate(columns) if column.share]
    free = room - sum(widths)
    if not open_columns or free < sum(max(least[i], 0.18 * room) for i in open_columns):
        return None
    while open_columns:
        total = sum(columns[i].share or 0.0 for i in open_columns)
        # a column that needs less than its share, or cannot do with it, is settled first
        settled = next(
            (
                (i, bound)
                for i in open_columns
                for bound in (min(natural[i], max(least[i], free * (columns[i].share or 0.0) / total)),)
                if abs(bound - free * (columns[i].share or 0.0) / total) > 1e-9
            ),
            None,
        )
        if settled is None or len(open_columns) == 1:
            for i in open_columns:
                widths[i] = free * (columns[i].share or 0.0) / total
            break
        widths[settled[0]] = settled[1]
        free -= settled[1]
        open_columns.remove(settled[0])
    return widths
