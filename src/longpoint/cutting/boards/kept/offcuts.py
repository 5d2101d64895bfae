"""What one stick holds, for many choices at once: whether it fits, and what it leaves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core, Worth
from longpoint.cutting.boards.search.pricing import Column

Integers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
NOT = np.int64(-(2**62))


def rooms_left(
    core: Core, stick: tuple[int, int], items: Integers, counts: Integers
) -> tuple[Integers, Integers]:
    """The room left on a stick and its offcut, for every choice of parts.

    Args:
        core: The problem.
        stick: Length and what is held beyond it. [nm]
        items: Which items the columns of `counts` stand for, shape (k,).
        counts: How many of each, one choice per row, shape (n, k).

    Returns:
        Offcut on its shorter edge, at least 0, shape (n,); `NOT` where the parts do not fit or the last cut would
        not be safe. The room left, shape (n,). [nm]
    """
    sizes = np.array([core.items[i].size for i in items], dtype=np.int64)
    families = np.array([core.items[i].family for i in items], dtype=np.int64)
    total = counts @ sizes
    left = np.full(len(counts), NOT)
    offcut = np.full(len(counts), NOT)
    for fs in core.family_sets:
        outside = ~np.isin(families, sorted(fs.families))
        fits = counts[:, outside].sum(axis=1) == 0 if outside.any() else np.ones(len(counts), dtype=bool)
        room = stick[0] + fs.offset - total
        better = fits & (room >= 0) & (room > left)
        left[better] = room[better]
        offcut[better] = np.maximum(room[better] - fs.last_gap, 0)
    empty = counts.sum(axis=1) == 0
    left[empty] = offcut[empty] = stick[0]
    if core.safe:
        rounds = np.array([core.items[i].round for i in items], dtype=np.int64)
        lengths = np.array([core.items[i].length for i in items], dtype=np.int64)
        longest = np.zeros(len(counts), dtype=np.int64)
        for k in np.lexsort((lengths, rounds)):
            longest[counts[:, k] > 0] = lengths[k]
        unsafe = ~empty & (longest + left + stick[1] < core.safe)
        left[unsafe] = offcut[unsafe] = NOT
    return offcut, left


def worth_of_offcuts(worth: Worth, offcuts: Integers) -> Floats:
    """What offcuts are worth.

    Args:
        worth: How they are valued.
        offcuts: Their lengths, shape (n,). [nm]

    Returns:
        Their worth, cost units, shape (n,).
    """
    best = np.zeros(len(offcuts))
    for at_least, rate in zip(worth.at_least, worth.rates, strict=True):
        np.maximum(best, np.where(offcuts >= at_least, rate * offcuts - worth.keeping, 0.0), out=best)
    return best


def offcut_of(core: Core, stick: tuple[int, int], takes: Sequence[tuple[int, int]]) -> int | None:
    """The offcut that some parts leave on a stick, by itself: see `rooms_left`. [nm].

    Args:
        core: The problem.
        stick: Length and what is held beyond it. [nm]
        takes: (item, how many), none of them 0.

    Returns:
        Its length on the shorter edge, at least 0; None where the parts do not fit or the last cut is not safe.
    """
    if not takes:
        return stick[0]
    items = core.items
    total = sum(items[i].size * count for i, count in takes)
    families = {items[i].family for i, _ in takes}
    fitting = [fs for fs in core.family_sets if families <= fs.families]
    if not fitting:
        return None
    fs = max(fitting, key=lambda fs: fs.offset)
    left = stick[0] + fs.offset - total
    if left < 0:
        return None
    if core.safe:
        _, longest = max((items[i].round, items[i].length) for i, _ in takes)
        if longest + left + stick[1] < core.safe:
            return None
    return max(0, left - fs.last_gap)


def worth_of_offcut(worth: Worth, offcut: int) -> float:
    """What one offcut is worth, cost units."""
    best = 0.0
    for at_least, rate in zip(worth.at_least, worth.rates, strict=True):
        if offcut >= at_least:
            best = max(best, rate * offcut - worth.keeping)
    return best


def worth_of_column(core: Core, column: Column) -> float:
    """What a board leaves behind is worth, cost units: only its right end is ever kept."""
    bin_ = core.bins[column.bin]
    return worth_of_offcut(bin_.worth, offcut_of(core, bin_.sticks[-1], column.sticks[-1]) or 0)


def without_surplus(core: Core, columns: list[Column]) -> list[Column]:
    """The same boards with every item taken exactly as often as wanted; boards that give nothing are left out."""
    left = [item.demand for item in core.items]
    trimmed: list[Column] = []
    for column in columns:
        sticks: list[tuple[tuple[int, int], ...]] = []
        for stick in column.sticks:
            takes: list[tuple[int, int]] = []
            for i, count in stick:
                used = min(count, left[i])
                left[i] -= used
                if used:
                    takes.append((i, used))
            sticks.append(tuple(takes))
        if any(sticks):
            trimmed.append(column_of(column.bin, sticks))
    return trimmed


def column_of(b: int, sticks: list[tuple[tuple[int, int], ...]]) -> Column:
    """A column from what lies on each stick of a bin."""
    whole: dict[int, int] = {}
    for stick in sticks:
        for i, count in stick:
            whole[i] = whole.get(i, 0) + count
    return Column(b, tuple(sorted(whole.items())), tuple(sticks))
