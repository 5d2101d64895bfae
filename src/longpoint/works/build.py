"""The building of one work: joints, holes, order, from the screws that can be had."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame
from longpoint.frame.parts import Part
from longpoint.joinery import BuildPlan, Wood, build_plan_of
from longpoint.model.batch import Batch
from longpoint.model.hardware import Screw, Staple
from longpoint.works.ordinary import ordinary_screws, ordinary_staples, region_words
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
    along = batch.inside_of(batch.work[index]).end_rail_screws
    plan = build_plan_of(
        frame,
        work=batch.work[index].name,
        key=f"work[{index + 1}]",
        screws=screws_of(batch),
        drill=batch.shop.drill,
        style=batch.style,
        parts=parts,
        wood=Wood(specific_gravity=wood.specific_gravity, density=wood.weak_density),
        open_minutes=batch.glue.open_minutes,
        set_minutes=batch.glue.set_minutes,
        people=batch.shop.people,
        kept=kept_for_staples(batch, index),
        along=None if along == "auto" else int(along),
    )
    return replace(plan, faults=tuple(_in_file(fault) for fault in plan.faults))


def _in_file(fault: Fault) -> Fault:
    """The joinery room speaks of the hardware; the batch file calls it screw."""
    if fault.where.key != "hardware.screws":
        return fault
    return Fault(fault.code, fault.what, fault.remedy, Where("screw"))


def staples_of(batch: Batch) -> tuple[Staple, ...]:
    """Staples on sale; an ordinary shop's where the batch states none."""
    return batch.staple or ordinary_staples(batch)


def screws_of(batch: Batch) -> tuple[Screw, ...]:
    """Screws on sale; an ordinary shop's where the batch states none."""
    return batch.screw or ordinary_screws(batch)


def screw_cautions(batch: Batch) -> tuple[Caution, ...]:
    """What a person should know about the screws that the plan is made with."""
    if batch.screw:
        return ()
    return (
        Caution(
            "screws-assumed",
            f"No screws are stated under [[screw]]: those of an ordinary shop in {region_words(batch)} are assumed, "
            "without prices.",
        ),
    )
