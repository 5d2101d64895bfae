"""A design: every dimension of one frame, with nothing left to choose.

Axes: x to the right, y up, z out of the wall towards the viewer; the origin is the lower left outer corner and
the lips lie at z = 0. Lengths are exact millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Side = Literal["left", "right", "bottom", "top"]
Axis = Literal["x", "y"]
JoinKind = Literal["scarf", "half-lap with plate"]
CornerJoint = Literal["mitre", "mitre with gusset", "mitre with glue block", "half-lap", "keyed mitre"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarJoin:
    """One place where two pieces of a bar are joined in length.

    A scarf slopes across the bar's thickness, so that its line is seen from the front; a half-lap halves the
    thickness. Either way the joint is as deep as the bar.

    Attributes:
        side: The side whose bar it is; the bar is named ``<side> bar``.
        kind: How it is joined.
        centre: Middle of the join along the bar, from the bar's start: its left or lower outer corner. [mm]
        length: Of the join along the bar: both pieces reach through it. [mm]
        plate: Length along the bar and depth off the wall of the plate glued and screwed over the join on the
            bar's inner side, its middle at ``centre``; as thick as the rails. None for a scarf. [mm]
    """

    side: Side
    kind: JoinKind
    centre: Fraction
    length: Fraction
    plate: tuple[Fraction, Fraction] | None = None

    @property
    def reach(self) -> tuple[Fraction, Fraction]:
        """Where it starts and stops along the bar, its plate with it. [mm]"""
        half = max(self.length, self.plate[0] if self.plate else Fraction(0)) / 2
        return self.centre - half, self.centre + half


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameDesign:
    """Every dimension of one frame.

    Attributes:
        width: Of the face. [mm]
        height: Of the face. [mm]
        bar_thickness: Of the bars, seen from the front. [mm]
        bar_depth: Of the bars, off the wall. [mm]
        bevel_fall: How far the low inner edge falls below the lip. [mm]
        bevel_first: Whether the bevel is made before the bars are cut.
        lip_radius: How far the lip is eased. [mm]
        corner: Corner joint.
        rail_thickness: Of rails, seen from the front. [mm]
        rail_depth: Of rails, off the wall. [mm]
        drop: How far rails lie in from the back edge. [mm]
        end_rails: Sides along whose bars an end rail lies.
        cross_rails: Centre lines of the cross rails from the left (or lower) outer corner, rising. [mm]
        middle_pieces: Whether there is a line of middle pieces.
        halved: Whether the middle line runs through, halved over the cross rails, instead of being cut per bay.
        shift: How far every second middle piece is moved sideways. [mm]
        strings: The two sides that carry the strings or hangers.
        joins: Where bars are joined in length.
        seam: Where a frame in two halves comes apart, along the long direction from the start; the two cross
            rails at ``seam`` ∓ half a rail's thickness lie face to face there, one in each half, and are bolted
            together. None: the frame is one piece. [mm]
        bar_boards: From how many boards each bar is glued, face to face across its thickness; 1: it is one board.
    """

    width: Fraction
    height: Fraction
    bar_thickness: Fraction
    bar_depth: Fraction
    bevel_fall: Fraction
    bevel_first: bool
    lip_radius: Fraction
    corner: CornerJoint
    rail_thickness: Fraction
    rail_depth: Fraction
    drop: Fraction
    end_rails: tuple[Side, ...]
    cross_rails: tuple[Fraction, ...]
    middle_pieces: bool
    halved: bool
    shift: Fraction
    strings: tuple[Side, Side]
    joins: tuple[BarJoin, ...] = ()
    seam: Fraction | None = None
    bar_boards: int = 1

    def __hash__(self) -> int:
        # what candidates differ by, in whole numbers: hashing twenty exact lengths takes long
        return hash(
            (
                self.width.numerator,
                self.height.numerator,
                self.bar_thickness.numerator,
                self.bar_depth.numerator,
                self.rail_thickness.numerator,
                self.rail_depth.numerator,
                self.corner,
                self.end_rails,
                len(self.cross_rails),
                self.middle_pieces,
                self.halved,
            )
        )

    @property
    def long_axis(self) -> Axis:
        """The direction of the long bars; for a square face, the level ones."""
        return "x" if self.width >= self.height else "y"

    @property
    def length(self) -> Fraction:
        """The face along the long direction. [mm]"""
        return max(self.width, self.height)

    @property
    def breadth(self) -> Fraction:
        """The face across the long direction. [mm]"""
        return min(self.width, self.height)

    @property
    def gap(self) -> Fraction:
        """From the front of a rail to the canvas. [mm]"""
        return self.bar_depth - self.drop - self.rail_depth

    @property
    def start_sides(self) -> tuple[Side, Side]:
        """The sides of the short bars: where the long direction starts and stops."""
        return ("left", "right") if self.long_axis == "x" else ("bottom", "top")

    @property
    def flank_sides(self) -> tuple[Side, Side]:
        """The sides of the long bars: where the short direction starts and stops."""
        return ("bottom", "top") if self.long_axis == "x" else ("left", "right")

    @property
    def has_rails(self) -> bool:
        """Whether anything stands inside the bars."""
        return bool(self.end_rails or self.cross_rails or self.middle_pieces)

    @property
    def seam_rails(self) -> tuple[int, int] | None:
        """Which cross rails, from 0, are the two doubled members of a seam; None for a frame in one piece."""
        if self.seam is None:
            return None
        half = self.rail_thickness / 2
        first = self.cross_rails.index(self.seam - half)
        return first, first + 1

    def joins_of(self, side: Side) -> tuple[BarJoin, ...]:
        """Joins of one side's bar, from its start."""
        return tuple(sorted((join for join in self.joins if join.side == side), key=lambda join: join.centre))

    def clear_along(self) -> tuple[Fraction, Fraction]:
        """Where the inside starts and stops along the long direction, end rails left out. [mm]"""
        return self._clear(self.length, self.start_sides)

    def clear_across(self) -> tuple[Fraction, Fraction]:
        """Where the inside starts and stops across the long direction, end rails left out. [mm]"""
        return self._clear(self.breadth, self.flank_sides)

    def _clear(self, whole: Fraction, sides: tuple[Side, Side]) -> tuple[Fraction, Fraction]:
        inset, with_rail = self.bar_thickness, self.bar_thickness + self.rail_thickness
        low, high = (with_rail if side in self.end_rails else inset for side in sides)
        return low, whole - high


