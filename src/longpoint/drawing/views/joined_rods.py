"""Rods of bars that are joined in length, as they are once they are one bar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.drawing.paper.pages import Block, Drawing, Heading, Paragraph
from longpoint.drawing.views.rods import bored_alike, rod_view
from longpoint.drawing.words.voice import Voice
from longpoint.frame import Frame, Part, as_built, joined_bars, pieces_in_order
from longpoint.joinery import HoleMark

Reach = tuple[Fraction, Fraction]


def holes_of_pieces(frame: Frame, holes: Mapping[str, Sequence[HoleMark]]) -> dict[str, Sequence[HoleMark]]:
    """Holes by member without those of bars joined in length: their pieces are bored once they are one.

    Args:
        frame: The frame, its bars whole.
        holes: Holes by member of the frame as it is built.
    """
    return {name: marks for name, marks in holes.items() if not joins_of(frame, name)}


def joined_blocks(
    frame: Frame,
    parts: tuple[Part, ...],
    holes: Mapping[str, Sequence[HoleMark]],
    *,
    say: Voice,
    width: float,
) -> tuple[Block, ...]:
    """A rod for every joined bar, with how far its join reaches; nothing where no bar is joined.

    Args:
        frame: The frame, its bars whole.
        parts: Its parts.
        holes: Holes by member of the frame as it is built.
        say: How the sheet speaks.
        width: Room on paper. [mm]
    """
    blocks: list[Block] = []
    order = pieces_in_order(parts)
    for part in joined_bars(frame, parts):
        for names, own in bored_alike(part, holes):
            places: dict[tuple[Reach, ...], list[str]] = {}
            for name in names:
                places.setdefault(joins_of(frame, name), []).append(name)
            for joins, alike in places.items():
                whole = replace(part, mark=" + ".join(order[alike[0]]))
                view = rod_view(whole, say=say, width=width, members=alike, holes=own, joins=joins)
                blocks.append(Drawing(view))
    if not blocks:
        return ()
    return (Heading(say("rod.joined-heading"), 2), Paragraph(say("rod.joined-how"), "small"), *blocks)


def joins_of(frame: Frame, name: str) -> tuple[Reach, ...]:
    """Where the joins of a member reach from and to, from its own start; none for a rail or plate. [mm]"""
    member = next((each for each in as_built(frame).members if each.name == name), None)
    if member is None or member.side is None or "bar" not in name:
        return ()
    return tuple(
        (join.centre - join.length / 2 - member.start, join.centre + join.length / 2 - member.start)
        for join in frame.design.joins_of(member.side)
        if member.start < join.centre < member.stop
    )
