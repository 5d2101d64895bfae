"""Sheets as blocks that a page lays out: the same words and drawings as on paper, without paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from longpoint.drawing.paper.marks import Text
from longpoint.drawing.paper.pages import (
    Beside,
    BigWords,
    Blanks,
    Block,
    Bullets,
    CautionBox,
    Drawing,
    Figures,
    Heading,
    Page,
    Paragraph,
    Steps,
    Table,
    Together,
)
from longpoint.drawing.paper.view import View
from longpoint.export.shapes.svg import svg_of

MOST_ACROSS = 50.0
"""Times the smallest capitals that a drawing may be wide: 340 px of a phone then leave capitals of 7 px. Estimate."""


def told_page(page: Page) -> dict[str, Any]:
    """A sheet as plain values.

    Args:
        page: The sheet.
    """
    return {
        "key": page.key,
        "section": page.section,
        "title": page.title,
        "lead": page.lead,
        "stamp": page.stamp,
        "about": list(page.about),
        "blocks": told_blocks(page.blocks, page.title),
    }


def told_blocks(blocks: Iterable[Block], about: str) -> list[dict[str, Any]]:
    """Blocks as plain values; what only divides paper is left out."""
    found = []
    for block in blocks:
        if isinstance(block, Together):
            found += told_blocks(block.blocks, about)
        elif (made := _block(block, about)) is not None:
            found.append(made)
    return found


def picture(view: View, about: str) -> str:
    """A drawing for a page, with what it shows for those who listen."""
    return svg_of(view, title=f"{about}. {view.title}" if view.title else about, standalone=False)


def is_wide(view: View) -> bool:
    """Whether its letters would be too small to read across a phone: such a drawing is pushed sideways instead."""
    letters = [mark.height for mark in view.marks if isinstance(mark, Text)]
    return bool(letters) and view.edge.width > MOST_ACROSS * min(letters)


def _block(block: Block, about: str) -> dict[str, Any] | None:
    match block:
        case Heading(words, level):
            return {"kind": "heading", "words": words, "level": level}
        case Paragraph(words, size, strong):
            return {"kind": "paragraph", "words": words, "size": size, "strong": strong}
        case Bullets(items):
            return {"kind": "bullets", "items": list(items)}
        case CautionBox(title, items):
            return {"kind": "caution", "title": title, "items": list(items)}
        case Figures(items):
            return {"kind": "figures", "items": [list(item) for item in items]}
        case Blanks(items):
            return {"kind": "blanks", "items": [list(item) for item in items]}
        case BigWords(words):
            return {"kind": "big", "words": list(words)}
        case Drawing(view, caption):
            return {
                "kind": "drawing",
                "svg": picture(view, about),
                "caption": caption or view.title,
                "wide": is_wide(view),
            }
        case Steps(items):
            steps = [
                {
                    "words": step.words,
                    "stamp": step.stamp,
                    "lines": list(step.lines),
                    "svg": "" if step.view is None else picture(step.view, about),
                    "wide": step.view is not None and is_wide(step.view),
                }
                for step in items
            ]
            return {"kind": "steps", "items": steps, "first": block.first}
        case Beside(columns):
            return {"kind": "beside", "columns": [told_blocks(column, about) for column in columns]}
        case Table():
            return _table(block)
    return None


def _table(table: Table) -> dict[str, Any]:
    printed = [column for column in table.columns if column.blank is None]
    heads = dict(table.heads)
    rows = [{"head": heads.get(number, ""), "cells": list(row)} for number, row in enumerate(table.rows)]
    return {
        "kind": "table",
        "columns": [
            {"title": column.title, "end": column.across == "end", "strong": column.strong}
            for column in printed
        ],
        "rows": rows,
        "sums": list(table.sums),
        "tick": table.tick,
    }
