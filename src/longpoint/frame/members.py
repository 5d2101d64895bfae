"""The frame in space: its members as boxes, each with the axis it runs along."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from longpoint.frame.design import Axis, FrameDesign, Side


class Kind(StrEnum):
    """What a member is."""

    BAR = "bar"
    END_RAIL = "end rail"
    CROSS_RAIL = "cross rail"
    MIDDLE_PIECE = "middle piece"
    PLATE = "plate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One member in its place.

    Attributes:
        name: Its name in the frame, e.g. ``left bar`` or ``cross rail 2``; unique in the frame.
        kind: What it is.
        axis: The axis it runs along.
        start: Where it starts along its axis (bars: outer corner). [mm]
        stop: Where it stops. [mm]
        low: Its lower face across its axis, in the canvas plane. [mm]
        high: Its upper face across its axis. [mm]
        back: Its back face. z, negative. [mm]
        front: Its front face, for bars the lip. z. [mm]
        side: The side it belongs to, for bars and end rails.
        shifted: How far its centre line lies off the line of middle pieces, signed. [mm]
    """

    name: str
    kind: Kind
    axis: Axis
    start: Fraction
    stop: Fraction
    low: Fraction
    high: Fraction
    back: Fraction
    front: Fraction
    side: Side | None = None
    shifted: Fraction = Fraction(0)

    @property
    def length(self) -> Fraction:
        """Its greatest length. [mm]"""
        return self.stop - self.start

    @property
    def thickness(self) -> Fraction:
        """Seen from the front. [mm]"""
        return self.high - self.low

    @property
    def depth(self) -> Fraction:
        """Off the wall. [mm]"""
        return self.front - self.back

    @property
    def centre(self) -> Fraction:
        """Its centre line across its axis. [mm]"""
        return (self.low + self.high) / 2

    @property
    def box_xy(self) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        """Left, bottom, right, top of its outline from the front, mitres not looked at. [mm]"""
        if self.axis == "x":
            return self.start, self.low, self.stop, self.high
        return self.low, self.start, self.high, self.stop


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame: its design and its members.

    Attributes:
        design: The design it comes from.
        members: Bars first (left, right, bottom, top), then end rails, cross rails, middle pieces.
    """

    design: FrameDesign
    members: tuple[Member, ...]

    def of_kind(self, kind: Kind) -> tuple[Member, ...]:
        """Its members of one kind, in order."""
        return tuple(member for member in self.members if member.kind is kind)

    def bar_at(self, side: Side, beside: Side) -> Member:
        """The bar of one side that reaches the corner with another; in two halves a long side has two bars.

        Raises:
            KeyError: If there is none.
        """
        full = self.design.width if beside in ("left", "right") else self.design.height
        for member in self.members:
            if member.kind is not Kind.BAR or member.side != side:
                continue
            if member.start == 0 if beside in ("left", "bottom") else member.stop == full:
                return member
        raise KeyError(f"{side} bar at the {beside}")

    def named(self, name: str) -> Member:
        """The member of that name.

        Raises:
            KeyError: If there is none.
        """
        for member in self.members:
            if member.name == name:
                return member
        raise KeyError(name)

    @property
    def bays(self) -> tuple[Fraction, ...]:
        """Clear lengths between cross rails along the long direction, from the start. [mm]

        Between the two doubled members of a seam there is no bay.
        """
        return tuple(high - low for low, high in bays_along(self.design))


@lru_cache(maxsize=256)
def bays_along(design: FrameDesign) -> tuple[tuple[Fraction, Fraction], ...]:
    """Where the bays between cross rails start and stop along the long direction, from the start. [mm]

    The doubled members of a seam touch each other: what lies between them is no bay.
    """
    low, high = design.clear_along()
    half = design.rail_thickness / 2
    edges = [low]
    for centre in design.cross_rails:
        edges += [centre - half, centre + half]
    edges.append(high)
    bays = zip(edges[::2], edges[1::2], strict=True)
    return tuple((start, stop) for start, stop in bays if not start == stop == design.seam)


Lengths = tuple[tuple[Kind, Fraction], ...]
"""Kind and length of members. [mm]"""


@lru_cache(maxsize=256)
def lengths_of(design: FrameDesign) -> Lengths:
    """Kind and length of each member of the frame a design describes, in its order, without placing them."""
    along, across = (high - low for low, high in (design.clear_along(), design.clear_across()))
    ends = [(Kind.END_RAIL, design.breadth - 2 * design.bar_thickness)] * len(
        set(design.start_sides).intersection(design.end_rails)
    ) + [(Kind.END_RAIL, along)] * len(set(design.flank_sides).intersection(design.end_rails))
    middle: tuple[Fraction, ...] = ()
    if design.middle_pieces:
        middle = (along,) if design.halved else tuple(stop - start for start, stop in bays_along(design))
    return (
        *((Kind.BAR, side) for side in (design.height, design.height, design.width, design.width)),
        *ends,
        *((Kind.CROSS_RAIL, across) for _ in design.cross_rails),
        *((Kind.MIDDLE_PIECE, length) for length in middle),
    )


@lru_cache(maxsize=256)
def derive_frame(design: FrameDesign) -> Frame:
    """The frame a design describes; kept for a while, since price, faults, screws and strength each ask for it.

    Args:
        design: A design without faults (see `longpoint.frame.faults.design_faults`).

    Returns:
        The frame.
    """
    return Frame(
        design,
        (*_bars(design), *_end_rails(design), *_cross_rails(design), *_middle_pieces(design)),
    )


def outline_xy(member: Member, design: FrameDesign) -> tuple[tuple[Fraction, Fraction], ...]:
    """Corners of a member as seen from the front, mitres cut, counter-clockwise. [mm]"""
    left, bottom, right, top = member.box_xy
    if member.kind is not Kind.BAR or "mitre" not in design.corner:
        return ((left, bottom), (right, bottom), (right, top), (left, top))
    inset = member.thickness
    full = design.width if member.axis == "x" else design.height
    # A bar that is sawn through at a seam is mitred at its corner only.
    first = inset if member.start == 0 else Fraction(0)
    last = inset if member.stop == full else Fraction(0)
    match member.side:
        case "bottom":
            return ((left, bottom), (right, bottom), (right - last, top), (left + first, top))
        case "top":
            return ((left + first, bottom), (right - last, bottom), (right, top), (left, top))
        case "left":
            return ((left, bottom), (right, bottom + first), (right, top - last), (left, top))
        case _:
            return ((left, bottom + first), (right, bottom), (right, top), (left, top - last))


def _bars(design: FrameDesign) -> tuple[Member, ...]:
    def bar(side: Side, axis: Axis, low: Fraction) -> Member:
        return Member(
            name=f"{side} bar",
            kind=Kind.BAR,
            axis=axis,
            start=Fraction(0),
            stop=design.width if axis == "x" else design.height,
            low=low,
            high=low + design.bar_thickness,
            back=-design.bar_depth,
            front=Fraction(0),
            side=side,
        )

    return (
        bar("left", "y", Fraction(0)),
        bar("right", "y", design.width - design.bar_thickness),
        bar("bottom", "x", Fraction(0)),
        bar("top", "x", design.height - design.bar_thickness),
    )


def _rail(
    design: FrameDesign,
    name: str,
    kind: Kind,
    axis: Axis,
    *,
    start: Fraction,
    stop: Fraction,
    low: Fraction,
    side: Side | None = None,
    shifted: Fraction = Fraction(0),
) -> Member:
    back = -design.bar_depth + design.drop
    return Member(
        name=name,
        kind=kind,
        axis=axis,
        start=start,
        stop=stop,
        low=low,
        high=low + design.rail_thickness,
        back=back,
        front=back + design.rail_depth,
        side=side,
        shifted=shifted,
    )


def _end_rails(design: FrameDesign) -> tuple[Member, ...]:
    along: Axis = design.long_axis
    across: Axis = "y" if along == "x" else "x"
    inset = design.bar_thickness
    rails = []
    for index, side in enumerate(design.start_sides):
        if side in design.end_rails:
            low = inset if index == 0 else design.length - inset - design.rail_thickness
            rails.append(
                _rail(
                    design,
                    f"{side} end rail",
                    Kind.END_RAIL,
                    across,
                    start=inset,
                    stop=design.breadth - inset,
                    low=low,
                    side=side,
                )
            )
    start, stop = design.clear_along()
    for index, side in enumerate(design.flank_sides):
        if side in design.end_rails:
            low = inset if index == 0 else design.breadth - inset - design.rail_thickness
            rails.append(
                _rail(
                    design,
                    f"{side} end rail",
                    Kind.END_RAIL,
                    along,
                    start=start,
                    stop=stop,
                    low=low,
                    side=side,
                )
            )
    return tuple(rails)


def _cross_rails(design: FrameDesign) -> tuple[Member, ...]:
    across: Axis = "y" if design.long_axis == "x" else "x"
    start, stop = design.clear_across()
    half = design.rail_thickness / 2
    return tuple(
        _rail(
            design,
            f"cross rail {index + 1}",
            Kind.CROSS_RAIL,
            across,
            start=start,
            stop=stop,
            low=centre - half,
        )
        for index, centre in enumerate(design.cross_rails)
    )


def _middle_pieces(design: FrameDesign) -> tuple[Member, ...]:
    if not design.middle_pieces:
        return ()
    low, high = design.clear_along()
    half = design.rail_thickness / 2
    line = design.breadth / 2
    if design.halved:
        return (
            _rail(
                design,
                "middle piece 1",
                Kind.MIDDLE_PIECE,
                design.long_axis,
                start=low,
                stop=high,
                low=line - half,
            ),
        )
    pieces = []
    for index, (start, stop) in enumerate(bays_along(design)):
        # Every second piece stands aside: a drill driven along one piece's axis passes beside the next.
        shifted = design.shift if index % 2 else Fraction(0)
        pieces.append(
            _rail(
                design,
                f"middle piece {index + 1}",
                Kind.MIDDLE_PIECE,
                design.long_axis,
                start=start,
                stop=stop,
                low=line + shifted - half,
                shifted=shifted,
            )
        )
    return tuple(pieces)
