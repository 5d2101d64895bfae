"""Small lays round flaws: every straight cut that can matter, until one lay is shorter or none can be.

Push every cut of a lay towards the left and the free end as far as the pieces before it allow. Then a piece stands at
the near edge of its sheet or behind a flaw, and a cut lies where sizes, counted from one of these, end. So only those
places are tried; pieces of one kind are alike. The question is asked of the longest length below the lay at hand: if
it cannot be had, the lay is the shortest there is; if it can, the lay found is asked about next.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product

from longpoint.cutting.lay.exact.bound import next_sum
from longpoint.cutting.lay.exact.clear import is_clear
from longpoint.cutting.lay.ground import Ground, Put, Stock

MOST_PIECES = 8  # pieces up to which every cut is tried on one roll
Counts = tuple[int, ...]
Sheet = tuple[int, int, int, int]  # left, near, right, far


@dataclass(frozen=True, slots=True)
class RoundFlaws:
    """What trying every cut came to.

    Attributes:
        puts: The shortest lay; None where the one at hand was not beaten.
        at_least: Length proven at least. [ticks]
    """

    puts: tuple[Put, ...] | None
    at_least: int


class OutOfWorkError(Exception):
    """The work allowed is used up."""


@dataclass(slots=True)
class _Trial:
    """The sheets of one trial length, with what is known of them."""

    ground: Ground
    blocked: tuple[tuple[int, int, int, int], ...]
    ways: tuple[tuple[tuple[int, int, bool], ...], ...]
    work: int
    known: dict[tuple[Sheet, Counts], tuple[Put, ...] | None] = field(default_factory=dict)

    def lay(self, sheet: Sheet, counts: Counts) -> tuple[Put, ...] | None:
        """Pieces cut from a sheet; None where it cannot give them.

        Raises:
            OutOfWorkError: If the work runs out.
        """
        key = (sheet, counts)
        if key not in self.known:
            self.known[key] = self._lay(sheet, counts)
        return self.known[key]

    def _lay(self, sheet: Sheet, counts: Counts) -> tuple[Put, ...] | None:
        left, near, right, far = sheet
        area = sum(n * self.ways[k][0][0] * self.ways[k][0][1] for k, n in enumerate(counts))
        if area > (right - left) * (far - near):
            return None
        inside = tuple(f for f in self.blocked if f[0] < right and left < f[2] and f[1] < far and near < f[3])
        if sum(counts) == 1:
            return self._one(sheet, counts.index(1), inside)
        if not all(self._one(sheet, kind, inside) is not None for kind, count in enumerate(counts) if count):
            return None
        parts = list(_parts(counts))
        for at in self._cuts(left, right, counts, [f[2] for f in inside], 0):
            made = self._both((left, near, at, far), (at, near, right, far), parts)
            if made is not None:
                return made
        for at in self._cuts(near, far, counts, [f[3] for f in inside], 1):
            made = self._both((left, near, right, at), (left, at, right, far), parts)
            if made is not None:
                return made
        return None

    def _one(
        self, sheet: Sheet, kind: int, inside: tuple[tuple[int, int, int, int], ...]
    ) -> tuple[Put, ...] | None:
        left, near, right, far = sheet
        for across, along, turned in self.ways[kind]:
            for y in (near, *(f[3] for f in inside)):
                for x in (left, *(f[2] for f in inside)):
                    if x + across <= right and y + along <= far and is_clear(inside, x, y, across, along):
                        return (Put(0, kind, x, y, turned),)
        return None

    def _both(
        self, first: Sheet, second: Sheet, parts: list[tuple[Counts, Counts]]
    ) -> tuple[Put, ...] | None:
        self.work -= len(parts)
        if self.work < 0:
            raise OutOfWorkError
        for some, rest in parts:
            # The smaller set is asked first: it is the sooner known.
            if sum(some) <= sum(rest):
                one = self.lay(first, some)
                other = None if one is None else self.lay(second, rest)
            else:
                other = self.lay(second, rest)
                one = None if other is None else self.lay(first, some)
            if one is not None and other is not None:
                return one + other
        return None

    def _cuts(self, begin: int, end: int, counts: Counts, edges: list[int], side: int) -> list[int]:
        sums = _sums(
            tuple(tuple(sorted({way[side] for way in ways})) for ways in self.ways), counts, end - begin
        )
        bases = {begin, *(edge for edge in edges if edge < end)}
        return sorted({base + size for base in bases for size in sums if begin < base + size < end})


@lru_cache(maxsize=20_000)
def _sums(sides: tuple[tuple[int, ...], ...], counts: Counts, most: int) -> tuple[int, ...]:
    """Sums of sizes of some of the pieces, at least one."""
    found = {0}
    for options, count in zip(sides, counts, strict=True):
        for _ in range(count):
            found |= {so_far + size for so_far in found for size in options if so_far + size < most}
    return tuple(sorted(found - {0}))


@lru_cache(maxsize=20_000)
def _parts(counts: Counts) -> tuple[tuple[Counts, Counts], ...]:
    """Every way to part the pieces in two, neither of them empty."""
    return tuple(_parted(counts))


def _parted(counts: Counts) -> Iterator[tuple[Counts, Counts]]:
    for some in product(*(range(count + 1) for count in counts)):
        if 0 < sum(some) < sum(counts):
            yield some, tuple(count - taken for count, taken in zip(counts, some, strict=True))


def prove_round_flaws(ground: Ground, *, at_least: int, length: int, work: int) -> RoundFlaws:
    """Shorten a lay round flaws until it is proven shortest or the work runs out.

    Args:
        ground: One roll with flaws, no longest length.
        at_least: A bound. [ticks]
        length: Length of the lay at hand. [ticks]
        work: How many ways to part pieces over a cut may be looked at.

    Returns:
        The shortest lay found and what was proven.
    """
    (stock,) = ground.stocks
    counts = tuple(want.count for want in ground.wants)
    if sum(counts) > MOST_PIECES:
        return RoundFlaws(None, at_least)
    ways = _ways(ground, stock)
    feet = sorted({0, *(flaw[3] for flaw in stock.blocked)})
    best = None
    while length > at_least:
        trial = _below(ground, feet, length, at_least, crossways=stock.crossways)
        if trial < at_least:
            return RoundFlaws(best, length)
        search = _Trial(ground, stock.blocked, ways, work)
        try:
            made = search.lay((0, 0, stock.width, trial), counts)
        except OutOfWorkError:
            return RoundFlaws(best, at_least)
        work = search.work
        if made is None:
            return RoundFlaws(best, length)
        best, length = made, max(put.y + ground.size(put)[1] for put in made)
    return RoundFlaws(best, at_least)


def _ways(ground: Ground, stock: Stock) -> tuple[tuple[tuple[int, int, bool], ...], ...]:
    """How every kind may lie on a roll: across, along, turned."""
    return tuple(
        tuple(
            (want.along, want.across, True) if turned else (want.across, want.along, False)
            for turned in ((stock.crossways, not stock.crossways) if want.turns else (stock.crossways,))
        )
        for want in ground.wants
    )


def _below(ground: Ground, feet: list[int], length: int, at_least: int, *, crossways: bool) -> int:
    """The longest length below one that sizes behind a flaw or the free end add up to; −1 where there is none."""
    low, high = at_least, length - 1

    def next_from(least: int) -> int:
        return min(foot + next_sum(ground, max(0, least - foot), crossways=crossways) for foot in feet)

    if next_from(low) > high:
        return -1
    while low < high:  # next_from rises with its argument
        middle = (low + high + 1) // 2
        if next_from(middle) <= high:
            low = middle
        else:
            high = middle - 1
    return next_from(low)


def shortest_round_flaws(
    ground: Ground, at: int, counts: Counts, work: int
) -> tuple[tuple[int, tuple[Put, ...]] | None, int]:
    """The shortest lay of some pieces on one roll with flaws.

    Args:
        ground: Rolls and pieces, no longest length.
        at: Which roll.
        counts: How many of every kind.
        work: As in `prove_round_flaws`.

    Returns:
        Its length and the lay, None where the roll cannot hold them; and the work left.

    Raises:
        OutOfWorkError: If the work runs out.
    """
    stock = ground.stocks[at]
    ways = _ways(ground, stock)
    sizes = [
        (min(way[0] for way in ways[kind]), max(way[1] for way in ways[kind])) for kind in range(len(counts))
    ]
    if any(across > stock.width for count, (across, _) in zip(counts, sizes, strict=True) if count):
        return None, work
    stacked = sum(count * along for count, (_, along) in zip(counts, sizes, strict=True))
    high = min(stock.length, max((flaw[3] for flaw in stock.blocked), default=0) + stacked)
    low = 1
    search = _Trial(ground, stock.blocked, ways, work)
    best = None
    trial = high
    while low <= high:
        made = search.lay((0, 0, stock.width, trial), counts)
        if made is None:
            low = trial + 1
        else:
            length = max(put.y + ground.size(put)[1] for put in made)
            best = (length, tuple(replace(put, stock=at) for put in made))
            high = length - 1
        trial = (low + high) // 2
        if best is None:
            break  # not even the whole of it holds them
    return best, search.work
