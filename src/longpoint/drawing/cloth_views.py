"""Lays as they are followed with tape and chalk: the roll with its free end towards you.

The roll runs up the sheet. Every length that is taken off it, right across, is numbered; pieces carry the name of
their work and both sizes; the arrow shows the warp. Cuts bear their numbers, flaws are hatched with their measures.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import dist

from longpoint.cutting.cloth.problem import ClothCut, ClothRoll, Flaw, LaidPiece, RollUse
from longpoint.drawing.dimensions import Station, arrowhead, linear, running
from longpoint.drawing.extent import Box, box_of_all
from longpoint.drawing.hatching import hatch
from longpoint.drawing.labels import Wanted, place_labels
from longpoint.drawing.lettering import fitted, width_of
from longpoint.drawing.marks import SMALLEST_LETTERING, Circle, Layer, Line, Mark, Pen, Text, rectangle
from longpoint.drawing.views import View, scale_for, scale_words
from longpoint.drawing.voice import Voice

_FIGURE = 3.0


def lay_view(
    roll: ClothRoll,
    use: RollUse,
    laid: Sequence[LaidPiece],
    cuts: Sequence[ClothCut],
    *,
    start: float,
    stop: float,
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
        say: How the sheet speaks.
        room: Width and height on paper. [mm]
    """
    scale = scale_for(real=(roll.width, stop - start), room=(room[0] - 44.0, room[1] - 22.0))
    width, height = roll.width * scale, (stop - start) * scale

    marks: list[Mark] = [
        rectangle((0.0, 0.0), (width, height), layer=Layer.EDGE, fill=0.90),
        Line((0.0, 0.0), (0.0, height + 4.0), Layer.CLOTH),
        Line((width, 0.0), (width, height + 4.0), Layer.CLOTH),
    ]
    small: list[Wanted] = []
    for piece in laid:
        if not start - 1e-6 <= piece.y < stop - 1e-6:
            continue
        corner = (piece.x * scale, (piece.y - start) * scale)
        far = (corner[0] + piece.across * scale, corner[1] + piece.along * scale)
        marks.append(rectangle(corner, far, fill=1.0))
        marks += _piece_words(piece, corner, far, say, small)
    marks += _flaws(roll, start, stop, scale, say, small)
    rights = [y for y in use.lengths if start + 1e-6 < y <= stop + 1e-6]
    for y in rights:
        level = (y - start) * scale
        marks.append(Line((-3.0, level), (width + 3.0, level), Layer.CUT, Pen(0.9)))
    marks += running(
        (width, 0.0),
        [Station((y - start) * scale, say.length(y), strong=True) for y in rights],
        along=(0.0, 1.0),
        away=(1.0, 0.0),
        offset=6.0,
        height=_FIGURE,
        origin_words=say.length(start),
    )
    marks.append(
        linear(
            (0.0, 0.0),
            (width, 0.0),
            offset=-11.0,
            words=say("cloth.roll-width", length=say.length(roll.width)),
            height=_FIGURE,
        )
    )
    marks += _cut_numbers(cuts, start, stop, scale)
    marks += _warp(roll, height, say)
    free_end = (
        [Text((2.0, -3.6), say("cloth.free-end"), _FIGURE, "start", "middle", backed=True)]
        if start == 0
        else []
    )
    marks += [*place_labels(small, among=[*marks, *free_end]), *free_end]
    edge = box_of_all(marks).grown(1.0)
    return View(
        f"lay-{roll.name}",
        tuple(marks),
        Box(edge.left, edge.foot, edge.right, edge.top),
        scale,
        say("cloth.caption", name=roll.name, scale=scale_words(scale)),
    )


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
    roll: ClothRoll, start: float, stop: float, scale: float, say: Voice, small: list[Wanted]
) -> list[Mark]:
    """Every flaw of the stretch, hatched, with its measures beside it."""
    marks: list[Mark] = []
    for flaw in roll.flaws:
        near, far = max(flaw.y_from, start), min(flaw.y_to, stop)
        if near >= far:
            continue
        right = roll.width if flaw.x_to is None else flaw.x_to
        # A slub of a few mm would not be seen: it is drawn at least 1.2 mm large on paper.
        middle = ((flaw.x_from + right) / 2 * scale, ((near + far) / 2 - start) * scale)
        half = (max((right - flaw.x_from) * scale, 1.2) / 2, max((far - near) * scale, 1.2) / 2)
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
        small.append(Wanted(middle, words, height=_FIGURE, toward=3.14, backed=True))
    return marks


