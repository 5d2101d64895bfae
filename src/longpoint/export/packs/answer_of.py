"""Whether a work holds, in the one line that stands on its sheet."""

from __future__ import annotations

from longpoint.drawing.sheets.work_sheet import WorkAnswer
from longpoint.drawing.words.choice import changed_words, to_buy
from longpoint.drawing.words.strength import (
    amount,
    bound_words,
    doubts_of,
    miss_words,
    place_words,
    verdict_name,
    way_out_words,
)
from longpoint.drawing.words.voice import Voice
from longpoint.needs.planned import PlannedWork
from longpoint.tables import limit


def answer_of(work: PlannedWork, say: Voice, *, currency: str) -> WorkAnswer:
    """The answer for a work: holds, holds but mind something, or does not and what would.

    Args:
        work: The work.
        say: How the sheet speaks.
        currency: Behind the price of what would.
    """
    wind = limit("wind").value
    if work.strength is None:
        return WorkAnswer(status="by-rule", line=say("work-sheet.by-rule-line"), wind=wind)
    verdicts = work.strength.verdicts
    found = {verdict.key: verdict for verdict in verdicts}
    pulled = found["pulled-in-now"]
    string = (place_words(pulled, say), abs(pulled.value), pulled.limit or limit("pulled in, now").value)
    if "wind" in found and found["wind"].limit is not None:
        wind = found["wind"].number("allowed")
    reasons = say("work-sheet.reasons")
    doubts = doubts_of(verdicts, say, texts="answer-short")
    changed = ""
    if (instead := work.strength.instead) is not None:
        changed = changed_words(work.strength.option, instead, currency, say) + " "
    missed = [v for v in verdicts if v.answer == "not" and v.judge == "design"]
    if missed:
        worst = max(missed, key=lambda verdict: (verdict.use, verdict.key))
        remedy = to_buy(work.strength, currency, say) or way_out_words(worst, say, currency=currency)
        misses = miss_words(worst, say)
        if len(missed) > 1:
            misses += say("work-sheet.more-misses", count=len(missed) - 1)
        line = say("work-sheet.holds-not-line", misses=misses, remedy=remedy, reasons=reasons)
        return WorkAnswer(status="holds-not", line=line, string=string, wind=wind)
    if doubts:
        line = changed + say("work-sheet.holds-unless-line", doubts=doubts, reasons=reasons)
        return WorkAnswer(status="holds-unless", line=line, string=string, wind=wind)
    judged = [verdict for verdict in verdicts if verdict.passes is not None]
    nearest = max(judged, key=lambda verdict: verdict.use)
    line = changed + say(
        "work-sheet.holds-line",
        judged=len(judged),
        name=verdict_name(nearest, say),
        value=amount(nearest.value, nearest, say),
        bound=bound_words(nearest, say),
        reasons=reasons,
    )
    return WorkAnswer(status="holds", line=line, string=string, wind=wind)
