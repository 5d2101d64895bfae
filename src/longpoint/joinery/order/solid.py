"""Members as solids: upright prisms on convex outlines, for what can move past what and what a drill would hit.

The bevel is left out: a bar counts as deep as its lip everywhere, which only ever asks for more room.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.frame.design import FrameDesign
from longpoint.frame.joins import plates_of
from longpoint.frame.members import Frame, Kind, Member, outline_xy
from longpoint.joinery.joints.joint import Direction

HAIR = 1e-6
"""Faces nearer than this only touch. [mm]"""
FAR = 1e5
"""How far a part is moved to be out of the frame. [mm]"""


@dataclass(frozen=True, slots=True)
class Prism:
    """An upright prism.

    Attributes:
        outline: Convex outline from the front, counter-clockwise, shape (n, 2). [mm]
        back: Its back face. z. [mm]
        front: Its front face. z. [mm]
    """

    outline: tuple[tuple[float, float], ...]
    back: float
    front: float


def solids_of(frame: Frame) -> dict[str, tuple[Prism, ...]]:
    """Every member as one or more prisms that do not overlap; notches and laps are cut.

    A bar that is joined in length under a plate carries its plate.
    """
    found = {member.name: _solid(frame, member) for member in frame.members}
    for plate in plates_of(frame):
        for bar in frame.of_kind(Kind.BAR):
            if bar.side == plate.side and bar.start <= plate.start and plate.stop <= bar.stop:
                found[bar.name] += (_box(plate, plate.start, plate.stop, plate.back, plate.front),)
    return found


def is_blocked(moving: tuple[Prism, ...], others: tuple[Prism, ...], way: Direction) -> bool:
    """Whether a part moved straight out of the frame runs into another.

    Args:
        moving: The part.
        others: What is in its place.
        way: Direction, along one axis.
    """
    return any(overlap(_swept(one, way), other) for one in moving for other in others)


def overlap(first: Prism, second: Prism) -> bool:
    """Whether two prisms share more than their faces."""
    if min(first.front, second.front) - max(first.back, second.back) <= HAIR:
        return False
    # Outlines overlap unless some edge of one has the whole other on its outer side.
    return not (_splits(first.outline, second.outline) or _splits(second.outline, first.outline))


def _splits(edges: tuple[tuple[float, float], ...], other: tuple[tuple[float, float], ...]) -> bool:
    for (x0, y0), (x1, y1) in zip(edges, (*edges[1:], edges[0]), strict=True):
        dx, dy = x1 - x0, y1 - y0
        size = (dx * dx + dy * dy) ** 0.5
        if size and all((dx * (y - y0) - dy * (x - x0)) / size <= HAIR for x, y in other):
            return True
    return False


def _swept(prism: Prism, way: Direction) -> Prism:
    """All the room a prism takes on its way out; it starts a hair on, so that touching faces do not count."""
    if way[2]:
        return (
            Prism(prism.outline, prism.back, FAR) if way[2] > 0 else Prism(prism.outline, -FAR, prism.front)
        )
    moved = tuple((x + way[0] * FAR, y + way[1] * FAR) for x, y in prism.outline)
    return Prism(_hull((*prism.outline, *moved)), prism.back, prism.front)


def _hull(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Convex hull, counter-clockwise."""
    ordered = sorted(set(points))

    def half(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        out: list[tuple[float, float]] = []
        for p in run:
            while len(out) > 1 and _turn(out[-2], out[-1], p) <= 0:
                out.pop()
            out.append(p)
        return out[:-1]

    return (*half(ordered), *half(ordered[::-1]))


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _solid(frame: Frame, member: Member) -> tuple[Prism, ...]:
    design = frame.design
    if member.kind is Kind.BAR and design.corner == "half-lap":
        return _lapped_bar(design, member)
    if design.halved and member.kind is Kind.MIDDLE_PIECE:
        cuts = [(rail.low, rail.high) for rail in frame.of_kind(Kind.CROSS_RAIL)]
        # The middle piece is notched from the front: at a crossing it keeps its back half.
        return _notched(member, cuts, keep_back=True)
    if design.halved and member.kind is Kind.CROSS_RAIL:
        cuts = [(piece.low, piece.high) for piece in frame.of_kind(Kind.MIDDLE_PIECE)]
        return _notched(member, cuts, keep_back=False)
    outline = tuple((float(x), float(y)) for x, y in outline_xy(member, design))
    return (Prism(outline, float(member.back), float(member.front)),)


def _notched(member: Member, cuts: list[tuple[Fraction, Fraction]], *, keep_back: bool) -> tuple[Prism, ...]:
    middle = (member.back + member.front) / 2
    at = member.start
    pieces = []
    for low, high in cuts:
        pieces.append(_box(member, at, low, member.back, member.front))
        ends = (member.back, middle) if keep_back else (middle, member.front)
        pieces.append(_box(member, low, high, *ends))
        at = high
    pieces.append(_box(member, at, member.stop, member.back, member.front))
    return tuple(pieces)


def _lapped_bar(design: FrameDesign, bar: Member) -> tuple[Prism, ...]:
    middle = (bar.back + bar.front) / 2
    is_long = bar.axis == design.long_axis
    # Short bars keep the back half of the lap, long bars the front half.
    ends = (middle, bar.front) if is_long else (bar.back, middle)
    full = design.width if bar.axis == "x" else design.height
    lap = design.bar_thickness
    # At a seam a bar is sawn square.
    first = lap if bar.start == 0 else Fraction(0)
    last = lap if bar.stop == full else Fraction(0)
    pieces = (
        (bar.start, bar.start + first, ends),
        (bar.start + first, bar.stop - last, (bar.back, bar.front)),
        (bar.stop - last, bar.stop, ends),
    )
    return tuple(_box(bar, low, high, *reach) for low, high, reach in pieces if high > low)


def _box(member: Member, start: Fraction, stop: Fraction, back: Fraction, front: Fraction) -> Prism:
    a, b, low, high = float(start), float(stop), float(member.low), float(member.high)
    outline = (
        ((a, low), (b, low), (b, high), (a, high))
        if member.axis == "x"
        else ((low, a), (high, a), (high, b), (low, b))
    )
    return Prism(outline, float(back), float(front))