def _cut_numbers(cuts: Sequence[ClothCut], start: float, stop: float, scale: float) -> list[Mark]:
    """The number of every cut on its line: at the left of a cut across, at the near end of one along."""
    marks: list[Mark] = []
    taken: list[tuple[float, float]] = []
    radius = 2.0 if len(cuts) < 10 else 2.5
    for number, cut in enumerate(cuts, start=1):
        if cut.way == "across":
            if not start + 1e-6 < cut.at <= stop + 1e-6:
                continue
            place = (cut.x * scale + (radius + 1.0 if cut.x > 0 else -radius - 3.6), (cut.at - start) * scale)
            along = (1.0 if cut.x > 0 else -1.0, 0.0)
        else:
            if not start - 1e-6 <= cut.y < stop - 1e-6:
                continue
            place = (cut.at * scale, (cut.y - start) * scale + radius + 1.0)
            along = (0.0, 1.0)
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
    say: Voice,
    small: list[Wanted],
) -> list[Mark]:
    """Name and sizes inside a piece if they fit, else as a label beside it."""
    width, height = far[0] - corner[0], far[1] - corner[1]
    middle = ((corner[0] + far[0]) / 2, (corner[1] + far[1]) / 2)
    size = f"{say.length(piece.across)} × {say.length(piece.along)}"
    name = piece.piece if piece.number <= 1 and not piece.breadth else f"{piece.piece} · {piece.number}"
    if piece.breadth:
        name = say("cloth.breadth", name=piece.piece, number=piece.breadth)
    if width_of(size, height=_FIGURE) + 2 < width and height > 11:
        name = fitted(name, width=width - 2, height=_FIGURE, weight="bold")
        return [
            Text((middle[0], middle[1] + 1.2), name, _FIGURE, "middle", "foot", weight="bold"),
            Text((middle[0], middle[1] - 1.2), size, _FIGURE, "middle", "top"),
        ]
    if width_of(size, height=_FIGURE) + 2 < height and width > 11:
        name = fitted(name, width=height - 2, height=_FIGURE, weight="bold")
        turn = 1.5707963267948966
        return [
            Text((middle[0] - 1.2, middle[1]), name, _FIGURE, "middle", "foot", turn, weight="bold"),
            Text((middle[0] + 1.2, middle[1]), size, _FIGURE, "middle", "top", turn),
        ]
    small.append(Wanted(middle, f"{name}  {size}", height=_FIGURE, toward=3.14, backed=True))
    return []


def _warp(roll: ClothRoll, height: float, say: Voice) -> list[Mark]:
    """An arrow that shows which way the warp runs."""
    x, length = -13.0, min(30.0, max(14.0, height * 0.4))
    words = say("cloth.warp")
    if roll.warp_along:
        marks: list[Mark] = [
            Line((x, 0.0), (x, length), Layer.NOTE),
            arrowhead((x, length), (0.0, 1.0), layer=Layer.NOTE),
            arrowhead((x, 0.0), (0.0, -1.0), layer=Layer.NOTE),
            Text((x - 1.2, length / 2), words, _FIGURE, "middle", "foot", 1.5707963267948966),
        ]
        return marks
    y = height + 7.0
    return [
        Line((0.0, y), (length, y), Layer.NOTE),
        arrowhead((length, y), (1.0, 0.0), layer=Layer.NOTE),
        arrowhead((0.0, y), (-1.0, 0.0), layer=Layer.NOTE),
        Text((length / 2, y + 1.0), words, _FIGURE, "middle", "foot"),
    ]
