"""Two boards at a time: every way to share their parts between them, and the best one kept.

A hand does the same when it lays two boards side by side and swaps pieces until one offcut is long. Each pair is
settled exactly, by trying every choice; pairs are gone through in a fixed order until none gains anything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.kept.offcuts import NOT, column_of, rooms_left
from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

MOST_CHOICES = 4_096
HAIR = 1e-6

Gain = Callable[[int, int, Integers, Integers, Integers], Floats]
"""Gain of one stick: (bin, stick, items (k,), counts (n, k), offcuts (n,)) -> (n,), cost units or any other."""


@dataclass(frozen=True, slots=True)
class _Stick:
    """One stick of one board of a plan."""

    column: int
    stick: int


def reshare(
    core: Core,
    plan: Sequence[Column],
    *,
    gain: Gain,
    budget: int,
    spare: int = 0,
    most_choices: int = MOST_CHOICES,
) -> tuple[list[Column], int]:
    """Share parts anew between two boards at a time while that gains something.

    Args:
        core: The problem.
        plan: A pattern per board, nothing in surplus.
        gain: What one stick gains.
        budget: Most choices to try, over all pairs.
        spare: How much the cost may rise in all, cost units; boards may then be exchanged for others. Where it is
            0 boards may only be exchanged for others that cost the same together.
        most_choices: Pairs with more choices are left alone.

    Returns:
        The plan, at least as good, and how many choices were tried.
    """
    columns = list(plan)
    tried = 0
    improved = True
    settled: set[tuple[object, ...]] = set()
    while improved and tried < budget:
        improved = False
        sticks = [_Stick(c, s) for c, column in enumerate(columns) for s in range(len(column.sticks))]
        for first in range(len(sticks)):
            for second in range(first + 1, len(sticks)):
                if tried >= budget:
                    break
                a, b = sticks[first], sticks[second]
                key = (columns[a.column].bin, a.stick, columns[a.column].sticks[a.stick],
                       columns[b.column].bin, b.stick, columns[b.column].sticks[b.stick],
                       a.column == b.column, spare)  # fmt: skip
                if key in settled:
                    continue
                settled.add(key)
                made, count, dearer = _best_of_pair(core, columns, a, b, gain, spare, most_choices)
                tried += count
                if made is not None:
                    columns, spare, improved = made, spare - dearer, True
    return [column for column in columns if column.takes], tried


def _best_of_pair(
    core: Core, columns: list[Column], a: _Stick, b: _Stick, gain: Gain, spare: int, most_choices: int
) -> tuple[list[Column] | None, int, int]:
    """The plan with a pair shared anew where that gains; how many choices were tried; how much dearer it is."""
    one, other = columns[a.column], columns[b.column]
    union: dict[int, int] = {}
    for i, count in (*one.sticks[a.stick], *other.sticks[b.stick]):
        union[i] = union.get(i, 0) + count
    if not union:
        return None, 0, 0
    items = np.array(sorted(union), dtype=np.int64)
    most = np.array([union[int(i)] for i in items], dtype=np.int64)
    choices = int(np.prod(most + 1))
    if choices > most_choices:
        return None, 0, 0
    counts = np.stack(np.unravel_index(np.arange(choices), tuple(most + 1)), axis=1).astype(np.int64)
    rest = most - counts
    before = dict(one.sticks[a.stick])
    now = int(np.ravel_multi_index(tuple(before.get(int(i), 0) for i in items), tuple(most + 1)))

    def gains(bin_: int, stick: int, shared: Integers) -> Floats:
        offcuts, _ = rooms_left(core, core.bins[bin_].sticks[stick], items, shared)
        value = gain(bin_, stick, items, shared, np.maximum(offcuts, 0))
        refused = ~np.isin(items, core.bins[bin_].allowed)
        bad = (offcuts == NOT) | (shared[:, refused].sum(axis=1) > 0 if refused.any() else False)
        return np.where(bad, -np.inf, value)

    pairs = [(one.bin, other.bin)]
    if a.column != b.column and len(one.sticks) == len(other.sticks) == 1:
        pairs += _other_bins(core, columns, one.bin, other.bin, spare)
    cached: dict[tuple[int, bool], Floats] = {}
    old = core.bins[one.bin].cost + core.bins[other.bin].cost
    best: tuple[float, int, tuple[int, int]] | None = None
    floor = -np.inf
    for p, q in pairs:
        for bin_, stick, shared, key in ((p, a.stick, counts, (p, True)), (q, b.stick, rest, (q, False))):
            if key not in cached:
                cached[key] = gains(bin_, stick, shared)
        together = cached[p, True] + cached[q, False]
        if best is None:
            floor = float(together[now])
            best = (floor, now, (p, q))
        k = int(np.argmax(together))
        if together[k] > best[0] + HAIR * (1.0 + abs(floor)):
            best = (float(together[k]), k, (p, q))
    assert best is not None
    tried = choices * len(cached)
    if best[0] <= floor:
        return None, tried, 0
    _, k, (p, q) = best
    given = (
        tuple((int(i), int(c)) for i, c in zip(items, counts[k], strict=True) if c),
        tuple((int(i), int(c)) for i, c in zip(items, rest[k], strict=True) if c),
    )
    made = list(columns)
    if a.column == b.column:
        lies = list(one.sticks)
        lies[a.stick], lies[b.stick] = given
        made[a.column] = column_of(one.bin, lies)
    else:
        for place, number, takes in ((a, p, given[0]), (b, q, given[1])):
            lies = list(columns[place.column].sticks)
            lies[place.stick] = takes
            made[place.column] = column_of(number, lies)
    return made, tried, core.bins[p].cost + core.bins[q].cost - old


def _other_bins(core: Core, columns: list[Column], p: int, q: int, spare: int) -> list[tuple[int, int]]:
    """Other pairs of boards of one stick each that there are enough of and that cost no more than may be spent."""
    used = [0] * len(core.bins)
    for column in columns:
        used[column.bin] += 1
    used[p] -= 1
    used[q] -= 1
    plain = [
        b for b, bin_ in enumerate(core.bins)
        if len(bin_.sticks) == 1 and (bin_.limit is None or used[b] < bin_.limit)
    ][:24]  # fmt: skip
    old = core.bins[p].cost + core.bins[q].cost
    found: list[tuple[int, int]] = []
    for x in plain:
        for y in plain:
            cost = core.bins[x].cost + core.bins[y].cost
            limit = core.bins[x].limit
            twice = x == y and limit is not None and used[x] + 2 > limit
            if (x, y) != (p, q) and not twice and (cost == old if spare == 0 else cost <= old + spare):
                found.append((x, y))
    return found
