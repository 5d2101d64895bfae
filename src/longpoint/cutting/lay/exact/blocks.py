"""Blocks: what straight cuts part into pieces. One piece, or two blocks side by side or end to end.

Blocks are made with one piece, then two, and so on; for equal sets of pieces only the ones that no other beats both
ways are kept, and none that wastes more than is allowed.
"""

from __future__ import annotations

from itertools import accumulate
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longpoint.compiling import compiled
from longpoint.cutting.lay.ground import Ground, Put

Ints = NDArray[np.int64]

W, H, NEXT, LEFT, RIGHT, HOW = range(
    6
)  # columns of a block; HOW: 0 a piece, 1 turned, 2 side by side, 3 end to end
DENSEST = 400_000  # ticks up to which sums of sizes are listed
MOST_BLOCKS = 1_500_000
MOST_SETS = 400_000
PLACES = 1 << 20
FULL, OUT_OF_ROOM = 1, -1


@compiled
def find(table: Ints, keys: Ints, key: int) -> int:
    """Where a set of pieces is, or would be, in the table.

    Returns:
        A place in the table.
    """
    spot = ((key * 0x9E3779B97F4A7C1) ^ (key >> 29)) & (table.shape[0] - 1)
    while table[spot] >= 0 and keys[table[spot]] != key:
        spot = (spot + 1) & (table.shape[0] - 1)
    return int(spot)


class PackedPieces(NamedTuple):
    """Pieces packed into sets.

    Attributes:
        singles: Set, width, length, turned of every piece as it may lie, shape (n, 4).
        full: The set of all pieces: counts packed into bit fields.
        guard: One bit above every field.
        pieces: How many pieces there are.
    """

    singles: Ints
    full: int
    guard: int
    pieces: int


class Trial(NamedTuple):
    """What blocks must keep within.

    Attributes:
        wide: Width of the roll. [ticks]
        high: The trial length. [ticks]
        spare: What may be wasted. [ticks²]
        share: Thousandths of itself that a block may waste; 1000 for no such limit.
        sums_w: Largest sum of sizes not above a width, shape (wide + 1,), or (0,).
        sums_h: The same for lengths, shape (high + 1,), or (0,).
    """

    wide: int
    high: int
    spare: int
    share: int
    sums_w: Ints
    sums_h: Ints


class Blocks(NamedTuple):
    """Room for blocks, and the sets that they hold.

    Attributes:
        blocks: Shape (`MOST_BLOCKS`, 6), see the column names at the top.
        keys: Sets met, shape (`MOST_SETS`,).
        areas: Their areas, shape (`MOST_SETS`,).
        heads: First block of a set, shape (`MOST_SETS`,).
        table: Where sets are found, shape (`PLACES`,), −1 where there is none.
        by_size: Where sets of so many pieces begin, shape (pieces + 2,).
    """

    blocks: Ints
    keys: Ints
    areas: Ints
    heads: Ints
    table: Ints
    by_size: Ints


def room_for_blocks(pieces: int) -> Blocks:
    """Room for the blocks of so many pieces."""
    return Blocks(
        np.zeros((MOST_BLOCKS, 6), np.int64),
        np.zeros(MOST_SETS, np.int64),
        np.zeros(MOST_SETS, np.int64),
        np.zeros(MOST_SETS, np.int64),
        np.full(PLACES, -1, np.int64),
        np.zeros(pieces + 2, np.int64),
    )


