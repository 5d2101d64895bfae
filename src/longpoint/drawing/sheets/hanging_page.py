"""The hanging card: hangers, wire or hooks, what screws bear; each wall marked from one corner and the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, degrees

from longpoint.drawing.paper.hatching import hatch
from longpoint.drawing.paper.marks import Layer, Line, Mark, Pen, Point, Text, rectangle
from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Table,
    Together,
)
from longpoint.drawing.paper.view import View, view_of
from longpoint.drawing.words.own_words import screw_size
from longpoint.drawing.words.voice import Voice
from longpoint.handling.hanging import OnWall, hook_height
from longpoint.handling.lifting import MOST_PEOPLE
from longpoint.model.walls import Wall
from longpoint.works.hanging import HungWork
from longpoint.works.lifting import LiftedWork

_WALL_ROOM = (178.0, 62.0)
_HOOK = 1.3
_ROWS_ABREAST = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A work as it hangs.

    Attributes:
        code: Letters of its marks.
        name: Its name.
        height: Of the face. [mm]
        mass: Of one, finished. [kg]
        centre: Of its middle above the floor. [mm]
        hung: How.
        lifted: How it is lifted.
        face: Width and height of the face. [mm]
        seam: Where a frame in two halves comes apart, along the long direction; None for one piece. [mm]
    """

    code: str
    name: str
    height: float
    mass: float
    centre: float
    hung: HungWork
    lifted: LiftedWork
    face: tuple[float, float]
    seam: float | None = None


def hanging_page(
    works: Sequence[Hung], walls: Sequence[tuple[Wall, Sequence[tuple[str, OnWall]]]], *, say: Voice
) -> Page:
    """The hanging card.

    Args:
        works: All works.
        walls: Each wall with the marks of its works, in their places.
        say: How the sheet speaks.
    """
    gaps = [ceil(work.hung.leaning.top_gap) for work in works]
    low, high = say.length(min(gaps)), say.length(max(gaps), unit=True)
    blocks: list[Block] = [_table(works, say)]
    for index, (wall, placed) in enumerate(walls, start=1):
        blocks.append(Together(_marked(index, wall, placed, say)))
    leans = say("hang.leans", gap=high if low == say.length(max(gaps)) else f"{low}–{high}")
    blocks += [
        Bullets(
            (
                leans if works[0].hung.batten is None else say("hang.batten-rule", gap=high),
                _lifting(works, say),
                *(say(f"hang.rule-{n}", middles=_middles(say)) for n in (2, 3, 4)),
                _backings(works, say),
            ),
            "small",
        ),
        CautionBox(say("sheet.caution"), (say("hang.caution"),)),
    ]
    return Page(
        "hanging",
        say("section-name.wall"),
        say("hang.title"),
        tuple(blocks),
        lead=say("hang.lead"),
        flows=True,
    )


def _people(lifted: LiftedWork, say: Voice) -> str:
    return str(lifted.people) if lifted.people <= MOST_PEOPLE else say("lift.more")


def _lifting(works: Sequence[Hung], say: Voice) -> str:
    """How many people and where they hold, by the work that asks most of one; on stairs by the one that does there."""
    most = max((work.lifted for work in works), key=lambda one: one.each / max(one.limit, 1e-9))
    words = say(
        "lift.rule",
        each=say.mass(most.each, unit=True),
        work=most.work,
        limit=say.mass(most.limit, unit=True),
        grips=say.length(50 * round(most.grips / 50), unit=True),
    )
    stairs = [work.lifted for work in works if work.lifted.stairs is not None]
    if stairs:
        steepest = max(stairs, key=lambda one: one.stairs or 0.0)
        words += " " + say(
            "lift.stairs", mass=say.mass(steepest.stairs or 0.0, unit=True), work=steepest.work
        )
    return words


BACKING_IN = 5.0
"""A backing board ends this far inside the outer edge of the frame. [mm] Common practice, no published source."""


def _backings(works: Sequence[Hung], say: Voice) -> str:
    """Sizes of backing boards, works with equal ones together."""
    sizes: dict[str, list[str]] = {}
    for work in works:
        sizes.setdefault(_backing(work, say), []).append(work.code)
    listed = "; ".join(f"{', '.join(codes)} {size}" for size, codes in sizes.items())
    return say("hang.backing", boards=listed, inset=say.fine(BACKING_IN, unit=True), unit=say.unit)


def _backing(work: Hung, say: Voice) -> str:
    """Width and height of a backing board; one for each half of a frame that comes apart."""
    if work.seam is None:
        return _board(work.face, say)
    width, height = work.face
    parts = (work.seam, max(work.face) - work.seam)
    halves = [_board((part, height) if width >= height else (width, part), say) for part in parts]
    return say("hang.backing-halves", first=halves[0], second=halves[1])


def _board(sides: tuple[float, float], say: Voice) -> str:
    return " × ".join(say.kept(side - 2 * BACKING_IN) for side in sides)


def _table(works: Sequence[Hung], say: Voice) -> Table:
    rows: dict[tuple[str, ...], list[Hung]] = {}
    for work in works:
        rows.setdefault(_figures(work, say), []).append(work)
    return Table(
        (
            Column(say("start.mark"), strong=True),
            Column(say("start.work")),
            Column(say("hang.mass", unit=say.mass_unit), "end"),
            Column(say("hang.people"), "end"),
            Column(say("hang.hangers", unit=say.unit), "end"),
            Column(say("hang.by", unit=say.unit), share=1.0),
            Column(say("hang.drop", unit=say.unit), "end"),
            Column(say("hang.hook", unit=say.unit), "end"),
            Column(say("hang.screw"), "end"),
        ),
        tuple(
            (", ".join(work.code for work in same), ", ".join(work.name for work in same), *words)
            for words, same in rows.items()
        ),
        close=True,
        size="small",
    )


