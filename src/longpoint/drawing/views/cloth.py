"""Lays as they are followed with tape and chalk: the roll with its free end at the left.

The roll runs along the sheet, its left edge, seen from the free end, on top. Every length that is taken off it, right
across, is numbered; pieces carry the name of their work and both sizes; the arrow shows the warp. Cuts bear their
numbers, flaws are hatched with their measures.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import dist

from longpoint.cutting.cloth.left_over import ClothLeft
from longpoint.cutting.cloth.problem import ClothCut, ClothRoll, Flaw, LaidPiece, RollUse
from longpoint.drawing.paper.dimensions import Station, arrowhead, linear, running
from longpoint.drawing.paper.extent import Box, box_of_all
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.labels import Wanted, place_labels
from longpoint.drawing.paper.lettering import fitted, width_of
from longpoint.drawing.paper.marks import (
    SMALLEST_LETTERING,
    Circle,
    Layer,
    Line,
    Mark,
    Pen,
    Point,
    Text,
    Weight,
    rectangle,
)
from longpoint.drawing.paper.view import View, scale_for, scale_words
from longpoint.drawing.words.own_words import product_words
from longpoint.drawing.words.voice import Voice

_FIGURE = 3.0

Place = Callable[[float, float], Point]
"""A place on paper, from places across and along a roll."""


def lay_view(
    roll: ClothRoll,
    use: RollUse,
    laid: Sequence[LaidPiece],
    cuts: Sequence[ClothCut],
    *,
    start: float,
    stop: float,
    several: frozenset[str],
    left: Sequence[ClothLeft],
    say: Voice,
    room: tuple[float, float],
) -> View:
    """A stretch of a roll with the pieces on it.

    Args:
        roll: The roll.
        use: What is taken from it.
        laid: The pieces on this roll.
        cuts: The cuts on this roll in order; each bears its number.
        start: Where the stretch begins, from the free end. [mm]
        stop: Where it ends. [mm]
        several: Names of pieces of which there are several; they bear numbers.
        left: What is left over on this roll.
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    scale = scale_for(real=(stop - start, roll.width), room=(room[0] - 30.0, room[1] - 34.0))
    long, wide = (stop - start) * scale, roll.width * scale

    def at(x: float, y: float) -> Point:
        """On paper, from places across and along the roll."""
        return ((y - start) * scale, wide - x * scale)

    marks: list[Mark] = [
        rectangle((0.0, 0.0), (long, wide), layer=Layer.EDGE, fill=0.90),
        Line((0.0, 0.0), (long + 4.0, 0.0), Layer.CLOTH),
        Line((0.0, wide), (long + 4.0, wide), Layer.CLOTH),
    ]
    small: list[Wanted] = []
    for piece in laid:
        if not start - 1e-6 <= piece.y < stop - 1e-6:
            continue
        corner = at(piece.x + piece.across, piece.y)
        far = at(piece.x, piece.y + piece.along)
        marks.append(rectangle(corner, far, fill=1.0))
        marks += _piece_words(piece, corner, far, several, say, small)
    for rest in left:
        low, high = at(rest.x + rest.across, rest.y), at(rest.x, rest.y + rest.along)
        words = say("cloth.rest", number=rest.number)
        if (
            rest.number
            and width_of(words, height=_FIGURE) + 12.0 < high[0] - low[0]
            and high[1] - low[1] > 7.0
        ):
            middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
            marks += [Text(middle, words, _FIGURE, "middle", "middle")] if start <= rest.y < stop else []
    marks += _flaws(roll, start, stop, at, say, small)
    rights = [y for y in use.lengths if start + 1e-6 < y <= stop + 1e-6]
    for y in rights:
        across = at(0.0, y)[0]
        marks.append(Line((across, -3.0), (across, wide + 3.0), Layer.CUT, Pen(0.9)))
    marks += running(
        (0.0, 0.0),
        [Station((y - start) * scale, say.length(y), strong=True) for y in rights],
        along=(1.0, 0.0),
        away=(0.0, -1.0),
        offset=6.0,
        height=_FIGURE,
        origin_words=say.length(start),
        level=True,
    )
    marks.append(linear((0.0, 0.0), (0.0, wide), offset=7.0, words=say.length(roll.width), height=_FIGURE))
    marks += _cut_numbers(cuts, start, stop, at)
    marks += _above(roll, wide, long, say)
    marks += place_labels(small, among=marks)
    edge = box_of_all(marks).grown(1.0)
    return View(
        f"lay-{roll.name}",
        tuple(marks),
        Box(edge.left, edge.foot, edge.right, edge.top),
        scale,
        say("cloth.caption", name=product_words(roll.name, say), scale=scale_words(scale)),
    )


def several_of(laid: Sequence[LaidPiece]) -> frozenset[str]:
    """Names of pieces of which there are several."""
    return frozenset(piece.piece for piece in laid if piece.number > 1)


def flaw_words(roll: ClothRoll, flaw: Flaw, say: Voice) -> str:
    """A flaw with its measures, from the free end and, where it is not right across, from the left edge."""
    near, far = say.length(flaw.y_from), say.length(flaw.y_to)
    if flaw.x_from <= 0 and (flaw.x_to is None or flaw.x_to >= roll.width):
        return say("cloth.flaw-across", what=flaw.what, near=near, far=far)
    right = roll.width if flaw.x_to is None else flaw.x_to
    return say(
        "cloth.flaw",
        what=flaw.what,
        near=near,
        far=far,
        left=say.length(flaw.x_from),
        right=say.length(right),
    )


