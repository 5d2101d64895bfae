"""Every work of a batch with its building and canvas, rehearsed where that is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.rejudge import rejudged
from longpoint.errors import Fault
from longpoint.needs.planned import PlannedWork
from longpoint.works.brief import Brief
from longpoint.works.canvas import NOTHING_PROVEN, CanvasPlan, Proven
from longpoint.works.designed import Designed, Say
from longpoint.works.draft import draft_of
from longpoint.works.printed_order import (
    Answer,
    MapToRehearse,
    PrintedRehearsal,
    SideBySide,
    map_to_rehearse,
    rehearsed_maps,
)
from longpoint.works.tension import as_rehearsed


def planned_works(
    briefs: Sequence[Brief], designs: Sequence[Designed], *, rehearse: SideBySide | None, say: Say
) -> tuple[tuple[PlannedWork, ...], list[Fault]]:
    """Every work with its building and canvas; what stands against any of them is collected."""
    works: list[PlannedWork] = []
    faults: list[Fault] = []
    maps: list[MapToRehearse] = []
    for brief, designed in zip(briefs, designs, strict=True):
        work, draft = brief.work, draft_of(brief, designed)
        build = draft.build()
        canvas = draft.canvas(
            joints=build.joints,
            proven=_proven(designed),
            pressing=rehearse is None,
        )
        faults += build.faults
        if not isinstance(canvas, CanvasPlan):
            faults += canvas
            continue
        maps.append(map_to_rehearse(brief, designed=designed, frame=draft.frame, canvas=canvas))
        works.append(
            PlannedWork(
                index=brief.index,
                name=work.name,
                code=draft.code,
                how_many=work.how_many,
                notes=work.notes,
                in_set=brief.in_set,
                bevel_by=brief.bars.bevel_by,
                designed=designed,
                frame=draft.frame,
                parts=draft.parts,
                cloth=draft.cloth,
                piece=draft.piece,
                build=build,
                canvas=canvas,
                mass=draft.mass.likely,
                strength=designed.strength if isinstance(designed, ChosenDesign) else None,
            )
        )
    if rehearse is None or faults:  # what cannot be built is told at once, not after minutes
        return tuple(works), faults
    answers: list[Answer] = rehearsed_maps(maps, run=rehearse, say=say)
    planned: list[PlannedWork] = []
    again: dict[object, Designed] = {}
    for planned_work, answer in zip(works, answers, strict=True):
        if isinstance(answer, tuple):
            faults += answer
        else:
            planned.append(_as_rehearsed(briefs[planned_work.index], planned_work, answer, again))
    return tuple(planned), faults


def _as_rehearsed(
    brief: Brief, work: PlannedWork, found: PrintedRehearsal, again: dict[object, Designed]
) -> PlannedWork:
    """A work with its verdicts and canvas pages drawn from what its rehearsal leaves; alike works are judged once."""
    tensions = as_rehearsed(brief, found.means)
    draft = draft_of(brief, work.designed)
    designed = work.designed
    if isinstance(designed, ChosenDesign):
        key = (id(designed.strength), tensions)
        if key not in again:
            again[key] = rejudged(draft, designed, tensions)
        designed = again[key]
    canvas = draft.canvas(joints=work.build.joints, tensions=tensions, proven=_proven(designed))
    assert isinstance(canvas, CanvasPlan)
    return replace(
        work,
        designed=designed,
        canvas=canvas,
        rehearsed=found,
        strength=designed.strength if isinstance(designed, ChosenDesign) else None,
    )


def _proven(designed: Designed) -> Proven:
    if not isinstance(designed, ChosenDesign):
        return NOTHING_PROVEN
    touching = [verdict for verdict in designed.strength.verdicts if verdict.key.startswith("touch-")]
    missed = [verdict.value for verdict in touching if verdict.use > 1]
    return Proven(designed.strength.passes, min(missed, default=inf) if touching else None)
