"""Boards as they lie at the saw: fence above, you below, parts from left to right.

Lengths are to scale; the width of the board is not, and mitres are drawn as steep as that makes them. A letter at
every cut says which way the saw stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from longpoint.cutting.boards.values import Cut, CutBoard, Swing, WantedPart, millimetres
from longpoint.drawing.paper.extent import Box
from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.lettering import width_of
from longpoint.drawing.paper.marks import Circle, Layer, Line, Mark, Pen, Point, Polygon, Text, rectangle
from longpoint.drawing.paper.view import View
from longpoint.drawing.views.board_labels import Below, labels_below
from longpoint.drawing.words.members import ranges
from longpoint.drawing.words.voice import Voice, catalogue, languages
from longpoint.model.events import Events

STRIP = 11.0
"""Height of a board on paper [mm]."""

_FIGURE = 3.0
_WASTE = 0.55


@dataclass(frozen=True, slots=True)
class BoardDrawing:
    """What is needed to draw boards to one scale.

    Attributes:
        scale: mm of paper per mm of board.
        parts: The parts by name, for their mitres.
        trim: Taken off each end. [mm]
        spoiled: Stretches to avoid, by name of the board: (start, end). [mm]
        bevelled: Whether its boards are bevelled before they are cut, so that what is left has its bevel.
        bevel_ends: Where the stretch for bars is cut off before its bevel is made, by board and copy. [mm]
    """

    scale: float
    parts: dict[str, WantedPart]
    trim: float
    spoiled: Mapping[str, Sequence[tuple[float, float]]] = field(default_factory=dict)
    bevelled: bool = False
    bevel_ends: Mapping[tuple[str, int], Sequence[float]] = field(default_factory=dict)


def name_words(name: str, say: Voice) -> str:
    """The name of a board; one that is known by its number for good says it in the reader's language."""
    kind, mark, number = name.rpartition(" no. ")
    return say("saw.one-of", name=kind, number=number) if mark and number.isdigit() else name


def plain_name(words: str) -> str:
    """A board's name as the engine knows it, from what any language's sheets call it."""
    for language in languages():
        mark = catalogue(language)["saw.one-of"].removeprefix("{name}").removesuffix("{number}")
        kind, found, number = words.rpartition(mark)
        if found and number.isdigit():
            return f"{kind} no. {number}"
    return words


def in_plain_names(events: Events) -> Events:
    """What happened, every board under the name that the engine knows it by."""
    named = {
        kind: tuple(one.model_copy(update={"board": plain_name(one.board)}) for one in getattr(events, kind))
        for kind in ("cut", "split", "short")
    }
    return events.model_copy(update=named)


def board_words(name: str, length: float, say: Voice) -> str:
    """A board: its name and length, or the length alone where the name only repeats it."""
    words = say.length(length, unit=True)
    if name.replace(".", "", 1).isdigit():
        return words
    return say("saw.board", name=name_words(name, say), length=words)


