"""Lays for cuts of any shape: rectangles set down one after the other on the lowest place.

The upper edge of what is laid is a row of steps. The lowest step is filled next: by a rectangle that fills its
width exactly and comes level with a neighbour if there is one, else by one that does one of the two, else by the
first in the order that fits (every other walk goes by the order only); where none fits, the step is given up and
raised to its lower neighbour. The order is annealed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled
from longpoint.cutting.lay.ground import Ground, Put
from longpoint.cutting.lay.random import draw_below

Ints = NDArray[np.int64]

SEED = 40423


@compiled
def set_down(sizes: Ints, order: Ints, fit: int, wide: int, laid: Ints, steps: Ints, puts: Ints) -> int:
    """Set rectangles down in an order.

    Args:
        sizes: Across, along, may turn of every rectangle, shape (n, 3). [ticks]
        order: Rectangles in the order they are tried, shape (n,).
        fit: 1 to prefer what fits exactly, 0 to go by order only.
        wide: Width of the roll. [ticks]
        laid: Work space, shape (n,).
        steps: Work space, shape (n + 2, 3): left edge, height, width.
        puts: Rectangle, x, y, turned, shape (n, 4); changed.

    Returns:
        Length of the lay. [ticks]
    """
    n = sizes.shape[0]
    for i in range(n):
        laid[i] = 0
    steps[0, 0] = 0
    steps[0, 1] = 0
    steps[0, 2] = wide
    count = 1
    done = 0
    first = 0
    top = 0
    while done < n:
        low = 0
        for s in range(1, count):
            if steps[s, 1] < steps[low, 1]:
                low = s
        y = steps[low, 1]
        w = steps[low, 2]
        left_wall = steps[low - 1, 1] - y if low > 0 else 1 << 60
        right_wall = steps[low + 1, 1] - y if low + 1 < count else 1 << 60
        best = -1
        best_turned = 0
        best_score = -1
        while first < n and laid[order[first]] == 1:
            first += 1
        for k in range(first, n):
            i = order[k]
            if laid[i] == 1:
                continue
            for turned in range(1 + sizes[i, 2]):
                pw = sizes[i, 1] if turned == 1 else sizes[i, 0]
                pl = sizes[i, 0] if turned == 1 else sizes[i, 1]
                if pw > w:
                    continue
                score = 0
                if fit == 1 and pw == w:
                    score += 3
                if fit == 1 and pl in (left_wall, right_wall):
                    score += 2
                    if left_wall == right_wall:
                        score += 1
                if score > best_score:
                    best = i
                    best_turned = turned
                    best_score = score
            if best_score >= 5 or (fit == 0 and best >= 0):
                break
        if best < 0:
            # Nothing fits: raise the step to its lower neighbour and join them.
            to = low - 1 if left_wall <= right_wall else low + 1
            if to < low:
                steps[to, 2] += w
            else:
                steps[to, 0] = steps[low, 0]
                steps[to, 2] += w
            for s in range(low, count - 1):
                steps[s, 0] = steps[s + 1, 0]
                steps[s, 1] = steps[s + 1, 1]
                steps[s, 2] = steps[s + 1, 2]
            count -= 1
            if left_wall == right_wall and low < count and low > 0:
                steps[low - 1, 2] += steps[low, 2]
                for s in range(low, count - 1):
                    steps[s, 0] = steps[s + 1, 0]
                    steps[s, 1] = steps[s + 1, 1]
                    steps[s, 2] = steps[s + 1, 2]
                count -= 1
            continue
        pw = sizes[best, 1] if best_turned == 1 else sizes[best, 0]
        pl = sizes[best, 0] if best_turned == 1 else sizes[best, 1]
        at_right = (right_wall > left_wall and pl != left_wall) or (pl == right_wall and pl != left_wall)
        x = steps[low, 0] + w - pw if at_right else steps[low, 0]
        laid[best] = 1
        puts[done, 0] = best
        puts[done, 1] = x
        puts[done, 2] = y
        puts[done, 3] = best_turned
        done += 1
        top = max(top, y + pl)
        if pw < w:
            for s in range(count, low, -1):
                steps[s, 0] = steps[s - 1, 0]
                steps[s, 1] = steps[s - 1, 1]
                steps[s, 2] = steps[s - 1, 2]
            count += 1
            if at_right:
                steps[low, 2] = w - pw
                low += 1
            else:
                steps[low + 1, 0] = x + pw
                steps[low + 1, 2] = w - pw
            steps[low, 0] = x
            steps[low, 2] = pw
        steps[low, 1] = y + pl
        for side in range(2):  # join with neighbours of the same height
            a = low if side == 0 else low - 1
            if a < 0 or a + 1 >= count or steps[a, 1] != steps[a + 1, 1]:
                continue
            steps[a, 2] += steps[a + 1, 2]
            for s in range(a + 1, count - 1):
                steps[s, 0] = steps[s + 1, 0]
                steps[s, 1] = steps[s + 1, 1]
                steps[s, 2] = steps[s + 1, 2]
            count -= 1
    return top


@compiled
def walk_free(
    sizes: Ints, order: Ints, fit: int, wide: int, tries: int, least: int, state: Ints
) -> tuple[Ints, int]:
    """Anneal the order.

    Args:
        sizes: As in `set_down`.
        order: Where to start; not changed.
        fit: As in `set_down`.
        wide: Width of the roll. [ticks]
        tries: How many lays to build.
        least: Stop at this length. [ticks]
        state: Random state; changed.

    Returns:
        The best order and its length.
    """
    n = sizes.shape[0]
    laid = np.zeros(n, np.int64)
    steps = np.zeros((n + 2, 3), np.int64)
    puts = np.zeros((n, 4), np.int64)
    here = order.copy()
    best = order.copy()
    area = 0.0
    for i in range(n):
        area += float(sizes[i, 0]) * float(sizes[i, 1])
    here_cost = 0.0
    best_top = 1 << 60
    best_cost = 0.0
    for attempt in range(tries):
        trial = here.copy()
        if attempt > 0:
            for _ in range(1 + (draw_below(state, 3) == 0)):
                i = draw_below(state, n)
                j = draw_below(state, n)
                kept = trial[i]
                if draw_below(state, 2) == 0:
                    trial[i] = trial[j]
                else:
                    step = 1 if i < j else -1
                    k = i
                    while k != j:
                        trial[k] = trial[k + step]
                        k += step
                trial[j] = kept
        top = set_down(sizes, trial, fit, wide, laid, steps, puts)
        # Of lays of one length the one with the lower rest is the better: count where the last rectangles end.
        late = 0.0
        for p in range(max(0, n - 4), n):
            i = puts[p, 0]
            end = puts[p, 2] + (sizes[i, 0] if puts[p, 3] == 1 else sizes[i, 1])
            late += float(end)
        cost = float(top) + 0.05 * late / 4.0
        if attempt == 0:
            here_cost = cost
        cool = 0.01 * area / float(wide) * (1.0 - attempt / tries) ** 2
        chance = draw_below(state, 1 << 30) / float(1 << 30)
        if cost <= here_cost or (cool > 0.0 and chance < np.exp((here_cost - cost) / cool)):
            here = trial
            here_cost = cost
        if top < best_top or (top == best_top and cost < best_cost):
            best = trial.copy()
            best_top = top
            best_cost = cost
        if best_top <= least:
            break
    return best, best_top


def lay_free(ground: Ground, puts: tuple[Put, ...], *, at_least: int, effort: int) -> tuple[Put, ...]:
    """Lay without regard to straight cuts.

    Args:
        ground: With one roll without limit or flaw.
        puts: A lay to improve on.
        at_least: A length at which to stop. [ticks]
        effort: How many lays of 60 rectangles may be tried, times three.

    Returns:
        The better of the two lays.
    """
    (stock,) = ground.stocks
    kinds = [kind for kind, want in enumerate(ground.wants) for _ in range(want.count)]
    sizes = np.array(
        [(w.across, w.along, int(w.turns)) for w in (ground.wants[kind] for kind in kinds)], np.int64
    )
    n = len(kinds)
    tries = max(1, effort * 180 // max(20, n))
    across, along = sizes[:, 0], sizes[:, 1]
    longest = ground.used(puts)[0]
    best = puts
    number = np.arange(n)
    starts = (
        np.lexsort((number, -along, -across)),
        np.lexsort((number, -across, -along)),
        np.lexsort((number, -across.astype(np.float64) * along)),
    )
    for at, (fit, order) in enumerate((fit, order) for fit in (1, 0) for order in starts):
        if longest <= at_least:
            break
        state = np.array([SEED + at], np.int64)
        found, top = walk_free(
            sizes, order.astype(np.int64), fit, stock.width, tries // 6 + 1, at_least, state
        )
        if top < longest:
            longest = int(top)
            best = _puts(sizes, found, fit, stock.width, kinds)
    return best


def _puts(sizes: Ints, order: Ints, fit: int, wide: int, kinds: list[int]) -> tuple[Put, ...]:
    n = len(kinds)
    made = np.zeros((n, 4), np.int64)
    set_down(sizes, order, fit, wide, np.zeros(n, np.int64), np.zeros((n + 2, 3), np.int64), made)
    return tuple(Put(0, kinds[int(i)], int(x), int(y), bool(turned)) for i, x, y, turned in made)
