"""Getting it out: every work on every way, and pictures of those that must be turned or do not pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.pages import (
    Beside,
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paragraph,
    Table,
    Together,
)
from longpoint.drawing.views.ways import passing_view
from longpoint.drawing.words.voice import Voice
from longpoint.drawing.words.ways import obstacle_words, passing_words
from longpoint.handling.passing import FINGERS
from longpoint.model.ways import Way
from longpoint.works.leaving import WayOut, obstacle_of

MOST_PICTURES = 6
ABREAST = 3
PICTURE = (56.0, 52.0)
"""Room of one picture. [mm]"""


@dataclass(frozen=True, slots=True)
class Leaving:
    """A work on a way, with its mark and whether it is one of several alike.

    Attributes:
        code: Letters that begin its marks.
        out: The work on the way.
    """

    code: str
    out: WayOut


def ways_page(ways: Sequence[Way], works: Sequence[Leaving], *, say: Voice) -> Page:
    """The sheet of the ways out.

    Args:
        ways: The ways of the batch.
        works: Every work on every way that is stated for it.
        say: How the sheet speaks.
    """
    blocks: list[Block] = []
    for index, way in enumerate(ways):
        mine = [one for one in works if one.out.way == index]
        if not mine:
            continue
        blocks += [
            Heading(say("leave.way", name=way.name, wrap=say.fine(way.wrap, unit=True)), 2),
            _table(way, mine, say),
        ]
        sills = [
            say(
                "leave.sill",
                obstacle=obstacle_words(way, place, say),
                sill=say.length(stated.sill, unit=True),
            )
            for place, stated in enumerate(way.obstacle)
            if stated.sill
        ]
        if sills:
            blocks.append(Paragraph(" ".join(sills)))
    blocks += _pictures(ways, works, say)
    blocks += [
        Bullets((say("leave.rule-1"), say("leave.rule-2")), size="small"),
        CautionBox(say("sheet.caution"), (say("leave.caution"),)),
    ]
    return Page(
        "leave",
        say("section-name.wall"),
        say("leave.title"),
        tuple(blocks),
        about=tuple(dict.fromkeys(one.out.work for one in works)),
        lead=say("leave.lead", unit=say.unit),
    )


def _table(way: Way, works: Sequence[Leaving], say: Voice) -> Table:
    """A row for each work; works that pass alike share one."""
    rows: dict[tuple[str, str, str], list[Leaving]] = {}
    for one in works:
        rows.setdefault((_how(way, one.out, say), _out(one.out, say), _largest(one.out, say)), []).append(one)
    return Table(
        (
            Column(say("start.mark"), strong=True),
            Column(say("leave.work"), share=0.5),
            Column(say("leave.how", unit=say.unit), share=1.0),
            Column(say("leave.out"), strong=True),
            Column(say("leave.largest", unit=say.unit), "end"),
        ),
        tuple(
            (", ".join(one.code for one in same), ", ".join(one.out.work for one in same), *words)
            for words, same in rows.items()
        ),
        close=True,
    )


def _how(way: Way, out: WayOut, say: Voice) -> str:
    """How it is held at each obstacle, up to the one that stops it."""
    last = len(out.passings) if out.stop is None else out.stop + 1
    words = [
        f"{obstacle_words(way, place, say)}: {passing_words(obstacle_of(way.obstacle[place]), out.box, one, say)}"
        for place, one in enumerate(out.passings[:last])
    ]
    if out.stop is not None:
        words[-1] = f"**{words[-1]}**"
    return "; ".join(words)


def _out(out: WayOut, say: Voice) -> str:
    return say("leave.no" if not out.passes else "leave.halves" if out.halves else "leave.yes")


def _largest(out: WayOut, say: Voice) -> str:
    if out.largest is None:
        return say("leave.any")
    return " × ".join(say.kept(side) for side in out.largest)


def _pictures(ways: Sequence[Way], works: Sequence[Leaving], say: Voice) -> list[Block]:
    """Pictures of what is hardest, the gravest first: what does not pass, what is tilted, what is tight, what turns."""
    found: list[tuple[tuple[int, float], int, Leaving]] = []
    for one in works:
        for place, passed in enumerate(one.out.passings):
            if one.out.stop is not None and place > one.out.stop:
                break
            stated = ways[one.out.way].obstacle[place]
            turns = stated.kind in ("corner", "stairs", "quarter landing")
            rank = (
                0
                if not passed.passes
                else 1
                if passed.hold.tilt != "none"
                else 2
                if passed.room < FINGERS
                else 3
            )
            if rank < 3 or turns:
                found.append(((rank, passed.room), place, one))
    found.sort(key=lambda item: item[0])
    drawn: list[Block] = []
    seen: set[object] = set()
    for (rank, _), place, one in found:
        way = ways[one.out.way]
        passed = one.out.passings[place]
        key = (one.out.way, place, passed.hold if rank < 3 else "")
        if key in seen or len(drawn) == MOST_PICTURES:
            continue
        seen.add(key)
        view = passing_view(
            one.out,
            obstacle_of(way.obstacle[place]),
            passed,
            name=f"way-{one.out.way + 1}-{place + 1}-{one.code}",
            room=PICTURE,
            say=say,
        )
        words = passing_words(obstacle_of(way.obstacle[place]), one.out.box, passed, say)
        caption = f"{one.code} · {obstacle_words(way, place, say)}: {words}"
        drawn.append(Drawing(view, caption))
    rows = [drawn[start : start + ABREAST] for start in range(0, len(drawn), ABREAST)]
    return [
        Together((Beside(tuple((picture,) for picture in row) + ((),) * (ABREAST - len(row))),))
        for row in rows
    ]
