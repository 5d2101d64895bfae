"""The tensions of one work at each stage, likely, least and most: one story for verdicts, sheets and plan.

What the painter does decides the stages. Cloth pulled to the wish: stapled, settled, the year. Raw cloth that water
tightens: stapled snug, dry again after size or primer, the year; the wish then says what is hoped for, the water what
comes of it. The figures come from the rehearsal on the work's own frame where there is one; else from the same estimate
everywhere, which knows of the frame only what share it leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from longpoint.model.shop import Climate
from longpoint.stretching.climate import Air, tension_change
from longpoint.stretching.pull import settling_loss
from longpoint.stretching.pull_limits import Wetting, wetting
from longpoint.stretching.ranges import Range
from longpoint.tables import named_tension
from longpoint.works.brief import Brief
from longpoint.works.cloth import WorkCloth

FRAME_TAKES = 0.1
"""Share of the prestrain that a braced frame eats by giving way, where it was not computed. [1] Estimate."""

UNKNOWN_FRAME = 0.5
"""Share of its own tension that a frame leaves to cloth before it is solved: low, so that no quick bound throws out a
design that holds. [1] Estimate."""

PULLED_APART = 1.2
"""Factor either way by which people pull differently. [1] Estimate."""

ENOUGH = 0.7
"""Less than this part of the tension wished is clearly less: it is pulled again. Estimate: cloth is known no better."""

StageName = Literal["stapled", "settled", "again", "dry", "driest air", "dampest air"]
Whence = Literal["rehearsed", "estimated", "wished"]


@dataclass(frozen=True, slots=True)
class Stage:
    """Mean tension of the canvas at one stage.

    Attributes:
        name: Which: with the last staple in; settled; pulled again to the wish, where the first pull leaves clearly
            less; dry after size or primer; in the year's driest and dampest air.
        tension: Least, likely, most. [N/mm]
        whence: Whether it was rehearsed on the work's own frame, is estimated, or is what the press test is to show.
    """

    name: StageName
    tension: Range
    whence: Whence


@dataclass(frozen=True, slots=True)
class Tensions:
    """The tensions of one work.

    Attributes:
        stages: In the order in which they come.
        wetted: Whether water tightens the cloth.
        rehearsed: Whether they come from the rehearsal on its own frame; otherwise they are estimated.
    """

    stages: tuple[Stage, ...]
    wetted: bool
    rehearsed: bool

    def at(self, name: StageName) -> Range:
        """The tension at one stage. [N/mm]"""
        return next(stage.tension for stage in self.stages if stage.name == name)

    @property
    def left(self) -> Range:
        """What is left on the finished canvas, in the air it was made in. [N/mm]"""
        found = {stage.name: stage.tension for stage in self.stages}
        return found["dry"] if self.wetted else found.get("again", found["settled"])

    @property
    def peak(self) -> float:
        """Likely highest of any stage. [N/mm]"""
        return max(stage.tension.middle for stage in self.stages)

    @property
    def most(self) -> float:
        """The most that any stage may bring. [N/mm]"""
        return max(stage.tension.high for stage in self.stages)


def water_of(brief: Brief) -> Wetting | None:
    """What water does to a work's cloth; None where none wets it, or too little to reach the tension wished.

    Args:
        brief: The work.
    """
    cloth = brief.work_cloth
    if not cloth.wetted:
        return None
    water = wetting(
        state=cloth.pulled,
        fibre_name=cloth.roll.fibre,
        measured=cloth.roll.shrinks_to,
    )
    return water if water.reached.high >= brief.cloth.tension else None


def tensions_of(
    brief: Brief,
    *,
    share: float = 1 - FRAME_TAKES,
    stapled: Range | None = None,
    left: Range | None = None,
) -> Tensions:
    """The tensions of one work.

    Args:
        brief: The work.
        share: Tension that its frame leaves over what one that does not give would leave. [1]
        stapled: As rehearsed, with the last staple in; None where it was not rehearsed. [N/mm]
        left: As rehearsed, in the end. [N/mm]
    """
    water = water_of(brief)
    whence: Whence = "estimated" if left is None else "rehearsed"
    wished, loss = brief.cloth.tension, settling_loss()
    pulled = wished / (1 - loss.middle)
    aimed = Range(pulled * (1 - loss.high), wished, pulled * (1 - loss.low))
    if stapled is None or left is None:
        if water is not None:
            stapled, left = water.snug.times(share), water.reached.times(share)
        else:
            stapled, left = Range(pulled / PULLED_APART, pulled, pulled * PULLED_APART), aimed
    stages = [Stage("stapled", stapled, whence), Stage("dry" if water else "settled", left, whence)]
    if water is None and left.middle < ENOUGH * wished:
        left, whence = aimed, "wished"
        stages.append(Stage("again", left, whence))
    changes = changes_of(brief.climate, brief.work_cloth)
    stages += [Stage(name, _moved(left, change), whence) for name, change in changes]
    return Tensions(tuple(stages), wetted=water is not None, rehearsed=stages[0].whence == "rehearsed")


def as_rehearsed(brief: Brief, states: Sequence[tuple[str, float]]) -> Tensions:
    """The tensions of one work as its printed order was rehearsed on its own frame.

    Args:
        brief: The work.
        states: What was rehearsed: its name, and its mean tension. [N/mm]
    """
    found = dict(states)
    stapled = found["stapled"]
    apart = Range(stapled / PULLED_APART, stapled, stapled * PULLED_APART)
    if "likely" in found:
        left = Range(found["least"], found["likely"], found["most"])
    else:
        # one pull was rehearsed, settling as is likely; how far it may settle differently is estimated
        plain = tensions_of(brief).left
        left = plain.times(found["settled"] / plain.middle)
    return tensions_of(brief, stapled=apart, left=left)


def changes_of(climate: Climate, cloth: WorkCloth) -> tuple[tuple[StageName, float], ...]:
    """How far the year's air moves the tension from where it was made. [N/mm]"""
    here = Air("now", climate.temperature, climate.humidity_now / 100)
    names: tuple[tuple[StageName, float], ...] = (
        ("driest air", climate.humidity_low),
        ("dampest air", climate.humidity_high),
    )
    return tuple(
        (
            name,
            tension_change(
                state=cloth.settled.name, before=here, after=Air(name, climate.temperature, humidity / 100)
            ).middle,
        )
        for name, humidity in names
    )


def _moved(left: Range, change: float) -> Range:
    return Range(*(max(value + change, 0.0) for value in (left.low, left.middle, left.high)))


def hard_tension(left: float) -> float:
    """Mean tension left when it is pulled hard: the upper end of the service window, or a quarter above the likely."""
    return max(named_tension("check").high, 1.25 * left)
