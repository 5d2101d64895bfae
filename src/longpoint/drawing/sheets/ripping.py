"""What is ripped before anything is cut to length: from which boards, where the fence stands, what falls off."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.drawing.paper.pages import Block, CautionBox, Paragraph
from longpoint.drawing.words.voice import Voice
from longpoint.tables import safety_caution


@dataclass(frozen=True, slots=True)
class RipFirst:
    """How the strips of one list are ripped.

    Attributes:
        thickness: Of the boards. [mm]
        wide: Their width. [mm]
        strip: Width of a strip, finished. [mm]
        strips: How many of them a board gives.
        fence: Where the fence stands. [mm]
        falls: Width of what falls off and is kept; 0 for nothing. [mm]
        boards: How many boards are ripped.
    """

    thickness: Fraction
    wide: Fraction
    strip: Fraction
    strips: int
    fence: Fraction
    falls: Fraction
    boards: int


def rip_blocks(rip: RipFirst, say: Voice) -> list[Block]:
    """What to rip, and how nobody gets hurt."""
    return [
        Paragraph(say("saw.rip-first", what=rip_words(rip, say))),
        CautionBox(say("sheet.caution"), (say("safety.ripping", text=safety_caution("ripping").text),)),
    ]


def rip_words(rip: RipFirst, say: Voice) -> str:
    """One sentence: boards, strips, fence, what falls off."""
    words = say(
        "saw.rip",
        boards=rip.boards,
        section=f"{say.fine(rip.thickness)} × {say.fine(rip.wide, unit=True)}",
        strips=rip.strips,
        strip=say.fine(rip.strip, unit=True),
        fence=say.fine(rip.fence, unit=True),
    )
    if not rip.falls:
        return words
    return f"{words} {say('saw.rip-falls', section=f'{say.fine(rip.thickness)} × {say.fine(rip.falls, unit=True)}')}"
