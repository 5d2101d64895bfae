"""The design of one work by the rule of thumb: nothing is computed of it but that it can be built."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.choosing.candidates import (
    Buildable,
    bought_groups_of,
    edge_candidates_of,
    price_of,
    wider_candidates_of,
)
from longpoint.choosing.designs import faults_of, settle, with_corner
from longpoint.choosing.refusals import no_timber
from longpoint.errors import Fault
from longpoint.frame.design import FrameDesign
from longpoint.frame.rule_of_thumb import inside_by_rule
from longpoint.model.batch import Batch
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of
from longpoint.works.sections import bar_choices, edge_choices, rail_choices
from longpoint.works.stock import Section


def design_of(batch: Batch, index: int) -> Designed | tuple[Fault, ...]:
    """Settles the design of one work, automatic rails by the rule of thumb.

    Args:
        batch: The batch.
        index: Which work, from 0.

    Returns:
        The design, or everything that stands against it.
    """
    found = _of_stated(batch, index)
    if isinstance(found, Designed) or batch.as_stated:
        return found
    for group in bought_groups_of(batch, batch.work[index], index):  # an ordinary shop's timber besides
        for candidate in group:
            option = candidate.design
            other = Designed(option.design, option.bars, option.rails, by_rule=True)
            if not draft_of(batch, index, other).build().faults:
                return other
    return found


def _of_stated(batch: Batch, index: int) -> Designed | tuple[Fault, ...]:
    work = batch.work[index]
    bars = bar_choices(batch, work) or edge_choices(batch, work)
    if not bars:
        return (no_timber(batch, index, "bars"),)
    rails = rail_choices(batch, work, bars[0])
    rule = inside_by_rule(width=work.width, height=work.height)
    wish = batch.inside_of(work)
    automatic = "auto" in (wish.cross_rails, wish.middle_pieces, wish.end_rails)

    def settled(rails: Sequence[Section]) -> FrameDesign:
        design = settle(
            batch,
            work,
            bars=bars[0],
            rails=rails[0] if rails else None,
            cross_rails=rule.cross_rails,
            middle_pieces=rule.middle_pieces,
            end_rails=rule.end_rails,
        )
        return with_corner(batch, work, design)

    candidate = settled(rails)
    if candidate.has_rails and not rails and (edge := edge_choices(batch, work)):
        # bars lying flat leave no room behind the canvas
        bars, rails = edge, rail_choices(batch, work, edge[0])
        candidate = settled(rails)
    if candidate.has_rails and not rails:
        return (no_timber(batch, index, "rails"),)
    design = Designed(candidate, bars[0], rails[0] if candidate.has_rails and rails else None, automatic)
    if faults := faults_of(batch, index, candidate):
        return faults
    faults = draft_of(batch, index, design).build().faults
    if not faults:
        return design
    for option in _nearest(batch, index, candidate):
        other = Designed(option.design, option.bars, option.rails, automatic)
        if not draft_of(batch, index, other).build().faults:
            return other
    return faults


def _nearest(batch: Batch, index: int, rule: FrameDesign) -> list[Buildable]:
    """Other designs that could be built, those most like the rule's first."""
    work = batch.work[index]
    wider = (*wider_candidates_of(batch, work, index), *edge_candidates_of(batch, work, index))
    options = [candidate.design for candidate in wider]

    def unlike(option: Buildable) -> tuple[int, int, float]:
        design = option.design
        ends = len(set(design.end_rails) ^ set(rule.end_rails))
        inside = ends + 2 * (design.middle_pieces != rule.middle_pieces)
        rails = abs(len(design.cross_rails) - len(rule.cross_rails))
        return 2 * rails + inside, len(design.end_rails), price_of(batch, option).measure

    return sorted(options, key=unlike)
