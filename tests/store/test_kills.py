"""A few kills in the middle of writes, a few benches at once: the short form of what `make attack` does for hours."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from bench.contention import hammered
from hard.store_kills import attack
from longpoint.store import Store

pytestmark = pytest.mark.slow


def test_what_was_confirmed_survives_kills_and_what_was_not_is_whole_or_not_there(store: Store) -> None:
    assert attack(store.place, 5, random.Random(1)) == []


def test_several_benches_at_once_get_no_board_twice_and_lose_no_tick(store: Store, tmp_path: Path) -> None:
    folder = tmp_path / "said"
    folder.mkdir()
    found, figures = hammered(store.place, processes=3, seconds=2.0, folder=folder)
    assert found == [], figures
    assert "ticks confirmed" in figures
