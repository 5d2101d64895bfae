"""How long a work takes, stage by stage, and what each stage waits for.

Every figure of time at work is an estimate; the one published time, a practised maker's hour for a frame of
60 × 75 in (Robbins 2016), lies near what they give for building alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from longpoint.frame import Kind
from longpoint.model.batch import Batch
from longpoint.needs.planned import PlannedWork
from longpoint.tables.finishing import wood_glue

CUTTING_MINUTES = 3.0
"""Measuring, cutting and marking one part. [min] Estimate."""

BEVEL_MINUTES = {"hand plane": 3.0, "power plane": 1.5}
"""Bevelling a metre of bar, gauged and checked. [min] Estimate."""

STAPLING_MINUTES = 0.5
"""Pulling and driving one staple. [min] Estimate."""

CLOTH_MINUTES = 15.0
"""Cutting a piece of cloth, laying it out, folding its corners. [min] Estimate."""

COAT_MINUTES = 8.0
"""Brushing a square metre once. [min] Estimate."""

StageKind = Literal["saw", "join", "corners", "halves", "inside", "stretch", "coat"]


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


def stages_of(batch: Batch, work: PlannedWork) -> tuple[Stage, ...]:
    """The stages of one copy of a work, in order; together they are its hours.

    Args:
        batch: For the bevel and the glue.
        work: The work.
    """
    coats: list[Stage] = []
    if work.canvas.priming is not None:
        for number, step in enumerate(work.canvas.priming.steps):
            coats.append(
                Stage(
                    kind="coat",
                    minutes=COAT_MINUTES * work.canvas.priming.area,
                    wait=60 * step.wait[0],
                    coating=step.name,
                    coat=step.coat,
                    lies=number == 0 and work.canvas.wetting is not None,
                )
            )
    stretch = CLOTH_MINUTES + STAPLING_MINUTES * work.canvas.staples.driven
    return (_sawn(batch, work), *_built(batch, work), Stage(kind="stretch", minutes=stretch), *coats)


def hours_of(batch: Batch, work: PlannedWork) -> float:
    """Time for all pieces of a work. [h]"""
    return round(sum(stage.minutes for stage in stages_of(batch, work)) * work.how_many / 60, 2)


def cure_minutes() -> float:
    """What wood glue needs for its full strength. [min]"""
    return 60 * wood_glue("PVA").cure


def _sawn(batch: Batch, work: PlannedWork) -> Stage:
    minutes = CUTTING_MINUTES * sum(part.per_work for part in work.parts)
    if work.designed.design.bevel_fall:
        by = batch.bars_of(batch.work[work.index]).bevel_by
        metres = sum(float(part.long_point) * part.per_work for part in work.parts if part.kind is Kind.BAR)
        minutes += BEVEL_MINUTES.get(by, 0.0) * metres / 1000
    return Stage(kind="saw", minutes=minutes)


def _built(batch: Batch, work: PlannedWork) -> list[Stage]:
    """The building steps, parted where glue has to set before the next."""
    glued = work.build.glue_grams > 0
    found: list[Stage] = []
    minutes = 0.0
    kind: StageKind = "corners"
    for step in work.build.steps:
        minutes += step.minutes
        if step.key.startswith("join-"):
            kind = "join"
        if step.key == "seam-bolt":
            kind = "halves"
        if step.key in ("join-scarf", "join-lap"):
            found.append(Stage(kind="join", minutes=minutes, wait=cure_minutes() if glued else 0.0))
        elif step.key in ("wind", "square"):
            wait = float(batch.glue.set_minutes) if glued else 0.0
            found.append(Stage(kind="corners", minutes=minutes, wait=wait, clamped=glued, lies=True))
        else:
            continue
        minutes, kind = 0.0, "inside"
    last = Stage(kind=kind, minutes=minutes, wait=cure_minutes() if glued else 0.0)
    return [*found, last]
