"""Screws on sale, the holes they take, and the choice among them.

Hole sizes come from the tables of published values (Wood Handbook chapter 8: a lead hole of 70 % of the root in
softwood and 90 % in hardwood, the root two thirds of the shank); bits are sold in half millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from longpoint.joinery.joints.joint import ScrewSize
from longpoint.model.hardware import Screw
from longpoint.tables.fasteners import all_screw_gauges, screw_rule
from longpoint.units import MILLIMETRES, LengthStyle

HEAD_SHARE = Fraction(2)
"""Diameter of a countersunk head over the shank; from memory."""
BIT_STEP = Fraction(1, 2)
"""Twist bits are sold in half millimetres; common practice, no published source."""
SUNK_UNDER_CANVAS = Fraction(2)
"""Head below a face where canvas will lie, to be filled; estimate. [mm]"""
SUNK_ELSEWHERE = Fraction(1, 2)
"""Head below any other face: just under flush; estimate. [mm]"""
TIP_COVER = Fraction(3)
"""Timber left in front of a tip, so that it never comes out; estimate. [mm]"""
THINNEST_FOR_GAUGE = 4
"""A part is at least this many diameters thick where a screw runs along its middle; common practice, estimate."""
PREFERRED_FOR_GAUGE = Fraction(6)
"""Thickness over diameter of the gauge that is looked for first: thin, 3.5 mm for 21 mm timber; estimate."""
THICK_ENOUGH = Fraction(5)
"""No joint of a painting support looks for a thicker gauge; estimate. [mm]"""
NEEDLESS_LENGTH = 20
"""Needless length that weighs as much as 1 mm of gauge in the choice; estimate. [mm]"""
FORGIVEN = Fraction(1)
"""A screw this much shorter than wished still counts as long enough. [mm]"""
WANTED_THREAD = 10
"""Thread wanted in the receiving part, in diameters; workshop rule, from memory."""
LEAST_THREAD = 6
"""Least thread, in diameters: NDS 2018 12.1.5.6 and EN 1995-1-1 8.7.2."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holes:
    """The holes of one screw. [mm]"""

    clearance: Fraction
    pilot: Fraction
    countersink: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewNeed:
    """What a place asks of its screw.

    Attributes:
        passed: Timber passed before the receiving part. [mm]
        room: How deep a tip may lie in the receiving part. [mm]
        sunk: Head below the face. [mm]
        thickness: Of the thinnest part that the screw runs along the middle of. [mm]
        wanted: Thread wanted, in diameters.
        least: Thread below which the screw is refused, in diameters.
        least_length: The same as a length, where that is more. [mm]
        thinnest: Thickness over diameter that the parts must at least have.
    """

    passed: Fraction
    room: Fraction
    sunk: Fraction
    thickness: Fraction
    wanted: int = WANTED_THREAD
    least: int = LEAST_THREAD
    least_length: Fraction = Fraction(0)
    thinnest: int = THINNEST_FOR_GAUGE

    def thread(self, size: ScrewSize) -> Fraction:
        """How far a screw would reach into the receiving part. [mm]"""
        return self.sunk + size.length - self.passed

    def is_thin_enough(self, size: ScrewSize) -> bool:
        """Whether the parts bear the gauge."""
        return size.diameter * self.thinnest <= self.thickness

    def shortest(self, diameter: Fraction, *, wanted: bool) -> Fraction:
        """Shortest screw of a diameter that would do. [mm]"""
        if not wanted:
            return self.passed + max(self.least * diameter, self.least_length) - self.sunk
        thread = max(self.wanted * diameter - FORGIVEN, self.least_length)
        return self.passed + min(thread, self.room) - self.sunk

    def longest(self) -> Fraction:
        """Longest screw that does not come out. [mm]"""
        return self.passed + self.room - self.sunk


