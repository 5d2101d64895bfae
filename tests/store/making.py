"""A small batch whose boards come from the rack, things to put there, and a clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from longpoint.store import Store
from longpoint.store.rack.facts import Board, Cloth, Supply
from longpoint.store.rack.stock import put

RACK = """
title = "Reed beds"
[bars]
bevel_when = "after cutting"
[[work]]
name = "Small"
width = 507
height = 391
how_many = 3
[[rack]]
name = "B1"
thickness = 21
depth = 44
length = 2600
[[rack]]
name = "B2"
thickness = 21
depth = 44
length = 2300
[[rack]]
name = "O1"
thickness = 21
depth = 44
length = 1250
[[yard]]
name = "bars"
thickness = 21
depth = 44
lengths = [{ length = 2400, price = 6.2 }]
[[roll]]
name = "R1"
width = 1500
length = 6000
at_hand = true
"""

BEGAN = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


class Clock:
    """A clock that goes on by a minute each time it is looked at."""

    def __init__(self) -> None:
        self.now, self.step = BEGAN, timedelta(minutes=1)

    def __call__(self) -> datetime:
        self.now += self.step
        return self.now


def board(length: float = 2400, **more: Any) -> Board:
    return Board.model_validate(
        {"thickness": 21, "depth": 44, "length": length, **more}, context={"unit": "mm"}
    )


def cloth(length: float = 6000, **more: Any) -> Cloth:
    return Cloth.model_validate({"width": 1500, "length": length, **more}, context={"unit": "mm"})


def supply(amount: float = 500, **more: Any) -> Supply:
    return Supply.model_validate({"what": "st", "kind": "staple", "amount": amount, **more})


def fill(store: Store) -> list[str]:
    """The rack that the small plan was made with, and a board more."""
    with store.writing("Mara") as desk:
        return put(
            desk, [board(2600), board(2300), board(1250, serves="bar"), cloth(), board(3000), supply()]
        )


def plan_of(title: str, revision: int, labels: list[str]) -> dict[str, Any]:
    """As much of a plan file as the store reads, with these boards of the rack."""
    cut = {"part": "A1", "stop": 500.0, "start": 0.0, "end": 500.0}
    boards = [
        {"board": label, "copy_number": 1, "length": 2400.0, "at_hand": True, "cuts": [cut], "remains": 700.0,
         "good_for": "bar"}
        for label in labels
    ]  # fmt: skip
    part = {"mark": "A1", "kind": "bar", "thickness": 21.0, "depth": 44.0, "bevel_fall": 6.0, "how_many": 1}
    work = {"name": "Reeds", "code": "A", "how_many": 1, "parts": [{**part, "long_point": 500.0}]}
    section = {"section": "bars 21 × 44 mm", "use": "bars", "ripped": None, "boards": boards}
    head = {"format": "longpoint plan", "title": title, "revision": str(revision)}
    return {**head, "batch": {}, "works": [work], "boards": [section], "cloth": []}
