"""A computed design judged again, once its stapling was rehearsed: the same frame, the tensions that come of it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.bench import own_limits
from longpoint.errors import FaultsError
from longpoint.strength.choice import all_hold
from longpoint.strength.verdicts.cases import all_cases, first_look
from longpoint.strength.verdicts.drawn import all_verdicts
from longpoint.strength.verdicts.winding import lift_verdict
from longpoint.strength.winding import free_corner_sag
from longpoint.works.draft import Draft
from longpoint.works.strength import makes_of, strength_case, weakened
from longpoint.works.tension import Tensions


def rejudged(draft: Draft, designed: ChosenDesign, tensions: Tensions) -> ChosenDesign:
    """A design with its verdicts drawn from rehearsed tensions.

    Args:
        draft: The work.
        designed: Its design, judged by estimated tensions.
        tensions: As rehearsed.

    Returns:
        The same design; remedies found before stay with what is still missed.
    """
    brief, strength = draft.brief, designed.strength
    makes = makes_of(brief.work_cloth, bars=designed.bars.wood, rails=(designed.rails or designed.bars).wood)
    case = strength_case(brief, draft.frame, makes, mass=draft.mass, tensions=tensions)
    case = weakened(case, draft.frame, draft.build().joints)
    try:
        cases = all_cases(first_look(case))
    except FaultsError:  # what was told of it before stands
        return designed
    verdicts = all_verdicts(cases, own_limits(brief.limits, people=brief.shop.people))
    with suppress(FaultsError):  # a frame that winds up by itself: the winding verdict says so
        verdicts = (*verdicts, lift_verdict(free_corner_sag(cases.likely.system, cases.likely.state)))
    remedies = {verdict.key: verdict.remedy for verdict in strength.verdicts}
    verdicts = tuple(
        verdict if verdict.passes else replace(verdict, remedy=remedies.get(verdict.key))
        for verdict in verdicts
    )
    judged = replace(
        strength,
        case=cases.likely.case,
        cases=cases.settled(),
        verdicts=verdicts,
        passes=all_hold(verdicts),
        tensions=tensions,
    )
    return replace(designed, strength=judged)
