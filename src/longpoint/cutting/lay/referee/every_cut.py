"""The referee's own search round flaws: whether any straight cuts free given rectangles from a part of a roll.

The roll is looked at from its right edge (mirrored), the search from its left one. Every cut that can matter lies where
sizes, counted from the edge of a sheet or from the far side of a flaw, end: all of these are tried.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from longpoint.cutting.lay.referee.certain import Box, Counts, Rectangle, Strip, ways


class WorkDoneError(Exception):
    """The work allowed is used up."""


class EveryCut:
    """Straight cuts on one roll with flaws.

    Attributes:
        work: Ways to part rectangles over a cut that may still be looked at.
    """

    def __init__(self, rectangles: Sequence[Rectangle], strip: Strip, *, work: int) -> None:
        self.strip, self.work = strip, work
        self.shapes = [ways(r, strip) for r in rectangles]
        self.areas = [r.across * r.along for r in rectangles]
        wide = strip.width
        self.flaws = [(wide - f[2], f[1], wide - f[0], f[3]) for f in strip.flaws]
        self.known: dict[tuple[Box, Counts], bool] = {}

    def frees(self, counts: Counts, length: int) -> bool:
        """Whether so much of the roll gives some rectangles.

        Returns:
            Yes or no.

        Raises:
            WorkDoneError: If the work runs out.
        """
        if any(count and not shapes for count, shapes in zip(counts, self.shapes, strict=True)):
            return False
        return self._cut((0, 0, self.strip.width, length), counts)

    def shortest(self, counts: Counts) -> int | None:
        """The least length that gives some rectangles.

        Returns:
            Units; None where the roll does not hold them.

        Raises:
            WorkDoneError: If the work runs out.
        """
        sides = [max((long for _, long in shapes), default=0) for shapes in self.shapes]
        high = max((flaw[3] for flaw in self.flaws), default=0)
        high += sum(count * side for count, side in zip(counts, sides, strict=True))
        if self.strip.length is not None:
            high = min(high, self.strip.length)
        if not self.frees(counts, high):
            return None
        low = 0  # not enough
        while high - low > 1:
            middle = (low + high) // 2
            if self.frees(counts, middle):
                high = middle
            else:
                low = middle
        return high

    def _cut(self, sheet: Box, counts: Counts) -> bool:
        key = (sheet, counts)
        if key not in self.known:
            self.known[key] = self._tried(sheet, counts)
        return self.known[key]

    def _tried(self, sheet: Box, counts: Counts) -> bool:
        left, near, right, far = sheet
        area = sum(count * each for count, each in zip(counts, self.areas, strict=True))
        if area > (right - left) * (far - near):
            return False
        here = [f for f in self.flaws if f[0] < right and left < f[2] and f[1] < far and near < f[3]]
        alone = [self._alone(sheet, at, here) for at, count in enumerate(counts) if count]
        if not all(alone) or sum(counts) == 1:
            return all(alone)
        splits = [
            some for some in product(*(range(count + 1) for count in counts)) if 0 < sum(some) < sum(counts)
        ]
        for side in (1, 0):
            begin, end = sheet[side], sheet[side + 2]
            bases = {begin, *(flaw[side + 2] for flaw in here)}
            for at in sorted(
                {base + size for base in bases for size in self._sums(side, counts, end - begin)}
            ):
                if not begin < at < end:
                    continue
                one: Box = (left, near, at, far) if side == 0 else (left, near, right, at)
                other: Box = (at, near, right, far) if side == 0 else (left, at, right, far)
                self.work -= len(splits)
                if self.work < 0:
                    raise WorkDoneError
                for some in splits:
                    rest = tuple(count - taken for count, taken in zip(counts, some, strict=True))
                    if self._cut(one, some) and self._cut(other, rest):
                        return True
        return False

    def _alone(self, sheet: Box, at: int, here: Sequence[Box]) -> bool:
        left, near, right, far = sheet
        return any(
            x + wide <= right
            and y + long <= far
            and not any(f[0] < x + wide and x < f[2] and f[1] < y + long and y < f[3] for f in here)
            for wide, long in self.shapes[at]
            for x in (left, *(flaw[2] for flaw in here))
            for y in (near, *(flaw[3] for flaw in here))
        )

    def _sums(self, side: int, counts: Counts, most: int) -> set[int]:
        sums = {0}
        for shapes, count in zip(self.shapes, counts, strict=True):
            for _ in range(count):
                sums |= {
                    so_far + shape[side] for so_far in sums for shape in shapes if so_far + shape[side] < most
                }
        return sums - {0}
