"""Measured values beside planned ones, each with a verdict and what to do.

Values are only added; the last of a thing is what it measures now. What a plan says is kept with each value, so that
a later plan does not change what was judged.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import func, select

from longpoint.errors import Fault, FaultsError
from longpoint.joinery.square import MeasuredFrame, check_square
from longpoint.joinery.wind import check_wind
from longpoint.store.book.document import WorkOf, works_of
from longpoint.store.book.plans import begun
from longpoint.store.book.ticks import copy_row, new_uid
from longpoint.store.opening import Desk
from longpoint.store.tables import Measured
from longpoint.tables.canvas import named_tension
from longpoint.units import N_PER_METRE

Answer = Literal["good", "watch", "act", "noted"]

UNITS: dict[str, str] = {
    **dict.fromkeys(("bottom", "right", "top", "left", "rising", "falling", "wind"), "mm"),
    **{f"string {side}": "mm" for side in ("bottom", "right", "top", "left")},
    "dip": "mm",
    "press tension": "N/m",
    "water tension": "N/m",
    "shrinkage": "",
    "stiffness": "N/m",
    "mass": "kg",
    **{
        f"hours {stage}": "h"
        for stage in ("saw", "build", "join", "corners", "halves", "inside", "stretch", "coat")
    },
    "hours": "h",
    "staples": "",
    "glue": "g",
    "bow": "mm/m",
    "crook": "mm/m",
}
"""What can be measured and in which unit; a share has none."""

ABOUT = ("water tension", "shrinkage", "stiffness", "bow", "crook")
"""What is measured of a cloth or a timber, named instead of a copy of a work."""

SIDE_GOOD, SIDE_WATCH = 1.0, 2.0
"""How far a side may be off: up to the first it is as planned, up to the second it fits with care. [mm] Estimate."""

MOST = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A measured value, what was planned, and what it means.

    Attributes:
        what: What was measured, a key of `UNITS`.
        value: In the unit of ``what``.
        unit: That unit.
        planned: What the plan says; None where it says nothing.
        low: Least that the plan allows; None where it says nothing.
        high: Most.
        answer: ``good``, ``watch``, ``act``; ``noted`` where nothing is held against it.
        do: What to do; "" where nothing.
        at: When it was measured.
        who: By whom.
        note: Remark.
        about: The cloth or timber, where it is no copy of a work.
    """

    what: str
    value: float
    unit: str
    planned: float | None
    low: float | None
    high: float | None
    answer: Answer
    do: str
    at: datetime
    who: str
    note: str
    about: str = ""


@dataclass(frozen=True, slots=True)
class Planned:
    """What a plan says of a value: likely, least, most."""

    likely: float | None = None
    low: float | None = None
    high: float | None = None


def measure(
    desk: Desk, what: str, value: float, *, label: str = "", about: str = "", note: str = "", uid: str = "",
    at: datetime | None = None,
) -> Value:  # fmt: skip
    """A value was measured.

    Args:
        desk: A transaction that writes.
        what: A key of `UNITS`.
        value: In its unit.
        label: Of the copy of a work.
        about: The cloth or timber instead.
        note: Remark.
        uid: Mark made where it was measured, so that it counts once; "" makes one.
        at: When, where that was before it could be sent.

    Returns:
        The value with what it means.

    Raises:
        FaultsError: If it is not known what was measured, or of what.
    """
    faults: list[Fault] = []
    if what not in UNITS:
        faults.append(
            Fault("no-such-measure", f"{what!r} is not measured.", f"Use one of: {', '.join(UNITS)}.")
        )
    if not math.isfinite(value) or not 0 <= value <= MOST:
        faults.append(Fault("not-a-measure", f"{value:g} cannot be.", "Measure it again."))
    if about and what in UNITS and what not in ABOUT:
        faults.append(
            Fault("measured-of-what", f"{what} is measured of a work.", "Name the label of a copy.")
        )
    if bool(label) == bool(about):
        faults.append(
            Fault("measured-of-what", "it is not said of what it was measured.", "Name a work or a cloth.")
        )
    if faults:
        raise FaultsError(faults)
    if uid and desk.session.scalar(select(Measured.id).where(Measured.uid == uid)) is not None:
        return next(one for one in _values(desk, Measured.uid == uid))
    row = copy_row(desk, label) if label else None
    work = None if row is None else _work(desk, row.batch_id, row.work)
    planned = Planned() if work is None else planned_of(work, what)
    made = Measured(
        uid=uid or new_uid(), copy_id=None if row is None else row.id, about=about, what=what, value=float(value),
        planned=planned.likely, note=note, at=at or desk.now, who=desk.who,
    )  # fmt: skip
    desk.session.add(made)
    desk.session.flush()
    if label:
        return next(one for one in values_of(desk, label) if one.what == what)
    return _values(desk, Measured.id == made.id)[0]


def values_of(desk: Desk, label: str) -> list[Value]:
    """The last value of everything that was measured of a copy, judged together."""
    row = copy_row(desk, label)
    newest = select(func.max(Measured.id)).where(Measured.copy_id == row.id).group_by(Measured.what)
    rows = desk.session.scalars(select(Measured).where(Measured.id.in_(newest)).order_by(Measured.id)).all()
    work = _work(desk, row.batch_id, row.work)
    there = {one.what: one.value for one in rows}
    return [_judged(one, work, there) for one in rows]


def values_about(desk: Desk, about: str = "") -> list[Value]:
    """Everything measured of cloths and timbers, oldest first; of one where it is named."""
    which = Measured.about == about if about else Measured.about != ""
    return _values(desk, which)


