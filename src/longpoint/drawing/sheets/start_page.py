"""The first page: what is made, how many, what to do first, what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.drawing.paper.pages import (
    Block,
    Bullets,
    CautionBox,
    Column,
    Contents,
    Figures,
    Heading,
    Page,
    Paragraph,
    Table,
    Together,
)
from longpoint.drawing.words.remarks import GRAVE, Rank
from longpoint.drawing.words.voice import Voice
from longpoint.frame import FrameDesign


@dataclass(frozen=True, slots=True)
class WorkLine:
    """A work as it stands on the first page.

    Attributes:
        code: Letters that begin its marks.
        name: Its name.
        how_many: How many are made.
        design: Its design.
        mass: Of one. [kg]
        holds: Whether it holds, in a word; "" where nothing was computed.
    """

    code: str
    name: str
    how_many: int
    design: FrameDesign
    mass: float
    holds: str = ""


def start_page(
    works: Sequence[WorkLine],
    *,
    title: str,
    sets: Sequence[str],
    figures: Sequence[tuple[str, str]],
    remarks: Sequence[tuple[Rank, Sequence[str]]],
    signs: Sequence[str],
    say: Voice,
) -> Page:
    """The first page of the pack.

    Args:
        works: The works.
        title: Name of the batch.
        sets: One sentence for each set.
        figures: A few large numbers with what they are.
        remarks: What to know of this batch by rank, the gravest first.
        signs: Signs that cannot be printed.
        say: How the sheet speaks.
    """
    rows = tuple(
        (
            work.code,
            work.name,
            f"{say.length(work.design.width)} × {say.length(work.design.height)}",
            str(work.how_many),
            f"{say.fine(work.design.bar_thickness)} × {say.fine(work.design.bar_depth)}",
            say.mass(work.mass),
            work.holds,
        )
        for work in works
    )
    unit = say.unit
    said = dict(remarks)
    blocks: list[Block] = [
        *(CautionBox(say(f"start.{rank}"), tuple(said[rank])) for rank in GRAVE if rank in said),
        Figures(tuple(figures)),
        Heading(say("start.works")),
        Table(
            columns=(
                Column(say("start.mark"), strong=True),
                Column(say("start.work"), share=1.0),
                Column(say("start.face", unit=unit), "end"),
                Column(say("start.count"), "end"),
                Column(say("start.bars", unit=unit), "end"),
                Column(say("start.mass", unit=say.mass_unit), "end"),
                Column(say("start.holds"), strong=True),
            ),
            rows=rows,
            close=True,
        ),
        *(Paragraph(line, "small") for line in sets),
    ]
    for rank in ("buy", "mind"):
        lines = [*said.get(rank, ()), *(signs if rank == "mind" else ())]
        if lines:
            blocks.append(CautionBox(say(f"start.{rank}"), tuple(lines)))
    if "know" in said:
        blocks.append(Together((Heading(say("start.know"), 2), Bullets(tuple(said["know"]), size="small"))))
    blocks += [Heading(say("start.pages")), Contents()]
    return Page(
        key="start",
        section=say("section-name.start"),
        title=title,
        blocks=tuple(blocks),
    )
