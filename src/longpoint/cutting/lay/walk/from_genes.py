"""A whole lay from its genes, length by length over the rolls, and what it costs; compiled."""

from __future__ import annotations

from longpoint.compiling import compiled
from longpoint.cutting.lay.fill import (
    CROSS,
    FIRST,
    FIXED,
    FLAW_FROM,
    FLAW_TO,
    HOME,
    KEPT,
    LENGTH,
    ORDER,
    RATE,
    RISE,
    START,
    STEP,
    WIDTH,
    WORTH,
    Floats,
    Genes,
    Ints,
    LaySpace,
    LayTask,
    fill_length,
)
from longpoint.cutting.lay.ground import UNLIMITED


@compiled
def roll_cost(stock: Ints, money: Floats, used: int) -> float:
    """Cost of using a length of a roll; the compiled twin of ``Stock.cost``.

    Returns:
        Cost, 0 where nothing is used.
    """
    if used <= 0:
        return 0.0
    taken = used + stock[START]
    bought = -(-taken // stock[STEP]) * stock[STEP]
    cost: float = money[FIXED] + money[RATE] * float(bought)
    if stock[LENGTH] < UNLIMITED:
        remains = stock[LENGTH] - used
        if remains >= stock[KEPT]:
            cost -= money[WORTH] * float(remains)
    return cost


@compiled
def lay_from_genes(task: LayTask, genes: Genes, space: LaySpace) -> tuple[int, int, float, float]:
    """One whole lay from its genes.

    Args:
        task: What is laid on what.
        genes: What steers it.
        space: Work space; the puts and marks of the lay afterwards.

    Returns:
        How many pieces are laid, how many lengths were opened, the cost, and a finer measure for lays that cost
        the same (smaller is better).
    """
    sizes, counts, stocks = task.sizes, task.counts, task.stocks
    left, cursor, puts, marks = space.left, space.cursor, space.puts, space.marks
    by_kind, flaws = genes.kinds, genes.flaws
    kinds = sizes.shape[0]
    rolls = stocks.shape[0]
    for k in range(kinds):
        left[k] = counts[k]
    for r in range(rolls):
        cursor[0, r] = 0
        cursor[1, r] = 0
    n_puts = 0
    n_marks = 0
    finer = 0.0
    for k in range(kinds):
        kind = by_kind[ORDER, k]
        while left[kind] > 0:
            done = 0
            for attempt in range(rolls + 1):
                if attempt == 0:
                    r = by_kind[HOME, kind]
                    if r < 0:
                        continue
                else:
                    r = attempt - 1
                    if r == by_kind[HOME, kind]:
                        continue
                for way in range(2):
                    turned = by_kind[FIRST, kind] ^ stocks[r, CROSS] ^ way
                    if turned != stocks[r, CROSS] and sizes[kind, 2] == 0:
                        continue
                    pw = sizes[kind, 1] if turned == 1 else sizes[kind, 0]
                    pl = sizes[kind, 0] if turned == 1 else sizes[kind, 1]
                    if pw > stocks[r, WIDTH]:
                        continue
                    while done == 0:
                        room = min(task.longest, stocks[r, LENGTH] - cursor[0, r])
                        if pl > room:
                            break
                        height = pl
                        rise = by_kind[RISE, kind]
                        if rise >= 0 and pl + sizes[rise, 1] <= room:
                            height = pl + sizes[rise, 1]
                        before = n_puts
                        n_puts = fill_length(
                            sizes, stocks[r], genes, kind, turned, cursor[0, r], height, r, space, n_puts
                        )
                        if n_puts == before:
                            # Flaws in the way: go on behind the one that ends first.
                            jump = UNLIMITED
                            for f in range(stocks[r, FLAW_FROM], stocks[r, FLAW_TO]):
                                if flaws[f, 3] > cursor[0, r] and flaws[f, 3] < jump:
                                    jump = flaws[f, 3]
                            if jump == UNLIMITED:
                                break
                            cursor[0, r] = jump
                            continue
                        reach = 0
                        area = 0.0
                        for p in range(before, n_puts):
                            t = puts[p, 1]
                            along = sizes[t, 0] if puts[p, 4] == 1 else sizes[t, 1]
                            reach = max(reach, puts[p, 3] + along)
                            area += float(sizes[t, 0]) * float(sizes[t, 1])
                        marks[n_marks, 0] = before
                        marks[n_marks, 1] = r
                        marks[n_marks, 2] = reach - cursor[0, r]
                        n_marks += 1
                        bare = float(reach - cursor[0, r]) * float(stocks[r, WIDTH]) - area
                        finer -= bare * bare
                        cursor[0, r] = reach
                        cursor[1, r] = reach
                        done = 1
                    if done == 1:
                        break
                if done == 1:
                    break
            if done == 0:
                break
    cost = 0.0
    for r in range(rolls):
        cost += roll_cost(stocks[r], task.money[r], cursor[1, r])
    return n_puts, n_marks, cost, finer
