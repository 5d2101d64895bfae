"""The pages of one work: the frame from both sides, its section and parts, its rods, its check card."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from longpoint.drawing.frame_views import back_view, front_view
from longpoint.drawing.joined_rods import holes_of_pieces, joined_blocks
from longpoint.drawing.member_names import part_words, side_words
from longpoint.drawing.pages import (
    Beside,
    Block,
    Bullets,
    CautionBox,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Table,
    Together,
)
from longpoint.drawing.rods import bored_alike, rod_view
from longpoint.drawing.section_view import section_view
from longpoint.drawing.views import SCALES, View
from longpoint.drawing.voice import Voice
from longpoint.frame import Frame, Part
from longpoint.frame.design import Side
from longpoint.frame.parts import MEASURED_EXTRA
from longpoint.joinery import HoleMark
from longpoint.tables import limit

SIDE_WITHIN = 1.0
"""A side as long as planned, within this; estimate. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSheet:
    """What the pages of one work need.

    Attributes:
        name: Of the work.
        how_many: How many are made.
        frame: Its frame.
        parts: Its parts.
        turnover: Cloth beyond the face. [mm]
        mass: Of one finished work; 0 if not known. [kg]
        notes: What the user wrote.
        in_set: Name of the set it hangs in.
        alike: Other works with an equal frame: (name, letters of its marks).
        reason: Why the inside is as it is, in one sentence.
        holes: Holes of its members, for the rods.
        copies: What each frame is called on the check card: one column for each.
        answers: What it does not hold, or holds unless, and those alike; nothing where all hold.
    """

    name: str
    how_many: int
    frame: Frame
    parts: tuple[Part, ...]
    turnover: Fraction | float
    mass: float = 0.0
    notes: str = ""
    in_set: str = ""
    alike: tuple[tuple[str, str], ...] = ()
    reason: str = ""
    holes: tuple[HoleMark, ...] = ()
    copies: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()

    @property
    def about(self) -> tuple[str, ...]:
        """The names of all works the pages are for."""
        return (self.name, *(name for name, _ in self.alike))


