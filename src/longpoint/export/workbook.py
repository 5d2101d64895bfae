"""Tables as XLSX workbooks: numbers as numbers, one sheet per table, the same bytes every time."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

import xlsxwriter

Cell = str | int | float | Decimal
"""Text, or a number."""

_NO_CLOCK = datetime(2000, 1, 1)
_TITLE_LIMIT = 31  # characters in the name of a sheet, a limit of the format
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", "-"))


@dataclass(frozen=True, slots=True)
class SheetOf:
    """One table.

    Attributes:
        title: Name of the sheet.
        head: Column heads.
        rows: Cells; text stays text, whatever it looks like.
    """

    title: str
    head: Sequence[str]
    rows: Sequence[Sequence[Cell]]


def xlsx_of(sheets: Sequence[SheetOf]) -> bytes:
    """Tables as one workbook.

    Args:
        sheets: At least one table.
    """
    out = io.BytesIO()
    with xlsxwriter.Workbook(
        out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    ) as book:
        book.set_properties({"created": _NO_CLOCK})
        strong = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        used: set[str] = set()
        for table in sheets:
            sheet = book.add_worksheet(_title(table.title, used))
            sheet.freeze_panes(1, 0)
            for column, words in enumerate(table.head):
                sheet.write_string(0, column, words, strong)
                longest = max([len(words) // 2, *(len(str(row[column])) for row in table.rows)], default=8)
                sheet.set_column(column, column, min(max(longest + 2, 8), 48))
            for number, row in enumerate(table.rows, start=1):
                for column, cell in enumerate(row):
                    if isinstance(cell, str):
                        sheet.write_string(number, column, cell)
                    else:
                        sheet.write_number(number, column, float(cell))
            if table.rows:
                sheet.autofilter(0, 0, len(table.rows), len(table.head) - 1)
    return out.getvalue()


def _title(words: str, used: set[str]) -> str:
    """A name that the format allows and no other sheet has."""
    base = words.translate(_FORBIDDEN).strip("' ")[:_TITLE_LIMIT] or "table"
    title, count = base, 1
    while title.lower() in used:
        count += 1
        title = f"{base[: _TITLE_LIMIT - 4]} {count}"
    used.add(title.lower())
    return title
