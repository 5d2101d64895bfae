"""Where lengths may be moved along rolls with flaws: the zones of a lay.

A length that lies beside a flaw stays where it is. Between such lengths and the flaws the roll is whole over its full
width: a *zone*. Lengths may be moved within a zone and from one to another. The zone in which a lay ends goes on as
far as the next flaw or the roll, and is the one whose length is paid for; the zones before it are used up anyway.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longpoint.cutting.lay.ground import Ground, Put


@dataclass(frozen=True, slots=True)
class Zone:
    """A whole part of a roll.

    Attributes:
        roll: The roll.
        begin: Where it begins. [ticks]
        end: Where it ends. [ticks]
    """

    roll: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class Length:
    """What lies between two cuts right across.

    Attributes:
        roll: The roll.
        begin: Where its nearest piece begins. [ticks]
        end: Where its farthest piece ends. [ticks]
        puts: Its pieces.
    """

    roll: int
    begin: int
    end: int
    puts: tuple[Put, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The zones of a lay and what lies between them.

    Attributes:
        zones: Where lengths may lie; for every roll the zone where the lay ends comes first, in the order of the rolls.
        fixed: Pieces beside flaws.
    """

    zones: tuple[Zone, ...]
    fixed: tuple[Put, ...]

    def rooms(self) -> NDArray[np.float64]:
        """Length of every zone.

        Returns:
            Shape (zones,). [ticks]
        """
        return np.array([float(zone.end - zone.begin) for zone in self.zones])


def lengths_of(ground: Ground, puts: Sequence[Put]) -> list[Length]:
    """A lay parted wherever it can be cut right across.

    Returns:
        Lengths, roll by roll from the free end.
    """
    found = []
    for roll in range(len(ground.stocks)):
        held: list[Put] = []
        reach = 0
        for put in sorted((p for p in puts if p.stock == roll), key=lambda p: (p.y, p.x)):
            if held and put.y >= reach:
                found.append(Length(roll, held[0].y, reach, tuple(held)))
                held = []
            held.append(put)
            reach = max(reach, put.y + ground.size(put)[1])
        if held:
            found.append(Length(roll, held[0].y, reach, tuple(held)))
    return found


def layout_of(ground: Ground, puts: Sequence[Put], *, bare: bool = False) -> Layout:
    """The zones of a lay, and the pieces that stay.

    Args:
        ground: Rolls and pieces.
        puts: The lay.
        bare: Nothing stays: the zones are all that is whole between flaws.

    Returns:
        For every roll the zone where the lay ends, then the zones before; and the pieces of lengths beside flaws.
    """
    lengths = lengths_of(ground, puts)
    last: list[Zone] = []
    before: list[Zone] = []
    fixed: list[Put] = []
    for roll, stock in enumerate(ground.stocks):
        mine = [length for length in lengths if length.roll == roll]
        used = max((length.end for length in mine), default=0)
        taken = [(flaw[1], flaw[3]) for flaw in stock.blocked if flaw[1] < used]
        end = min((flaw[1] for flaw in stock.blocked if flaw[1] >= used), default=stock.length)
        for length in [] if bare else mine:
            if any(near < length.end and length.begin < far for _, near, _, far in stock.blocked):
                taken.append((length.begin, length.end))
                fixed += length.puts
        begin = 0
        for near, far in sorted(taken):
            if near > begin:
                before.append(Zone(roll, begin, near))
            begin = max(begin, far)
        last.append(Zone(roll, begin, max(begin, min(end, stock.length))))
    return Layout((*last, *before), tuple(fixed))
