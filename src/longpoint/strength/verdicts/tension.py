"""Verdicts on the canvas: tension left, its lowest, its spread, and what the year makes of it."""

from __future__ import annotations

from longpoint.strength.verdicts.cases import CaseAnswer
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, bound_of, judged
from longpoint.strength.work_case import WorkCase
from longpoint.tables import limit


def tension_verdicts(
    case: WorkCase, likely: CaseAnswer, answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    """The mean tension left, the lowest, and how evenly it is spread; in this order.

    Args:
        case: The work.
        likely: The likely case now.
        answers: Every case, for the spread.
        own: The user's limits.
    """
    low, high = limit("tension left, from"), limit("tension left, to")
    row = high if case.tension_left * case.tension_left > low.value * high.value else low
    least = limit("least tension anywhere")
    spread = limit("tension spread")
    stated = None if own.tension_low is None else own.tension_low * likely.mean[0]
    bound = bound_of(least, stated)
    return [
        judged(
            "tension-left",
            likely.mean[0],
            "N/mm",
            bound_of(row),
            low=min(a.mean[0] for a in answers) if case.left is None else case.left[0],
            high=max(a.mean[0] for a in answers) if case.left is None else case.left[1],
            judge="wish",
            numbers=(("along_x", likely.mean[1] * 1000), ("along_y", likely.mean[2] * 1000)),
        ),
        judged(
            "tension-lowest",
            likely.lowest,
            "N/mm",
            bound,
            low=min(a.lowest for a in answers),
            high=max(a.lowest for a in answers),
        ),
        judged(
            "tension-spread",
            (likely.highest - likely.lowest) / likely.mean[0],
            "1",
            bound_of(spread),
            low=min((a.highest - a.lowest) / a.mean[0] for a in answers),
            high=max((a.highest - a.lowest) / a.mean[0] for a in answers),
            numbers=(("lowest", likely.lowest * 1000), ("highest", likely.highest * 1000)),
        ),
    ]


def year_verdict(case: WorkCase) -> Verdict:
    """The highest tension of the year.

    Args:
        case: The work.
    """
    row = limit("tension left, to")
    lowest = case.tension_left + min(case.year[0], 0.0)
    return judged(
        "year",
        case.highest,
        "N/mm",
        bound_of(row),
        low=max(lowest, 0.0),
        high=case.highest,
        judge="wish",
    )
