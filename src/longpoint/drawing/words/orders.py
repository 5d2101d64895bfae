"""Compared orders of stapling as a table's heads and cells, and whether the printed one is the best."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from longpoint.drawing.words.pounds import with_pounds
from longpoint.drawing.words.voice import Voice
from longpoint.model.order import USUAL_ORDERS
from longpoint.stretching.rehearsal.compare import OrderRow

ALIKE = 0.01
"""Spreads no further apart than this are alike: less than is known. Estimate."""


def heads(say: Voice) -> tuple[str, ...]:
    """What stands above the columns of `cells`."""
    tension, force = figure(1.0, "N/m", say)[1], figure(1.0, "N", say)[1]
    return (
        say("rehearsal.head-order"),
        say("rehearsal.head-mean", unit=tension),
        say("rehearsal.head-spread"),
        say("rehearsal.head-windows"),
        say("rehearsal.head-corners"),
        say("rehearsal.head-slack"),
        say("rehearsal.head-staple", unit=force),
        say("rehearsal.head-bars", unit=say.unit),
    )


def cells(row: OrderRow, name: str, tear_load: float, say: Voice) -> tuple[str, ...]:
    """One order in a line.

    Args:
        row: Its figures.
        name: What it is called.
        tear_load: What a staple may take. [N]
        say: How it is said.
    """
    return (
        name,
        f"{_tension(row.mean_level, say)} × {_tension(row.mean_upright, say)}",
        percent(row.spread, say),
        f"{_tension(row.lowest, say)}–{_tension(row.highest, say)}",
        f"{_tension(row.corner_lowest, say)}–{_tension(row.corner_highest, say)}",
        percent(row.slack, say),
        figure(row.peak_load, "N", say)[0] + ("!" if row.peak_load > tear_load else ""),
        say.small(row.pulled_in),
    )


def best_beside(
    rows: Sequence[OrderRow], printed: str
) -> tuple[Literal["best", "better", "same"], OrderRow, OrderRow] | None:
    """Whether the printed order is the best of the usual ones.

    Args:
        rows: Most even first.
        printed: Name of the printed order.

    Returns:
        ``best``, ``better`` (another is) or ``same`` (none is by more than is known), the printed order and the best
        one; None where that cannot be said.
    """
    now = next((row for row in rows if row.name == printed), None)
    best = next((row for row in rows if row.name in USUAL_ORDERS), None)
    if now is None or best is None:
        return None
    if best.name == printed:
        return "best", now, best
    return ("better" if best.spread < now.spread - ALIKE else "same"), now, best


def percent(share: float, say: Voice) -> str:
    """A share in hundredths."""
    return f"{say.number(100 * share)} %"


def figure(value: float, unit: str, say: Voice) -> tuple[str, str]:
    """A figure and its unit, pounds for readers of inches."""
    told, _, unit = with_pounds(f"{value:.0f} {unit}", say, alone=True).rpartition(" ")
    return told, unit


def _tension(tension: float, say: Voice) -> str:
    """N/mm as the sheets say it; slack cloth does not push, what is below nothing is a residue."""
    return figure(max(0.0, 1000 * tension), "N/m", say)[0]
