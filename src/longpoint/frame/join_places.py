"""Where along a bar its joins lie: of all places that the boards reach, those where the bar bends least.

A bar is joined as seldom as the boards let it. Of as many joins the worst placed counts first, then all together, then
the longest piece: boards that are all alike are shared out evenly.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import ceil, floor

BEST_IN_BAY = 0.2
"""Where the bending of a continuous bar under an even pull is near zero: about a fifth of the bay from a rail."""
CLEAR_OF_RAIL = Fraction(40)
"""Between the end of a join and a rail's face; estimate. [mm]"""
KEEP_OUT = Fraction(1, 20)
"""Half of the stretch at mid-bay that stays whole, over the bay: there the bar bends most; estimate."""
NEARLY = Fraction(1, 20)
"""Places whose share of the bay differs by less are as good as each other; estimate."""
TRIED_EVERY = 5
"""Centres are tried this far apart. [mm]"""
MOST_PIECES = 6
"""A bar is never joined from more; estimate: beyond, gluing it straight is harder than finding longer boards."""
FINE = 10**6
"""Shares of a bay are compared in whole parts of it."""
FEW = 32
"""So many of the best shares are tried first."""

_NO_WAY = 1 << 60


@dataclass(frozen=True, slots=True, kw_only=True)
class LongBar:
    """What decides where one bar is joined.

    Attributes:
        start: Of the bar along its axis in the frame. [mm]
        stop: Of the bar. [mm]
        free: Stretches between its corners and the members that end on it, from the start. [mm]
        length: Of a join along the bar; both pieces reach through it. [mm]
        taken: How much of a bay a join takes, its plate with it. [mm]
    """

    start: Fraction
    stop: Fraction
    free: tuple[tuple[Fraction, Fraction], ...]
    length: Fraction
    taken: Fraction

    @property
    def apart(self) -> Fraction:
        """Least distance of two joins, centre to centre: as much whole wood as a join is long; estimate. [mm]"""
        return max(self.length, self.taken) + self.length

    def enough(self, boards: Sequence[Fraction]) -> bool:
        """Whether boards are long enough together, each used up but for what the joins take."""
        return sum(boards) >= self.stop - self.start + (len(boards) - 1) * self.length


