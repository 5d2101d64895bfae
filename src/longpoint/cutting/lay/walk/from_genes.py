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
    Ints,
    fill_length,
)


@compiled
def roll_cost(stock: Ints, money: Floats, limit: int, used: int) -> float:
    """Cost of using a length of a roll; the compiled twin of ``Stock.cost``.

    Returns:
        Cost, 0 where nothing is used.
    """
    if used <= 0:
        return 0.0
    taken = used + stock[START]
    bought = -(-taken // stock[STEP]) * stock[STEP]
    cost: float = money[FIXED] + money[RATE] * float(bought)
    if stock[LENGTH] < limit:
        remains = stock[LENGTH] - used
        if remains >= stock[KEPT]:
            cost -= money[WORTH] * float(remains)
    return cost


@compiled
def lay_from_genes(
    sizes: Ints,
    counts: Ints,
    genes: Ints,
    fit: int,
    stocks: Ints,
    money: Floats,
    flaws: Ints,
    longest: int,
    unlimited: int,
    left: Ints,
    cursor: Ints,
    sheets: Ints,
    puts: Ints,
    marks: Ints,
) -> tuple[int, int, float, float]:
    """One whole lay from its genes.

    Args:
        sizes: Across, along, may turn; shape (kinds, 3). [ticks]
        counts: Wanted of every kind, shape (kinds,).
        genes: Shape (5, kinds).
        fit: As in `fill_length`.
        stocks: One row per roll, see the column names at the top.
        money: Fixed, rate, worth; shape (rolls, 3).
        flaws: Shape (flaws, 5), sorted by roll; see `WAY`.
        longest: Longest length taken off in one go.
        unlimited: The number that stands for no limit.
        left: Work space, shape (kinds,).
        cursor: Work space, shape (2, rolls): where the next length begins, and how far pieces reach.
        sheets: Work space, shape (many, 4).
        puts: The lay, shape (pieces, 5).
        marks: First put, roll and height of every length opened, shape (pieces + 1, 3).

    Returns:
        How many pieces are laid, how many lengths were opened, the cost, and a finer measure for lays that cost
        the same (smaller is better).
    """
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
        kind = genes[ORDER, k]
        while left[kind] > 0:
            done = 0
            for attempt in range(rolls + 1):
                if attempt == 0:
                    r = genes[HOME, kind]
                    if r < 0:
                        continue
                else:
                    r = attempt - 1
                    if r == genes[HOME, kind]:
                        continue
                for way in range(2):
                    turned = genes[FIRST, kind] ^ stocks[r, CROSS] ^ way
                    if turned != stocks[r, CROSS] and sizes[kind, 2] == 0:
                        continue
                    pw = sizes[kind, 1] if turned == 1 else sizes[kind, 0]
                    pl = sizes[kind, 0] if turned == 1 else sizes[kind, 1]
                    if pw > stocks[r, WIDTH]:
                        continue
                    while done == 0:
                        room = min(longest, stocks[r, LENGTH] - cursor[0, r])
                        if pl > room:
                            break
                        height = pl
                        rise = genes[RISE, kind]
                        if rise >= 0 and pl + sizes[rise, 1] <= room:
                            height = pl + sizes[rise, 1]
                        before = n_puts
                        n_puts = fill_length(
                            sizes, left, genes, stocks[r], flaws, fit, kind, turned,
                            cursor[0, r], height, r, sheets, puts, n_puts,
                        )  # fmt: skip
                        if n_puts == before:
                            # Flaws in the way: go on behind the one that ends first.
                            jump = unlimited
                            for f in range(stocks[r, FLAW_FROM], stocks[r, FLAW_TO]):
                                if flaws[f, 3] > cursor[0, r] and flaws[f, 3] < jump:
                                    jump = flaws[f, 3]
                            if jump == unlimited:
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
        cost += roll_cost(stocks[r], money[r], unlimited, cursor[1, r])
    return n_puts, n_marks, cost, finer
