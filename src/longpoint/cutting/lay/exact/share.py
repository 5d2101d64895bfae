"""Few pieces shared among several rolls: every share, each roll as short as it can be, the cost in whole numbers.

How short a roll can be for some pieces comes from blocks (rolls without flaws; one making of blocks serves every set of
pieces and every width) or from trying every cut (rolls with flaws). Shares are looked at in the order of what they
cost by area alone, until the next is no cheaper than the best found: then that one is the cheapest there is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from math import comb, prod
from typing import Protocol

import numpy as np

from longpoint.cutting.lay.exact.blocks import (
    FULL,
    NEXT,
    Blocks,
    H,
    PackedPieces,
    Trial,
    W,
    make_blocks,
    ones_of,
    pack,
    room_for_blocks,
    unfold,
)
from longpoint.cutting.lay.exact.bound import area_of, least_rate
from longpoint.cutting.lay.exact.flawed import Counts, OutOfWorkError, shortest_round_flaws
from longpoint.cutting.lay.ground import UNLIMITED, Ground, Put, Want

MOST_WAYS = 60_000  # shares looked at, at most
MOST_ROUND_FLAWS = 6  # pieces up to which every cut is tried on several rolls with flaws
Laid = tuple[int, tuple[Put, ...]]


@dataclass(frozen=True, slots=True)
class Charge:
    """What rolls cost in whole numbers, as a person is told.

    Attributes:
        of: The cost of using so many ticks (above 0) of a roll, in units; it never falls as more is used.
        unit: What a unit is in the costs of the ground.
    """

    of: Callable[[int, int], int]
    unit: Fraction

    def total(self, used: tuple[int, ...]) -> int:
        """Cost of the lengths used on all rolls.

        Returns:
            Units.
        """
        return sum(self.of(at, length) for at, length in enumerate(used) if length > 0)


class _Lengths(Protocol):
    """How short rolls can be."""

    def shortest(self, at: int, some: Counts) -> Laid | None:
        """The shortest lay of some pieces on one roll; None where it cannot hold them."""
        ...


@dataclass(slots=True)
class _RoundFlaws:
    """Lengths by trying every cut."""

    ground: Ground
    work: int

    def shortest(self, at: int, some: Counts) -> Laid | None:
        found, self.work = shortest_round_flaws(self.ground, at, some, self.work)
        return found


@dataclass(frozen=True, slots=True)
class _Made:
    """All blocks of a way the warp lies: the pieces, the blocks, and the first block of every set."""

    packed: PackedPieces
    room: Blocks
    heads: dict[int, int]


@dataclass(frozen=True, slots=True)
class _FromBlocks:
    """Lengths from blocks; one making for rolls with the warp along them, one for those with the warp across."""

    ground: Ground
    made: dict[bool, _Made]

    def shortest(self, at: int, some: Counts) -> Laid | None:
        stock = self.ground.stocks[at]
        made = self.made[stock.crossways]
        blocks = made.room.blocks
        block = made.heads.get(
            sum(count * one for count, one in zip(some, ones_of(self.ground), strict=True)), -1
        )
        best = -1
        while block >= 0:
            fits = blocks[block, W] <= stock.width and blocks[block, H] <= stock.length
            if fits and (best < 0 or blocks[block, H] < blocks[best, H]):
                best = block
            block = int(blocks[block, NEXT])
        if best < 0:
            return None
        puts = unfold(self.ground, made.room, made.packed, best)
        return int(blocks[best, H]), tuple(
            replace(put, stock=at, turned=put.turned != stock.crossways) for put in puts
        )


def cheapest_share(
    ground: Ground, *, charge: Charge, at_hand: int | None, work: int, cuts: int
) -> tuple[tuple[Put, ...] | None, int | None]:
    """The cheapest way to share few pieces among several rolls.

    Args:
        ground: Several rolls.
        charge: What they cost.
        at_hand: Cost of the lay at hand; None where there is none.
        work: How many pairs of sets may be looked at in making blocks.
        cuts: How many ways to part pieces over a cut may be looked at round flaws.

    Returns:
        The cheapest lay, None where the one at hand was not beaten; and what any lay costs at least, None where that
        was not found out: too many pieces, or the work ran out.
    """
    counts = tuple(want.count for want in ground.wants)
    rolls = len(ground.stocks)
    flawed = any(stock.blocked for stock in ground.stocks)
    if (
        ground.longest < UNLIMITED
        or prod(comb(count + rolls - 1, rolls - 1) for count in counts) > MOST_WAYS
        or (flawed and sum(counts) > MOST_ROUND_FLAWS)
    ):
        return None, None
    lengths: _Lengths | None
    lengths = (
        _RoundFlaws(ground, cuts) if flawed else _from_blocks(ground, _spare(ground, charge, at_hand), work)
    )
    if lengths is None:
        return None, None
    try:
        return _best(ground, counts, charge, at_hand, lengths)
    except OutOfWorkError:
        return None, None


def _best(
    ground: Ground, counts: Counts, charge: Charge, at_hand: int | None, lengths: _Lengths
) -> tuple[tuple[Put, ...] | None, int | None]:
    least: dict[tuple[int, Counts], int | None] = {}
    known: dict[tuple[int, Counts], Laid | None] = {}
    best: tuple[Put, ...] | None = None
    cost = at_hand
    ways = []
    for way in _shared(counts, len(ground.stocks)):
        total = 0
        for at, some in enumerate(way):
            if any(some):
                if (at, some) not in least:
                    least[at, some] = _by_area(ground, charge, at, some)
                each = least[at, some]
                if each is None:
                    break
                total += each
        else:
            ways.append((total, way))
    for by_area, way in sorted(ways):
        if cost is not None and by_area >= cost:
            break
        total, puts = 0, list[Put]()
        for at, some in enumerate(way):
            if not any(some):
                continue
            if (at, some) not in known:
                known[at, some] = lengths.shortest(at, some)
            found = known[at, some]
            if found is None:
                break
            total += charge.of(at, found[0])
            puts += found[1]
        else:
            if cost is None or total < cost:
                best, cost = tuple(puts), total
    return best, cost


def _shared(counts: Counts, rolls: int) -> Iterator[tuple[Counts, ...]]:
    """Every way to share pieces among rolls."""
    if rolls == 1:
        yield (counts,)
        return
    for some in product(*(range(count + 1) for count in counts)):
        rest = tuple(count - taken for count, taken in zip(counts, some, strict=True))
        for others in _shared(rest, rolls - 1):
            yield (some, *others)


def _by_area(ground: Ground, charge: Charge, at: int, some: Counts) -> int | None:
    """What some pieces cost on a roll at least, by their area; None where it is too small."""
    stock = ground.stocks[at]
    area = sum(n * want.across * want.along for n, want in zip(some, ground.wants, strict=True))
    length = -(-area // stock.width)
    return None if length > stock.length else charge.of(at, length)


def _spare(ground: Ground, charge: Charge, at_hand: int | None) -> int | None:
    """What a lay no dearer than the one at hand may waste [ticks²]; None for no limit."""
    rate = min(least_rate(stock) / stock.width for stock in ground.stocks)
    if at_hand is None or rate <= 0:
        return None
    # A unit for each roll, since the lay at hand is rounded; a hair, since rates are floats.
    most = charge.unit * (at_hand + len(ground.stocks)) * (1 + Fraction(1, 10**9))
    return max(0, int(most / rate) - area_of(ground))


def _from_blocks(ground: Ground, spare: int | None, work: int) -> _FromBlocks | None:
    """All blocks that a cheapest lay can be made of; None where there are too many."""
    made: dict[bool, _Made] = {}
    for crossways in sorted({stock.crossways for stock in ground.stocks}):
        stocks = [stock for stock in ground.stocks if stock.crossways == crossways]
        wants = tuple(
            Want(want.along, want.across, want.count, want.may_turn) if crossways else want
            for want in ground.wants
        )
        lying = Ground(wants, (replace(stocks[0], crossways=False),))
        stacked = sum(max(want.across, want.along) * want.count for want in wants)
        wide = max(stock.width for stock in stocks)
        high = max(min(stock.length, stacked) for stock in stocks)
        packed = pack(lying)
        if packed is None or wide * high >= 1 << 60:
            return None
        room = room_for_blocks(packed.pieces)
        none = np.zeros(0, np.int64)
        allowed = wide * high if spare is None else min(spare, wide * high)
        status, _, done = make_blocks(Trial(wide, high, allowed, 1000, none, none), packed, room, work)
        work -= int(done)
        if status != FULL or work < 0:
            return None
        sets = int(room.by_size[packed.pieces + 1])
        heads = dict(zip(room.keys[:sets].tolist(), room.heads[:sets].tolist(), strict=True))
        made[crossways] = _Made(packed, room, heads)
    return _FromBlocks(ground, made)
