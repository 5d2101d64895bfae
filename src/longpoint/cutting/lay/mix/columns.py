"""Kept lengths as columns of a program: which may still be taken, what they hold, and what the program says.

The linear program over them says what a piece and the room in a zone are worth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_array, vstack

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import Floats, Ints
from longpoint.cutting.lay.mix.pool import FIRST_PUT, HEIGHT, PUTS, ROLL, Pool


@compiled
def suited(lengths: Ints, pieces: Ints, used: Ints, left: Ints, rooms: Floats) -> Ints:
    """Lengths that hold no more than is left to lay and fit into what is left of their zone.

    Args:
        lengths: As in ``pool.keep``.
        pieces: As in ``pool.keep``.
        used: As in ``pool.keep``.
        left: Wanted of every kind, shape (kinds,).
        rooms: Length left in every zone, shape (zones,). [ticks]

    Returns:
        Their places, rising.
    """
    found = np.zeros(used[0], np.int64)
    held = np.zeros(left.shape[0], np.int64)
    n = 0
    for at in range(used[0]):
        if float(lengths[at, HEIGHT]) > rooms[lengths[at, ROLL]]:
            continue
        first = lengths[at, FIRST_PUT]
        last = first + lengths[at, PUTS]
        fits = True
        for p in range(first, last):
            held[pieces[p, 0]] += 1
            if held[pieces[p, 0]] > left[pieces[p, 0]]:
                fits = False
        for p in range(first, last):
            held[pieces[p, 0]] = 0
        if fits:
            found[n] = at
            n += 1
    return found[:n].copy()


@compiled
def holdings(lengths: Ints, pieces: Ints, which: Ints) -> tuple[Ints, Ints, Ints]:
    """What some lengths hold.

    Args:
        lengths: As in ``pool.keep``.
        pieces: As in ``pool.keep``.
        which: Places of the lengths.

    Returns:
        Where the entries of every length begin, shape (lengths + 1,); the kind of every entry, each once in a length;
        and how many of it.
    """
    total = 0
    for c in range(which.shape[0]):
        total += lengths[which[c], PUTS]
    heads = np.zeros(which.shape[0] + 1, np.int64)
    kinds = np.zeros(total, np.int64)
    copies = np.zeros(total, np.int64)
    n = 0
    for c in range(which.shape[0]):
        first = lengths[which[c], FIRST_PUT]
        for p in range(first, first + lengths[which[c], PUTS]):
            at = heads[c]
            while at < n and kinds[at] != pieces[p, 0]:
                at += 1
            kinds[at] = pieces[p, 0]
            copies[at] += 1
            n = max(n, at + 1)
        heads[c + 1] = n
    return heads, kinds[:n].copy(), copies[:n].copy()


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
    from scipy.optimize import linprog  # heavy, and few plans need it

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
