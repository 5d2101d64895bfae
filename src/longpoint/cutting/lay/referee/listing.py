"""The referee's own complete listing: the boxes out of which straight cuts free given rectangles.

A box is as small as a set of rectangles allows: one rectangle, or two boxes side by side or end to end. They are listed
by how many rectangles they hold. Left out is only what wastes more than a whole strip may waste (beside a box no
sizes may fill the rest of the width, or of the length), and what another box of the same rectangles is no larger than.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.referee.certain import Rectangle

Ints = NDArray[np.int64]

AT_ONCE = 1 << 19  # pairs looked at in one go
DENSEST = 400_000  # units up to which sums of sizes are listed
MOST_BOXES = 400_000
BOXES_COUNT = 20  # what a pair of boxes counts, where a pair of sets counts one


@dataclass(frozen=True, slots=True)
class _Level:
    """Boxes of so many rectangles, those of one set behind each other.

    Attributes:
        wide: Width of every box.
        long: Its length.
        keys: The sets.
        areas: Area of the rectangles of every set.
        starts: First box of every set.
        many: How many boxes it has.
    """

    wide: Ints
    long: Ints
    keys: Ints
    areas: Ints
    starts: Ints
    many: Ints

    @classmethod
    def of(cls, rows: Ints) -> _Level:
        """The smallest boxes among rows of set, width, length, area."""
        rows = _smallest(rows)
        keys, starts, many = np.unique(rows[:, 0], return_index=True, return_counts=True)
        return cls(rows[:, 1].copy(), rows[:, 2].copy(), keys, rows[starts, 3], starts, many)


@dataclass(frozen=True, slots=True)
class _Room:
    """What a box may be.

    Attributes:
        width: Of the strip.
        length: Of the strip.
        spare: What may be wasted.
        beside: Sums of sizes across, rising; None where what stays bare beside a box is not counted.
        beyond: Sums of sizes along.
    """

    width: int
    length: int
    spare: int
    beside: Ints | None
    beyond: Ints | None

    def kept(self, w: Ints, h: Ints, area: Ints) -> Ints:
        """Places of the boxes that waste no more than is to spare."""
        waste = w * h - area
        if self.beside is not None:
            gap = self.width - w
            waste += (gap - self.beside[np.searchsorted(self.beside, gap, "right") - 1]) * h
        if self.beyond is not None:
            gap = self.length - h
            waste += (gap - self.beyond[np.searchsorted(self.beyond, gap, "right") - 1]) * w
        return np.flatnonzero(waste <= self.spare)


class Listing:
    """The boxes of some rectangles, and what work the listing took.

    Attributes:
        work: Pairs of sets that may still be looked at (a pair of boxes counts for more); below 0 where it ran out, and
            then the boxes are not complete.
    """

    def __init__(self, rectangles: Sequence[Rectangle], *, crossways: bool, work: int) -> None:
        self.work = work
        self.shapes = [(r.along, r.across) if crossways else (r.across, r.along) for r in rectangles]
        self.turns = [r.may_turn for r in rectangles]
        self.counts = [r.count for r in rectangles]
        self.firsts: list[int] = []
        self.guard = at = 0
        for count in self.counts:
            self.firsts.append(at)
            at += count.bit_length() + 1
            self.guard |= 1 << (at - 1)
        self.can_be_packed = at <= 62
        self.full = self.key(self.counts) if self.can_be_packed else 0
        self.boxes: dict[int, list[tuple[int, int]]] = {}

    def key(self, counts: Sequence[int]) -> int:
        """A set of rectangles as one number.

        Returns:
            The number.
        """
        return sum(count << first for count, first in zip(counts, self.firsts, strict=True))

    def make(self, width: int, length: int, spare: int, *, close: bool) -> bool:
        """List all boxes within a width and a length that waste no more than is to spare.

        Args:
            width: Of the strip. [units]
            length: Of the strip. [units]
            spare: What may be wasted. [units²]
            close: The strip must hold all rectangles, so that what cannot be filled beside a box is wasted, too.

        Returns:
            Whether the listing is complete.
        """
        if not self.can_be_packed or width * length >= 1 << 60:
            return False
        room = _Room(
            width,
            length,
            spare,
            self._sums(width, 0) if close else None,
            self._sums(length, 1) if close else None,
        )
        rows = []
        for first, (w, h), turn in zip(self.firsts, self.shapes, self.turns, strict=True):
            rows.append((1 << first, w, h, w * h))
            if turn:
                rows.append((1 << first, h, w, w * h))
        made = np.array([row for row in rows if row[1] <= width and row[2] <= length], np.int64).reshape(
            -1, 4
        )
        levels = [_Level.of(made[:0]), _Level.of(made[room.kept(made[:, 1], made[:, 2], made[:, 3])])]
        listed = len(levels[1].wide)
        for size in range(2, sum(self.counts) + 1):
            found = [made[:0]]
            for small in range(1, size // 2 + 1):
                for rows_here in self._joined(levels[small], levels[size - small], room):
                    found.append(rows_here)
                    if len(found) > 16:
                        found = [_smallest(np.concatenate(found))]
                if self.work < 0:
                    return False
            levels.append(_Level.of(np.concatenate(found)))
            listed += len(levels[-1].wide)
            if listed > MOST_BOXES:
                self.work = -1
                return False
        for level in levels:
            for key, start, many in zip(
                level.keys.tolist(), level.starts.tolist(), level.many.tolist(), strict=True
            ):
                here = slice(start, start + many)
                self.boxes[key] = list(zip(level.wide[here].tolist(), level.long[here].tolist(), strict=True))
        return True

    def _joined(self, one: _Level, other: _Level, room: _Room) -> Iterator[Ints]:
        """Boxes of two of them, side by side and end to end, where no rectangle is in both too often."""
        step = max(1, AT_ONCE // max(1, len(other.keys)))
        for begin in range(0, len(one.keys), step):
            keys = one.keys[begin : begin + step][:, None] + other.keys[None, :]
            self.work -= keys.size
            a, b = np.nonzero(((self.full | self.guard) - keys) & self.guard == self.guard)
            a += begin
            many = one.many[a] * other.many[b]
            ends = np.cumsum(many)
            first = 0
            while first < len(a):
                last = int(np.searchsorted(ends, (ends[first - 1] if first else 0) + AT_ONCE, "right"))
                last = max(first + 1, last)
                here = many[first:last]
                pair = np.repeat(np.arange(first, last), here)
                self.work -= BOXES_COUNT * len(pair)
                if self.work < 0:
                    return
                place = np.arange(len(pair)) - np.repeat(np.cumsum(here) - here, here)
                count = other.many[b[pair]]
                p, q = one.starts[a[pair]] + place // count, other.starts[b[pair]] + place % count
                pw, ph, qw, qh = one.wide[p], one.long[p], other.wide[q], other.long[q]
                for w, h in ((pw + qw, np.maximum(ph, qh)), (np.maximum(pw, qw), ph + qh)):
                    fits = np.flatnonzero((w <= room.width) & (h <= room.length))
                    which = pair[fits]
                    area = one.areas[a[which]] + other.areas[b[which]]
                    good = room.kept(w[fits], h[fits], area)
                    which, fits = which[good], fits[good]
                    yield np.stack(
                        [one.keys[a[which]] + other.keys[b[which]], w[fits], h[fits], area[good]], axis=1
                    )
                first = last

    def _sums(self, top: int, side: int) -> Ints | None:
        """Sums of sizes up to a size, rising; None where there may be too many."""
        if top > DENSEST:
            return None
        sums, mask = 1, (1 << (top + 1)) - 1
        for shape, turn, count in zip(self.shapes, self.turns, self.counts, strict=True):
            for _ in range(min(count, top // min(shape) + 1)):
                before = sums
                sums |= (before << shape[side]) & mask
                if turn:
                    sums |= (before << shape[1 - side]) & mask
        bits = np.frombuffer(sums.to_bytes(top // 8 + 1, "little"), np.uint8)
        return np.flatnonzero(np.unpackbits(bits, bitorder="little")).astype(np.int64)

    def shortest(self, counts: Sequence[int], width: int, length: int | None) -> int | None:
        """The shortest length within which a width frees some rectangles, among the boxes listed.

        Returns:
            Units; None where no box is within width and length.
        """
        lengths = [
            h
            for w, h in self.boxes.get(self.key(counts), [])
            if w <= width and (length is None or h <= length)
        ]
        return min(lengths, default=None)


def _smallest(rows: Ints) -> Ints:
    """Boxes that no other of the same rectangles is within: by width rising, lengths must fall."""
    if not len(rows):
        return rows
    rows = rows[np.lexsort((rows[:, 2], rows[:, 1], rows[:, 0]))]
    new = np.concatenate([[True], rows[1:, 0] != rows[:-1, 0]])
    group = np.cumsum(new)
    lifted = rows[:, 2] + (group[-1] - group) * (int(rows[:, 2].max()) + 1)
    least = np.minimum.accumulate(lifted)
    keep = np.concatenate([[True], lifted[1:] < least[:-1]])
    kept: Ints = rows[keep]
    return kept