@lru_cache(maxsize=512)
def best_places(bar: LongBar, boards: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """The best places for the joins of a bar.

    Args:
        bar: The bar.
        boards: Usable lengths of the longest boards, the longest first. [mm]

    Returns:
        The centres along its axis, rising, as few as there can be; none where no places are found. [mm]
    """
    spots = _spots(bar)
    for count in range(2, min(MOST_PIECES, len(boards)) + 1):
        mine = boards[:count]
        if bar.enough(mine) and (found := _best_of(bar, spots, mine)):
            return tuple(map(Fraction, found))
    return ()


def as_good(bar: LongBar, boards: tuple[Fraction, ...], centres: tuple[Fraction, ...]) -> bool:
    """Whether other places for the joins of a bar are nearly as good as its best ones.

    Args:
        bar: The bar.
        boards: Usable lengths of the longest boards, the longest first. [mm]
        centres: The other places, rising. [mm]
    """
    best = best_places(bar, boards)
    off = dict(_spots(bar))
    mine = [off.get(int(centre)) for centre in centres if centre.denominator == 1]
    found = [each for each in mine if each is not None]
    if not best or len(centres) != len(best) or len(found) != len(best):
        return False
    if max(found) > max(off[int(centre)] for centre in best) + NEARLY * FINE:
        return False
    pieces = sorted(lengths_between(bar, centres), reverse=True)
    return all(b - a >= bar.apart for a, b in pairwise(centres)) and all(
        piece <= board for piece, board in zip(pieces, boards, strict=False)
    )


@lru_cache(maxsize=512)
def shortest_boards(bar: LongBar) -> Fraction | None:
    """The shortest boards, all alike, of which a bar could be joined; None where no boards would do. [mm]

    Args:
        bar: The bar.
    """
    low, high = 0, ceil(bar.stop - bar.start)

    def do(board: int) -> bool:
        spots, alike = _spots(bar), (Fraction(board),) * MOST_PIECES
        return any(
            bar.enough(alike[:count]) and _cheapest(bar, spots, alike[:count])
            for count in range(2, MOST_PIECES + 1)
        )

    if not do(high):
        return None
    while low + 1 < high:
        middle = (low + high) // 2
        low, high = (low, middle) if do(middle) else (middle, high)
    return Fraction(high)


def lengths_between(bar: LongBar, centres: Sequence[Fraction]) -> list[Fraction]:
    """Lengths of the pieces of a bar joined at these places, from its start; the joins in both of their pieces. [mm]"""
    half = bar.length / 2
    cuts = [bar.start + half, *centres, bar.stop - half]
    return [after - before + bar.length for before, after in pairwise(cuts)]


_Spot = tuple[int, int]
"""A centre in whole millimetres, and how far its share of the bay is off the best one, in parts of `FINE`."""


@lru_cache(maxsize=512)
def _spots(bar: LongBar) -> tuple[_Spot, ...]:
    """Every place that is tried, rising: clear of the rails and not over mid-bay."""
    found: list[_Spot] = []
    for low, high in bar.free:
        if high <= low:
            continue
        first, last = ceil(low + CLEAR_OF_RAIL + bar.taken / 2), floor(high - CLEAR_OF_RAIL - bar.taken / 2)
        middle, away = (low + high) / 2, (high - low) * KEEP_OUT + bar.taken / 2
        left, right, span = float(low), float(high), float(high - low)
        before, after = floor(middle - away), ceil(middle + away)
        for centre in sorted({*range(first, last + 1, TRIED_EVERY), *range(last, first - 1, -TRIED_EVERY)}):
            if centre <= before or centre >= after:
                share = min(centre - left, right - centre) / span
                found.append((centre, round(abs(share - BEST_IN_BAY) * FINE)))
    return tuple(found)


def _best_of(bar: LongBar, spots: Sequence[_Spot], boards: Sequence[Fraction]) -> tuple[int, ...]:
    """The best places for one join fewer than there are boards; none where there are none."""
    offs = sorted({off for _, off in spots})

    def within(rank: int) -> list[_Spot]:
        return [spot for spot in spots if spot[1] <= offs[rank]]

    # Good places are mostly enough: few are looked at first.
    low, high = -1, min(FEW, len(offs) - 1)
    while high >= 0 and not _cheapest(bar, within(high), boards):
        if high == len(offs) - 1:
            return ()
        low, high = high, min(4 * high, len(offs) - 1)
    if high < 0:
        return ()
    while low + 1 < high:
        middle = (low + high) // 2
        low, high = (low, middle) if _cheapest(bar, within(middle), boards) else (middle, high)
    near = within(high)
    total, found = _cheapest(bar, near, boards) or (0, ())
    short, long = 0, ceil(max(lengths_between(bar, [Fraction(centre) for centre in found])))
    middle = long - 1  # mostly no others are as good
    while short + 1 < long:
        capped = [min(board, Fraction(middle)) for board in boards]
        again = _cheapest(bar, near, capped)
        if again and again[0] == total:
            long, found = middle, again[1]
        else:
            short = middle
        middle = (short + long) // 2
    return found


def _cheapest(
    bar: LongBar, spots: Sequence[_Spot], boards: Sequence[Fraction]
) -> tuple[int, tuple[int, ...]] | None:
    """Places with one board for each piece, any board for any piece, least off in sum; None where there are none.

    From the start join by join: for each place the least sum with which it is reached, by the boards that are left.
    """
    kinds = sorted(Counter(boards).items(), reverse=True)
    lengths = [length for length, _ in kinds]
    half = bar.length / 2
    steps: list[dict[tuple[int, ...], list[tuple[int, int, tuple[int, ...]]]]] = []
    left = tuple(count for _, count in kinds)
    reached: dict[tuple[int, ...], list[tuple[int, int, tuple[int, ...]]]] = {}
    for kind, length in enumerate(lengths):
        upto = floor(bar.start + length - half)
        reached[_without(left, kind)] = [
            (off if centre <= upto else _NO_WAY, -1, left) for centre, off in spots
        ]
    steps.append(reached)
    for _ in range(len(boards) - 2):
        reached = {}
        for state, ways in steps[-1].items():
            for kind, length in enumerate(lengths):
                if not state[kind]:
                    continue
                following = _onward(spots, ways, state, near=ceil(bar.apart), far=floor(length - bar.length))
                after = _without(state, kind)
                known = reached.get(after)
                reached[after] = (
                    following if known is None else [min(a, b) for a, b in zip(known, following, strict=True)]
                )
        steps.append(reached)
    ends = []
    for state, ways in steps[-1].items():
        last = next(length for length, count in zip(lengths, state, strict=True) if count)
        least = ceil(bar.stop + half - last)
        ends += [
            (ways[at][0], at, state)
            for at, (centre, _) in enumerate(spots)
            if centre >= least and ways[at][0] < _NO_WAY
        ]
    if not ends:
        return None
    total, at, state = min(ends)
    found: list[int] = []
    for step in reversed(steps):
        found.append(spots[at][0])
        _, at, state = step[state][at]
    return total, tuple(reversed(found))


def _onward(
    spots: Sequence[_Spot],
    ways: Sequence[tuple[int, int, tuple[int, ...]]],
    state: tuple[int, ...],
    *,
    near: int,
    far: int,
) -> list[tuple[int, int, tuple[int, ...]]]:
    """For each place the cheapest one before it that lies neither too near nor too far, its own share added."""
    found = []
    waiting: deque[int] = deque()
    following = 0
    for centre, off in spots:
        while following < len(spots) and spots[following][0] <= centre - near:
            while waiting and ways[waiting[-1]][0] > ways[following][0]:
                waiting.pop()
            waiting.append(following)
            following += 1
        while waiting and spots[waiting[0]][0] < centre - far:
            waiting.popleft()
        before = waiting[0] if waiting else -1
        sum_before = ways[before][0] if waiting else _NO_WAY
        found.append((min(sum_before + off, _NO_WAY), before, state))
    return found


def _without(state: tuple[int, ...], kind: int) -> tuple[int, ...]:
    return (*state[:kind], state[kind] - 1, *state[kind + 1 :])
