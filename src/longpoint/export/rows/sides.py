"""What ``longpoint compare --json`` prints."""

from __future__ import annotations

import json
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from longpoint.jobs.compare import Side


def sides_json(sides: Sequence[Side]) -> str:
    """Batches side by side as JSON: mm, kg, hours; amounts as text with two decimals."""
    return json.dumps(
        {"version": 1, "batches": [_side(side) for side in sides]}, ensure_ascii=False, indent=1
    )


def _side(side: Side) -> dict[str, Any]:
    holds, unless, fails = side.holding
    return {
        "name": side.name,
        "currency": side.currency,
        "pieces": side.pieces,
        "cost": _money(side.cost),
        "price": _money(side.price),
        "to_buy": _money(side.paid),
        "hours": {"low": side.hours.low, "middle": side.hours.middle, "high": side.hours.high},
        "mass": round(side.mass, 3),
        "pulled_in": None if side.pulled_in is None else round(side.pulled_in, 4),
        "holds": holds,
        "holds_unless": unless,
        "does_not_hold": fails,
        "boards_bought": side.boards,
        "boards_from_rack": side.from_rack,
        "cloth": round(side.cloth, 1),
        "ready_on_day": side.ready,
        "works": [
            {
                "name": work.name,
                "pieces": work.pieces,
                "cost": _money(work.cost),
                "price": _money(work.price),
                "mass": round(work.mass, 3),
                "hours": round(work.hours, 2),
                "pulled_in": None if work.pulled_in is None else round(work.pulled_in, 4),
                "answer": work.answer,
            }
            for work in side.works
        ],
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)
