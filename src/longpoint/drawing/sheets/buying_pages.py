"""The buying list with boxes to tick."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from decimal import Decimal

from longpoint.costing.buying import BuyLine, bought
from longpoint.drawing.paper.pages import Column, Page, Paragraph, Table
from longpoint.drawing.words.own_words import in_own_words
from longpoint.drawing.words.voice import Voice

_ALWAYS = (0, 1, 3)
"""Columns that stand also where they are empty: what, how much, what to buy."""

_GROUPS = ("timber", "cloth", "screws", "glue", "staples", "primer", "hangers", "sundries", "advised")


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
    assumed: dict[str, None] = {}
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
    longest = [some for some in assumed if not any(other.startswith(some + ",") for other in assumed)]
    told = [Paragraph(f"{_STAR} {in_own_words(some, say)}.", "small") for some in longest]
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
_ASSUMED = re.compile(r"(?:; )?(assumed: [^;]*)")
_SAID = re.compile(r"(?:, )?from the rack")
"""Said by the column of what is bought."""


def _named(line: BuyLine, assumed: dict[str, None], say: Voice) -> str:
    """A line's thing with its remark; how it was assumed is said once, below, and marked here."""
    note, star = _SAID.sub("", line.note), ""
    found = _ASSUMED.search(note)
    if found:
        assumed[found[1]] = None
        note, star = _ASSUMED.sub("", note), f" {_STAR}"
    return in_own_words(line.what + (f" ({note})" if note else ""), say) + star


_COUNTED = ("board", "piece", "sheet")
"""Packs of one, which are counted as what they are."""


def _packs(line: BuyLine, say: Voice) -> str:
    """What is bought: boards and metres as such, other packs by their number."""
    if line.pack in _COUNTED or line.pack == line.unit:
        return _quantity(line.buy, f"{line.pack}s" if line.pack in _COUNTED else line.pack, say)
    return f"{_plain(line.buy, say)} × {in_own_words(line.pack, say)}"


def _need(value: float, unit: str, say: Voice) -> str:
    """How much is needed; things are counted without their name, which stands before."""
    return _quantity(value, unit, say) if unit in ("g", "l", "m", "yd") else _plain(value, say)


def _quantity(value: float, unit: str, say: Voice) -> str:
    if unit == "g":  # no bench weighs glue finer
        value = 10 * math.ceil(value / 10 - 1e-9)
    one = unit.removesuffix("s") if value == 1 else unit
    return f"{_plain(value, say)} {in_own_words(one, say)}"
