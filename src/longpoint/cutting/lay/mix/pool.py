"""Lengths met on the way and kept: one for every set of pieces, the shortest.

The walk throws away most lays it builds, but their single lengths may be good ones; ``mix`` puts them together
anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled
from longpoint.cutting.lay.ground import Ground

Ints = NDArray[np.int64]

ROLL, HEIGHT, FIRST_PUT, PUTS = range(4)
LARGEST = 60_000  # lengths kept at most
PLACES = 1 << 18  # of the table that finds a set again; a power of two


class Pool(NamedTuple):
    """Lengths kept.

    Attributes:
        kinds: How many kinds of pieces there are.
        salt: A random number per kind and per zone, shape (kinds + zones,).
        lengths: Zone, height, first piece, pieces; shape (many, 4).
        pieces: Kind, x, y from where the length begins, turned; shape (many, 4).
        table: Hash and place of kept lengths, shape (`PLACES`, 2).
        used: Lengths and pieces kept so far, shape (2,).
    """

    kinds: int
    salt: Ints
    lengths: Ints
    pieces: Ints
    table: Ints
    used: Ints


@compiled
def keep(puts: Ints, marks: Ints, n_marks: int, n_puts: int, pool: Pool) -> int:
    """Keep the lengths of a lay.

    Args:
        puts: The lay, as in `LaySpace`.
        marks: Its lengths.
        n_marks: How many.
        n_puts: How many pieces.
        pool: Where they are kept; changed.

    Returns:
        Where the last of them is kept; −1 where there was no room.
    """
    kinds, salt, lengths, pieces, table, used = pool
    at = -1
    for m in range(n_marks):
        begin = marks[m, 0]
        end = marks[m + 1, 0] if m + 1 < n_marks else n_puts
        roll = marks[m, 1]
        height = marks[m, 2]
        name = salt[kinds + roll]
        near = puts[begin, 3]
        for p in range(begin, end):
            name += salt[puts[p, 1]]
            near = min(near, puts[p, 3])
        name &= 0x7FFFFFFFFFFFFFFF
        if name == 0:
            name = 1
        spot = (name ^ (name >> 31)) % table.shape[0]
        while table[spot, 0] != 0 and table[spot, 0] != name:
            spot = (spot + 1) % table.shape[0]
        if table[spot, 0] == name:
            at = table[spot, 1]
            if lengths[at, HEIGHT] <= height or lengths[at, PUTS] != end - begin:
                continue
        else:
            at = used[0]
            if at >= lengths.shape[0] or used[1] + end - begin > pieces.shape[0]:
                at = -1
                continue
            table[spot, 0] = name
            table[spot, 1] = at
            lengths[at, FIRST_PUT] = used[1]
            lengths[at, PUTS] = end - begin
            used[0] += 1
            used[1] += end - begin
        lengths[at, ROLL] = roll
        lengths[at, HEIGHT] = height
        first = lengths[at, FIRST_PUT]
        for p in range(begin, end):
            pieces[first + p - begin, 0] = puts[p, 1]
            pieces[first + p - begin, 1] = puts[p, 2]
            pieces[first + p - begin, 2] = puts[p, 3] - near
            pieces[first + p - begin, 3] = puts[p, 4]
    return at


def new_pool(ground: Ground, *, seed: int, room: int = LARGEST) -> Pool:
    """An empty pool.

    Args:
        ground: What is laid.
        seed: For the numbers that tell sets apart.
        room: How many lengths it may keep; 0 keeps none.

    Returns:
        The pool.
    """
    # A lay has at most a zone of its own before every flaw.
    zones = sum(1 + len(stock.blocked) for stock in ground.stocks)
    salt = np.random.default_rng(seed).integers(1, 1 << 56, len(ground.wants) + zones)
    places = PLACES if room else 2
    return Pool(
        len(ground.wants),
        salt.astype(np.int64),
        np.zeros((room, 4), np.int64),
        np.zeros((room * 12, 4), np.int64),
        np.zeros((places, 2), np.int64),
        np.zeros(2, np.int64),
    )


def copy_of(pool: Pool) -> Pool:
    """The same lengths in a pool of their own.

    Returns:
        The pool.
    """
    return pool._replace(
        lengths=pool.lengths.copy(),
        pieces=pool.pieces.copy(),
        table=pool.table.copy(),
        used=pool.used.copy(),
    )


def put_in(pool: Pool, roll: int, height: int, held: Sequence[tuple[int, int, int, int]]) -> int:
    """Put one length into a pool, as `keep` does with those of a lay.

    Args:
        pool: The pool; changed.
        roll: Its roll.
        height: How long it is.
        held: Kind, x, y, turned of its pieces.

    Returns:
        Where it is kept; −1 where there was no room.
    """
    puts = np.array([(roll, kind, x, y, turned) for kind, x, y, turned in held], np.int64)
    marks = np.array([(0, roll, height)], np.int64)
    return keep(puts, marks, 1, len(held), pool)
