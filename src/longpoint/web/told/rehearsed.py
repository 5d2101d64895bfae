"""A stapling order rehearsed run by run, as numbers that a page plays."""

from __future__ import annotations

from typing import Any

from longpoint.errors import FaultsError
from longpoint.jobs.plan import Plan
from longpoint.needs.planned import PlannedWork
from longpoint.threads import on_one_thread
from longpoint.works.brief import briefs_of
from longpoint.works.rehearse_bench import rehearsal_bench


@on_one_thread
def told_rehearsal(plan: Plan, code: str) -> dict[str, Any]:
    """Rehearses the printed order of one work and tells what stands after each run.

    Args:
        plan: The plan.
        code: Letters of the work.

    Returns:
        ``runs``: number, mean tension level and upright [N/m], part of the face that is taut, a map of the mean
        tension [N/m], how far bottom, right, top and left bar are drawn in [mm], the greatest load on a staple [N];
        ``end``: the same once it has settled or dried; ``faults``: what stands against it.
    """
    work = next(one for one in plan.works if one.code == code)
    try:
        return _rehearsed(plan, work)
    except FaultsError as error:
        return {"runs": [], "faults": [f"{fault.what} {fault.remedy}" for fault in error.faults]}


def _rehearsed(plan: Plan, work: PlannedWork) -> dict[str, Any]:
    stapling = work.canvas.stapling
    bench = rehearsal_bench(
        briefs_of(plan.batch)[work.index],
        designed=work.designed,
        frame=work.frame,
        canvas=work.canvas,
        full_pull=stapling.full_pull,
    )
    found = bench.one(stapling.order, maps=True).rehearsal
    runs: dict[int, dict[str, Any]] = {}
    for step in found.steps:  # the last staple of a run tells what the run leaves
        runs[step.run] = {
            "number": step.run,
            "level": round(1000 * step.mean_level),
            "upright": round(1000 * step.mean_upright),
            "taut": round(step.taut, 3),
            "drawn_in": [round(max(value, 0.0), 3) for value in step.pulled_in],
            "staple": round(step.worst_staple, 1),
        }
    for number, values in enumerate(found.maps, start=1):
        if number in runs:  # mean of both directions, rows from below
            runs[number]["map"] = [[round(max(500 * float(x + y), 0.0)) for x, y in row] for row in values]
    end = {
        "level": round(1000 * found.left.mean_level),
        "upright": round(1000 * found.left.mean_upright),
        "drawn_in": [round(max(value, 0.0), 3) for value in found.pulled_in],
        "staple": round(found.peak_load[0], 1),
    }
    return {"runs": list(runs.values()), "end": end, "faults": []}
