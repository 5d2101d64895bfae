"""One wish: does each work of a batch hold and stay flat?"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import isfinite
from typing import Any

from longpoint.drawing.strength_words import (
    design_words,
    limit_words,
    remedy_words,
    verdict_sentence,
)
from longpoint.drawing.voice import Voice, voice_of
from longpoint.errors import Fault, FaultsError, Where
from longpoint.jobs.choose import ComputedChooser
from longpoint.jobs.choose_answer import ChosenDesign, Other
from longpoint.model.batch import Batch
from longpoint.strength.study import StudyResult
from longpoint.strength.verdicts.cases import CaseAnswer
from longpoint.strength.verdicts.verdict import Verdict
from longpoint.works.stock import stock_faults


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """One work, checked.

    Attributes:
        name: Its name.
        width: Of the face. [mm]
        height: Of the face. [mm]
        chosen: Its design with what was computed.
    """

    name: str
    width: Fraction
    height: Fraction
    chosen: ChosenDesign


def check_batch(
    batch: Batch, *, works: tuple[str, ...] = (), say: Callable[[str], None] = lambda _text: None
) -> tuple[Checked, ...]:
    """Checks the works of a batch.

    Args:
        batch: What is stated.
        works: Names of the works wanted; () for all.
        say: Told what is being done.

    Returns:
        The works, in the order of the batch file.

    Raises:
        FaultsError: With everything that stands against it.
    """
    faults: list[Fault] = [*stock_faults(batch), *unknown_works(batch, works)]
    if faults:
        raise FaultsError(faults)
    chooser = ComputedChooser(say)
    checked = []
    for index, work in enumerate(batch.work):
        if works and work.name not in works:
            continue
        say(f"Computing {work.name}")
        found = chooser(batch, index)
        if isinstance(found, ChosenDesign):
            checked.append(Checked(work.name, work.width, work.height, found))
        else:
            assert isinstance(found, tuple)
            faults += found
    if faults:
        raise FaultsError(dict.fromkeys(faults))
    return tuple(checked)


def unknown_works(batch: Batch, works: tuple[str, ...]) -> tuple[Fault, ...]:
    """Works that are wanted and not there."""
    names = [work.name for work in batch.work]
    return tuple(
        Fault(
            "unknown-work",
            f"there is no work called {name!r}.",
            f"Its works are: {', '.join(names)}.",
            Where("--work"),
        )
        for name in works
        if name not in names
    )


def checked_json(batch: Batch, checked: tuple[Checked, ...], studies: Mapping[str, StudyResult]) -> str:
    """Everything as JSON: numbers in mm, N/mm, degrees, N, kg; sentences in the batch's language.

    Args:
        batch: What was stated.
        checked: The works.
        studies: Studies by the name of the work.
    """
    say = voice_of(batch.language, batch.style)
    works = [_work(item, batch, say, studies.get(item.name)) for item in checked]
    return json.dumps({"version": 1, "title": batch.title, "works": works}, ensure_ascii=False, indent=1)


def _work(item: Checked, batch: Batch, say: Voice, study: StudyResult | None) -> dict[str, Any]:
    strength = item.chosen.strength
    found: dict[str, Any] = {
        "name": item.name,
        "width": float(item.width),
        "height": float(item.height),
        "design": design_words(item.chosen.design, say),
        "passes": strength.passes,
        "stated": strength.stated,
        "reason": item.chosen.reason,
        "decided_by": None if strength.decided is None else strength.decided.key,
        "solved": strength.solved,
        "price": strength.price.money,
        "timber_metres": round(strength.price.timber, 3),
        "verdicts": [_verdict(v, batch, say) for v in strength.verdicts],
        "cases": [_case(a) for a in strength.cases.answers],
        "bays": [
            {"bar": b.bar, "number": b.number, "of": b.of, "start": _round(b.start), "stop": _round(b.stop)}
            for b in strength.case.bays
        ],
        "prestress": _round(strength.cases.likely.prestress),
        "residual": strength.cases.likely.state.residual,
        "rivals": [_other(o, say) for o in strength.rivals],
        "unbeaten": [_other(o, say) for o in strength.unbeaten],
    }
    if study is not None:
        found["study"] = study.as_values()
    return found


def _verdict(verdict: Verdict, batch: Batch, say: Voice) -> dict[str, Any]:
    remedy = verdict.remedy
    return {
        "key": verdict.key,
        "says": verdict_sentence(verdict, say),
        "value": _round(verdict.value),
        "unit": verdict.unit,
        "low": _round(verdict.low),
        "high": _round(verdict.high),
        "limit": None if verdict.limit is None else _round(verdict.limit),
        "sense": verdict.sense,
        "held_against": limit_words(verdict, say),
        "source": verdict.source,
        "how_sure": verdict.tag,
        "judge": verdict.judge,
        "passes": verdict.passes,
        "place": verdict.place,
        "numbers": {name: _round(number) for name, number in verdict.numbers},
        "remedy": None
        if remedy is None
        else {
            "says": remedy_words(remedy, verdict, say, currency=batch.currency),
            "what": list(remedy.what),
            "value": _round(remedy.value),
            "price": None if remedy.price is None else round(remedy.price, 2),
            "timber_metres": round(remedy.timber, 3),
        },
    }


def _case(answer: CaseAnswer) -> dict[str, Any]:
    return {
        "case": answer.case,
        "when": answer.when,
        "pulled_in": [_round(float(value)) for value in answer.bays],
        "turning_in_rad": _round(answer.turning_in),
        "hollow": _round(answer.hollow),
        "tension_mean": _round(answer.mean[0]),
        "tension_along_x": _round(answer.mean[1]),
        "tension_along_y": _round(answer.mean[2]),
        "tension_lowest": _round(answer.lowest),
        "tension_highest": _round(answer.highest),
    }


def _other(other: Other, say: Voice) -> dict[str, Any]:
    return {
        "design": design_words(other.option.design, say),
        "costs_more": None if other.more is None else round(other.more, 2),
        "timber_mass": round(other.mass, 2),
        "pulled_in": _round(other.pulled_in),
        "passes": other.passes,
        "misses": None if other.misses is None else other.misses.key,
        "could_not": other.broken,
    }


def _round(value: float) -> float | None:
    """Six significant digits: what a reader can use, and the same on every machine; None where nothing was solved."""
    return float(f"{value:.6g}") if isfinite(value) else None
