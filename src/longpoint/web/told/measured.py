"""What measures taken at the bench say of a planned work: lengths of what is cut next, press test, orders of stapling.

Plain numbers; pages say them in the reader's language and unit.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from fractions import Fraction
from typing import Any

from longpoint.drawing.words.own_words import sentence_of
from longpoint.errors import FaultsError
from longpoint.frame.members import derive_frame
from longpoint.frame.parts import Part, parts_of
from longpoint.jobs.plan import Plan
from longpoint.jobs.rehearse import compare_on
from longpoint.needs.planned import PlannedWork
from longpoint.stretching.press import advice_of
from longpoint.units import N_PER_METRE
from longpoint.web.told.voices import voice_for
from longpoint.works.brief import briefs_of
from longpoint.works.press_bench import PAD


def told_lengths(
    plan: Plan, code: str, *, bars: float | None, rails: float | None, inside: Mapping[str, float]
) -> dict[str, Any]:
    """Lengths of the parts that are cut to a measure, from what was measured so far.

    Args:
        plan: The plan.
        code: Letters of the work.
        bars: Thickness of its bars as they came; None: as a measured inside length makes it, or as planned. [mm]
        rails: Thickness of its rails as they came; None: as planned. [mm]
        inside: Inside lengths measured, by the mark of the part that goes there. [mm]

    Returns:
        ``rows``: mark, how many of one work, planned, expected now, measured (None where not yet), how far off that is
        (of what stated bars make it, else of the plan), each in mm;
        ``thickness``: that the bars are taken to have [mm]; ``faults``.
    """
    work = _work(plan, code)
    design = work.designed.design
    cut_later = [part for part in work.parts if part.measured]
    came = bars if bars is not None else _implied(work, inside)
    changed = replace(
        design,
        bar_thickness=design.bar_thickness if came is None else _mm(came),
        rail_thickness=design.rail_thickness if rails is None else _mm(rails),
    )
    try:
        now = parts_of(derive_frame(changed), work=work.name, code=code, how_many=work.how_many)
    except FaultsError as error:
        return {"rows": [], "faults": [f"{fault.what} {fault.remedy}".strip() for fault in error.faults]}
    length = {member: part.long_point for part in now for member in part.members}
    rows = [
        {
            "mark": part.mark,
            "count": part.per_work,
            "planned": float(part.long_point),
            "expected": float(length.get(part.members[0], part.long_point)),
            "measured": inside.get(part.mark),
            "off": inside[part.mark]
            - float(length.get(part.members[0], part.long_point) if bars else part.long_point)
            if part.mark in inside
            else 0.0,
        }
        for part in cut_later
    ]
    return {"rows": rows, "thickness": float(changed.bar_thickness), "faults": []}


def _implied(work: PlannedWork, inside: Mapping[str, float]) -> float | None:
    """Thickness that the bars must have where a part between two of them was measured. [mm]"""
    design = work.designed.design
    found = []
    for part in work.parts:
        side = _side_between(part, design.width, design.height, design.bar_thickness)
        if side is not None and part.mark in inside:
            found.append((float(side) - inside[part.mark]) / 2)
    return sum(found) / len(found) if found else None


def _side_between(part: Part, width: Fraction, height: Fraction, bar: Fraction) -> Fraction | None:
    """The side of the frame that a part spans from bar to bar; None where it does not. [mm]"""
    if not part.measured:
        return None
    return next((side for side in (width, height) if part.long_point == side - 2 * bar), None)


def _mm(value: float) -> Fraction:
    return Fraction(value).limit_denominator(10_000)


def told_press(
    plan: Plan, code: str, *, dip: float, mass: float | None, x: float | None, y: float | None,
    language: str, system: str,
) -> dict[str, Any]:  # fmt: skip
    """What a press test says of a stretched canvas: the same answer as ``longpoint press``.

    Args:
        plan: The plan.
        code: Letters of the work.
        dip: How much lower the pad lies with the mass than without. [mm]
        mass: What was laid on, pad included; None: as proposed. [g]
        x: Middle of the pad from the left edge of the face; None: as proposed. [mm]
        y: Middle of the pad from the lower edge; None: as proposed. [mm]
        language: Two letters, for what there is to mind.
        system: mm, cm or in.

    Returns:
        Tensions in N/m (``tension``, ``low``, ``high``, ``wished``, ``bears``, None where that was not computed),
        ``verdict``, ``sure``, ``advice``: key of what to do, ``mind``: sentences; or ``faults``: code and
        words of each.
    """
    work = _work(plan, code)
    bench = work.canvas.bench
    try:
        if mass is None or x is None or y is None:
            laid = bench.proposed()
            mass, x, y = (
                1000 * laid.mass if mass is None else mass,
                laid.x if x is None else x,
                laid.y if y is None else y,
            )
        answer = bench.answer(x=x, y=y, mass=mass / 1000, pad=PAD, deep=dip)
    except FaultsError as error:
        return {"faults": [(fault.code, f"{fault.what} {fault.remedy}".strip()) for fault in error.faults]}
    say = voice_for(language, system)
    bears = work.designed.bears
    return {
        "tension": N_PER_METRE * answer.tension,
        "low": N_PER_METRE * answer.low,
        "high": N_PER_METRE * answer.high,
        "wished": N_PER_METRE * bench.tension,
        "bears": None if bears is None else round(N_PER_METRE * bears, -1),
        "verdict": answer.verdict,
        "sure": answer.sure,
        "advice": advice_of(answer.tension),
        "mass": mass,
        "mind": [sentence_of(caution, say) for caution in answer.cautions],
        "faults": [],
    }


def told_orders(plan: Plan, code: str) -> dict[str, Any]:
    """The usual orders of stapling, and the batch's own, rehearsed on the frame of one work.

    Args:
        plan: The plan.
        code: Letters of the work.

    Returns:
        ``rows``: figures of each order, most even first, as `OrderRow` has them; ``tear_load`` [N]; ``wetted``;
        ``printed``: name of the order that the plan prints; or ``faults``.
    """
    work = _work(plan, code)
    try:
        found = compare_on(
            briefs_of(plan.batch)[work.index],
            designed=work.designed,
            frame=work.frame,
            canvas=work.canvas,
            improving=False,
        )
    except FaultsError as error:
        return {"faults": [f"{fault.what} {fault.remedy}".strip() for fault in error.faults]}
    comparison = found.comparison
    return {
        "rows": [asdict(row) for row in comparison.rows],
        "tear_load": comparison.tear_load,
        "wetted": found.wetted,
        "printed": work.canvas.stapling.order.name,
        "faults": [],
    }


def _work(plan: Plan, code: str) -> PlannedWork:
    return next(one for one in plan.works if one.code == code)