def work_pages(work: WorkSheet, *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """All pages of one work, in the order of the work.

    Args:
        work: The work.
        say: How the sheet speaks.
        paper: The sheet.
    """
    return (
        frame_page(work, say=say, paper=paper),
        parts_page(work, say=say, paper=paper),
        *check_pages((work,), say=say),
    )


def frame_page(work: WorkSheet, *, say: Voice, paper: Paper) -> Page:
    """The frame from the front and from the back."""
    design = work.frame.design
    width, height = paper.room
    blocks: list[Block] = []
    used = 24.0
    if work.answers:
        blocks.append(CautionBox(say("strength.section"), work.answers))
        used += 14.0 + sum(5.0 * (1 + len(answer) // 90) for answer in work.answers)
    if work.alike:
        others = ", ".join(f"{name} ({letters})" for name, letters in work.alike)
        blocks.append(Paragraph(say("worksheet.alike", names=others)))
        used += 8.0 + 5.0 * (len(others) // 80)
    for text in (work.reason, work.notes):
        if text:
            blocks.append(Paragraph(text))
            used += 8.0 + 5.0 * (len(text) // 90)
    tall = float(design.height) > 1.25 * float(design.width)
    views = _both_sides(work, say, room=(width, height - used - (16.0 if tall else 26.0)), tall=tall)
    if tall:
        blocks.append(
            Beside(tuple((Drawing(view),) for view in views), shares=(views[0].width, views[1].width))
        )
    else:
        blocks += [Drawing(view) for view in views]
    return Page(
        "frame",
        say("section-name.frame"),
        work.name,
        tuple(blocks),
        about=work.about,
        lead=_lead(work, say),
    )


def _both_sides(work: WorkSheet, say: Voice, *, room: tuple[float, float], tall: bool) -> tuple[View, View]:
    """Front and back to one scale, the largest at which both fit: side by side if tall, else one above the other."""
    design = work.frame.design
    for scale in SCALES:
        if float(design.height) * scale > room[1] / (1 if tall else 2):
            continue
        front = front_view(work.frame, say=say, room=room, scale=scale)
        back = back_view(work.frame, say=say, room=room, scale=scale)  # its labels come last, they take time
        wide = front.width + back.width + 8.0 if tall else max(front.width, back.width)
        high = max(front.height, back.height) if tall else front.height + back.height
        if wide <= room[0] - 6.0 and high <= room[1]:
            break
    back = back_view(work.frame, work.parts, say=say, room=room, scale=scale)
    return front, back


def _lead(work: WorkSheet, say: Voice) -> str:
    design = work.frame.design
    bits = [
        say("worksheet.face", face=say.face(design.width, design.height)),
        say("worksheet.how-many", count=work.how_many),
    ]
    if work.mass:
        bits.append(say("worksheet.mass", mass=say.number(work.mass, places=1)))
    if work.in_set:
        bits.append(say("worksheet.in-set", name=work.in_set))
    return ", ".join(bits)


def parts_page(work: WorkSheet, *, say: Voice, paper: Paper) -> Page:
    """The section, the list of parts, and a rod for each."""
    design = work.frame.design
    holes: dict[str, list[HoleMark]] = {}
    for hole in work.holes:
        holes.setdefault(hole.member, []).append(hole)
    view = section_view(work.frame, say=say, room=(paper.room[0] - 46.0, 96.0), turnover=float(work.turnover))
    wide = view.width + 1.0
    rows = []
    for part in work.parts:
        short = say.part(part.short_point) if part.short_point != part.long_point else "–"
        rows.append(
            (
                part.mark,
                part_words(part, say),
                str(part.per_work),
                say.part(part.long_point),
                short,
                f"{say.fine(part.thickness)} × {say.fine(part.depth)}",
            )
        )
    table = Table(
        (
            Column(say("worksheet.mark"), strong=True),
            Column(say("worksheet.part"), share=1.0),
            Column(say("worksheet.count"), "end"),
            Column(say("worksheet.long", unit=say.unit), "end", strong=True),
            Column(say("worksheet.short", unit=say.unit), "end"),
            Column(say("worksheet.section", unit=say.unit), "end"),
            Column(say("worksheet.measured", unit=say.unit), blank=25.0),
        ),
        tuple(rows),
        tick=True,
    )
    strings = say("worksheet.strings", sides=" + ".join(side_words(side, say) for side in design.strings))
    corner = say("worksheet.corner", corner=say(f"corner.{design.corner.replace(' ', '-')}"))
    measured_how = (
        [Paragraph(say("worksheet.measured-how", spare=say.fine(MEASURED_EXTRA, unit=True)), size="small")]
        if any(part.measured for part in work.parts)
        else []
    )
    return Page(
        "parts",
        say("section-name.frame"),
        say("worksheet.parts-title", name=work.name),
        (
            Beside(
                (
                    (Drawing(view),),
                    (
                        Paragraph(corner),
                        Paragraph(strings),
                        Heading(say("rod.heading"), 2),
                        Paragraph(say("rod.how"), "small"),
                    ),
                ),
                shares=(wide, paper.room[0] - 8.0 - wide),
            ),
            Heading(say("worksheet.parts"), 2),
            table,
            *measured_how,
            *(
                Drawing(rod_view(part, say=say, width=paper.room[0], members=names, holes=own))
                for part in work.parts
                for names, own in bored_alike(part, holes_of_pieces(work.frame, holes))
            ),
            *joined_blocks(work.frame, work.parts, holes, say=say, width=paper.room[0]),
        ),
        about=work.about,
    )


def check_pages(works: Sequence[WorkSheet], *, say: Voice) -> tuple[Page, ...]:
    """Check cards, two on a sheet: what is measured on the glued frame, with blanks for what was found.

    Args:
        works: The works.
        say: How the sheet speaks.
    """
    how = " ".join(
        f"**{say(f'check.{what}')}:** {say(f'check.{what}-how')}"
        for what in ("diagonals", "wind", "string", "press")
    )
    last = Bullets(tuple(say(f"check.step-{n}") for n in (1, 2, 3)), "small")
    pages = []
    for i in range(0, len(works), 2):
        pair = works[i : i + 2]
        pages.append(
            Page(
                "check",
                say("section-name.checks"),
                say("check.title", name=", ".join(work.name for work in pair)),
                (
                    Paragraph(how, "small"),
                    *(_check_card(work, say) for work in pair),
                    last,
                ),
                about=tuple(name for work in pair for name in work.about),
            )
        )
    return tuple(pages)


MOST_COPIES = 5
"""Columns for copies that a check card has room for."""


def _check_card(work: WorkSheet, say: Voice) -> Together:
    """One table: what is measured, what is planned, within what it passes, and a column for every copy."""
    copies = work.copies or (say("check.found"),)
    blocks: list[Block] = [Heading(work.name)]
    for start in range(0, len(copies), MOST_COPIES):
        blocks.append(_check_table(work, copies[start : start + MOST_COPIES], say))
    return Together(tuple(blocks))


def _check_table(work: WorkSheet, copies: Sequence[str], say: Voice) -> Table:
    design = work.frame.design
    diagonal = say.length(math.hypot(float(design.width), float(design.height)))
    across, up = say.length(design.width), say.length(design.height)

    def within(most: float) -> str:
        return f"± {say.fine(most)}"

    def at_most(most: float) -> str:
        return f"≤ {say.fine(most)}"

    def bowed(length: Fraction) -> float:
        return max(limit("board bow").value * (float(length) / 2000.0) ** 2, 1.0)

    pairs: tuple[tuple[Side, Side], ...] = (("top", "bottom"), ("left", "right"))
    both = [(f"{side_words(one, say)} / {side_words(two, say)}", one) for one, two in pairs]
    strung = at_most(max(bowed(design.width), bowed(design.height)))
    wide = {"top": across, "left": up}
    rows = [
        *((f"{say('check.sides')}: {words}", wide[side], within(SIDE_WITHIN)) for words, side in both),
        (say("check.diagonals"), diagonal, say("check.equal", most=say.fine(limit("out of square").value))),
        (f"{say('check.wind')}: {say('check.corner-lifts')}", "", at_most(limit("wind").value)),
        *((f"{say('check.string')}: {words}", "", strung) for words, _ in both),
        (
            f"{say('check.hand')}: {say('check.before')} / {say('check.after')}",
            "",
            say("check.less", most=say.fine(2 * limit("pulled in, now").value)),
        ),
        (f"{say('check.seen-1')}, {say('check.seen-2')}, {say('check.seen-3')}", "", ""),
    ]
    return Table(
        (
            Column("", share=1.0),
            Column(say("check.planned", unit=say.unit), "end", strong=True),
            Column(say("check.passes", unit=say.unit), "end"),
            *(Column(copy, blank=max(18.0, 70.0 / len(copies) - 4.0)) for copy in copies),
        ),
        tuple(rows),
    )