def _values(desk: Desk, which: Any) -> list[Value]:
    rows = desk.session.scalars(select(Measured).where(which).order_by(Measured.id)).all()
    return [_judged(one, None, {one.what: one.value}) for one in rows]


def _work(desk: Desk, batch: int, name: str) -> WorkOf | None:
    said = begun(desk, batch)
    if said is None:
        return None
    return next((work for work in works_of(said) if work.name == name), None)


def planned_of(work: WorkOf, what: str) -> Planned:
    """What a plan says of a value of one copy.

    Args:
        work: The work in a whole plan.
        what: A key of `UNITS`.
    """
    row = work.row
    width, height = float(row["width"]), float(row["height"])
    if what in ("bottom", "top", "left", "right"):
        side = width if what in ("bottom", "top") else height
        return Planned(side, side - SIDE_WATCH, side + SIDE_WATCH)
    if what in ("rising", "falling"):
        return Planned(math.hypot(width, height))
    if what == "mass":
        weight = row.get("weight")
        return Planned(float(row["mass"]), *((weight["low"], weight["high"]) if weight else (None, None)))
    if what == "dip":
        expected = (row.get("canvas") or {}).get("press", {}).get("expected") or []
        dips = sorted(float(dip) for _, dip in expected)
        return Planned(dips[len(dips) // 2], dips[0], dips[-1]) if dips else Planned()
    key = "pulled-in-now" if what.startswith("string ") else "wind" if what == "wind" else ""
    verdict: Mapping[str, Any] | None = next(
        (one for one in row.get("verdicts", ()) if key and one["key"] == key and one["limit"] is not None),
        None,
    )
    if verdict is not None:
        return Planned(float(verdict["likely"]), 0.0, float(verdict["limit"]))
    if what == "press tension":
        stages = {one["stage"]: one for one in row.get("tensions", ())}
        left = stages.get("dry") or stages.get("again") or stages.get("settled")
        return Planned(left["likely"], left["least"], left["most"]) if left else Planned()
    if what in _STAGE:
        return Planned(work.hours.get(_STAGE[what]))
    if what == "glue":
        return Planned((row.get("build") or {}).get("glue_grams") or None)
    if what == "staples":
        return Planned(
            float(sum(len(run["puts_in"]) for run in (row.get("canvas") or {}).get("runs", ()))) or None
        )
    return Planned()


_STAGE = {
    "hours saw": "saw", "hours build": "build", "hours join": "build", "hours stretch": "stretch", "hours coat": "coat",
}  # fmt: skip


def _judged(row: Measured, work: WorkOf | None, there: Mapping[str, float]) -> Value:
    planned = Planned(row.planned) if work is None else planned_of(work, row.what)
    answer, do = _answer(row.what, row.value, planned, work, there)
    return Value(
        what=row.what, value=row.value, unit=UNITS.get(row.what, ""), planned=planned.likely, low=planned.low,
        high=planned.high, answer=answer, do=do, at=row.at, who=row.who, note=row.note, about=row.about,
    )  # fmt: skip


def _answer(
    what: str, value: float, planned: Planned, work: WorkOf | None, there: Mapping[str, float]
) -> tuple[Answer, str]:
    """What a value means and what to do."""
    if what in ("bottom", "right", "top", "left") and planned.likely is not None:
        off = value - planned.likely
        if abs(off) <= SIDE_GOOD:
            return "good", ""
        word = "longer" if off > 0 else "shorter"
        if abs(off) <= SIDE_WATCH:
            return "watch", f"It is {abs(off):.1f} mm {word} than planned: cut the side opposite alike."
        return (
            "act",
            f"It is {abs(off):.1f} mm {word} than planned: measure the side opposite before it is glued.",
        )
    if what in ("rising", "falling") and work is not None:
        return _square(work, there)
    if what == "wind" and work is not None:
        try:
            found = check_wind(width=float(work.row["width"]), height=float(work.row["height"]), lift=value)
        except FaultsError as error:
            return "act", error.faults[0].what
        return ("good" if found.verdict == "accept" else "act"), " ".join(found.said)
    if what.startswith("string ") and planned.high is not None:
        if value <= planned.high:
            return "good", ""
        return "act", "The bar is drawn in further than planned: let the canvas out there, or add a rail."
    if what in ("press tension", "water tension"):
        window = named_tension("service")
        low, high = window.low * N_PER_METRE, window.high * N_PER_METRE
        if what == "water tension" or low <= value <= high:
            return ("noted" if what == "water tension" else "good"), ""
        return (
            "act",
            "Stretch it again." if value < low else "Let it out and staple again before it is primed.",
        )
    if planned.low is None or planned.high is None:
        return "noted", ""
    if planned.low <= value <= planned.high:
        return "good", ""
    if what == "dip":
        loose = value > planned.high
        than = "slacker" if loose else "tighter"
        return "act", f"The canvas is {than} than planned: press it again (longpoint press)."
    if what == "mass":
        return "watch", "It weighs other than planned: look at hangers and at who lifts it."
    return "watch", ""


def _square(work: WorkOf, there: Mapping[str, float]) -> tuple[Answer, str]:
    if not {"rising", "falling"} <= set(there):
        return "noted", "Measure the other diagonal too."
    width, height = float(work.row["width"]), float(work.row["height"])
    sides = {name: there.get(name, width if name in ("bottom", "top") else height) for name in _SIDES}
    try:
        found = check_square(
            MeasuredFrame(**sides, rising=there["rising"], falling=there["falling"]),
            planned_width=width,
            planned_height=height,
        )
    except FaultsError as error:
        return "act", error.faults[0].what
    return ("good" if found.verdict == "accept" else "act"), " ".join(found.said)


_SIDES = ("bottom", "right", "top", "left")
