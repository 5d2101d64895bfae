"""The linear program over kept lengths: what a piece and the room in a zone are worth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csc_array, vstack

from longpoint.cutting.lay.mix.columns import holdings
from longpoint.cutting.lay.mix.pool import HEIGHT, ROLL, Pool
from longpoint.cutting.lay.walk.fill import Floats, Ints


@dataclass(frozen=True, slots=True)
class PricedLengths:
    """Answer of the linear program.

    Attributes:
        cost: Its cost.
        times: How often every length is taken, shape (lengths,).
        prices: What a piece of every kind is worth, shape (kinds,).
        rates: What a tick of every zone costs, scarcity included, shape (zones,).
        reduced: What every length costs more than it is worth, shape (lengths,).
    """

    cost: float
    times: Floats
    prices: Floats
    rates: Floats
    reduced: Floats


def relax(
    pool: Pool, which: Ints, left: Ints, *, rates: Floats, rooms: Floats, limited: Ints
) -> PricedLengths | None:
    """The linear program over some of the lengths.

    Args:
        pool: The lengths.
        which: Places of those that may be taken; they hold only what is wanted.
        left: Wanted of every kind, shape (kinds,).
        rates: What a tick of every zone costs, shape (zones,).
        rooms: Length left in every zone, shape (zones,). [ticks]
        limited: The zones that end.

    Returns:
        Its answer; None where it cannot be met.
    """
    if len(which) == 0:
        return None
    heads, kinds, copies = holdings(pool.lengths, pool.pieces, which)
    rows = np.flatnonzero(left > 0)
    row_of = np.zeros(len(left), np.int64)
    row_of[rows] = np.arange(len(rows))
    lengths = pool.lengths[which]
    unit = max(1.0, float(lengths[:, HEIGHT].mean()))
    demand = csc_array((-copies.astype(float), row_of[kinds], heads), shape=(len(rows), len(which)))
    bound = -left[rows].astype(float)
    if len(limited):
        hold = csc_array(np.array([(lengths[:, ROLL] == at) * (lengths[:, HEIGHT] / unit) for at in limited]))
        demand = vstack([demand, hold], format="csc")
        bound = np.concatenate([bound, rooms[limited] / unit])
    cost = rates[lengths[:, ROLL]] * lengths[:, HEIGHT]
    scale = float(cost.max())
    answer = linprog(cost / scale, A_ub=demand, b_ub=bound, method="highs")
    if answer.status != 0:
        return None
    duals = -answer.ineqlin.marginals * scale
    prices = np.zeros(len(left))
    prices[rows] = np.maximum(duals[: len(rows)], 0.0)
    scarce = rates.copy()
    scarce[limited] += np.maximum(duals[len(rows) :], 0.0) / unit
    return PricedLengths(float(answer.fun) * scale, answer.x, prices, scarce, answer.lower.marginals * scale)