def _flaws(
    roll: ClothRoll, start: float, stop: float, at: Place, say: Voice, small: list[Wanted]
) -> list[Mark]:
    """Every flaw of the stretch, hatched, with its measures beside it."""
    marks: list[Mark] = []
    for flaw in roll.flaws:
        near, far = max(flaw.y_from, start), min(flaw.y_to, stop)
        if near >= far:
            continue
        right = roll.width if flaw.x_to is None else flaw.x_to
        # A slub of a few mm would not be seen: it is drawn at least 1.2 mm large on paper.
        low, high = at(right, near), at(flaw.x_from, far)
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        half = (max(high[0] - low[0], 1.2) / 2, max(high[1] - low[1], 1.2) / 2)
        spot = rectangle(
            (middle[0] - half[0], middle[1] - half[1]),
            (middle[0] + half[0], middle[1] + half[1]),
            layer=Layer.EDGE,
            fill=0.75,
        )
        marks += [spot, *hatch(spot.points, pitch=0.8, angle=-0.8)]
        words = say(
            "cloth.flaw-short", what=flaw.what, near=say.length(flaw.y_from), far=say.length(flaw.y_to)
        )
        small.append(Wanted(middle, words, height=_FIGURE, toward=-1.57, backed=True))
    return marks


def _cut_numbers(cuts: Sequence[ClothCut], start: float, stop: float, at: Place) -> list[Mark]:
    """The number of every cut on its line: at the left edge of a cut across, at the near end of one along."""
    marks: list[Mark] = []
    taken: list[Point] = []
    radius = 2.0 if len(cuts) < 10 else 2.5
    for number, cut in enumerate(cuts, start=1):
        if cut.way == "across":
            if not start + 1e-6 < cut.at <= stop + 1e-6:
                continue
            inside = cut.x > 0
            place = at(cut.x, cut.at)
            place = (place[0], place[1] + (-radius - 1.0 if inside else radius + 3.6))
            along = (0.0, -1.0 if inside else 1.0)
        else:
            if not start - 1e-6 <= cut.y < stop - 1e-6:
                continue
            place = at(cut.at, cut.y)
            place = (place[0] + radius + 1.0, place[1])
            along = (1.0, 0.0)
        # Along its own line a number moves on until it is clear of the others.
        while any(dist(place, other) < 2 * radius + 0.4 for other in taken):
            place = (place[0] + along[0], place[1] + along[1])
        taken.append(place)
        marks.append(Circle(place, radius, Layer.NOTE, fill=0.0))
        marks.append(
            Text(place, str(number), SMALLEST_LETTERING, "middle", "middle", weight="bold", grey=1.0)
        )
    return marks


def _piece_words(
    piece: LaidPiece,
    corner: tuple[float, float],
    far: tuple[float, float],
    several: frozenset[str],
    say: Voice,
    small: list[Wanted],
) -> list[Mark]:
    """Name and sizes inside a piece if they fit, else as a label beside it."""
    width, height = far[0] - corner[0], far[1] - corner[1]
    middle = ((corner[0] + far[0]) / 2, (corner[1] + far[1]) / 2)
    sizes = (f"{say.length(piece.along)} ×", say.length(piece.across))
    size = " ".join(sizes)
    name = f"{piece.piece} {piece.number}" if piece.piece in several else piece.piece
    if piece.breadth:
        name = say("cloth.breadth", name=piece.piece, number=piece.breadth)
    for lines, turned in (((size,), False), (sizes, False), ((size,), True)):
        room, deep = (height, width) if turned else (width, height)
        if max(width_of(line, height=_FIGURE) for line in lines) + 2 < room and deep > 6 + 5 * len(lines):
            head = fitted(name, width=room - 2, height=_FIGURE, weight="bold")
            return _lines_at(middle, head, lines, turned=turned)
    small.append(Wanted(middle, f"{name}  {size}", height=_FIGURE, toward=-1.57, backed=True))
    return []


def _lines_at(middle: Point, head: str, lines: Sequence[str], *, turned: bool) -> list[Mark]:
    """Lines about a point, the first bold."""
    turn, apart = (1.5707963267948966 if turned else 0.0), _FIGURE + 2.4
    marks: list[Mark] = []
    for number, words in enumerate((head, *lines)):
        off = (len(lines) / 2 - number) * apart
        place = (middle[0] - off, middle[1]) if turned else (middle[0], middle[1] + off)
        weight: Weight = "regular" if number else "bold"
        marks.append(Text(place, words, _FIGURE, "middle", "middle", turn, weight=weight))
    return marks


def _above(roll: ClothRoll, wide: float, long: float, say: Voice) -> list[Mark]:
    """Over the roll: which edge lies there, and an arrow that shows which way the warp runs."""
    y, length = wide + 12.0, 18.0
    edge = say("cloth.left-edge")
    marks: list[Mark] = [Text((0.0, y), edge, _FIGURE, "start", "middle")]
    x = max(width_of(edge, height=_FIGURE) + 10.0, long - length - 16.0)
    ends = ((x, y), (x + length, y)) if roll.warp_along else ((x, y - 5.0), (x, y + 5.0))
    way = (1.0, 0.0) if roll.warp_along else (0.0, 1.0)
    return [
        *marks,
        Line(*ends, Layer.NOTE),
        arrowhead(ends[1], way, layer=Layer.NOTE),
        arrowhead(ends[0], (-way[0], -way[1]), layer=Layer.NOTE),
        Text((ends[1][0] + 2.0, y), say("cloth.warp"), _FIGURE, "start", "middle"),
    ]
