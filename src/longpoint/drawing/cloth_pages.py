"""Cloth pages: the lay on each roll and the cuts in the order a person makes them."""

from __future__ import annotations

from longpoint.cutting.cloth import ClothCut, ClothPlan, ClothProblem, RollUse
from longpoint.drawing.cloth_views import lay_view
from longpoint.drawing.pages import (
    Block,
    Bullets,
    Column,
    Drawing,
    Heading,
    Page,
    Paper,
    Paragraph,
    Table,
)
from longpoint.drawing.voice import Voice

LONGEST_DRAWN = 6000.0
"""A longer stretch is drawn in several pictures, so that sizes stay readable [mm]."""


def cloth_pages(plan: ClothPlan, problem: ClothProblem, *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """The pages of one lay: a picture of every roll, and the cuts.

    Args:
        plan: The lay.
        problem: What was asked, for the rolls.
        say: How the sheet speaks.
        paper: The sheet.
    """
    rolls = {roll.name: roll for roll in problem.rolls}
    pages: list[Page] = []
    for use in plan.uses:
        roll = rolls[use.roll]
        laid = [piece for piece in plan.laid if piece.roll == use.roll]
        blocks: list[Block] = [Paragraph(say("cloth.before"))]
        cuts = [cut for cut in plan.cuts if cut.roll == use.roll]
        for start, stop in _stretches(use):
            last = stop == use.lengths[-1]
            below = (
                min(110.0, 24.0 + 7.6 * len(cuts)) if last else 8.0
            )  # the cuts stand below the last picture
            above = 42.0 if start == 0 else 6.0
            room = (paper.room[0], paper.room[1] - above - below)
            view = lay_view(roll, use, laid, start=start, stop=stop, say=say, room=room)
            blocks.append(Drawing(view))
        blocks.append(Heading(say("cloth.cuts"), 2))
        blocks.append(_cuts(cuts, say))
        if plan.sewn:
            blocks.append(Heading(say("cloth.sewn"), 2))
            blocks.append(
                Bullets(
                    tuple(
                        say(
                            "cloth.sewn-how",
                            name=sewn.piece,
                            seams=", ".join(say.length(seam) for seam in sewn.seams),
                        )
                        for sewn in plan.sewn
                    )
                )
            )
        lead = say(
            "cloth.lead", used=say.length(use.used, unit=True), width=say.length(roll.width, unit=True)
        )
        if use.remains is not None:
            lead += " " + say("cloth.remains", length=say.kept(use.remains, unit=True))
        title = say("cloth.title", name=use.roll)
        pages.append(Page("cloth", say("section-name.cloth"), title, tuple(blocks), lead=lead))
    return tuple(pages)


def _stretches(use: RollUse) -> list[tuple[float, float]]:
    """The roll in pieces of readable length, divided where it is cut right across."""
    stretches = []
    start = last = 0.0
    for y in use.lengths:
        if y - start > LONGEST_DRAWN and last > start:
            stretches.append((start, last))
            start = last
        last = y
    stretches.append((start, last))
    return stretches


def _cuts(cuts: list[ClothCut], say: Voice) -> Table:
    rows = tuple(
        (
            str(number),
            say("cloth.across" if cut.way == "across" else "cloth.along"),
            say.length(cut.measure),
            ", ".join(cut.frees),
        )
        for number, cut in enumerate(cuts, start=1)
    )
    return Table(
        (
            Column("", "end"),
            Column(say("cloth.way")),
            Column(say("cloth.measure", unit=say.unit), "end", strong=True),
            Column(say("cloth.frees"), share=1.0),
        ),
        rows,
        tick=True,
    )
