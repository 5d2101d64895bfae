"""The building of one work: joints, holes, order, from the screws that can be had."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame
from longpoint.frame.parts import Part
from longpoint.joinery import BuildPlan, Wood, build_plan_of, can_be_screwed
from longpoint.model.batch import Batch
from longpoint.model.hardware import Screw, Staple
from longpoint.model.shop import USUAL_BIT, Drill
from longpoint.works.ordinary import ordinary_screws, ordinary_staples, region_words
from longpoint.works.remembered import remembered
from longpoint.works.stock import Section
from longpoint.works.wood import wood_named

STAPLES_CLEAR = Fraction(7, 2)
"""From the tip of a staple's leg to the middle of a screw below it: half a thick screw and 1 mm of wood; estimate.
[mm]"""


def kept_for_staples(batch: Batch, index: int) -> Fraction:
    """Wood at the back that a work's staples need above the middle of a screw. [mm]"""
    if batch.cloth_of(batch.work[index]).fasten == "side":
        return Fraction(0)
    return max(staple.leg for staple in staples_of(batch)) + STAPLES_CLEAR


LONGER_BITS = tuple(Fraction(length) for length in (120, 160, 220, 300))
"""Free lengths of longer bits that are assumed where a hole needs one and no bit is stated. [mm] Estimate."""


@remembered(16)
def build_of(batch: Batch, index: int, *, frame: Frame, parts: Sequence[Part], bars: Section) -> BuildPlan:
    """Everything about putting one work's frame together.

    Args:
        batch: The batch.
        index: Which work, from 0.
        frame: Its frame.
        parts: Its parts.
        bars: Timber of its bars.

    Returns:
        The plan; its faults say what stands against it.
    """
    wood = wood_named(bars.wood)
    name = batch.work[index].name

    def made(drill: Drill) -> BuildPlan:
        return build_plan_of(
            frame,
            work=name,
            key=f"work[{index + 1}]",
            screws=batch.screw,
            also=_also(batch),
            drill=drill,
            style=batch.style,
            parts=parts,
            wood=Wood(specific_gravity=wood.specific_gravity, density=wood.weak_density),
            open_minutes=batch.glue.open_minutes,
            set_minutes=batch.glue.set_minutes,
            people=batch.shop.people,
            kept=kept_for_staples(batch, index),
            along=_along(batch, index),
        )

    plan = made(batch.shop.drill)
    if batch.shop.drill.bit_length is None and any(fault.code == "bit-too-short" for fault in plan.faults):
        deepest = max(fixing.passed + fixing.thread for joint in plan.joints for fixing in joint.fixings)
        bit = next((length for length in LONGER_BITS if length >= deepest), LONGER_BITS[-1])
        plan = made(batch.shop.drill.model_copy(update={"bit_length": bit}))
        plan = replace(plan, cautions=(*plan.cautions, _longer_bit(batch, name, bit)))
    return replace(plan, faults=tuple(_in_file(fault) for fault in plan.faults))


def has_screws(batch: Batch, index: int, *, frame: Frame) -> bool:
    """Whether there is a screw for every place of a work's frame that needs one: told in a moment, before it is built.

    Args:
        batch: The batch.
        index: Which work, from 0.
        frame: Its frame.
    """
    return can_be_screwed(
        frame,
        screws=batch.screw,
        also=_also(batch),
        drill=batch.shop.drill,
        kept=kept_for_staples(batch, index),
        along=_along(batch, index),
    )


def _also(batch: Batch) -> tuple[Screw, ...]:
    return () if batch.screw and batch.as_stated else ordinary_screws(batch)


def _along(batch: Batch, index: int) -> int | None:
    wished = batch.inside_of(batch.work[index]).end_rail_screws
    return None if wished == "auto" else int(wished)


def _longer_bit(batch: Batch, name: str, bit: Fraction) -> Caution:
    show = batch.style.show
    return Caution("bit-assumed", about=name, facts=(("usual", show(USUAL_BIT)), ("bit", show(bit))))


def _in_file(fault: Fault) -> Fault:
    """The joinery room speaks of the hardware; the batch file calls it screw."""
    if fault.where.key != "hardware.screws":
        return fault
    return Fault(fault.code, fault.what, fault.remedy, Where("screw"))


def staples_of(batch: Batch) -> tuple[Staple, ...]:
    """Staples on sale; an ordinary shop's where the batch states none."""
    return batch.staple or ordinary_staples(batch)


def screw_cautions(batch: Batch, plans: Iterable[BuildPlan] = ()) -> tuple[Caution, ...]:
    """What a person should know about the screws that the plan is made with.

    Args:
        batch: The batch.
        plans: How the works are built.
    """
    if batch.screw:
        added = {line.screw.name for plan in plans for line in plan.screws if line.screw.assumed}
        if not added:
            return ()
        return (
            Caution(
                "screws-added", facts=(("screws", ", ".join(sorted(added))), ("region", region_words(batch)))
            ),
        )
    return (Caution("screws-assumed", facts=(("region", region_words(batch)),)),)