def strings_of(word: str, *, width: Fraction, height: Fraction) -> tuple[Side, Side]:
    """The two sides meant by the batch file's words.

    Args:
        word: "left and right", "top and bottom", "short sides" or "long sides".
        width: Of the face. [mm]
        height: Of the face. [mm]

    Returns:
        The sides. On a square face the short sides are left and right.
    """
    upright: tuple[Side, Side] = ("left", "right")
    level: tuple[Side, Side] = ("bottom", "top")
    if word == "short sides":
        return upright if width >= height else level
    if word == "long sides":
        return level if width >= height else upright
    return upright if word == "left and right" else level


def even_rails(count: int, *, design: FrameDesign) -> tuple[Fraction, ...]:
    """Centre lines of cross rails that leave bays of equal clear length.

    With a seam, the two doubled members count as two and are always there; the others are shared out over both
    halves, the first half taking one more where they do not come out even.

    Args:
        count: How many, zero or more.
        design: The design; its own cross rails are not looked at.

    Returns:
        Centre lines along the long direction, rising. [mm]
    """
    low, high = design.clear_along()
    thick = design.rail_thickness
    if design.seam is None:
        return _even(count, low, high, thick=thick)
    others = max(count - 2, 0)
    first = others - others // 2
    half = thick / 2
    return (
        *_even(first, low, design.seam - thick, thick=thick),
        design.seam - half,
        design.seam + half,
        *_even(others - first, design.seam + thick, high, thick=thick),
    )


def _even(count: int, low: Fraction, high: Fraction, *, thick: Fraction) -> tuple[Fraction, ...]:
    bay = (high - low - count * thick) / (count + 1)
    first, step = low + bay + thick / 2, bay + thick
    return tuple(first + index * step for index in range(count))
