"""How long a work takes, stage by stage and operation by operation, and what each stage waits for.

Every figure of time at work is an estimate, from and to, unless ``[shop.minutes]`` says otherwise or ``[shop.factors]``
says how much longer it takes here; the one published
time, a practised maker's hour for a frame of 60 × 75 in (Robbins 2016), lies near what they give for building alone.

The second of two alike works is made more quickly: unit n takes ``n^(ln r / ln 2)`` of the first (Wright 1936), where r
is what is left at each doubling. Values of r by shares of hand and machine work: Stewart, Cost Estimator's Reference
Manual, 2nd edition, as NASA's cost estimating pages print them (hand 75 %: 0.80, 50 %: 0.85, 25 %: 0.90).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log
from typing import Literal

from longpoint.frame import Kind
from longpoint.model.hardware import Glue
from longpoint.model.shop import Shop
from longpoint.needs.planned import PlannedWork
from longpoint.stretching.ranges import Range
from longpoint.tables.finishing import wood_glue

EACH: dict[str, Range] = {
    "set-up": Range(20.0, 40.0, 90.0),
    "cut": Range(2.0, 3.0, 5.0),
    "bevel-hand": Range(2.0, 3.0, 5.0),
    "bevel-power": Range(1.0, 1.5, 2.5),
    "hole": Range(0.8, 1.2, 2.0),
    "screw": Range(0.4, 0.6, 1.0),
    "cloth": Range(10.0, 15.0, 25.0),
    "staple": Range(0.3, 0.5, 0.8),
    "coat": Range(5.0, 8.0, 12.0),
}
"""Time of one: the batch, a part, a metre of bar, a hole, a screw, a piece of cloth, a staple, a square metre. [min]

Estimates."""

ASSEMBLING = Range(0.7, 1.0, 1.6)
"""Glue, clamps, checks and turning over: of what the building steps say beside holes and screws. [1] Estimate."""

OperationKind = Literal["set-up", "cut", "bevel", "hole", "screw", "assemble", "cloth", "staple", "coat"]

STAGE_OF: dict[OperationKind, Literal["saw", "build", "stretch", "coat"]] = {
    "cut": "saw",
    "bevel": "saw",
    "hole": "build",
    "screw": "build",
    "assemble": "build",
    "cloth": "stretch",
    "staple": "stretch",
    "coat": "coat",
}
"""Which hours an operation is measured with; setting up is of the batch and with none."""

StageKind = Literal["saw", "glue-up", "glued-saw", "join", "corners", "halves", "inside", "stretch", "coat"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What is done to one copy of a work without a pause.

    Attributes:
        kind: What is done.
        minutes: Time at work; estimate. [min]
        wait: What must pass before the next stage of this copy. [min]
        coating: What is brushed on; "" where nothing is.
        coat: Which coat of it, from 1.
        clamped: Whether the frame lies in clamps meanwhile.
        lies: Whether it lies flat meanwhile.
    """

    kind: StageKind
    minutes: float
    wait: float = 0.0
    coating: str = ""
    coat: int = 0
    clamped: bool = False
    lies: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """What is done again and again, and how long it takes.

    Attributes:
        kind: What.
        count: How often: parts, metres, holes, screws, pieces, staples, square metres, frames.
        minutes: All of them together, the learning of repeats counted. [min]
        own: Whether the time of one is the shop's own, not an estimate.
    """

    kind: OperationKind
    count: float
    minutes: Range
    own: bool


def learned(rate: float, number: int) -> float:
    """What a copy takes, as a share of the first.

    Args:
        rate: What is left each time the number doubles, 0.5 to 1.
        number: Which copy, from 1.
    """
    return float(number ** (log(rate) / log(2)))


def copies_count(rate: float, how_many: int) -> float:
    """How many first copies take as long as all copies do.

    Args:
        rate: What is left each time the number doubles, 0.5 to 1.
        how_many: Copies.
    """
    return sum(learned(rate, number) for number in range(1, how_many + 1))


def set_up_of(shop: Shop) -> Operation:
    """Setting up, once for the whole batch."""
    each, own = _each(shop, "set-up")
    return Operation(kind="set-up", count=1, minutes=each, own=own)


def operations_of(shop: Shop, work: PlannedWork) -> tuple[Operation, ...]:
    """What is done for all copies of a work, without setting up.

    Args:
        shop: For its own times and how it learns.
        work: The work.
    """
    all_of_it = copies_count(shop.rates.learning, work.how_many)
    return tuple(
        replace(one, count=one.count * work.how_many, minutes=one.minutes.times(all_of_it))
        for one in _first_copy(shop, work)
    )


def hours_range(operations: Sequence[Operation]) -> Range:
    """Time of operations together, to a hundredth of an hour. [h]"""
    low, middle, high = (
        round(sum(getattr(one.minutes, end) for one in operations) / 60, 2)
        for end in ("low", "middle", "high")
    )
    return Range(low, middle, high)


def _each(shop: Shop, kind: str) -> tuple[Range, bool]:
    """Time of one, and whether it is the shop's own."""
    own = getattr(shop.minutes, kind.partition("-")[0] if kind != "set-up" else "set_up")
    return (EACH[kind], False) if own is None else (Range(own, own, own), True)


