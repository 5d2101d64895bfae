"""Diving: settle the patterns the relaxation is surest of, relax what is left, and so on down."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import numpy.typing as npt

from longpoint.cutting.pricing import Column
from longpoint.cutting.relaxation import TINY, Relaxation

Integers = npt.NDArray[np.int64]


def dive(
    relaxation: Relaxation,
    *,
    demand: Integers,
    low: Integers,
    high: list[int | None],
    below: int,
    avoid: frozenset[Column] = frozenset(),
    rounds: int = 40,
) -> tuple[list[Column] | None, list[Column]]:
    """One descent.

    Args:
        relaxation: The pool; its demand and bounds are put back afterwards.
        demand: How many of each item, shape (n_items,).
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin.
        below: Only plans cheaper than this are of interest, cost units.
        avoid: Patterns not to settle on while there is another choice.
        rounds: Most rounds of pricing at each step.

    Returns:
        A column per board, or None; and the columns settled at the top of the descent.
    """
    core = relaxation.core
    left = demand.copy()
    used: Counter[int] = Counter()
    settled: list[Column] = []
    first: list[Column] = []
    spent = 0
    try:
        while left.any():
            relaxation.set_demand(left)
            relaxation.set_bin_bounds(
                np.array([max(0, int(low[b]) - used[b]) for b in range(len(core.bins))], dtype=np.int64),
                [None if most is None else most - used[b] for b, most in enumerate(high)],
            )
            relaxation.keep_proper(left)
            answer = relaxation.solve(stop_above=float(below - spent) - 0.5, rounds=rounds, prove=False)
            if answer.unmet > TINY or core.totals.at_least(spent + answer.bound) >= below:
                return None, first
            chosen = _choose(relaxation, answer.x, avoid if not settled else frozenset())
            if not chosen:
                return None, first
            for column, times in chosen:
                for _ in range(times):
                    most = high[column.bin]
                    useful = any(left[i] > 0 for i, _ in column.takes)
                    if not useful or (most is not None and used[column.bin] >= most):
                        break
                    settled.append(column)
                    used[column.bin] += 1
                    spent += core.bins[column.bin].cost
                    for i, count in column.takes:
                        left[i] = max(0, left[i] - count)
            if not first:
                first = [column for column, _ in chosen]
            if spent >= below:
                return None, first
        return settled, first
    finally:
        relaxation.switch_all_on()
        relaxation.set_demand(demand)
        relaxation.set_bin_bounds(low, high)


def _choose(
    relaxation: Relaxation, x: npt.NDArray[np.float64], avoid: frozenset[Column]
) -> list[tuple[Column, int]]:
    whole = [int(k) for k in np.flatnonzero(x >= 1.0 - 1e-6) if relaxation.columns[int(k)].takes]
    if whole:
        return [(relaxation.columns[k], math.floor(x[k] + 1e-6)) for k in whole]
    best, best_value = -1, TINY
    for k in np.flatnonzero(x > TINY):
        if not relaxation.columns[int(k)].takes:
            continue
        value = float(x[k]) * (0.01 if relaxation.columns[int(k)] in avoid else 1.0)
        if value > best_value + 1e-9:
            best, best_value = int(k), value
    return [(relaxation.columns[best], 1)] if best >= 0 else []