def gauge_diameter(gauge: int) -> Fraction:
    """Shank diameter of a numbered screw: 0.060 in + 0.013 in per number. [mm]

    References:
        ANSI/ASME B18.6.1; the rows of the table are used where it has the number.
    """
    for row in all_screw_gauges():
        if row.gauge == gauge:
            return Fraction(repr(row.inches)) * Fraction(254, 10)
    return (Fraction(60, 1000) + Fraction(13, 1000) * gauge) * Fraction(254, 10)


def sizes_on_sale(screws: Iterable[Screw], *, assumed: bool = False) -> tuple[ScrewSize, ...]:
    """The sizes among the screws of a batch, thin ones first, short ones first.

    Args:
        screws: The screws.
        assumed: Whether they are only assumed to be on sale.
    """
    sizes = []
    for screw in screws:
        diameter = screw.diameter if screw.diameter is not None else gauge_diameter(screw.gauge or 0)
        if screw.name:
            name = screw.name
        elif screw.gauge is not None:
            name = f"screw No. {screw.gauge} × {_sold_as(screw.length)}"
        else:
            name = f"screw {_figure(diameter)} × {_figure(screw.length)} mm"
        sizes.append(ScrewSize(name=name, diameter=diameter, length=screw.length, assumed=assumed))
    return tuple(sorted(sizes, key=lambda size: (size.diameter, size.length, size.name)))


def _sold_as(length: Fraction) -> str:
    """A length of the inch system in sixteenths where it is one; in mm where it is not."""
    if length % (MILLIMETRES["in"] / 16):
        return f"{_figure(length)} mm"
    return LengthStyle("in", 16).show(length)


def holes_of(size: ScrewSize, *, wood: str = "softwood") -> Holes:
    """The holes a screw takes, in bits that are sold.

    Args:
        size: The screw.
        wood: softwood or hardwood.
    """
    lead = float(size.diameter) * screw_rule("root over shank").value
    lead *= screw_rule(f"lead hole over root, {wood}").value
    # A clearance hole lets the thread slip, so that the head can draw the joint together.
    return Holes(
        clearance=_bit(size.diameter),
        # Up to the next bit: in thin parts splitting is the greater danger.
        pilot=max(_bit(Fraction(lead)), Fraction(1)),
        countersink=size.diameter * HEAD_SHARE,
    )


def choose_screw(sizes: tuple[ScrewSize, ...], need: ScrewNeed) -> ScrewSize | None:
    """The screw that suits a place best, or None; one that is only assumed to be on sale where no other fits.

    Those with the thread wanted go before those with only the least. Among the first, the gauge nearest to the one
    looked for wins, where 20 mm of needless length weigh as much as 1 mm of gauge; among the others the longest.
    """
    # sizes of one gauge stand together: what a gauge asks is worked out once
    thickest, longest = need.thickness / need.thinnest, need.longest()
    shortest = {
        diameter: need.shortest(diameter, wanted=False)
        for diameter in dict.fromkeys(size.diameter for size in sizes)
        if diameter <= thickest
    }
    fit = [
        size
        for size in sizes
        if size.diameter in shortest and shortest[size.diameter] <= size.length <= longest
    ]
    if not fit:
        return None
    fit = [size for size in fit if not size.assumed] or fit
    ideal = min(need.thickness / PREFERRED_FOR_GAUGE, THICK_ENOUGH)

    def rank(size: ScrewSize) -> tuple[bool, Fraction, Fraction, str]:
        over = size.length - need.shortest(size.diameter, wanted=True)
        off = abs(size.diameter - ideal)
        if over < 0:
            return True, -size.length, off, size.name
        return False, off + over / NEEDLESS_LENGTH, size.length, size.name

    return min(fit, key=rank)


def _bit(diameter: Fraction) -> Fraction:
    """The next bit that is sold; a hundredth of a millimetre is forgiven."""
    return math.ceil((diameter - Fraction(1, 100)) / BIT_STEP) * BIT_STEP


def _figure(value: Fraction) -> str:
    text = f"{float(value):.2f}".rstrip("0").rstrip(".")
    return text