@compiled
def make_blocks(trial: Trial, packed: PackedPieces, room: Blocks, work: int) -> tuple[int, int, int]:
    """Make all blocks for a trial length.

    Args:
        trial: What they must keep within.
        packed: The pieces.
        room: Where they are written; changed.
        work: How many pairs of sets, pairs of their blocks and blocks of a set may be looked at.

    Returns:
        `FULL` where all were made or `OUT_OF_ROOM`; the best block that holds every piece, or −1; and the work done.
    """
    wide, high, spare, share, sums_w, sums_h = trial
    singles, full, guard, pieces = packed
    blocks, keys, areas, heads, table, by_size = room
    n_blocks = 0
    n_sets = 0
    done = 0
    best = -1
    for size in range(1, pieces + 1):
        by_size[size] = n_sets
        small = 1
        while small <= size // 2 or size == 1:
            if size == 1:
                a_from, a_to = 0, singles.shape[0]
            else:
                a_from, a_to = by_size[small], by_size[small + 1]
            for a in range(a_from, a_to):
                if size == 1:
                    b_from, b_to = 0, 1
                else:
                    b_from = by_size[size - small]
                    b_to = by_size[size - small + 1]
                    if size - small == small:
                        b_from = a
                done += b_to - b_from
                if done > work:
                    return OUT_OF_ROOM, best, done
                for b in range(b_from, b_to):
                    if size == 1:
                        key = singles[a, 0]
                        area = singles[a, 1] * singles[a, 2]
                        p = -1
                    else:
                        key = keys[a] + keys[b]
                        if ((full | guard) - key) & guard != guard:
                            continue
                        area = areas[a] + areas[b]
                        p = heads[a]
                    set_at = -1
                    while True:  # blocks of the first set
                        q = -1 if size == 1 else heads[b]
                        while True:  # blocks of the second set
                            done += 1
                            for how in range(2):
                                if size == 1:
                                    if how == 1:
                                        break
                                    w = singles[a, 1]
                                    h = singles[a, 2]
                                elif how == 0:
                                    w = blocks[p, W] + blocks[q, W]
                                    h = max(blocks[p, H], blocks[q, H])
                                else:
                                    w = max(blocks[p, W], blocks[q, W])
                                    h = blocks[p, H] + blocks[q, H]
                                if w > wide or h > high:
                                    continue
                                waste = w * h - area
                                if waste > spare or float(waste) * 1000.0 > float(w * h) * float(share):
                                    continue
                                if sums_w.shape[0] > 0:
                                    waste += (wide - w - sums_w[wide - w]) * h
                                if sums_h.shape[0] > 0:
                                    waste += (high - h - sums_h[high - h]) * w
                                if waste > spare:
                                    continue
                                if set_at < 0:
                                    spot = find(table, keys, key)
                                    if table[spot] < 0:
                                        if n_sets >= keys.shape[0]:
                                            return OUT_OF_ROOM, best, done
                                        table[spot] = n_sets
                                        keys[n_sets] = key
                                        areas[n_sets] = area
                                        heads[n_sets] = -1
                                        n_sets += 1
                                    set_at = table[spot]
                                # Is there one at least as good? Throw out those that are worse.
                                beaten = False
                                last = -1
                                c = heads[set_at]
                                while c >= 0:
                                    done += 1
                                    if blocks[c, W] <= w and blocks[c, H] <= h:
                                        beaten = True
                                        break
                                    after = blocks[c, NEXT]
                                    if blocks[c, W] >= w and blocks[c, H] >= h:
                                        if last < 0:
                                            heads[set_at] = after
                                        else:
                                            blocks[last, NEXT] = after
                                    else:
                                        last = c
                                    c = after
                                if beaten:
                                    continue
                                if n_blocks >= blocks.shape[0]:
                                    return OUT_OF_ROOM, best, done
                                blocks[n_blocks, W] = w
                                blocks[n_blocks, H] = h
                                blocks[n_blocks, NEXT] = heads[set_at]
                                blocks[n_blocks, LEFT] = a if size == 1 else p
                                blocks[n_blocks, RIGHT] = q
                                blocks[n_blocks, HOW] = singles[a, 3] if size == 1 else 2 + how
                                heads[set_at] = n_blocks
                                n_blocks += 1
                            if size == 1:
                                break
                            q = blocks[q, NEXT]
                            if q < 0:
                                break
                        if size == 1:
                            break
                        p = blocks[p, NEXT]
                        if p < 0:
                            break
            if size == 1:
                break
            small += 1
        by_size[size + 1] = n_sets
    if n_sets > 0 and keys[n_sets - 1] == full:
        c = heads[n_sets - 1]
        while c >= 0:
            if best < 0 or blocks[c, H] < blocks[best, H]:
                best = c
            c = blocks[c, NEXT]
    return FULL, best, done


def ones_of(ground: Ground) -> list[int]:
    """One piece of every kind as a packed set: its count begins there, with a guard bit above it."""
    return [1 << at for at in accumulate((w.count.bit_length() + 1 for w in ground.wants[:-1]), initial=0)]


def pack(ground: Ground) -> PackedPieces | None:
    """The pieces packed.

    Returns:
        The pieces; None where the counts need too many bits.
    """
    if sum(want.count.bit_length() + 1 for want in ground.wants) > 62:
        return None
    singles = []
    full = guard = 0
    for one, want in zip(ones_of(ground), ground.wants, strict=True):
        full |= want.count * one
        guard |= one << want.count.bit_length()
        singles.append((one, want.across, want.along, 0))
        if want.turns:
            singles.append((one, want.along, want.across, 1))
    pieces = sum(want.count for want in ground.wants)
    return PackedPieces(np.array(singles, np.int64), full, guard, pieces)


def sums_below(ground: Ground, top: int, *, along: bool) -> Ints:
    """For every size up to ``top`` the largest sum of pieces' sizes not above it.

    Returns:
        Shape (top + 1,); empty where that is too long.
    """
    if top > DENSEST:
        return np.zeros(0, np.int64)
    reach = 1
    mask = (1 << (top + 1)) - 1
    for want in ground.wants:
        sides = {want.along if along else want.across}
        if want.may_turn:
            sides |= {want.across, want.along}
        for _ in range(want.count):
            step = reach
            for side in sides:
                step |= (reach << side) & mask
            reach = step
    bits = np.unpackbits(np.frombuffer(reach.to_bytes(top // 8 + 1, "little"), np.uint8), bitorder="little")
    places = np.where(bits[: top + 1] == 1, np.arange(top + 1), 0)
    return np.maximum.accumulate(places).astype(np.int64)


def unfold(ground: Ground, room: Blocks, packed: PackedPieces, top: int) -> tuple[Put, ...]:
    """The pieces of a block.

    Returns:
        Their places, the block's near left corner at 0.
    """
    kinds = {one: kind for kind, one in enumerate(ones_of(ground))}
    blocks, singles = room.blocks, packed.singles
    puts = []
    waiting = [(top, 0, 0)]
    while waiting:
        at, x, y = waiting.pop()
        how, left, right = (int(blocks[at, column]) for column in (HOW, LEFT, RIGHT))
        if how < 2:
            puts.append(Put(0, kinds[int(singles[left, 0])], x, y, bool(how)))
        else:
            waiting.append((left, x, y))
            across, along = int(blocks[left, W]), int(blocks[left, H])
            waiting.append((right, x + across, y) if how == 2 else (right, x, y + along))
    return tuple(puts)