def board_view(
    board: CutBoard, numbers: tuple[int, ...], *, drawing: BoardDrawing, say: Voice, width: float
) -> View:
    """One board, or several that are cut alike.

    Args:
        board: The board with its cuts.
        numbers: Their numbers on these pages.
        drawing: The scale and the parts.
        say: How the sheet speaks.
        width: Room on paper. [mm]
    """
    scale = drawing.scale
    length = millimetres(board.length)
    end = length * scale
    marks: list[Mark] = []
    head = say("saw.number", number=ranges(list(numbers)), board=board_words(board.board, length, say))
    how_many = len(numbers)
    # letters over the cuts need room below the words
    swung = any({cut.swing_start, cut.swing_end} != {Swing.SQUARE} for cut in board.cuts)
    line = STRIP + (8.5 if swung else 3.0)
    marks.append(rectangle((0.0, line - 0.4), (3.8, line + 3.4), layer=Layer.OUTLINE))  # to tick
    alike = say("saw.alike", count=how_many) if how_many > 1 else ""
    what_is_left = _left_words(board, drawing, say)
    taken = 6.0 + 6.0 + width_of(alike, height=_FIGURE, weight="semibold")
    in_head = taken + width_of(f"{head} · {what_is_left}", height=_FIGURE, weight="semibold") < width
    if in_head:
        head = f"{head} · {what_is_left}"
    marks.append(Text((6.0, line), head, _FIGURE, weight="semibold"))
    if alike:
        marks.append(Text((width, line), alike, _FIGURE, "end", weight="semibold"))
    marks.append(rectangle((0.0, 0.0), (end, STRIP), layer=Layer.EDGE, fill=0.90))
    marks.append(Line((0.0, STRIP + 1.0), (end, STRIP + 1.0), Layer.OUTLINE, Pen(1.2)))
    for begin, finish in drawing.spoiled.get(board.board, ()):
        bad = rectangle((begin * scale, 0.0), (finish * scale, STRIP), layer=Layer.EDGE, fill=0.75)
        marks.append(bad)
        marks += hatch(bad.points, pitch=1.0, angle=-0.8)
    small: list[Below] = []
    if not in_head:
        at = end - (drawing.trim + millimetres(board.remains) / 2) * scale
        small.append(Below(at, what_is_left, strong=False))
    swings: list[tuple[float, Swing]] = []
    for cut in board.cuts:
        polygon = _part_outline(cut, drawing)
        marks.append(Polygon(polygon, Layer.OUTLINE, fill=1.0))
        middle = (sum(x for x, _ in polygon) / 4, STRIP / 2)
        stop = say.part(millimetres(cut.stop))
        room = min(polygon[1][0], polygon[2][0]) - max(polygon[0][0], polygon[3][0])
        both = f"{cut.part}  {stop}"
        if width_of(both, height=_FIGURE, weight="bold") + 1.5 < room:
            marks.append(Text(middle, both, _FIGURE, "middle", "middle", weight="bold"))
        elif width_of(stop, height=_FIGURE, weight="bold") + 0.8 < room:
            marks.append(
                Text((middle[0], STRIP * 0.71), cut.part, _FIGURE, "middle", "middle", weight="bold")
            )
            marks.append(Text((middle[0], STRIP * 0.27), stop, _FIGURE, "middle", "middle", weight="bold"))
        else:
            small.append(Below(middle[0], both))
        swings += [(polygon[3][0], cut.swing_start), (polygon[2][0], cut.swing_end)]
    for at in drawing.bevel_ends.get((board.board, board.copy), ()):
        marks.append(Line((at * scale, -0.6), (at * scale, STRIP + 2.0), Layer.CUT, Pen(0.9)))
        small.append(Below(at * scale, say("saw.bevel-to", at=say.length(at))))
    marks += _remains(board, drawing, say)
    marks += _swing_letters(swings, say, width)
    marks += labels_below(sorted(small, key=lambda one: one.x), width=width)
    foot = min(0.0, *(mark.at[1] - 4.5 for mark in marks if isinstance(mark, Text)), -1.0)
    edge = Box(-2.6, foot, width + 2.4, line + 4.2)  # discs reach beyond both ends
    return View(f"board-{board.board}-{board.copy}", tuple(marks), edge, scale)


def _part_outline(cut: Cut, drawing: BoardDrawing) -> tuple[Point, Point, Point, Point]:
    """Corners: near left, near right, fence right, fence left."""
    scale = drawing.scale
    start, end = millimetres(cut.start) * scale, millimetres(cut.end) * scale
    part = drawing.parts.get(cut.part)
    inset = millimetres(part.mitre_width) * scale if part is not None and part.is_mitred else 0.0
    if cut.turned:
        return ((start, 0.0), (end, 0.0), (end - inset, STRIP), (start + inset, STRIP))
    return ((start + inset, 0.0), (end - inset, 0.0), (end, STRIP), (start, STRIP))