def _longer(shop: Shop, operation: Operation) -> Operation:
    """An estimated time as it is here."""
    factor = None if operation.own else getattr(shop.factors, STAGE_OF[operation.kind])
    return operation if factor is None else replace(operation, minutes=operation.minutes.times(factor))


def _first_copy(shop: Shop, work: PlannedWork) -> tuple[Operation, ...]:
    """What is done for the first copy."""

    def of(kind: OperationKind, count: float, each: str = "") -> Operation:
        time, own = _each(shop, each or kind)
        return Operation(kind=kind, count=count, minutes=time.times(count), own=own)

    build = work.build
    found = [of("cut", sum(part.per_work * part.boards for part in work.parts))]
    by = work.bevel_by
    if work.designed.design.bevel_fall and by != "yard":
        bars = (part for part in work.parts if part.kind is Kind.BAR)
        metres = sum(float(part.long_point) * part.per_work for part in bars) / 1000
        found.append(of("bevel", metres, f"bevel-{by.split()[0]}"))
    found += [of("hole", _holes(work)), of("screw", _screws(work))]
    rest = max(0.0, sum(step.minutes for step in build.steps) - _boring(work))
    found.append(Operation(kind="assemble", count=1, minutes=ASSEMBLING.times(rest), own=False))
    found += [of("cloth", 1), of("staple", work.canvas.staples.driven)]
    if work.canvas.priming is not None:
        found.append(of("coat", work.canvas.priming.area * len(work.canvas.priming.steps)))
    return tuple(_longer(shop, one) for one in found if one.count)


def _holes(work: PlannedWork) -> int:
    return sum(len(joint.fixings) + len(joint.bolts) for joint in work.build.joints)


def _screws(work: PlannedWork) -> int:
    return sum(line.count for line in work.build.screws)


def _boring(work: PlannedWork) -> float:
    """What holes and screws take of the building steps, by the same estimates. [min]"""
    return _holes(work) * EACH["hole"].middle + _screws(work) * EACH["screw"].middle


def stages_of(shop: Shop, glue: Glue, work: PlannedWork, *, copy: int = 1) -> tuple[Stage, ...]:
    """The stages of one copy of a work, in order; all copies and setting up together are its hours.

    Args:
        shop: For its own times and how it learns.
        glue: The glue.
        work: The work.
        copy: Which copy, from 1.
    """
    minutes: dict[str, float] = {}
    for one in _first_copy(shop, work):
        minutes[one.kind] = one.minutes.middle
    coats: list[Stage] = []
    if work.canvas.priming is not None:
        steps = work.canvas.priming.steps
        for number, step in enumerate(steps):
            coats.append(
                Stage(
                    kind="coat",
                    minutes=minutes["coat"] / len(steps),
                    wait=60 * step.wait[0],
                    coating=step.name,
                    coat=step.coat,
                    lies=number == 0 and work.canvas.wetting is not None,
                )
            )
    planned = sum(step.minutes for step in work.build.steps)
    built = sum(minutes.get(kind, 0.0) for kind in ("hole", "screw", "assemble"))
    stages = (
        Stage(kind="saw", minutes=minutes["cut"] + minutes.get("bevel", 0.0)),
        *_built(glue, work, built / planned if planned else 1.0),
        Stage(kind="stretch", minutes=minutes["cloth"] + minutes["staple"]),
        *coats,
    )
    share = learned(shop.rates.learning, copy)
    return tuple(replace(stage, minutes=stage.minutes * share) for stage in stages)


def cure_minutes() -> float:
    """What wood glue needs for its full strength. [min]"""
    return 60 * wood_glue("PVA").cure


def _built(glue: Glue, work: PlannedWork, pace: float) -> list[Stage]:
    """The building steps, parted where glue has to set before the next; their minutes times a pace."""
    glued = work.build.glue_grams > 0
    found: list[Stage] = []
    minutes = 0.0
    kind: StageKind = "corners"
    for step in work.build.steps:
        minutes += step.minutes * pace
        if step.key.startswith("join-"):
            kind = "join"
        if step.key == "glued-saw":
            kind = "glued-saw"
        if step.key == "seam-bolt":
            kind = "halves"
        if step.key in ("join-scarf", "join-lap"):
            found.append(Stage(kind="join", minutes=minutes, wait=cure_minutes() if glued else 0.0))
        elif step.key == "glue-up":
            found.append(Stage(kind="glue-up", minutes=minutes, wait=cure_minutes()))
        elif step.key == "glued-saw":
            found.append(Stage(kind="glued-saw", minutes=minutes))
        elif step.key in ("wind", "square"):
            wait = float(glue.set_minutes) if glued else 0.0
            found.append(Stage(kind="corners", minutes=minutes, wait=wait, clamped=glued, lies=True))
        else:
            continue
        minutes, kind = 0.0, "inside"
    last = Stage(kind=kind, minutes=minutes, wait=cure_minutes() if glued else 0.0)
    return [*found, last]
