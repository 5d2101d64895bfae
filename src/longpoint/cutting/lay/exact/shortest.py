"""The shortest lay by straight cuts, proven: for lists of few pieces.

For a trial length H the whole roll W × H may waste W·H less the area of the pieces, so a block (see ``blocks``) that
wastes more by itself cannot be part of a lay that short. What it forces others to waste counts as well: beside a block
of width w no pieces fill W − w better than their sizes add up, and so along it. When all blocks within that are made
and none holds every piece, no lay is as short as H; otherwise the shortest of those is the shortest lay there is.

Trial lengths start at the bound and step away from it further each time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.exact.blocks import (
    OUT_OF_ROOM,
    PackedPieces,
    Trial,
    make_blocks,
    pack,
    room_for_blocks,
    sums_below,
    unfold,
)
from longpoint.cutting.lay.exact.bound import area_of, next_sum
from longpoint.cutting.lay.ground import Ground, Put

Ints = NDArray[np.int64]

SHARES = (10, 20, 40, 60, 90, 130)  # thousandths that a block may waste, tried in turn


@dataclass(frozen=True, slots=True)
class Proof:
    """What the blocks say.

    Attributes:
        puts: The shortest lay, where it was found.
        at_least: No lay by straight cuts is shorter. [ticks]
    """

    puts: tuple[Put, ...] | None
    at_least: int


def prove(ground: Ground, *, at_least: int, length: int, work: int, first: int | None = None) -> Proof:
    """Look for a shorter lay than the one at hand until there is none, or the work is done.

    Args:
        ground: One roll without limit or flaw.
        at_least: A bound on the length. [ticks]
        length: Length of the lay at hand. [ticks]
        work: How many pairs of sets and of blocks may be looked at.
        first: How many of them for the first trial length; left out, as many as there are.

    Returns:
        A shorter lay if there is one, and the best bound.
    """
    (stock,) = ground.stocks
    packed = pack(ground)
    if packed is None or stock.width * length >= 1 << 60:
        return Proof(None, at_least)
    slack = max(1, (length - at_least) // 16)
    low = at_least
    while low < length:
        trial = min(length - 1, low + slack - 1)
        status, puts, done = _try(
            ground, trial, packed, min(work, first) if first and low == at_least else work
        )
        work -= done
        if status == OUT_OF_ROOM:
            break
        if puts is not None:
            return Proof(puts, max(put.y + ground.size(put)[1] for put in puts))
        low = min(length, next_sum(ground, trial + 1))
        slack *= 2
    return Proof(None, low)


def tighten(ground: Ground, *, at_least: int, length: int, work: int) -> tuple[Put, ...] | None:
    """A shorter lay from blocks that waste little, without proof.

    Args:
        ground: One roll without limit or flaw.
        at_least: A bound on the length. [ticks]
        length: Length of the lay at hand. [ticks]
        work: How many pairs of sets and of blocks may be looked at for each share of waste allowed.

    Returns:
        The lay, or None where none was found.
    """
    (stock,) = ground.stocks
    packed = pack(ground)
    if packed is None or stock.width * length >= 1 << 60:
        return None
    best = None
    for share in SHARES:
        if length <= at_least:
            break
        _, puts, _ = _try(ground, length - 1, packed, work, share)
        if puts is not None:
            best, length = puts, max(put.y + ground.size(put)[1] for put in puts)
    return best


def _try(
    ground: Ground, length: int, packed: PackedPieces, work: int, share: int = 1000
) -> tuple[int, tuple[Put, ...] | None, int]:
    wide = ground.stocks[0].width
    sums = sums_below(ground, wide, along=False), sums_below(ground, length, along=True)
    trial = Trial(wide, length, wide * length - area_of(ground), share, *sums)
    room = room_for_blocks(packed.pieces)
    status, best, done = make_blocks(trial, packed, room, max(0, work))
    puts = unfold(ground, room, packed, int(best)) if best >= 0 else None
    return int(status), puts, int(done)
