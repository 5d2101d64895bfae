"""Cloth pages: the lay on each roll and the cuts in the order a person makes them."""

from __future__ import annotations

from functools import partial

from longpoint.cutting.cloth.left_over import left_over
from longpoint.cutting.cloth.problem import ClothCut, ClothPlan, ClothProblem, ClothRoll, RollUse
from longpoint.drawing.paper.fit import drawn_within
from longpoint.drawing.paper.pages import (
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
from longpoint.drawing.views.cloth import flaw_words, lay_view, several_of
from longpoint.drawing.words.own_words import product_words
from longpoint.drawing.words.voice import Voice

LONGEST_DRAWN = 7500.0
"""A longer stretch is drawn in several pictures, so that sizes stay readable [mm]."""

_HIGH = 112.0
"""Height of a picture, so that the cuts stand below it on the same sheet. [mm]"""


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
        left = [rest for rest in left_over(plan, problem) if rest.roll == use.roll]
        for start, stop in _stretches(use):
            draw = partial(
                lay_view,
                roll,
                use,
                laid,
                cuts,
                start=start,
                stop=stop,
                several=several_of(plan.laid),
                left=left,
                say=say,
            )
            blocks.append(Drawing(drawn_within((paper.room[0], _HIGH), draw)))
        blocks.append(Heading(say("cloth.cuts"), 2))
        blocks.append(Paragraph(say("cloth.measures")))
        blocks.append(_cuts(cuts, use, roll, several_of(plan.laid), say))
        serving = [rest for rest in left if rest.number]
        if serving:
            rests = "; ".join(
                say(
                    "cloth.rest-at",
                    number=rest.number,
                    size=f"{say.kept(rest.along)} × {say.kept(rest.across)}",
                    cut=rest.cut,
                )
                for rest in serving
            )
            blocks.append(Paragraph(say("cloth.left-over", rests=rests, unit=say.unit), "small"))
        met = [flaw for flaw in roll.flaws if flaw.y_from < use.used]
        if met:
            blocks.append(Heading(say("cloth.flaws"), 2))
            blocks.append(Bullets(tuple(flaw_words(roll, flaw, say) for flaw in met)))
        sewn_here = [sewn for sewn in plan.sewn if any(p.piece == sewn.piece for p in laid)]
        if sewn_here:
            blocks.append(Heading(say("cloth.sewn"), 2))
            blocks.append(
                Bullets(
                    tuple(
                        say(
                            "cloth.sewn-how",
                            name=sewn.piece,
                            seams=", ".join(say.length(seam) for seam in sewn.seams),
                            breadths=", ".join(say.length(width) for width in _cut_widths(plan, sewn.piece)),
                            beyond=say.length(problem.seam_allowance, unit=True),
                        )
                        for sewn in sewn_here
                    )
                )
            )
        lead = say(
            "cloth.lead", used=say.length(use.used, unit=True), width=say.length(roll.width, unit=True)
        )
        if use.remains is not None:
            lead += " " + say("cloth.remains", length=say.kept(use.remains, unit=True))
        title = say("cloth.title", name=product_words(use.roll, say))
        pages.append(Page("cloth", say("section-name.cloth"), title, tuple(blocks), lead=lead, flows=True))
    return tuple(pages)


def _called(freed: str, several: frozenset[str]) -> str:
    """A piece that comes free as the picture calls it: with its number only where there are several."""
    name, _, number = freed.rpartition(" ")
    return name if number == "1" and name not in several else freed


def _cut_widths(plan: ClothPlan, name: str) -> list[float]:
    """Widths of the breadths of a sewn piece as they come off the roll, allowances for tearing included."""
    first = [piece for piece in plan.laid if piece.piece == name and piece.number == 1]
    return [piece.across for piece in sorted(first, key=lambda piece: piece.breadth)]


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


def _cuts(cuts: list[ClothCut], use: RollUse, roll: ClothRoll, several: frozenset[str], say: Voice) -> Table:
    """The cuts, length by length: through which sheet, where on it, and where that is on the roll."""
    rows: list[tuple[str, ...]] = []
    heads: list[tuple[int, str]] = []
    lengths = list(zip((0.0, *use.lengths), use.lengths, strict=False))
    shown = 0
    for number, cut in enumerate(cuts, start=1):
        whole = cut.x <= 0 and cut.across >= roll.width
        # A cut right across the roll ends its length; any other lies in the length where its sheet begins.
        inside = cut.at if cut.way == "across" and whole else cut.y + 0.001
        at = next((n for n, (_, far) in enumerate(lengths, start=1) if inside <= far), len(lengths))
        if at != shown:
            near, far = lengths[at - 1]
            heads.append(
                (
                    len(rows),
                    say("cloth.length", number=at, near=say.length(near), far=say.length(far, unit=True)),
                )
            )
            shown = at
        off_roll = whole and cut.way == "across" and any(abs(cut.at - far) < 1e-6 for far in use.lengths)
        through = say("cloth.through-roll") if off_roll else say("cloth.through-length")
        if not whole:
            through = say("cloth.through-strip", left=say.length(cut.x), right=say.length(cut.x + cut.across))
        way = "cloth.along" if cut.way == "along" else "cloth.across" if whole else "cloth.across-sheet"
        frees = ", ".join(_called(name, several) for name in cut.frees)
        rows.append((str(number), through, say(way), say.length(cut.measure), say.length(cut.at), frees))
    return Table(
        (
            Column("", "end"),
            Column(say("cloth.through"), share=1.0),
            Column(say("cloth.way")),
            Column(say("cloth.measure", unit=say.unit), "end", strong=True),
            Column(say("cloth.on-roll", unit=say.unit), "end"),
            Column(say("cloth.frees"), share=1.0),
        ),
        tuple(rows),
        tick=True,
        heads=tuple(heads),
        close=True,
    )
