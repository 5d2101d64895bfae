"""Diving: settle the patterns the relaxation is surest of, relax what is left, and so on down."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Set
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Bin
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.boards.search.relaxation import TINY, Relaxation

Integers = npt.NDArray[np.int64]


@dataclass(slots=True)
class _Fork:
    """Where a descent stands: what is left and used, and the patterns already tried from here."""

    left: Integers
    used: Counter[int]
    spent: int
    settled: int
    avoid: set[Column]


def dive(
    relaxation: Relaxation,
    *,
    demand: Integers,
    low: Integers,
    high: list[int | None],
    below: int,
    target: int = 0,
    avoid: frozenset[Column] = frozenset(),
    rounds: int = 40,
    turns: int = 0,
    stride: float = 0.0,
) -> tuple[list[Column] | None, list[Column]]:
    """One descent.

    Args:
        relaxation: The pool; its demand and bounds are put back afterwards.
        demand: How many of each item, shape (n_items,).
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin.
        below: Only plans cheaper than this are of interest, cost units.
        target: No plan costs less, cost units: a descent that still reaches it needs no better patterns.
        avoid: Patterns not to settle on while there is another choice.
        rounds: Most rounds of pricing at each step.
        turns: How often a descent that fails may go back to its last choice and try another.
        stride: Share of the boards to settle at each step at least, while the relaxation favours their patterns.

    Returns:
        A column per board, or None; and the columns settled at the top of the descent.
    """
    core = relaxation.core
    settled: list[Column] = []
    first: list[Column] = []
    trail: list[_Fork] = []
    here = _Fork(demand.copy(), Counter(), 0, 0, set(avoid))
    try:
        while here.left.any():
            relaxation.set_demand(here.left)
            relaxation.set_bin_bounds(
                np.array([max(0, int(low[b]) - here.used[b]) for b in range(len(core.bins))], dtype=np.int64),
                [None if most is None else most - here.used[b] for b, most in enumerate(high)],
            )
            relaxation.keep_proper(here.left)
            answer = relaxation.solve(
                stop_above=float(below - here.spent) - 0.5,
                rounds=rounds,
                prove=False,
                enough=float(target - here.spent) + 1e-6 * target,
            )
            fails = answer.unmet > TINY or core.totals.at_least(here.spent + answer.bound) >= below
            chosen = [] if fails else _choose(relaxation, answer.x, here.avoid)
            if stride:
                chosen = _choose_many(relaxation, answer.x, chosen, math.ceil(stride * float(answer.x.sum())))
            after = _settle(core.bins, here, chosen, settled, high, strict=bool(stride))
            if not first:
                first = [column for column, _ in chosen]
            if len(settled) > here.settled and after.spent < below:
                if len(chosen) == 1 and turns > 0:
                    here.avoid.add(chosen[0][0])
                    trail.append(here)
                here = after
                continue
            # Nothing good is left below: back to the last choice, and another way from there.
            if not trail or turns == 0:
                return None, first
            turns -= 1
            here = trail.pop()
            del settled[here.settled :]
            relaxation.switch_all_on()
        return settled, first
    finally:
        relaxation.switch_all_on()
        relaxation.set_demand(demand)
        relaxation.set_bin_bounds(low, high)


def _settle(
    bins: tuple[Bin, ...],
    here: _Fork,
    chosen: list[tuple[Column, int]],
    settled: list[Column],
    high: list[int | None],
    *,
    strict: bool,
) -> _Fork:
    """Where the descent stands after some patterns are settled, which are added to the ones before."""
    left, used, spent = here.left.copy(), here.used.copy(), here.spent
    for column, times in chosen:
        for _ in range(times):
            most = high[column.bin]
            useful = any(left[i] > 0 for i, _ in column.takes)
            if not useful or (most is not None and used[column.bin] >= most):
                break
            if strict and len(settled) > here.settled and any(left[i] < count for i, count in column.takes):
                break  # what was settled beside it took its parts: the next step finds a better one
            settled.append(column)
            used[column.bin] += 1
            spent += bins[column.bin].cost
            for i, count in column.takes:
                left[i] = max(0, left[i] - count)
    return _Fork(left, used, spent, len(settled), set())


def _choose(
    relaxation: Relaxation, x: npt.NDArray[np.float64], avoid: Set[Column]
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


def _choose_many(
    relaxation: Relaxation, x: npt.NDArray[np.float64], chosen: list[tuple[Column, int]], most: int
) -> list[tuple[Column, int]]:
    """The patterns chosen already, and on large problems the likeliest of the others, so that steps are few."""
    taken = {column for column, _ in chosen}
    likely = [int(k) for k in np.flatnonzero(x >= 0.5) if relaxation.columns[int(k)].takes]
    for k in sorted(likely, key=lambda k: (-round(float(x[k]), 9), k)):
        if sum(times for _, times in chosen) >= most:
            break
        if relaxation.columns[k] not in taken:
            chosen = [*chosen, (relaxation.columns[k], 1)]
    return chosen
