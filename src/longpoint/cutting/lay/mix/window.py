"""What may lie beside a flaw: lengths filled round it on purpose, at the prices of the linear program."""

from __future__ import annotations

import numpy as np

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import CROSS, FIRST, ORDER, WAY, WAYS, WIDTH, Floats, Ints, fill_length
from longpoint.cutting.lay.mix.price import draw_genes
from longpoint.cutting.lay.random import draw_below


@compiled
def beside(
    sizes: Ints,
    counts: Ints,
    stock: Ints,
    flaws: Ints,
    longest: int,
    prices: Floats,
    rates: Floats,
    low: int,
    near: int,
    far: int,
    high: int,
    tries: int,
    state: Ints,
) -> Ints:
    """Pieces in one length round flaws that are worth most beyond the whole cloth they take.

    Args:
        sizes: Across, along, may turn; shape (kinds, 3). [ticks]
        counts: Wanted of every kind.
        stock: The roll's row, as in ``walk.from_genes.lay_from_genes``.
        flaws: All flaws, shape (flaws, 5).
        longest: Longest length taken off in one go.
        prices: What a kind is worth, shape (kinds,).
        rates: What a tick of whole cloth before and behind the flaws costs, shape (2,).
        low: Where the whole cloth before the flaws begins.
        near: Where the flaws begin.
        far: Where they end.
        high: Where the whole cloth behind them ends.
        tries: How many lengths are filled.
        state: Random state; changed.

    Returns:
        Kind, x, y, turned of the pieces, shape (pieces, 4); none where leaving the flaws bare is best.
    """
    kinds = sizes.shape[0]
    total = 0
    for k in range(kinds):
        total += counts[k]
    genes = np.zeros((5, kinds), np.int64)
    left = np.zeros(kinds, np.int64)
    keys = np.zeros(kinds)
    sheets = np.zeros((4 * total + 8 * flaws.shape[0] + 64, 4), np.int64)
    puts = np.zeros((total + 1, 5), np.int64)
    best = np.zeros((0, 4), np.int64)
    most = 0.0
    zero = kinds * 0  # no literal: for that the kernel would be compiled once more
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
        height = min(min(height, longest), high - begin)
        if pw > stock[WIDTH] or height <= 0 or begin >= far or begin + height <= near:
            continue
        for k in range(kinds):
            left[k] = counts[k]
        genes[FIRST, opener] = turned
        n = fill_length(
            sizes,
            left,
            genes,
            stock,
            cut,
            draw_below(state, 2),
            opener,
            turned,
            begin,
            height,
            zero,
            sheets,
            puts,
            zero,
        )
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
