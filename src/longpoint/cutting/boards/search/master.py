"""The integer master over a pool of patterns: a small mixed-integer program on HiGHS with a node limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from longpoint.cutting.boards.search.core import Core
from longpoint.cutting.boards.search.pricing import Column
from longpoint.cutting.quiet import quiet_highs

Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Mastered:
    """Answer of the integer master.

    Attributes:
        columns: One per board, repeated; None where none was found.
        complete: Whether the pool has nothing better (or nothing at all below the ceiling).
        bound: No choice from the pool costs less, cost units (infinite where there is none).
    """

    columns: list[Column] | None
    complete: bool
    bound: float


def integer_master(
    core: Core,
    pool: Sequence[Column],
    *,
    demand: Integers,
    low: Integers,
    high: Sequence[int | None],
    below: int,
    nodes: int,
) -> Mastered:
    """The cheapest whole numbers of pooled patterns that meet the demand.

    Args:
        core: The problem.
        pool: Patterns to choose from.
        demand: How many of each item, shape (n_items,).
        low: Least boards of each bin, shape (n_bins,).
        high: Most boards of each bin.
        below: Only plans cheaper than this are of interest, cost units.
        nodes: Most branch-and-bound nodes.

    Returns:
        The choice and whether it is the best of the pool.
    """
    model: Any = quiet_highs()
    infinity = float(model.getInfinity())
    none: npt.NDArray[np.int32] = np.zeros(0, dtype=np.int32)
    n_items = len(core.items)
    for amount in demand:
        model.addRow(float(amount), infinity, 0, none, np.zeros(0))
    for b, most in enumerate(high):
        model.addRow(float(low[b]), infinity if most is None else float(most), 0, none, np.zeros(0))
    model.addRow(-infinity, float(below - core.totals.step), 0, none, np.zeros(0))
    cost_row = n_items + len(core.bins)
    for column in pool:
        index = np.array([i for i, _ in column.takes] + [n_items + column.bin, cost_row], dtype=np.int32)
        cost = float(core.bins[column.bin].cost)
        value = np.array([float(count) for _, count in column.takes] + [1.0, cost])
        model.addCol(cost, 0.0, infinity, len(index), index, value)
    model.changeColsIntegrality(
        len(pool), np.arange(len(pool), dtype=np.int32), np.full(len(pool), 1, dtype=np.uint8)
    )
    for option, setting in (
        ("mip_max_nodes", nodes), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.999 * core.totals.step),
        ("presolve", "on"), ("mip_feasibility_tolerance", 1e-7),
    ):  # fmt: skip
        model.setOptionValue(option, setting)
    model.run()
    status = model.modelStatusToString(model.getModelStatus())
    info = model.getInfo()
    if status in ("Infeasible", "Primal infeasible or unbounded"):
        return Mastered(None, True, np.inf)
    bound = float(info.mip_dual_bound)
    chosen: list[Column] | None = None
    if info.primal_solution_status == 2:
        counts = np.rint(np.array(model.getSolution().col_value)).astype(int)
        chosen = [pool[int(k)] for k in np.flatnonzero(counts > 0) for _ in range(int(counts[k]))]
        if not _meets(core, chosen, demand, low, high):
            chosen = None
    return Mastered(chosen, status == "Optimal", bound)


def _meets(
    core: Core, columns: Sequence[Column], demand: Integers, low: Integers, high: Sequence[int | None]
) -> bool:
    """Checked again in whole numbers: the program's tolerances are not ours."""
    made = np.zeros(len(core.items), dtype=np.int64)
    used = np.zeros(len(core.bins), dtype=np.int64)
    for column in columns:
        used[column.bin] += 1
        for i, count in column.takes:
            made[i] += count
    if (made < demand).any() or (used < low).any():
        return False
    return all(most is None or used[b] <= most for b, most in enumerate(high))
