"""The buying list with boxes to tick."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal

from longpoint.costing.buying import BuyLine, Told, bought
from longpoint.drawing.paper.pages import Column, Page, Paragraph, Table
from longpoint.drawing.words.own_words import pack_words, remark_words, thing_words
from longpoint.drawing.words.voice import Voice

_ALWAYS = (0, 1, 3)
"""Columns that stand also where they are empty: what, how much, what to buy."""

_GROUPS = (
    "timber",
    "cloth",
    "screws",
    "glue",
    "staples",
    "primer",
    "hangers",
    "packing",
    "sundries",
    "advised",
)


def buying_page(lines: Sequence[BuyLine], *, currency: str, say: Voice) -> Page:
    """The buying list.

    Args:
        lines: Its lines.
        currency: Word behind amounts.
        say: How the sheet speaks.
    """
    behind = f" [{currency}]" if currency else ""
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    assumed: dict[Told, None] = {}
    for group in _GROUPS:
        members = [line for line in lines if line.group == group]
        if members:
            heads.append((len(rows), say(f"buying.{group}")))
        for line in members:
            rows.append(
                (
                    _named(line, assumed, say),
                    _need(line.need, line.unit, say),
                    _plain(line.have, say) if line.have else "",
                    _packs(line, say) if line.buy else say("buying.rack"),
                    _money(line.each, say),
                    _money(line.total, say) if line.buy else "",
                )
            )
    total = bought(lines)
    keys = [note.key for note in assumed]
    told = [
        Paragraph(f"{_STAR} {remark_words(note, say)}.", "small")
        for note in assumed
        if note.key == "yard" or "yard" not in keys
    ]
    columns = (
        Column(say("buying.what"), share=1.0),
        Column(say("buying.need"), "end"),
        Column(say("buying.have"), "end"),
        Column(say("buying.buy"), strong=True),
        Column(say("buying.each", currency=behind), "end"),
        Column(say("buying.total", currency=behind), "end"),
    )
    sums = (say("buying.sum"), "", "", "", "", _money(total, say))
    kept = [n for n in range(len(columns)) if n in _ALWAYS or any(row[n] for row in rows)]
    return Page(
        key="buying",
        section=say("section-name.yard"),
        title=say("buying.title"),
        lead=say("buying.lead"),
        flows=True,
        blocks=(
            Table(
                columns=tuple(columns[n] for n in kept),
                rows=tuple(tuple(row[n] for n in kept) for row in rows),
                tick=True,
                close=True,
                heads=tuple(heads),
                sums=tuple(sums[n] for n in kept) if total is not None else (),
            ),
            *told,
        ),
    )


def _money(amount: Decimal | None, say: Voice) -> str:
    # no gap between thousands: columns are narrow, and a figure must not be broken there
    return "" if amount is None else say.number(float(amount), places=2).replace("\u202f", "")


def _plain(value: float, say: Voice) -> str:
    return say.number(value, places=0 if value == int(value) else 2)


_STAR = "\N{ASTERISK}"

_BELOW = ("shop", "yard")
"""Remarks that are said once, below the list."""

_SHOWN = "rack"
"""Said by the column of what is bought."""


def _named(line: BuyLine, assumed: dict[Told, None], say: Voice) -> str:
    """A line's thing with its remarks; how it was assumed is said once, below, and marked here."""
    below = [note for note in line.notes if note.key in _BELOW]
    assumed |= dict.fromkeys(below)
    notes = [remark_words(note, say) for note in line.notes if note.key not in (*_BELOW, _SHOWN)]
    behind = f" ({'; '.join(notes)})" if notes else ""
    return thing_words(line.what, say) + behind + (f" {_STAR}" if below else "")


_COUNTED = ("board", "piece", "sheet")
"""Packs of one, which are counted as what they are."""


def _packs(line: BuyLine, say: Voice) -> str:
    """What is bought: boards and metres as such, other packs by their number."""
    if line.pack.key in _COUNTED or line.pack.key == line.unit:
        return f"{_plain(line.buy, say)} {pack_words(line.pack, say, many=line.buy != 1)}"
    return f"{_plain(line.buy, say)} × {pack_words(line.pack, say)}"


def _need(value: float, unit: str, say: Voice) -> str:
    """How much is needed; things are counted without their name, which stands before."""
    if unit == "g":  # no bench weighs glue finer
        value = 10 * math.ceil(value / 10 - 1e-9)
    return (
        f"{_plain(value, say)} {unit}" if unit in ("g", "l", "m", "yd", "m²", "ft²") else _plain(value, say)
    )
