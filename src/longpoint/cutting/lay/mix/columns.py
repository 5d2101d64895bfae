"""Kept lengths as columns of a program: which may still be taken, and what they hold."""

from __future__ import annotations

import numpy as np

from longpoint.compiling import compiled
from longpoint.cutting.lay.mix.pool import FIRST_PUT, HEIGHT, PUTS, ROLL
from longpoint.cutting.lay.walk.fill import Floats, Ints


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
