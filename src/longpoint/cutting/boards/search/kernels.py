"""The two inner loops of pricing, written so that they run as plain Python or compiled, with one result.

Small problems run them as they stand: starting the compiler would cost more than it saves. The choice
depends on the size of the problem only, never on the machine.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

from longpoint import compiling

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]


def fill_table(values: Floats, cells: Integers, most: Integers, table: Floats) -> None:
    """Best value of the items from i on, for every room, on a grid that rounds sizes down.

    Rounding down makes it an upper bound on what the exact sizes allow.

    Args:
        values: Value of one of each item, shape (n,).
        cells: Size in whole grid cells, rounded down, shape (n,).
        most: How many of each may be taken, shape (n,).
        table: Filled from the bottom; row n holds the worth of the room left, shape (n + 1, m + 1).
    """
    width = table.shape[1]
    for i in range(values.shape[0] - 1, -1, -1):
        row = table[i]
        below = table[i + 1]
        value, step = values[i], cells[i]
        if value <= 0.0 or most[i] <= 0 or step >= width:
            row[:] = below
            continue
        # One and two pieces in one pass: reading and writing is what takes the time.
        twice = min(width, 2 * step) if most[i] > 1 else width
        for c in range(step):
            row[c] = below[c]
        for c in range(step, twice):
            here = below[c - step] + value
            row[c] = here if here > below[c] else below[c]
        for c in range(twice, width):
            one = below[c - step] + value
            two = below[c - 2 * step] + 2 * value
            here = one if one > below[c] else below[c]
            row[c] = two if two > here else here
        for taken in range(3, most[i] + 1):
            shift = taken * step
            if shift >= width:
                break
            gain = taken * value
            for c in range(shift, width):
                here = below[c - shift] + gain
                row[c] = here if here > row[c] else row[c]  # always stored: the compiler can then use vectors


def fill_table_by_rows(values: Floats, cells: Integers, most: Integers, table: Floats) -> None:
    """The same as `fill_table`, whole rows at a time: the faster way without a compiler."""
    width = table.shape[1]
    for i in range(values.shape[0] - 1, -1, -1):
        row = table[i]
        below = table[i + 1]
        row[:] = below
        value = values[i]
        if value <= 0.0:
            continue
        step = int(cells[i])
        for taken in range(1, int(most[i]) + 1):
            shift = taken * step
            if shift >= width:
                break
            np.maximum(row[shift:], below[: width - shift] + taken * value, out=row[shift:])


def search(
    start: int,
    values: Floats,
    sizes: Integers,
    lengths: Integers,
    most: Integers,
    rounds: Integers,
    room: int,
    grid: int,
    table: Floats,
    last_gap: int,
    worth_from: Integers,
    worth_rate: Floats,
    keeping: float,
    safe: int,
    beyond: int,
    threshold: float,
    slack: float,
    keep_all: int,
    limit: int,
    found: Integers,
    found_values: Floats,
) -> tuple[int, int, float]:
    """Depth-first search for what may lie on one stick and is worth more than a threshold.

    Args:
        start: First item that may be taken; the ones before are refused by the board.
        values: Value of one of each item, shape (n,).
        sizes: Exact sizes, shape (n,). [nm]
        lengths: Planned lengths, shape (n,). [nm]
        most: How many of each may be taken, shape (n,).
        rounds: Saw round of each, shape (n,).
        room: Exact room. [nm]
        grid: Size of a grid cell. [nm]
        table: From `fill_table`.
        last_gap: The last kerf, which the offcut does not get. [nm]
        worth_from: Shortest useful offcuts, shape (k,). [nm]
        worth_rate: Worth per length of offcut, shape (k,).
        keeping: Taken off for a kept offcut.
        safe: Shortest stick at the last cut. [nm]
        beyond: Held beyond the stick at its last cut. [nm]
        threshold: Only values above this count.
        slack: How much above the threshold still counts as rounding.
        keep_all: 1 to keep every full leaf above the threshold, 0 to raise the threshold to the best leaf.
        limit: Most steps.
        found: Where leaves are written: counts, shape (most leaves, n).
        found_values: Their values, shape (most leaves,).

    Returns:
        How many leaves were written (one more than there is room for where they did not fit), steps made
        (above the limit where it was cut short), threshold at the end.
    """
    n = values.shape[0]
    count = np.zeros(n + 1, dtype=np.int64)
    value_at = np.zeros(n + 1)  # kept per depth, so that nothing drifts on the way back up
    depth = start
    steps = 0
    leaves = 0
    left = room
    value = 0.0
    down = True
    while True:
        if down:
            # At item `depth` with `left` and `value`: is anything good still possible below?
            steps += 1
            if steps > limit:
                return leaves, steps, threshold
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
                # A leaf. Worth of the offcut, then the safe last stick.
                total = value
                offcut = left - last_gap
                best_worth = 0.0
                for k in range(worth_from.shape[0]):
                    if offcut >= worth_from[k] and worth_rate[k] * offcut - keeping > best_worth:
                        best_worth = worth_rate[k] * offcut - keeping
                total += best_worth
                good = total > threshold + slack
                latest = 0
                longest = 0
                if good and safe > 0:
                    for i in range(start, n):
                        if count[i] > 0:
                            if rounds[i] > latest:
                                latest = rounds[i]
                                longest = lengths[i]
                            elif rounds[i] == latest and lengths[i] > longest:
                                longest = lengths[i]
                    if latest > 0 and longest + left + beyond < safe:
                        good = False
                if good and keep_all == 1:
                    for i in range(start, n):
                        if values[i] > 0.0 and count[i] < most[i] and sizes[i] <= left:
                            # One more would fit: a fuller pattern does all this one does, if its last cut is safe.
                            held = longest
                            if rounds[i] > latest:
                                held = lengths[i]
                            elif rounds[i] == latest and lengths[i] > longest:
                                held = lengths[i]
                            if safe == 0 or held + left - sizes[i] + beyond >= safe:
                                good = False
                                break
                if good:
                    if keep_all == 1:
                        if leaves >= found.shape[0]:
                            return leaves + 1, steps, threshold
                        for i in range(n):
                            found[leaves, i] = count[i]
                        found_values[leaves] = total
                        leaves += 1
                    else:
                        for i in range(n):
                            found[0, i] = count[i]
                        found_values[0] = total
                        leaves = 1
                        threshold = total
            down = False
        # Back up to the nearest item of which one fewer can be taken.
        if depth < n:
            count[depth] = 0
        depth -= 1
        while depth >= start and count[depth] == 0:
            depth -= 1
        if depth < start:
            return leaves, steps, threshold
        count[depth] -= 1
        left += sizes[depth]
        value = value_at[depth] + count[depth] * values[depth]
        depth += 1
        down = True


compiled = cache(compiling.compiled)
"""A kernel compiled, once for all who ask."""