def _left_words(board: CutBoard, drawing: BoardDrawing, say: Voice) -> str:
    """What stays at the right end and what it is good for."""
    left = millimetres(board.remains)
    if board.remains < 50_000:
        return say("saw.left-nothing")
    if not board.good_for:
        return say("saw.left", length=say.kept(left, unit=True))
    kind = board.good_for.replace(" ", "-")
    if kind == "bar" and drawing.bevelled:
        kind = "bar-bevelled"
    return say(f"saw.keep-{kind}", length=say.kept(left, unit=True))


def _remains(board: CutBoard, drawing: BoardDrawing, say: Voice) -> list[Mark]:
    """What stays at the right end, hatched; its length where there is room."""
    scale = drawing.scale
    left = millimetres(board.remains)
    stop = millimetres(board.length) - drawing.trim
    if left * scale < 0.4:
        return []
    box = ((stop - left) * scale, stop * scale)
    marks: list[Mark] = list(
        hatch(((box[0], 0.0), (box[1], 0.0), (box[1], STRIP), (box[0], STRIP)), pitch=2.4)
    )
    texts = [say.kept(left)]
    if board.good_for:
        texts.insert(0, say("saw.keep", length=say.kept(left)))
    for text in texts:
        if width_of(text, height=_FIGURE) + 1.0 < box[1] - box[0]:
            middle = ((box[0] + box[1]) / 2, STRIP / 2)
            marks.append(Text(middle, text, _FIGURE, "middle", "middle", backed=True))
            break
    return marks


def _swing_letters(swings: list[tuple[float, Swing]], say: Voice, width: float) -> list[Mark]:
    """A lettered disc over each cut that is not square; discs that would touch move apart, none past the end."""
    marks: list[Mark] = []
    radius, y = 2.2, STRIP + 3.9
    slanted = [(x, swing) for x, swing in swings if swing is not Swing.SQUARE]
    apart = 2 * radius + 0.3
    places: list[float] = []
    for x, _ in slanted:
        places.append(max(x, places[-1] + apart) if places else x)
    limit = width
    for k in range(len(places) - 1, -1, -1):
        places[k] = min(places[k], limit)
        limit = places[k] - apart
    for place, (_, swing) in zip(places, slanted, strict=True):
        marks.append(Circle((place, y), radius, Layer.NOTE, fill=0.0))
        letter = say("saw.left-letter") if swing is Swing.LEFT else say("saw.right-letter")
        marks.append(Text((place, y), letter, 2.6, "middle", "middle", weight="bold", grey=1.0))
    return marks


def swing_view(swing: Swing, *, say: Voice, width: float) -> View:
    """The saw from above for one swing: fence, board with the lip against it, the line of the blade."""
    height = 31.0
    fence = 26.0
    marks: list[Mark] = [
        rectangle((0.0, fence), (width, fence + 3.0), layer=Layer.OUTLINE, fill=0.3),
        rectangle((0.0, fence - 9.0), (width, fence), layer=Layer.OUTLINE, fill=0.92),
        Text((2.0, fence - 4.5), say("saw.lip-here"), _FIGURE, "start", "middle"),
    ]
    sign = -1.0 if swing is Swing.LEFT else 1.0
    pivot = (width * (0.62 if swing is Swing.LEFT else 0.52), fence)
    near = (pivot[0] + sign * 21.0, fence - 21.0)
    marks.append(Line((pivot[0] - sign * 4.0, fence + 4.0), near, Layer.CUT, Pen(1.2)))
    marks.append(Circle(near, 2.4, Layer.OUTLINE, fill=0.0))
    marks.append(
        Text(
            (near[0] + sign * 4.5, near[1]),
            say("saw.handle"),
            _FIGURE,
            "end" if sign < 0 else "start",
            "middle",
        )
    )
    return View(f"swing-{swing.name.lower()}", tuple(marks), Box(-0.3, 2.0, width + 0.3, height))
