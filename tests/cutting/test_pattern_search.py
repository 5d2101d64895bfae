"""The inner search for patterns where each length is charged for, against every choice there is."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from longpoint.cutting.boards.search.kernels import NOTHING_KEPT, Items, Stick, search

ROOM = 1_000


def drawn(seed: int) -> Items:
    """Some items of few lengths, those of one length side by side, each length with its charge."""
    random = np.random.default_rng(seed)
    keys = np.sort(random.integers(0, 3, int(random.integers(3, 6))))
    n = len(keys)
    lengths = random.integers(150, 600, 3)[keys]
    return Items(
        values=random.uniform(0.5, 4.0, n),
        sizes=lengths + random.integers(0, 20, n),
        lengths=lengths,
        rounds=np.ones(n, dtype=np.int64),
        most=random.integers(1, 4, n),
        charges=random.uniform(0.2, 2.5, 3)[keys],
        keys=keys,
    )


def worth(items: Items, counts: tuple[int, ...]) -> float:
    """What is taken is worth, less one charge for each length of it."""
    charged = {
        int(key): float(charge) for key, charge, k in zip(items.keys, items.charges, counts, strict=True) if k
    }
    return float(np.dot(items.values, counts)) - sum(charged.values())


def choices(items: Items) -> list[tuple[int, ...]]:
    """Every choice that the room holds, but the empty one."""
    every = itertools.product(*(range(int(most) + 1) for most in items.most))
    return [counts for counts in every if any(counts) and np.dot(items.sizes, counts) <= ROOM]


def run(items: Items, *, above: float, keep_all: int) -> tuple[list[tuple[int, ...]], list[float]]:
    """What the search finds under a table that bounds nothing."""
    n = len(items.values)
    table = np.full((n + 1, ROOM + 1), float(np.dot(items.values, items.most)))
    table[n] = 0.0
    found, values = np.zeros((5_000, n), dtype=np.int64), np.zeros(5_000)
    stick = Stick(0, ROOM, 1, table, 0, 0)
    leaves, _, _ = search(items, stick, NOTHING_KEPT, above, 1e-9, keep_all, 1_000_000, found, values)
    return [tuple(map(int, row)) for row in found[:leaves]], [float(value) for value in values[:leaves]]


@pytest.mark.parametrize("seed", range(60))
def test_the_best_pattern_pays_once_for_each_length(seed: int) -> None:
    items = drawn(seed)
    best = max(worth(items, counts) for counts in choices(items))
    found, values = run(items, above=best - 1.0, keep_all=0)
    assert values == [pytest.approx(best)]
    assert worth(items, found[0]) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(60))
def test_every_pattern_listed_is_worth_what_is_said(seed: int) -> None:
    items = drawn(seed)
    found, values = run(items, above=0.0, keep_all=1)
    for counts, value in zip(found, values, strict=True):
        assert worth(items, counts) == pytest.approx(value)
    # Only what one more of a length on the board already would replace is left out.
    for counts in choices(items):
        left = ROOM - int(np.dot(items.sizes, counts))
        fuller = any(
            k and k < most and size <= left
            for k, most, size in zip(counts, items.most, items.sizes, strict=True)
        )
        if worth(items, counts) > 1e-6 and not fuller:
            assert counts in found
