"""Lengths looked for on purpose: those that would make a mix of lengths cheaper.

The linear program over the kept lengths gives every kind a price. Here single lengths are filled at random, dear
kinds first, and kept where what they hold is worth more than, or nearly as much as, the roll they take.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import (
    FIRST,
    HOME,
    LENGTH,
    ORDER,
    RISE,
    SPLIT,
    WIDTH,
    Genes,
    Ints,
    LayTask,
    fill_length,
    space_for,
)
from longpoint.cutting.lay.mix.pool import Pool, keep
from longpoint.cutting.lay.random import draw, draw_below

Floats = NDArray[np.float64]


@compiled
def draw_genes(sizes: Ints, prices: Floats, state: Ints, keys: Floats, genes: Ints) -> None:
    """Genes for one length: dear kinds first, more or less; cut one way, the other, or mixed.

    Args:
        sizes: Across, along, may turn; shape (kinds, 3). [ticks]
        prices: What a kind is worth, shape (kinds,).
        state: Random state; changed.
        keys: Work space, shape (kinds,).
        genes: Shape (5, kinds); changed.
    """
    kinds = sizes.shape[0]
    spread = 0.05 + 0.001 * draw_below(state, 600)
    for k in range(kinds):
        noise = draw_below(state, 1 << 20) / float(1 << 20) - 0.5
        keys[k] = -prices[k] / (float(sizes[k, 0]) * float(sizes[k, 1])) * np.exp(spread * noise)
        genes[RISE, k] = -1
        genes[HOME, k] = -1
        at = k
        while at > 0 and keys[genes[ORDER, at - 1]] > keys[k]:
            genes[ORDER, at] = genes[ORDER, at - 1]
            at -= 1
        genes[ORDER, at] = k
    bits = draw(state)
    mood = draw_below(state, 3)
    for k in range(kinds):
        genes[SPLIT, k] = mood if mood < 2 else (bits >> (k % 60)) & 1


@compiled
def price(
    task: LayTask,
    flaws: Ints,
    prices: Floats,
    rates: Floats,
    slack: float,
    tries: int,
    state: Ints,
    pool: Pool,
) -> int:
    """Fill single lengths and keep those worth it.

    Args:
        task: What is laid on what.
        flaws: None; shape (0, 5).
        prices: What a kind is worth, shape (kinds,).
        rates: What a tick of a roll costs, shape (rolls,).
        slack: How far below its cost what a length holds may be worth.
        tries: How many lengths are filled.
        state: Random state; changed.
        pool: Where lengths are kept; changed.

    Returns:
        How many were worth more than they cost.
    """
    sizes, stocks = task.sizes, task.stocks
    kinds = sizes.shape[0]
    rolls = stocks.shape[0]
    genes = np.zeros((5, kinds), np.int64)
    keys = np.zeros(kinds)
    space = space_for(task, flaws.shape[0])
    puts, marks = space.puts, space.marks
    better = 0
    for _ in range(tries):
        r = draw_below(state, rolls)
        draw_genes(sizes, prices, state, keys, genes)
        near = min(kinds, 1 + draw_below(state, kinds))
        opener = genes[ORDER, draw_below(state, near)]
        turned = stocks[r, 7]
        if sizes[opener, 2] == 1:
            turned = draw_below(state, 2)
        room = min(task.longest, stocks[r, LENGTH])
        pw = sizes[opener, 1] if turned == 1 else sizes[opener, 0]
        height = sizes[opener, 0] if turned == 1 else sizes[opener, 1]
        if pw > stocks[r, WIDTH] or height > room:
            continue
        for _more in range(3):
            if draw_below(state, 2) == 0:
                break
            other = draw_below(state, kinds)
            extra = (
                sizes[other, draw_below(state, 2)] if sizes[other, 2] == 1 else sizes[other, 1 - stocks[r, 7]]
            )
            if height + extra <= room:
                height += extra
        for k in range(kinds):
            space.left[k] = task.counts[k]
        genes[FIRST, opener] = turned
        steered = Genes(genes, flaws, draw_below(state, 2))
        n = fill_length(sizes, stocks[r], steered, opener, turned, 0, height, r, space, 0)
        worth = 0.0
        reach = 0
        for p in range(n):
            k = puts[p, 1]
            worth += prices[k]
            reach = max(reach, puts[p, 3] + (sizes[k, 0] if puts[p, 4] == 1 else sizes[k, 1]))
        cost = rates[r] * float(reach)
        if n > 0 and worth >= cost - slack:
            if worth > cost * (1.0 + 1e-9):
                better += 1
            marks[0, 0] = 0
            marks[0, 1] = r
            marks[0, 2] = reach
            keep(puts, marks, 1, n, pool)
    return better
