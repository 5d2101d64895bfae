"""Verdicts on how bars move: pulled in, turned in, hollow."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import degrees

import numpy as np

from longpoint.strength.verdicts.cases import CaseAnswer
from longpoint.strength.verdicts.verdict import Bound, OwnLimits, Verdict, bound_of, judged
from longpoint.strength.work_case import Bay, WorkCase
from longpoint.tables import limit


def pulled_in_verdicts(
    case: WorkCase, by_time: dict[str, CaseAnswer], answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    """The bay drawn in most, at each time asked for and over its own length.

    Args:
        case: The work.
        by_time: Answers under "now" and, where known, "later" and "hard".
        answers: Every case, for the spread.
        own: The user's limits.
    """
    found = []
    base = limit("pulled in, now").value
    for time, row_name in (
        ("now", "pulled in, now"),
        ("later", "pulled in, long run"),
        ("hard", "pulled in, hard"),
    ):
        if time not in by_time:
            continue
        answer, row = by_time[time], limit(row_name)
        bound = bound_of(row, own.pulled_in, factor=row.value / base)
        index = int(np.argmax(np.abs(answer.bays)))
        bay = case.bays[index]
        if time == "now":
            spread = [a.bays[index] for a in answers]
        elif time == "later":
            spread = [a.bays[index] for a in answers if a.when == "later"]
        else:
            spread = [a.bays[index] for a in answers if a.case == "hard"]
        bow = case.natural_bow * _bar_length(case, bay) ** 2
        found.append(
            judged(
                f"pulled-in-{time}",
                float(answer.bays[index]),
                "mm",
                bound,
                low=float(min(spread)),
                high=float(max(spread)),
                numbers=(
                    ("bay", bay.number),
                    ("of", bay.of),
                    ("length", bay.length),
                    ("bow", bow),
                    ("with_bow", float(answer.bays[index]) - bow),
                ),
                place=bay.bar,
            )
        )
    answer, row = by_time["now"], limit("pulled in, of span")
    shares = [abs(value) / bay.length for value, bay in zip(answer.bays, case.bays, strict=True)]
    index = int(np.argmax(shares))
    bay = case.bays[index]
    found.append(
        judged(
            "pulled-in-span",
            float(abs(answer.bays[index])),
            "mm",
            replace(bound_of(row), value=row.value * bay.length),
            low=float(min(abs(a.bays[index]) for a in answers)),
            high=float(max(abs(a.bays[index]) for a in answers)),
            numbers=(("bay", bay.number), ("of", bay.of), ("length", bay.length), ("share", 1 / row.value)),
            place=bay.bar,
        )
    )
    return found


def _bar_length(case: WorkCase, bay: Bay) -> float:
    return case.width if bay.bar.startswith(("bottom", "top")) else case.height


def turning_verdicts(
    likely: CaseAnswer, later: CaseAnswer | None, answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    """How far the bar turned in most leans, now and years on.

    Args:
        likely: The likely case now.
        later: The likely case years on; None where it was not solved.
        answers: Every case, for the spread.
        own: The user's limits.
    """
    bound = bound_of(limit("turning in"), own.turning_in)
    return _now_and_later("turning-in", "deg", bound, likely, later, answers, lambda a: degrees(a.turning_in))


def hollow_verdicts(
    likely: CaseAnswer, later: CaseAnswer | None, answers: tuple[CaseAnswer, ...], own: OwnLimits
) -> list[Verdict]:
    """How far the bar bent most off the wall departs from its ends, now and years on.

    Args:
        likely: The likely case now.
        later: The likely case years on; None where it was not solved.
        answers: Every case, for the spread.
        own: The user's limits.
    """
    return _now_and_later(
        "hollow", "mm", bound_of(limit("hollow"), own.hollow), likely, later, answers, lambda a: a.hollow
    )


def _now_and_later(
    key: str,
    unit: str,
    bound: Bound,
    likely: CaseAnswer,
    later: CaseAnswer | None,
    answers: tuple[CaseAnswer, ...],
    read: Callable[[CaseAnswer], float],
) -> list[Verdict]:
    found = []
    for name, answer, when in ((key, likely, "now"), (f"{key}-later", later, "later")):
        if answer is not None:
            spread = [read(a) for a in answers if a.when == when]
            found.append(judged(name, read(answer), unit, bound, low=min(spread), high=max(spread)))
    return found


def hung_verdict(case: WorkCase, later: CaseAnswer, hung: CaseAnswer) -> Verdict:
    """How far the bar drawn in most comes as it hangs.

    Args:
        case: The work.
        later: Lying, years on.
        hung: The same hung up.
    """
    row = limit("pulled in, long run")
    index = int(np.argmax(np.abs(hung.bays)))
    change = hung.bays - later.bays
    most = int(np.argmax(np.abs(change)))
    return judged(
        "hung",
        float(hung.bays[index]),
        "mm",
        bound_of(row),
        low=float(min(later.bays[index], hung.bays[index])),
        high=float(max(later.bays[index], hung.bays[index])),
        numbers=(
            ("weighs", float(abs(change[most]))),
            ("hollow_lying", later.hollow),
            ("hollow_hung", hung.hollow),
        ),
        place=case.bays[index].bar,
    )
