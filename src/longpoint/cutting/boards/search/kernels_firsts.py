"""The best pattern for each longest part: many columns unlike each other from one table.

Written like the kernels beside it: plain Python that is compiled where the problem is large.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


def search_firsts(
    start: int,
    values: Floats,
    sizes: Integers,
    lengths: Integers,
    most: Integers,
    rounds: Integers,
    room: int,
    grid: int,
    table: Floats,
    safe: int,
    beyond: int,
    need: float,
    slack: float,
    limit: int,
    found: Integers,
    found_values: Floats,
) -> tuple[int, float]:
    """For each item, the best of the patterns that hold it and none before it, where worth more than a need.

    Args:
        start: First item that may be taken; the ones before are refused by the board.
        values: Value of one of each item, shape (n,).
        sizes: Exact sizes, shape (n,). [nm]
        lengths: Planned lengths, shape (n,). [nm]
        most: How many of each may be taken, shape (n,).
        rounds: Saw round of each, shape (n,).
        room: Exact room. [nm]
        grid: Size of a grid cell. [nm]
        table: From `fill_table`, its last row 0.
        safe: Shortest stick at the last cut. [nm]
        beyond: Held beyond the stick at its last cut. [nm]
        need: Only values above this count.
        slack: How much above a threshold still counts as rounding.
        limit: Most steps for each item.
        found: Counts of the best pattern of each first item, shape (n, n).
        found_values: Their values, shape (n,); what is there already counts as a threshold, too.

    Returns:
        Steps made, and an upper bound on the best of all patterns worth more than the need (the need where
        there is none).
    """
    n = values.shape[0]
    count = np.zeros(n + 1, dtype=np.int64)
    value_at = np.zeros(n + 1)
    all_steps = 0
    best_bound = need
    hit = False
    for phase in range(2):
        # A high threshold first: where the grid hardly errs, the first leaf is the best one. Only where that finds
        # nothing at all is every item asked for whatever is worth more than the need.
        if phase == 1 and hit:
            break
        best_bound = need
        for first in range(start, n):
            if values[first] <= 0.0 or most[first] <= 0 or sizes[first] > room:
                continue
            bound = values[first] + table[first, (room - sizes[first]) // grid]
            floor = max(need, found_values[first])
            if bound <= floor + slack:
                best_bound = max(best_bound, found_values[first])
                continue
            threshold = bound - (bound - floor) / 64 if phase == 0 else floor
            reached = threshold
            cut_short = False
            steps = 0
            depth = first + 1
            count[first] = min(most[first], room // sizes[first])
            value_at[first] = 0.0
            left = room - count[first] * sizes[first]
            value = count[first] * values[first]
            down = True
            while True:
                if down:
                    steps += 1
                    if steps > limit:
                        cut_short = True
                        break
                    possible = value + table[depth, left // grid] > threshold + slack
                    if possible and depth < n:
                        take = 0
                        if values[depth] > 0.0:
                            take = min(most[depth], left // sizes[depth])
                        count[depth] = take
                        value_at[depth] = value
                        left -= take * sizes[depth]
                        value += take * values[depth]
                        depth += 1
                        continue
                    if possible:
                        good = True
                        if safe > 0:
                            latest = 0
                            longest = 0
                            for i in range(first, n):
                                if count[i] > 0:
                                    if rounds[i] > latest:
                                        latest = rounds[i]
                                        longest = lengths[i]
                                    elif rounds[i] == latest and lengths[i] > longest:
                                        longest = lengths[i]
                            good = longest + left + beyond >= safe
                        if good:
                            for i in range(n):
                                found[first, i] = count[i] if i >= first else 0
                            found_values[first] = value
                            threshold = value
                            reached = value
                            hit = True
                    down = False
                if depth < n:
                    count[depth] = 0
                depth -= 1
                while depth > first and count[depth] == 0:
                    depth -= 1
                if depth == first and count[first] == 1:
                    break
                count[depth] -= 1
                left += sizes[depth]
                value = value_at[depth] + count[depth] * values[depth]
                depth += 1
                down = True
            for i in range(first, n):
                count[i] = 0
            all_steps += steps
            best_bound = max(best_bound, bound if cut_short else reached)
    return all_steps, best_bound
