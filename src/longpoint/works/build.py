"""The building of one work: joints, holes, order, from the screws that can be had."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from longpoint.errors import Caution, Fault, Where
from longpoint.frame.members import Frame
from longpoint.frame.parts import Part
from longpoint.joinery import BuildPlan, Wood, build_plan_of, can_be_screwed
from longpoint.model.hardware import Staple
from longpoint.model.shop import USUAL_BIT, Drill
from longpoint.model.works import InsideWish
from longpoint.works.brief import Brief
from longpoint.works.ordinary import region_words
from longpoint.works.remembered import remembered
from longpoint.works.stock import Section, Stock
from longpoint.works.wood import wood_named

STAPLES_CLEAR = Fraction(7, 2)
"""From the tip of a staple's leg to the middle of a screw below it: half a thick screw and 1 mm of wood; estimate.
[mm]"""


def kept_for_staples(staples: Sequence[Staple], *, fasten: str) -> Fraction:
    """Wood at the back that a work's staples need above the middle of a screw. [mm]"""
    return Fraction(0) if fasten == "side" else max(staple.leg for staple in staples) + STAPLES_CLEAR


LONGER_BITS = tuple(Fraction(length) for length in (120, 160, 220, 300))
"""Free lengths of longer bits that are assumed where a hole needs one and no bit is stated. [mm] Estimate."""


@remembered(16)
def build_of(brief: Brief, *, frame: Frame, parts: Sequence[Part], bars: Section) -> BuildPlan:
    """Everything about putting one work's frame together.

    Args:
        brief: The work.
        frame: Its frame.
        parts: Its parts.
        bars: Timber of its bars.

    Returns:
        The plan; its faults say what stands against it.
    """
    wood = wood_named(bars.wood)
    name, stock, shop = brief.work.name, brief.stock, brief.shop

    def made(drill: Drill) -> BuildPlan:
        return build_plan_of(
            frame,
            work=name,
            key=brief.key,
            screws=stock.screw,
            also=stock.other_screws,
            drill=drill,
            style=brief.style,
            parts=parts,
            wood=Wood(specific_gravity=wood.specific_gravity, density=wood.weak_density),
            open_minutes=brief.glue.open_minutes,
            set_minutes=brief.glue.set_minutes,
            people=shop.people,
            kept=kept_for_staples(stock.staples, fasten=brief.cloth.fasten),
            along=_along(brief.inside),
        )

    plan = made(shop.drill)
    if shop.drill.bit_length is None and any(fault.code == "bit-too-short" for fault in plan.faults):
        deepest = max(fixing.passed + fixing.thread for joint in plan.joints for fixing in joint.fixings)
        bit = next((length for length in LONGER_BITS if length >= deepest), LONGER_BITS[-1])
        plan = made(shop.drill.model_copy(update={"bit_length": bit}))
        plan = replace(plan, cautions=(*plan.cautions, _longer_bit(brief, bit)))
    return replace(plan, faults=tuple(_in_file(fault) for fault in plan.faults))


def has_screws(brief: Brief, *, frame: Frame) -> bool:
    """Whether there is a screw for every place of a work's frame that needs one: told in a moment, before it is built.

    Args:
        brief: The work.
        frame: Its frame.
    """
    stock = brief.stock
    return can_be_screwed(
        frame,
        sizes=stock.screw_sizes,
        drill=brief.shop.drill,
        kept=kept_for_staples(stock.staples, fasten=brief.cloth.fasten),
        along=_along(brief.inside),
        fits=stock.screwed,
    )


def _along(inside: InsideWish) -> int | None:
    return None if inside.end_rail_screws == "auto" else int(inside.end_rail_screws)


def _longer_bit(brief: Brief, bit: Fraction) -> Caution:
    show = brief.style.show
    return Caution(
        "bit-assumed", about=brief.work.name, facts=(("usual", show(USUAL_BIT)), ("bit", show(bit)))
    )


def _in_file(fault: Fault) -> Fault:
    """The joinery room speaks of the hardware; the batch file calls it screw."""
    if fault.where.key != "hardware.screws":
        return fault
    return Fault(fault.code, fault.what, fault.remedy, Where("screw"))


def screw_cautions(stock: Stock, plans: Iterable[BuildPlan] = ()) -> tuple[Caution, ...]:
    """What a person should know about the screws that the plan is made with.

    Args:
        stock: What can be had.
        plans: How the works are built.
    """
    region = region_words(stock.region)
    if stock.screw:
        added = {line.screw.name for plan in plans for line in plan.screws if line.screw.assumed}
        if not added:
            return ()
        return (Caution("screws-added", facts=(("screws", ", ".join(sorted(added))), ("region", region))),)
    return (Caution("screws-assumed", facts=(("region", region),)),)
