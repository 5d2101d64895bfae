"""The strength pages of a plan: one per distinct design that was computed."""

from __future__ import annotations

from longpoint.choosing.answer import WorkStrength
from longpoint.drawing.paper.pages import Page, Paper
from longpoint.drawing.sheets.strength_pages import StrengthSheet, strength_pages
from longpoint.drawing.words.choice import reason_words, rival_words, to_buy
from longpoint.drawing.words.strength import design_words, price_words
from longpoint.drawing.words.voice import Voice
from longpoint.jobs.plan import Plan
from longpoint.needs.planned import PlannedWork


def strength_pages_of(plan: Plan, *, say: Voice, paper: Paper) -> tuple[Page, ...]:
    """Pages of all distinct designs, in the order of the batch file; none where nothing was computed.

    Args:
        plan: The plan.
        say: How the sheets speak.
        paper: The sheet.
    """
    groups: dict[object, list[PlannedWork]] = {}
    for work in plan.works:
        if work.strength is not None:
            groups.setdefault((work.strength.case, work.strength.tensions), []).append(work)
    pages: list[Page] = []
    for works in groups.values():
        strength = works[0].strength
        assert strength is not None
        pages += strength_pages(_sheet(plan, works, strength, say), say=say, paper=paper)
    return tuple(pages)


def _sheet(plan: Plan, works: list[PlannedWork], strength: WorkStrength, say: Voice) -> StrengthSheet:
    first, currency = works[0], plan.batch.currency
    return StrengthSheet(
        name=first.name,
        alike=tuple(work.name for work in works[1:]),
        frame=first.frame,
        cases=strength.cases,
        verdicts=strength.verdicts,
        reason=reason_words(first.designed, plan.batch, plan.batch.work[first.index], say),
        tensions=strength.tensions,
        rivals=tuple(rival_words(other, say, currency=currency) for other in strength.rivals),
        unbeaten=tuple(
            (
                design_words(other.option.design, say),
                price_words(other.more, other.timber, say, currency=currency),
                other.mass,
                other.pulled_in,
            )
            for other in strength.unbeaten
            if other.option.design != first.designed.design
        ),
        currency=currency,
        otherwise=to_buy(strength, currency, say),
    )
