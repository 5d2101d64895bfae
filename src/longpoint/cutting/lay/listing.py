"""The referee's own complete listing: the boxes out of which straight cuts free given rectangles.

A box is as small as a set of rectangles allows: one rectangle, or two boxes side by side or end to end. They are listed
by how many rectangles they hold. Left out is only what wastes more than a whole strip may waste (beside a box no
sizes may fill the rest of the width, or of the length), and what another box of the same rectangles is no larger than.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.certain import Rectangle

Ints = NDArray[np.int64]

AT_ONCE = 1 << 19  # pairs looked at in one go
DENSEST = 400_000  # units up to which sums of sizes are listed
MOST_BOXES = 400_000


class Listing:
    """The boxes of some rectangles, and what work the listing took.

    Attributes:
        work: Pairs that may still be looked at; below 0 where it ran out, and then the boxes are not complete.
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
        beside = self._sums(width, 0) if close else None
        beyond = self._sums(length, 1) if close else None

        def within(w: Ints, h: Ints, area: Ints) -> NDArray[np.bool_]:
            good: NDArray[np.bool_] = (w <= width) & (h <= length)
            waste = np.where(good, w * h - area, 0)
            if beside is not None:
                gap = np.where(good, width - w, 0)
                waste += (gap - beside[np.searchsorted(beside, gap, "right") - 1]) * h
            if beyond is not None:
                gap = np.where(good, length - h, 0)
                waste += (gap - beyond[np.searchsorted(beyond, gap, "right") - 1]) * w
            return good & (waste <= spare)

        rows = []
        for first, (w, h), turn in zip(self.firsts, self.shapes, self.turns, strict=True):
            rows.append((1 << first, w, h, w * h))
            if turn:
                rows.append((1 << first, h, w, w * h))
        made = np.array(rows, np.int64)
        levels = [np.zeros((0, 4), np.int64), _smallest(made[within(made[:, 1], made[:, 2], made[:, 3])])]
        listed = len(levels[1])
        for size in range(2, sum(self.counts) + 1):
            found = [np.zeros((0, 4), np.int64)]
            for small in range(1, size // 2 + 1):
                one, other = levels[small], levels[size - small]
                step = max(1, AT_ONCE // max(1, len(other)))
                for begin in range(0, len(one), step):
                    part = one[begin : begin + step]
                    self.work -= len(part) * len(other)
                    if self.work < 0:
                        return False
                    keys = part[:, 0][:, None] + other[:, 0][None, :]
                    a, b = np.nonzero(((self.full | self.guard) - keys) & self.guard == self.guard)
                    if not len(a):
                        continue
                    key, area = keys[a, b], part[a, 3] + other[b, 3]
                    pw, ph, qw, qh = part[a, 1], part[a, 2], other[b, 1], other[b, 2]
                    for w, h in ((pw + qw, np.maximum(ph, qh)), (np.maximum(pw, qw), ph + qh)):
                        good = within(w, h, area)
                        found.append(np.stack([key[good], w[good], h[good], area[good]], axis=1))
                if len(found) > 64:
                    found = [_smallest(np.concatenate(found))]
            levels.append(_smallest(np.concatenate(found)))
            listed += len(levels[-1])
            if listed > MOST_BOXES:
                self.work = -1
                return False
        for level in levels:
            for key, w, h, _ in level.tolist():
                self.boxes.setdefault(key, []).append((w, h))
        return True

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
