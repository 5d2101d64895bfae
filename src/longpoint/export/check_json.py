"""What ``longpoint check --json`` prints: numbers in mm, N/mm, degrees, N, kg; sentences in the batch's language."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from longpoint.choosing.answer import Other
from longpoint.drawing.words.choice import reason_words
from longpoint.drawing.words.strength import answer_words, design_words
from longpoint.drawing.words.voice import Voice, voice_of
from longpoint.export.rows.verdicts import six_figures, tension_rows, verdict_rows
from longpoint.jobs.check import Checked
from longpoint.model.batch import Batch
from longpoint.strength.study import StudyResult
from longpoint.strength.verdicts.cases import CaseAnswer


def checked_json(batch: Batch, checked: tuple[Checked, ...], studies: Mapping[str, StudyResult]) -> str:
    """Everything as JSON: numbers in mm, N/mm, degrees, N, kg; sentences in the batch's language.

    Args:
        batch: What was stated.
        checked: The works.
        studies: Studies by the name of the work.
    """
    say = voice_of(batch.language, batch.style)
    works = [_work(item, batch, say, studies.get(item.name)) for item in checked]
    return json.dumps({"version": 2, "title": batch.title, "works": works}, ensure_ascii=False, indent=1)


def _work(item: Checked, batch: Batch, say: Voice, study: StudyResult | None) -> dict[str, Any]:
    strength = item.chosen.strength
    found: dict[str, Any] = {
        "name": item.name,
        "width": float(item.width),
        "height": float(item.height),
        "design": design_words(item.chosen.design, say),
        "answer": strength.answer,
        "says": answer_words(strength.verdicts, say),
        "passes": strength.passes,
        "stated": strength.stated,
        "reason": reason_words(item.chosen, batch, batch.work[item.index], say),
        "decided_by": None if strength.decided is None else strength.decided.key,
        "solved": strength.solved,
        "price": strength.price.money,
        "timber_metres": round(strength.price.timber, 3),
        "verdicts": [
            row.model_dump(mode="json")
            for row in verdict_rows(strength.verdicts, say, currency=batch.currency)
        ],
        "tensions": [row.model_dump(mode="json") for row in tension_rows(strength.tensions)],
        "cases": [_case(a) for a in strength.cases.answers],
        "bays": [
            {
                "bar": b.bar,
                "number": b.number,
                "of": b.of,
                "start": six_figures(b.start),
                "stop": six_figures(b.stop),
            }
            for b in strength.case.bays
        ],
        "prestress": six_figures(strength.cases.likely.prestress),
        "residual": strength.cases.likely.state.residual,
        "rivals": [_other(o, say) for o in strength.rivals],
        "unbeaten": [_other(o, say) for o in strength.unbeaten],
    }
    if study is not None:
        found["study"] = study.as_values()
    return found


def _case(answer: CaseAnswer) -> dict[str, Any]:
    return {
        "case": answer.case,
        "when": answer.when,
        "pulled_in": [six_figures(float(value)) for value in answer.bays],
        "turning_in_rad": six_figures(answer.turning_in),
        "hollow": six_figures(answer.hollow),
        "tension_mean": six_figures(answer.mean[0]),
        "tension_along_x": six_figures(answer.mean[1]),
        "tension_along_y": six_figures(answer.mean[2]),
        "tension_lowest": six_figures(answer.lowest),
        "tension_highest": six_figures(answer.highest),
    }


def _other(other: Other, say: Voice) -> dict[str, Any]:
    return {
        "design": design_words(other.option.design, say),
        "costs_more": None if other.more is None else round(other.more, 2),
        "timber_mass": round(other.mass, 2),
        "pulled_in": six_figures(other.pulled_in),
        "passes": other.passes,
        "misses": None if other.misses is None else other.misses.key,
        "could_not": other.broken,
    }
