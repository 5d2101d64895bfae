"""What stands against choosing any design of a work."""

from __future__ import annotations

from fractions import Fraction

from longpoint.errors import Fault, Where
from longpoint.model.batch import Batch
from longpoint.works.sections import USUAL_DEPTH, bar_choices, least_taken
from longpoint.works.stock import sections_for
from longpoint.works.strength import makes_of


def tension_faults(batch: Batch, index: int) -> tuple[Fault, ...]:
    """A tension left that the cloth cannot take without being hurt."""
    work = batch.work[index]
    left = batch.cloth_of(work).tension
    makes = makes_of(batch, work, bars="C16", rails="C16")
    row = makes.raw_state
    most = row.strain_limit * min(row.warp, row.weft)
    if left <= most:
        return ()
    return (
        Fault(
            "tension-beyond-cloth",
            f"{work.name}: {1000 * left:.0f} N/m is more than this cloth takes as it is stretched ({row.name}: about "
            f"{1000 * most:.0f} N/m, estimate).",
            "Ask for less tension_left (200 N/m is usual), or stretch the cloth raw.",
            Where(f"work[{index + 1}].cloth.tension_left"),
        ),
    )


def gives_way(batch: Batch, index: int, why: str) -> Fault:
    """A frame on which no tension can be left."""
    work = batch.work[index]
    return Fault(
        "frame-gives-way",
        f"{work.name}: {why or 'the frame gives way under the canvas.'}",
        "Allow rails or thicker bars, or ask for less tension_left.",
        Where(f"work[{index + 1}].bars"),
    )


def no_timber(batch: Batch, index: int, use: str) -> Fault:
    """That no timber that is stated will do for bars, or for rails."""
    work = batch.work[index]
    show = batch.style.finer().show
    named = sections_for(batch, "bars" if use == "bars" else "rails")
    have = sorted({tuple(sorted((section.thickness, section.depth))) for section in named})
    listed = ", ".join(f"{show(a, with_unit=False)} × {show(b)}" for a, b in have) or "none"
    if use == "bars":
        wish = batch.bars_of(work)
        thickness = "any thickness" if wish.thickness == "auto" else f"{show(wish.thickness)} thick"
        depth = "" if wish.depth == "auto" else f" {show(wish.depth)} deep and"
        what = f"no timber for bars{depth} {thickness}, standing {wish.stand}, can be had."
        key = "bars.depth"
    else:
        inside = batch.inside_of(work)
        deepest = max((bars.depth for bars in bar_choices(batch, work)), default=USUAL_DEPTH)
        taken = least_taken(batch, inside)
        what = (
            f"no timber for rails leaves room for the drop and a gap to the canvas, {show(taken)} together, in bars "
            f"{show(deepest)} deep: on edge or flat, rails may be {show(max(deepest - taken, Fraction(0)))} deep at "
            "most."
            if inside.depth == "auto"
            else f"no timber for rails {show(inside.depth)} deep can be had."
        )
        key = "inside.depth"
    return Fault(
        f"no-timber-for-{use}",
        f"{work.name}: {what}",
        f"Sections stated for {use}: {listed}. Add the section under [[yard]], or change the wish.",
        Where(f"work[{index + 1}].{key}"),
    )
