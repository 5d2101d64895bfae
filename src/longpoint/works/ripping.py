"""Narrower timber sawn along a wider board: how many strips a board gives, and what falls off."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from fractions import Fraction

from longpoint.model.batch import Batch
from longpoint.model.shop import Rip

ROUND_DOWN_TO = Fraction(1, 2)
"""Widths that nobody states are set to halves of a millimetre, as a fence is. [mm]"""

STRIP_SHARE = Fraction(1, 10)
"""What a strip that fell off while ripping counts, of the price of its length: it is paid with its board, and long ones
are not to be cut for short parts. Estimate."""

LEFT_BESIDE_BARS = Fraction(16)
"""Rails ripped for bars of a stated depth are shallower by this: drop and gap. [mm] Estimate."""


@dataclass(frozen=True, slots=True)
class Ripped:
    """How a board is ripped.

    Attributes:
        thickness: Of the board, kept by its strips. [mm]
        wide: Width of the board. [mm]
        strip: Width of a strip, finished. [mm]
        strips: How many of them a board gives.
        falls: Width of what falls off and can be used; 0 where it is too narrow. [mm]
        fence: Where the fence stands: the strip with what is planed off it. [mm]
    """

    thickness: Fraction
    wide: Fraction
    strip: Fraction
    strips: int
    falls: Fraction
    fence: Fraction

    def boards(self, strips: int) -> int:
        """Boards that give so many strips."""
        return -(-strips // self.strips)

    def share(self, price: Decimal | None) -> Decimal | None:
        """What a strip costs of the price of its board, to the cent above."""
        return None if price is None else (price / self.strips).quantize(Decimal("0.01"), rounding=ROUND_UP)


def rip(rip: Rip, *, thickness: Fraction, wide: Fraction, strip: Fraction) -> Ripped | None:
    """Strips of a width from a board.

    After each strip the sawn edge of the board is planed before the next one, and the strip's own sawn face too.

    Args:
        rip: What the shop can do.
        thickness: Of the board. [mm]
        wide: Width of the board. [mm]
        strip: Width of a strip, finished. [mm]

    Returns:
        How the board is ripped; None where the strip is too narrow to be ripped safely, or the board not wider.
    """
    taken = rip.kerf + 2 * rip.planed_off
    if strip < rip.least or wide < strip + rip.kerf + rip.planed_off:
        return None
    strips = int((wide + taken) // (strip + taken))
    falls = _falls(rip, wide=wide, strip=strip)
    return Ripped(thickness, wide, strip, strips, falls, strip + rip.planed_off)


def _falls(rip: Rip, *, wide: Fraction, strip: Fraction) -> Fraction:
    """What falls off when a board gives as many strips as it can; 0 where it is too narrow to be used. [mm]"""
    taken = rip.kerf + 2 * rip.planed_off
    left = wide - (wide + taken) // (strip + taken) * (strip + taken)
    return left if left >= rip.least else Fraction(0)


def wished_widths(batch: Batch) -> tuple[Fraction, ...]:
    """Sides of bars and rails that a batch states, and rails that would suit bars of a stated depth. [mm]"""
    wished: list[Fraction] = []
    for work in batch.work:
        bars, inside = batch.bars_of(work), batch.inside_of(work)
        wished += (Fraction(side) for side in (bars.thickness, bars.depth) if side != "auto")
        wished += (Fraction(side) for side in (inside.thickness, inside.depth) if side != "auto")
        if bars.depth != "auto":
            wished.append(Fraction(bars.depth) - LEFT_BESIDE_BARS)
    return tuple(wished)


def strip_widths(can: Rip, wished: Sequence[Fraction], *, wide: Fraction) -> Iterable[Fraction]:
    """Widths into which a board is worth ripping: what is wished, equal parts, and what falls off then.

    Args:
        can: What the shop can do.
        wished: Widths that are wished. [mm]
        wide: Width of the board. [mm]

    Returns:
        The widths, each once. [mm]
    """
    taken = can.kerf + 2 * can.planed_off
    equal = [(wide - (parts - 1) * taken) / parts // ROUND_DOWN_TO * ROUND_DOWN_TO for parts in (2, 3)]
    fallen = [_falls(can, wide=wide, strip=strip) for strip in (*wished, *equal) if can.least <= strip < wide]
    return dict.fromkeys(width for width in (*wished, *equal, *fallen) if can.least <= width < wide)
