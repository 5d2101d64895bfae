"""Verdicts on the canvas: tension left, its lowest, its spread, and what the year makes of it."""

from __future__ import annotations

from longpoint.strength.verdicts.cases import CaseAnswer
from longpoint.strength.verdicts.verdict import OwnLimits, Verdict, own_bound
from longpoint.strength.work_case import WorkCase
from longpoint.tables import Tag, limit


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
    lowest, tag, source = own_bound(least, stated)
    return [
        Verdict(
            key="tension-left",
            value=likely.mean[0],
            unit="N/mm",
            low=min(a.mean[0] for a in answers),
            high=max(a.mean[0] for a in answers),
            limit=row.value,
            sense=row.sense,
            source=row.source.text,
            tag=str(Tag(row.source.tag)),
            judge="wish",
            numbers=(("along_x", likely.mean[1] * 1000), ("along_y", likely.mean[2] * 1000)),
        ),
        Verdict(
            key="tension-lowest",
            value=likely.lowest,
            unit="N/mm",
            low=min(a.lowest for a in answers),
            high=max(a.lowest for a in answers),
            limit=lowest,
            sense="at least",
            source=source,
            tag=tag,
            judge="design",
        ),
        Verdict(
            key="tension-spread",
            value=(likely.highest - likely.lowest) / likely.mean[0],
            unit="1",
            low=min((a.highest - a.lowest) / a.mean[0] for a in answers),
            high=max((a.highest - a.lowest) / a.mean[0] for a in answers),
            limit=spread.value,
            sense="at most",
            source=spread.source.text,
            tag=str(Tag(spread.source.tag)),
            judge="design",
            numbers=(("lowest", likely.lowest * 1000), ("highest", likely.highest * 1000)),
        ),
    ]


def year_verdict(case: WorkCase) -> Verdict:
    """The highest tension of the year.

    Args:
        case: The work.
    """
    row = limit("tension left, to")
    high = case.tension_left * case.year[1]
    return Verdict(
        key="year",
        value=high,
        unit="N/mm",
        low=case.tension_left * case.year[0],
        high=high,
        limit=row.value,
        sense="at most",
        source=row.source.text,
        tag=str(Tag(row.source.tag)),
        judge="wish",
    )
