"""Which verdicts are drawn at which look: after one solve, after all cases, and in a study."""

from __future__ import annotations

from dataclasses import replace

from longpoint.strength.verdicts.bears import bears_verdict
from longpoint.strength.verdicts.cases import AllCases, Look
from longpoint.strength.verdicts.corner import corner_verdicts
from longpoint.strength.verdicts.join import join_verdicts
from longpoint.strength.verdicts.movement import (
    hollow_verdicts,
    hung_verdict,
    pulled_in_verdicts,
    turning_verdicts,
)
from longpoint.strength.verdicts.seam import seam_verdicts
from longpoint.strength.verdicts.tension import tension_verdicts, year_verdict
from longpoint.strength.verdicts.timber import buckling_verdict, mass_verdict, timber_verdict
from longpoint.strength.verdicts.touch import touching_verdicts
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict
from longpoint.strength.verdicts.winding import wind_verdict, winding_verdict
from longpoint.strength.winding import find_winding
from longpoint.strength.work_case import WorkCase
from longpoint.threads import on_one_thread


def first_verdicts(look: Look, own: OwnLimits) -> tuple[Verdict, ...]:
    """What one solve already tells: enough to throw a design out, not enough to keep it.

    Args:
        look: The likely case now.
        own: The user's limits.
    """
    answer = look.answer
    return (
        *pulled_in_verdicts(look.case, {"now": answer}, (answer,), own),
        *tension_verdicts(look.case, answer, (answer,), own)[1:],
        *turning_verdicts(answer, None, (answer,), own),
        *hollow_verdicts(answer, None, (answer,), own),
        *corner_verdicts(look),
        *join_verdicts(look),
        *seam_verdicts(look),
        buckling_verdict(look),
        timber_verdict(look),
        mass_verdict(look.case, own),
    )


def later_verdicts(likely: Look, later: Look, own: OwnLimits) -> tuple[Verdict, ...]:
    """What a second solve, years on, tells of how bars move.

    Args:
        likely: The likely case now.
        later: The same years on.
        own: The user's limits.
    """
    now, then = likely.answer, later.answer
    both = (now, then)
    found = (
        *pulled_in_verdicts(likely.case, {"now": now, "later": then}, both, own),
        *turning_verdicts(now, then, both, own),
        *hollow_verdicts(now, then, both, own),
    )
    return tuple(verdict for verdict in found if verdict.stage == "years")


@on_one_thread
def all_verdicts(
    cases: AllCases, own: OwnLimits, *, touching: list[Verdict] | None = None
) -> tuple[Verdict, ...]:
    """Every verdict of one work.

    Args:
        cases: The computed cases.
        own: The user's limits.
        touching: What is known already of canvas that touches.

    Returns:
        The verdicts, in the order a person asks.
    """
    case, likely = cases.likely.case, cases.likely
    by_time = {
        "now": cases.at("likely", "now"),
        "later": cases.at("likely", "later"),
        "hard": cases.at("hard", "now"),
    }
    winding = winding_verdict(case, cases.winding, cases.winding_later, cases.later, own)
    strength = (
        *corner_verdicts(likely),
        *join_verdicts(likely),
        *seam_verdicts(likely),
        buckling_verdict(likely),
        timber_verdict(likely),
    )
    moved = (
        *pulled_in_verdicts(case, by_time, cases.answers, own),
        *tension_verdicts(case, likely.answer, cases.answers, own),
        winding,
        wind_verdict(case, winding),
        *turning_verdicts(likely.answer, by_time["later"], cases.answers, own),
        *hollow_verdicts(likely.answer, by_time["later"], cases.answers, own),
    )
    return (
        *(_over_tensions(verdict, case) for verdict in moved),
        *(touching_verdicts(case, likely, own) if touching is None else touching),
        *bears_verdict(case, strength),
        *strength,
        *(() if cases.hung is None else (hung_verdict(case, cases.later.answer, cases.hung),)),
        year_verdict(case),
        mass_verdict(case, own),
    )


_GROWS = frozenset(
    {
        *("pulled-in-now", "pulled-in-later", "pulled-in-span", "tension-lowest"),
        *("turning-in", "turning-in-later", "hollow", "hollow-later"),
    }
)
"""What grows in proportion to the tension, all cloth taut."""


def _over_tensions(verdict: Verdict, case: WorkCase) -> Verdict:
    """A verdict whose range also covers the least and the most tension that may be left."""
    if case.left is None:
        return verdict
    least, most = (tension / case.tension_left for tension in case.left)
    if verdict.key in _GROWS:
        ends = (verdict.low, verdict.high, verdict.value * least, verdict.value * most)
    elif verdict.key == "winding":
        ends = (verdict.low, verdict.high, verdict.value / most, verdict.value / least)
    else:
        return verdict
    return replace(verdict, low=min(ends), high=max(ends))


def varied_verdicts(now: Look, later: Look, own: OwnLimits) -> tuple[Verdict, ...]:
    """What a study counts of one varied case: everything that its own two solves tell.

    Args:
        now: As stretched.
        later: Years on.
        own: The user's limits.
    """
    case = now.case
    winding = winding_verdict(
        case, find_winding(now.system, now.state), find_winding(later.system, later.state), later, own
    )
    pulled = pulled_in_verdicts(
        case, {"now": now.answer, "later": later.answer}, (now.answer, later.answer), own
    )
    return (
        *pulled,
        *tension_verdicts(case, now.answer, (now.answer,), own)[1:],
        winding,
        wind_verdict(case, winding),
        *turning_verdicts(now.answer, later.answer, (now.answer, later.answer), own),
        *hollow_verdicts(now.answer, later.answer, (now.answer, later.answer), own),
        *corner_verdicts(now),
        *join_verdicts(now),
        *seam_verdicts(now),
        buckling_verdict(now),
        timber_verdict(now),
    )
