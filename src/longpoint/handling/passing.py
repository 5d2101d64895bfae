"""Whether a work passes, by how much, how it is held, and how large it might be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from longpoint.handling.holds import Box, Hold, holds_for, passes, passing_angles
from longpoint.handling.obstacles import Obstacle
from longpoint.handling.turning import Window

FINGERS = 20.0
"""Room that two hands like to have: with less, a hold that leaves more is told. [mm] Estimate."""

FINEST = 0.25
"""To how much the room is found. [mm]"""

LARGEST = 25_000.0
"""No work is longer. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """One work at one obstacle.

    Attributes:
        hold: How it is held: the simplest hold that leaves room for fingers, else the one that leaves most.
        room: By how much every edge of the work could grow in that hold; where it is negative, by how much both
            sides of its face must shrink, its depth staying. To `FINEST`, never too much. [mm]
        tilt: Tilts at which it passes so, as it is; of one that does not pass, as it would once shrunk. [rad]
    """

    hold: Hold
    room: float
    tilt: Window

    @property
    def passes(self) -> bool:
        """Whether it passes."""
        return self.room >= 0


def passing(obstacle: Obstacle, box: Box) -> Passing:
    """How one work passes one obstacle, or by how much it does not.

    Args:
        obstacle: What it must get past.
        box: The work.
    """
    best: Passing | None = None
    for hold in holds_for(obstacle):
        room = _room(obstacle, box, hold)
        if best is None or room > best.room:
            tilt = passing_angles(obstacle, box.grown(min(room, 0.0)), hold) or (0.0, 0.0)
            best = Passing(hold=hold, room=room, tilt=tilt)
            if room >= FINGERS:
                break
    assert best is not None
    return best


def _room(obstacle: Obstacle, box: Box, hold: Hold) -> float:
    """Bisection: a smaller work never passes worse. The answer is a multiple of `FINEST` at which it passes."""

    def fits(steps: int) -> bool:
        return passing_angles(obstacle, box.grown(steps * FINEST), hold) is not None

    if fits(0):
        return FINEST * _last(fits, 0, int(LARGEST / FINEST))
    return FINEST * _last(fits, -int(max(box.width, box.height) / FINEST) - 1, 0)


def _last(fits: Callable[[int], bool], low: int, high: int) -> int:
    """The greatest whole number that fits, of a run in which ``low`` fits and ``high`` does not."""
    step = 1
    if fits(low + step):  # doubling finds the neighbourhood of small answers at once
        while low + 2 * step < high and fits(low + 2 * step):
            step *= 2
        low, high = low + step, min(high, low + 2 * step)
    else:
        return low
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def first_stop(obstacles: Sequence[Obstacle], box: Box) -> int | None:
    """Which obstacle of a way stops a work first, from 0; None where none does.

    Between two of them the work may be held otherwise; that needs a floor where it can be set down and turned.

    Args:
        obstacles: In the order they are met.
        box: The work.
    """
    return next((index for index, one in enumerate(obstacles) if not passes(one, box)), None)


def longest_side(obstacles: Sequence[Obstacle], box_of: Callable[[float], Box]) -> int:
    """The largest work of a depth and shape that gets past everything, by its longer side in whole millimetres.

    Args:
        obstacles: In the order they are met; none: no limit but `LARGEST`.
        box_of: The work with a longer side [mm]; none of its edges shrinks as that grows.

    Returns:
        The longer side at which it passes and one millimetre more does not; 0 where none passes. [mm]
    """

    def fits(length: int) -> bool:
        return first_stop(obstacles, box_of(length)) is None

    if fits(int(LARGEST)):
        return int(LARGEST)
    return _last(fits, 1, int(LARGEST)) if fits(1) else 0