def _figures(work: Hung, say: Voice) -> tuple[str, ...]:
    hung = work.hung
    hook = hook_height(centre=work.centre, height=work.height, drop=hung.drop)
    if hung.batten is not None:
        by = say(
            "hang.batten" if hung.batten.offcut else "hang.batten-bought",
            length=say.part(hung.batten.length),
            offcut=hung.batten.offcut,
            screws=", ".join(say.place(float(fixing.start[0])) for fixing in hung.fixings),
        )
    elif hung.wire is None:
        by = say("hang.two-hooks", apart=say.place(hung.hooks[1] - hung.hooks[0]))
    else:
        by = say(
            "hang.wire",
            length=say.length(ceil(hung.wire.length)),
            angle=say.number(degrees(hung.wire.angle)),
            pull=say.mass(hung.wire.tension / 9.81, unit=True)
            if say.mass_unit == "lb"
            else f"{say.number(hung.wire.tension)} N",
        )
    screw = say("hang.no-screw")
    if hung.screw is not None:
        screw = say(
            "hang.screw-bears",
            size=screw_size(hung.screw.name, say),
            bore=say.fine(hung.fixings[0].pilot_hole) if hung.fixings else "–",
            times=say.number(hung.times, places=1 if hung.times < 10 else 0),
        )
    return (
        say.mass(work.mass),
        _people(work.lifted, say),
        f"{say.place(hung.below_top)} / {say.fine(hung.from_left[0])}",
        by,
        say.place(hung.drop),
        say.place(hook),
        screw,
    )


def _middles(say: Voice) -> str:
    """How high museums hang the middle of a picture: a habit, told in the round figures of either system."""
    if say.lengths.system == "in":
        return "57–60 in"
    return f"{say.length(1450)}–{say.length(1520, unit=True)}"


def _marked(index: int, wall: Wall, placed: Sequence[tuple[str, OnWall]], say: Voice) -> tuple[Block, ...]:
    """A wall drawn, and its hooks with their distances from the left corner and the floor."""
    numbered = [(code, hook) for code, place in placed for hook in place.hooks]
    rows = [
        (str(number), code, say.place(x), say.place(y))
        for number, (code, (x, y)) in enumerate(numbered, start=1)
    ]
    columns = (
        Column(say("hang.number"), strong=True),
        Column(say("start.mark")),
        Column(say("hang.from-corner", unit=say.unit), "end"),
        Column(say("hang.above-floor", unit=say.unit), "end"),
    )
    abreast = 1 if len(rows) <= _ROWS_ABREAST else 2
    each = -(-len(rows) // abreast)
    parts = [rows[start : start + each] for start in range(0, len(rows), each)]
    tables = tuple((Table(columns, tuple(part), tick=True, close=True),) for part in parts)
    width = say("hang.wide", width=say.length(wall.width, unit=True)) if wall.width is not None else ""
    return (
        Heading(say("hang.wall", name=wall.name, width=width), 2),
        Drawing(wall_view(index, wall, placed, say=say), say("hang.wall-caption")),
        tables[0][0] if abreast == 1 else Beside(tables),
    )


def wall_view(index: int, wall: Wall, placed: Sequence[tuple[str, OnWall]], *, say: Voice) -> View:
    """A wall from the front: works, hooks with their numbers, and what is in the way.

    Args:
        index: Number of the wall, for the drawing's name.
        wall: The wall.
        placed: The marks of its works and their places.
        say: How the sheet speaks.
    """
    right = float(wall.width) if wall.width is not None else max(p.left + p.width for _, p in placed) + 300
    right = max(right, *(float(item.right) for item in wall.avoid), 0.0)
    top = max([p.foot + p.height for _, p in placed] + [float(item.top) for item in wall.avoid])
    scale = min(_WALL_ROOM[0] / right, _WALL_ROOM[1] / top)

    def paper(x: float, y: float) -> Point:
        return (x * scale, y * scale)

    marks: list[Mark] = []
    for item in wall.avoid:
        corners = (float(item.left), float(item.bottom)), (float(item.right), float(item.top))
        shape = rectangle(paper(*corners[0]), paper(*corners[1]), layer=Layer.EDGE)
        marks += [shape, *hatch(shape.points, pitch=2.4)]
    number = 0
    for code, place in placed:
        low, high = paper(place.left, place.foot), paper(place.left + place.width, place.foot + place.height)
        marks.append(rectangle(low, high, layer=Layer.EDGE, fill=0.94))
        marks.append(
            Text(
                ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2 - 1),
                code, across="middle", upright="middle", weight="semibold",
            )
        )  # fmt: skip
        for hook in place.hooks:
            number += 1
            x, y = paper(*hook)
            marks += [
                Line((x - _HOOK, y), (x + _HOOK, y), Layer.OUTLINE),
                Line((x, y - _HOOK), (x, y + _HOOK), Layer.OUTLINE),
                Text((x, y + _HOOK + 0.8), str(number), across="middle", backed=True),
            ]
    floor = Pen(0.7)
    marks.append(Line(paper(0, 0), paper(right, 0), Layer.OUTLINE, floor))
    marks.append(Line(paper(0, 0), paper(0, top), Layer.OUTLINE, floor))
    if wall.width is not None:
        marks.append(Line(paper(right, 0), paper(right, top), Layer.OUTLINE, floor))
    return view_of(f"wall-{index}", marks, scale=scale, title=wall.name)
