"""The inner loops of pricing and listing, written so that they run as plain Python or compiled, with one result.

Small problems run them as they stand: starting the compiler would cost more than it saves. The choice
depends on the size of the problem only, never on the machine.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

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


class Items(NamedTuple):
    """The items that may lie on a stick, in the order in which they are tried.

    Attributes:
        values: Value of one of each, shape (n,).
        sizes: Exact sizes, shape (n,). [nm]
        lengths: Planned lengths, shape (n,). [nm]
        rounds: Saw round of each, shape (n,).
        most: How many of each may be taken, shape (n,).
        charges: What taking any of each costs, once for all of one key, shape (n,); (0,) where nothing does.
        keys: Number of the length of each, equal ones side by side, shape (n,); (0,) where nothing is charged.
    """

    values: Floats
    sizes: Integers
    lengths: Integers
    rounds: Integers
    most: Integers
    charges: Floats
    keys: Integers


class Stick(NamedTuple):
    """One stick, and what its table knows.

    Attributes:
        start: First item that may be taken; the ones before are refused by the board.
        room: Exact room. [nm]
        grid: Size of a grid cell. [nm]
        table: What items from each one on are worth at most in every room, shape (n + 1, cells).
        safe: Shortest stick at the last cut. [nm]
        beyond: Held beyond the stick at its last cut. [nm]
    """

    start: int
    room: int
    grid: int
    table: Floats
    safe: int
    beyond: int


class Remains(NamedTuple):
    """What is left of a stick is worth.

    Attributes:
        last_gap: The last kerf, which the offcut does not get. [nm]
        at_least: Shortest useful offcuts, shape (k,). [nm]
        rates: Worth per length of offcut, shape (k,).
        keeping: Taken off for a kept offcut.
    """

    last_gap: int
    at_least: Integers
    rates: Floats
    keeping: float


NO_WHOLE: Integers = np.zeros(0, dtype=np.int64)
NO_FLOAT: Floats = np.zeros(0)
NOTHING_KEPT = Remains(0, NO_WHOLE, NO_FLOAT, 0.0)


def search(
    items: Items,
    stick: Stick,
    remains: Remains,
    threshold: float,
    slack: float,
    keep_all: int,
    limit: int,
    found: Integers,
    found_values: Floats,
) -> tuple[int, int, float]:
    """Depth-first search for what may lie on one stick and is worth more than a threshold.

    Args:
        items: What may lie on it.
        stick: The stick.
        remains: What is left is worth.
        threshold: Only values above this count.
        slack: How much above the threshold still counts as rounding.
        keep_all: 1 to keep every leaf above the threshold that no fuller one replaces, 0 to raise the threshold to
            the best leaf.
        limit: Most steps.
        found: Where leaves are written: counts, shape (most leaves, n).
        found_values: Their values, shape (most leaves,).

    Returns:
        How many leaves were written (one more than there is room for where they did not fit), steps made
        (above the limit where it was cut short), threshold at the end.
    """
    values, sizes, lengths, rounds, most, charges, keys = items
    start, room, grid, table, safe, beyond = stick
    last_gap, at_least, rates, keeping = remains
    n = values.shape[0]
    charged = charges.shape[0] > 0
    count = np.zeros(n + 1, dtype=np.int64)
    value_at = np.zeros(n + 1)  # kept per depth, so that nothing drifts on the way back up
    paid = np.zeros(n + 1, dtype=np.int64)  # whether an item before it has its length already
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
                if charged:
                    same = depth > start and keys[depth - 1] == keys[depth]
                    paid[depth] = 1 if same and (paid[depth - 1] == 1 or count[depth - 1] > 0) else 0
                    if take > 0 and paid[depth] == 0:
                        value -= charges[depth]
                depth += 1
                continue
            if possible:
                # A leaf. Worth of the offcut, then the safe last stick.
                offcut = left - last_gap
                kept = 0.0
                for k in range(at_least.shape[0]):
                    if offcut >= at_least[k] and rates[k] * offcut - keeping > kept:
                        kept = rates[k] * offcut - keeping
                total = value + kept
                good = total > threshold + slack
                latest = 0
                longest = 0
                if good and (safe > 0 or charged):
                    for i in range(start, n):
                        if count[i] > 0:
                            if rounds[i] > latest:
                                latest = rounds[i]
                                longest = lengths[i]
                            elif rounds[i] == latest and lengths[i] > longest:
                                longest = lengths[i]
                    if latest > 0 and longest + left + beyond < safe:
                        good = False
                    if charged and latest == 0:
                        good = False
                if good and keep_all == 1:
                    for i in range(start, n):
                        if charged and count[i] == 0:
                            continue  # one of another length is charged for: that is no fuller pattern
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
        if charged and count[depth] > 0 and paid[depth] == 0:
            value -= charges[depth]
        depth += 1
        down = True


def search_firsts(
    items: Items,
    stick: Stick,
    need: float,
    slack: float,
    limit: int,
    found: Integers,
    found_values: Floats,
) -> tuple[int, float]:
    """For each item, the best of the patterns that hold it and none before it, where worth more than a need.

    Many patterns unlike each other come from one table.

    Args:
        items: What may lie on the stick; nothing is charged.
        stick: The stick, the last row of its table 0.
        need: Only values above this count.
        slack: How much above a threshold still counts as rounding.
        limit: Most steps for each item.
        found: Counts of the best pattern of each first item, shape (n, n).
        found_values: Their values, shape (n,); what is there already counts as a threshold, too.

    Returns:
        Steps made, and an upper bound on the best of all patterns worth more than the need (the need where
        there is none).
    """
    values, sizes, lengths, rounds, most, _, _ = items
    start, room, grid, table, safe, beyond = stick
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


compiled = cache(compiling.compiled)
"""A kernel compiled, once for all who ask."""
