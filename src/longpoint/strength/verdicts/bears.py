"""Verdict on the tension that frame and joints bear, at every stage of the work."""

from __future__ import annotations

from collections.abc import Iterable

from longpoint.strength.verdicts.verdict import STRENGTH, Bound, Verdict, judged
from longpoint.strength.work_case import WorkCase


def bears_verdict(case: WorkCase, verdicts: Iterable[Verdict]) -> tuple[Verdict, ...]:
    """The tension at which the first limit of strength is reached, against the highest of any stage.

    Every force grows with the tension, so a limit that is used up by half is reached at twice of it.

    Args:
        case: The work.
        verdicts: Its other verdicts.

    Returns:
        The verdict; nothing where no limit of strength is judged.
    """
    likely = case.peak * case.tension_left
    used = [v for v in verdicts if v.key in STRENGTH and v.limit is not None]
    if not used:
        return ()
    first = max(used, key=lambda v: (v.use, v.key))
    bears = likely / max(first.use, 1e-6)
    most = likely * case.hard
    return (
        judged(
            "bears",
            likely,
            "N/mm",
            Bound(bears, "at most", "", "computed"),
            low=case.tension_left if case.left is None else min(case.left[0], likely),
            high=most,
            judge="bench",
            numbers=(("bears", bears * 1000), ("most", most * 1000), ("water", float(case.watered))),
            place=first.key,
        ),
    )
