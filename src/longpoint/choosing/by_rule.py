"""The design of one work by the rule of thumb: nothing is computed of it but that it can be built."""

from __future__ import annotations

from fractions import Fraction

from longpoint.choosing.candidates import Buildable, price_of, wider_candidates_of
from longpoint.choosing.designs import faults_of, settle, with_corner
from longpoint.errors import Fault, Where
from longpoint.frame.design import FrameDesign
from longpoint.frame.rule_of_thumb import inside_by_rule
from longpoint.model.batch import Batch
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of
from longpoint.works.sections import USUAL_DEPTH, bar_choices, least_taken, rail_choices
from longpoint.works.stock import sections_for


def design_of(batch: Batch, index: int) -> Designed | tuple[Fault, ...]:
    """Settles the design of one work, automatic rails by the rule of thumb.

    Args:
        batch: The batch.
        index: Which work, from 0.

    Returns:
        The design, or everything that stands against it.
    """
    work = batch.work[index]
    bars = bar_choices(batch, work)
    if not bars:
        return (no_timber(batch, index, "bars"),)
    rails = rail_choices(batch, work, bars[0])
    rule = inside_by_rule(width=work.width, height=work.height)
    wish = batch.inside_of(work)
    automatic = "auto" in (wish.cross_rails, wish.middle_pieces, wish.end_rails)
    reason = (
        "Rails by the rule of thumb (one for every 0.8 m of side, common practice): not computed."
        if automatic
        else "Rails as stated in the batch file."
    )
    candidate = with_corner(
        batch,
        work,
        settle(
            batch,
            work,
            bars=bars[0],
            rails=rails[0] if rails else None,
            cross_rails=rule.cross_rails,
            middle_pieces=rule.middle_pieces,
            end_rails=rule.end_rails,
        ),
    )
    if candidate.has_rails and not rails:
        return (no_timber(batch, index, "rails"),)
    design = Designed(candidate, bars[0], rails[0] if candidate.has_rails and rails else None, reason)
    if faults := faults_of(batch, index, candidate):
        return faults
    faults = draft_of(batch, index, design).build().faults
    if not faults:
        return design
    for option in _nearest(batch, index, candidate):
        other = Designed(option.design, option.bars, option.rails, reason)
        if not draft_of(batch, index, other).build().faults:
            return other
    return faults


def _nearest(batch: Batch, index: int, rule: FrameDesign) -> list[Buildable]:
    """Other designs that could be built, those most like the rule's first."""
    options = [candidate.design for candidate in wider_candidates_of(batch, batch.work[index], index)]

    def unlike(option: Buildable) -> tuple[int, int, float]:
        design = option.design
        ends = len(set(design.end_rails) ^ set(rule.end_rails))
        inside = ends + 2 * (design.middle_pieces != rule.middle_pieces)
        rails = abs(len(design.cross_rails) - len(rule.cross_rails))
        return 2 * rails + inside, len(design.end_rails), price_of(batch, option).measure

    return sorted(options, key=unlike)


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
