"""The design of one work by the rule of thumb: nothing is computed of it but that it can be built."""

from __future__ import annotations

from collections.abc import Sequence

from longpoint.choosing.candidates import (
    Buildable,
    bought_groups_of,
    edge_candidates_of,
    price_of,
    rails_reach,
    wider_candidates_of,
)
from longpoint.choosing.designs import faults_of, settle, with_corner
from longpoint.choosing.parted import whole_or_parted
from longpoint.choosing.refusals import no_timber
from longpoint.errors import Fault
from longpoint.frame.design import FrameDesign
from longpoint.frame.rule_of_thumb import inside_by_rule
from longpoint.works.brief import Brief
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of
from longpoint.works.stock import Section


def design_of(brief: Brief) -> Designed | tuple[Fault, ...]:
    """Settles the design of one work, automatic rails by the rule of thumb.

    Args:
        brief: The work.

    Returns:
        The design, or everything that stands against it.
    """
    return whole_or_parted(brief, _by_rule)


def _by_rule(brief: Brief) -> Designed | tuple[Fault, ...]:
    found = _of_stated(brief)
    if isinstance(found, Designed) or brief.stock.as_stated:
        return found
    for group in bought_groups_of(brief):  # an ordinary shop's timber besides
        for candidate in group:
            option = candidate.design
            other = Designed(option.design, option.bars, option.rails, by_rule=True)
            if not draft_of(brief, other).build().faults:
                return other
    return found


def _of_stated(brief: Brief) -> Designed | tuple[Fault, ...]:
    bars = brief.sections or brief.edge_sections
    if not bars:
        return (no_timber(brief, "bars"),)
    rails = brief.rails_in(bars[0])
    rule = inside_by_rule(width=brief.work.width, height=brief.work.height)
    wish = brief.inside
    automatic = "auto" in (wish.cross_rails, wish.middle_pieces, wish.end_rails)

    def settled(rails: Sequence[Section]) -> FrameDesign:
        design = settle(
            brief,
            bars=bars[0],
            rails=rails[0] if rails else None,
            cross_rails=rule.cross_rails,
            middle_pieces=rule.middle_pieces,
            end_rails=rule.end_rails,
        )
        return with_corner(brief.bars, design)

    candidate = settled(rails)
    if candidate.has_rails and not rails and (edge := brief.edge_sections):
        # bars lying flat leave no room behind the canvas
        bars, rails = edge, brief.rails_in(edge[0])
        candidate = settled(rails)
    if candidate.has_rails and not rails:
        return (no_timber(brief, "rails"),)
    design = Designed(candidate, bars[0], rails[0] if candidate.has_rails and rails else None, automatic)
    if faults := faults_of(brief, candidate):
        return faults
    reach = brief.stock.as_stated or rails_reach(
        brief, Buildable(candidate, bars[0], design.rails), besides=True
    )
    faults = draft_of(brief, design).build().faults
    if not faults and reach:
        return design
    for option in _nearest(brief, candidate):
        other = Designed(option.design, option.bars, option.rails, automatic)
        if not draft_of(brief, other).build().faults:
            return other
    return faults or design


def _nearest(brief: Brief, rule: FrameDesign) -> list[Buildable]:
    """Other designs that could be built, those most like the rule's first."""
    wider = (*wider_candidates_of(brief), *edge_candidates_of(brief))
    options = [candidate.design for candidate in wider]

    def unlike(option: Buildable) -> tuple[int, int, float]:
        design = option.design
        ends = len(set(design.end_rails) ^ set(rule.end_rails))
        inside = ends + 2 * (design.middle_pieces != rule.middle_pieces)
        rails = abs(len(design.cross_rails) - len(rule.cross_rails))
        return 2 * rails + inside, len(design.end_rails), price_of(brief, option).measure

    return sorted(options, key=unlike)
