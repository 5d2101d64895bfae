"""What may lie beside a flaw: lengths filled round it on purpose, at the prices of the linear program."""

from __future__ import annotations

import numpy as np

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import (
    CROSS,
    FIRST,
    ORDER,
    WAY,
    WAYS,
    WIDTH,
    Floats,
    Genes,
    Ints,
    LayTask,
    fill_length,
    space_for,
)
from longpoint.cutting.lay.mix.price import draw_genes
from longpoint.cutting.lay.random import draw_below


@compiled
def beside(
    task: LayTask, flaws: Ints, prices: Floats, rates: Floats, place: Ints, tries: int, state: Ints
) -> Ints:
    """Pieces in one length round flaws that are worth most beyond the whole cloth they take.

    Args:
        task: What is laid on what; one roll.
        flaws: All flaws, shape (flaws, 5).
        prices: What a kind is worth, shape (kinds,).
        rates: What a tick of whole cloth before and behind the flaws costs, shape (2,).
        place: Where the whole cloth before the flaws begins, where the flaws begin, where they end, and where the
            whole cloth behind them ends; shape (4,). [ticks]
        tries: How many lengths are filled.
        state: Random state; changed.

    Returns:
        Kind, x, y, turned of the pieces, shape (pieces, 4); none where leaving the flaws bare is best.
    """
    sizes, stock = task.sizes, task.stocks[0]
    low, near, far, high = place
    kinds = sizes.shape[0]
    genes = np.zeros((5, kinds), np.int64)
    keys = np.zeros(kinds)
    space = space_for(task, flaws.shape[0])
    puts = space.puts
    best = np.zeros((0, 4), np.int64)
    most = 0.0
    cut = flaws.copy()
    for _ in range(tries):
        draw_genes(sizes, prices, state, keys, genes)
        for f in range(cut.shape[0]):
            cut[f, WAY] = draw_below(state, WAYS)
        opener = genes[ORDER, draw_below(state, kinds)]
        turned = stock[CROSS]
        if sizes[opener, 2] == 1:
            turned = draw_below(state, 2)
        pw = sizes[opener, 1] if turned == 1 else sizes[opener, 0]
        height = sizes[opener, 0] if turned == 1 else sizes[opener, 1]
        for _more in range(2):
            if draw_below(state, 2) == 0:
                break
            height += sizes[draw_below(state, kinds), 1 - stock[CROSS]]
        # Flush behind the flaws, flush before them, or anywhere round them.
        how = draw_below(state, 4)
        if how == 0:
            begin = far - height
        elif how == 1:
            begin = near - sizes[draw_below(state, kinds), 1 - stock[CROSS]]
        else:
            begin = near - draw_below(state, height + 1)
        begin = max(low, begin)
        height = min(min(height, task.longest), high - begin)
        if pw > stock[WIDTH] or height <= 0 or begin >= far or begin + height <= near:
            continue
        for k in range(kinds):
            space.left[k] = task.counts[k]
        genes[FIRST, opener] = turned
        steered = Genes(genes, cut, draw_below(state, 2))
        n = fill_length(sizes, stock, steered, opener, turned, begin, height, 0, space, 0)
        worth = 0.0
        first = near
        reach = far
        for p in range(n):
            k = puts[p, 1]
            worth += prices[k]
            first = min(first, puts[p, 3])
            reach = max(reach, puts[p, 3] + (sizes[k, 0] if puts[p, 4] == 1 else sizes[k, 1]))
        worth -= rates[0] * float(near - first) + rates[1] * float(reach - far)
        if worth > most:
            most = worth
            best = puts[:n, 1:].copy()
    return best
