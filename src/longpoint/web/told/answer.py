"""How one work stands, for the page on which it is being said."""

from __future__ import annotations

from typing import Any

from longpoint.drawing.views.frame import back_view
from longpoint.drawing.words.choice import to_buy
from longpoint.drawing.words.strength import amount, answer_words, design_words, verdict_name
from longpoint.drawing.words.voice import Voice
from longpoint.export.shapes.svg import svg_of
from longpoint.jobs.answer import Answered
from longpoint.model.batch import Batch
from longpoint.strength.verdicts.verdict import answer_of

_ROOM = (120.0, 90.0)

_FIGURES = (
    "pulled-in-now",
    "pulled-in-later",
    "tension-left",
    "tension-lowest",
    "tension-spread",
    "touch-rail",
)
"""Verdicts whose figures answer while a rail is moved."""


def told_answer(batch: Batch, answered: Answered, say: Voice) -> dict[str, Any]:
    """An answer as plain values.

    Args:
        batch: The batch.
        answered: The answer.
        say: How the page speaks.
    """
    draft = answered.draft
    design = draft.designed.design
    price = answered.price
    strength = None if answered.chosen is None else answered.chosen.strength
    words = answer_words(answered.verdicts, say) if answered.verdicts else ""
    if strength is not None and (buy := to_buy(strength, batch.currency, say)):
        words = f"{words} {buy}"
    money = None if price is None or price.money is None else say.number(price.money, places=2)
    view = back_view(draft.frame, draft.parts, say=say, room=_ROOM)
    return {
        "answer": answer_of(answered.verdicts) if answered.verdicts else "",
        "words": words,
        "design": design_words(design, say),
        "face": say.face(design.width, design.height),
        "cloth": say.face(draft.piece.width, draft.piece.height),
        "mass": say.mass(draft.mass.likely, unit=True),
        "money": "" if money is None else f"{money} {batch.currency}".strip(),
        "timber": "" if price is None else say.run(price.timber * 1000),
        "hours": "" if price is None else say.number(price.hours, places=1),
        "figures": [
            [verdict_name(verdict, say), amount(verdict.value, verdict, say)]
            for verdict in answered.verdicts
            if verdict.key in _FIGURES
        ],
        "solved": 0 if strength is None else strength.solved,
        "svg": svg_of(view, title=f"{batch.work[draft.brief.index].name}. {view.title}", standalone=False),
        "faults": {},
    }


def told_faults(faults: dict[str, list[str]]) -> dict[str, Any]:
    """What stands against a work, by the field it belongs to."""
    return {"answer": "", "faults": faults}
