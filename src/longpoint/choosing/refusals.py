"""What stands against choosing any design of a work."""

from __future__ import annotations

from fractions import Fraction

from longpoint.errors import Fault, Where
from longpoint.works.brief import Brief
from longpoint.works.sections import USUAL_DEPTH, least_taken


def tension_faults(brief: Brief) -> tuple[Fault, ...]:
    """A tension left that the cloth cannot take without being hurt."""
    left, row = brief.cloth.tension, brief.work_cloth.stretched
    most = row.strain_limit * min(row.warp, row.weft)
    if left <= most:
        return ()
    return (
        Fault(
            "tension-beyond-cloth",
            f"{brief.work.name}: {1000 * left:.0f} N/m is more than this cloth takes as it is stretched "
            f"({row.name}: about {1000 * most:.0f} N/m, estimate).",
            "Ask for less tension_left (200 N/m is usual), or stretch the cloth raw.",
            Where(f"{brief.key}.cloth.tension_left"),
        ),
    )


def gives_way(brief: Brief, why: str) -> Fault:
    """A frame on which no tension can be left."""
    return Fault(
        "frame-gives-way",
        f"{brief.work.name}: {why or 'the frame gives way under the canvas.'}",
        "Allow rails or thicker bars, or ask for less tension_left.",
        Where(f"{brief.key}.bars"),
    )


def no_timber(brief: Brief, use: str) -> Fault:
    """That no timber that is stated will do for bars, or for rails."""
    show = brief.style.finer().show
    named = brief.stock.sections("bars" if use == "bars" else "rails")
    have = sorted({tuple(sorted((section.thickness, section.depth))) for section in named})
    listed = ", ".join(f"{show(a, with_unit=False)} × {show(b)}" for a, b in have) or "none"
    if use == "bars":
        wish = brief.bars
        thickness = "any thickness" if wish.thickness == "auto" else f"{show(wish.thickness)} thick"
        depth = "" if wish.depth == "auto" else f" {show(wish.depth)} deep and"
        what = f"no timber for bars{depth} {thickness}, standing {wish.stand}, can be had."
        key = "bars.depth"
    else:
        deepest = max((bars.depth for bars in brief.sections), default=USUAL_DEPTH)
        taken = least_taken(brief.inside, gap=brief.gap)
        what = (
            f"no timber for rails leaves room for the drop and a gap to the canvas, {show(taken)} together, in bars "
            f"{show(deepest)} deep: on edge or flat, rails may be {show(max(deepest - taken, Fraction(0)))} deep at "
            "most."
            if brief.inside.depth == "auto"
            else f"no timber for rails {show(brief.inside.depth)} deep can be had."
        )
        key = "inside.depth"
    return Fault(
        f"no-timber-for-{use}",
        f"{brief.work.name}: {what}",
        f"Sections stated for {use}: {listed}. Add the section under [[yard]], or change the wish.",
        Where(f"{brief.key}.{key}"),
    )
