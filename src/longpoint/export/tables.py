"""The tables of a plan: parts, cuts, what to buy; as CSV, and as rows for a workbook.

A cell is text or a number from the start: a work called 0123 stays text, whatever reads it.
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction

from longpoint.export.rows.money import buy_row
from longpoint.export.workbook import Cell, SheetOf
from longpoint.jobs.plan import Plan

_PARTS_HEAD = (
    "mark", "work", "kind", "members", "per work", "how many", "long point [mm]", "short point [mm]",
    "thickness [mm]", "depth [mm]", "bevel fall [mm]", "ends", "measured on the frame", "marks [mm]",
)  # fmt: skip
_CUTS_HEAD = (
    "section", "board", "number", "length [mm]", "from the rack", "cut", "part", "from [mm]", "to [mm]",
    "stop [mm]", "saw, left end", "saw, right end", "remains [mm]",
)  # fmt: skip
_BUYING_HEAD = ("group", "what", "need", "in the rack", "unit", "buy", "pack", "each", "total", "note")


def parts_rows(plan: Plan) -> list[tuple[Cell, ...]]:
    """Rows of ``parts.csv``."""
    return [
        (
            part.mark,
            part.work,
            str(part.kind),
            "; ".join(part.members),
            part.per_work,
            part.how_many,
            _mm(part.long_point),
            _mm(part.short_point),
            _mm(part.thickness),
            _mm(part.depth),
            _mm(part.bevel_fall),
            " / ".join(part.ends),
            "yes" if part.measured else "no",
            "; ".join(f"{_written(_mm(mark.at))} {mark.what}" for mark in part.marks),
        )
        for work in plan.works
        for part in work.parts
    ]


def cuts_rows(plan: Plan) -> list[tuple[Cell, ...]]:
    """Rows of ``cuts.csv``."""
    return [
        (
            section.plan.section,
            board.board,
            board.copy,
            _mm(board.length / 1e6),
            "yes" if board.at_hand else "no",
            number,
            cut.part,
            _mm(cut.start / 1e6),
            _mm(cut.end / 1e6),
            _mm(cut.stop / 1e6),
            str(cut.swing_start),
            str(cut.swing_end),
            _mm(board.remains / 1e6),
        )
        for section in plan.boards
        for board in section.plan.boards
        for number, cut in enumerate(board.cuts, start=1)
    ]


def buying_rows(plan: Plan) -> list[tuple[Cell, ...]]:
    """Rows of ``buying.csv``."""
    return [
        (
            row.group,
            row.what,
            float(f"{row.need:g}"),
            float(f"{row.have:g}"),
            row.unit,
            float(f"{row.buy:g}"),
            row.pack,
            "" if line.each is None else line.each,
            "" if line.total is None else line.total,
            row.note,
        )
        for line in plan.buying
        for row in (buy_row(line),)
    ]


def tables_of(plan: Plan) -> tuple[SheetOf, ...]:
    """All tables of a plan."""
    return (
        SheetOf("parts", _PARTS_HEAD, parts_rows(plan)),
        SheetOf("cuts", _CUTS_HEAD, cuts_rows(plan)),
        SheetOf("buying", _BUYING_HEAD, buying_rows(plan)),
    )


def csv_of(table: SheetOf) -> bytes:
    """RFC 4180: commas, quotes where needed, CRLF; UTF-8 with a mark, so that spreadsheets read it right."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(table.head)
    writer.writerows([_written(cell) for cell in row] for row in table.rows)
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _written(cell: Cell) -> str:
    """Text that begins like a formula would be run by a spreadsheet; an apostrophe keeps it text."""
    if isinstance(cell, str):
        return (
            f"'{cell}"
            if cell.lstrip()[:1] in ("=", "+", "-", "@") or (cell[:1] in "\t\r\n" and cell)
            else cell
        )
    if isinstance(cell, float):
        return f"{cell:.6f}".rstrip("0").rstrip(".")
    return str(cell)


def _mm(length: Fraction | float) -> float:
    return round(float(length), 2)
