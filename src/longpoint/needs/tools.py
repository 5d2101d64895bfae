"""What the bench must have ready: tools, clamps and jigs with how many, counted from joints, steps and days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, hypot

from longpoint.frame.members import Kind
from longpoint.joinery import Fixing
from longpoint.joinery.order.reach import bench_lift
from longpoint.joinery.steps.glue_up import clamps_along
from longpoint.joinery.steps.telling import TWO_PEOPLE_FROM
from longpoint.model.batch import Batch
from longpoint.needs.days import BenchDays
from longpoint.needs.planned import PlannedWork

CLAMPS_A_FRAME = 4
"""One on each corner of a frame that sets flat. Common practice, no published source."""

CLAMPS_AT_THE_CORNER = 2
"""One on each bar against the corner jig."""

CLAMPS_A_JOIN = 3
"""On a bar that is joined in length. Common practice, no published source."""

CLAMP_BEYOND = 60
"""A clamp opens this much wider than bars are deep: bench and packing lie in it. [mm] Estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A thing to have ready.

    Attributes:
        key: Stable name, e.g. ``clamps``.
        count: How many.
        sizes: Its sizes, rising. [mm]
        masses: Its masses, rising. [kg]
    """

    key: str
    count: int = 1
    sizes: tuple[float, ...] = ()
    masses: tuple[float, ...] = ()


def tools_of(batch: Batch, works: Sequence[PlannedWork], days: BenchDays) -> tuple[Tool, ...]:
    """What to have ready, in the order of the work.

    Args:
        batch: For the plane that bevels and the drill.
        works: The works.
        days: Their days, for the frames that set at once.
    """
    protection = Tool(key="protection")
    return (*_for_parts(batch, works), *_for_frames(batch, works, days), *_for_canvas(works), protection)


def _for_parts(batch: Batch, works: Sequence[PlannedWork]) -> list[Tool]:
    designs = [work.frame.design for work in works]
    bevelled = {batch.bars_of(batch.work[w.index]).bevel_by for w in works if w.designed.design.bevel_fall}
    found = [
        Tool(key="saw"),
        *(Tool(key=by.replace(" ", "-")) for by in ("hand plane", "power plane") if by in bevelled),
        Tool(key="tape", sizes=(max(hypot(design.width, design.height) for design in designs),)),
        Tool(key="square"),
    ]
    fixings = [fixing for work in works for joint in work.build.joints for fixing in joint.fixings]
    if fixings:
        found += [
            Tool(key="drill"),
            Tool(key="clearance-bits", count=0, sizes=_sizes(fixing.clearance_hole for fixing in fixings)),
            Tool(key="pilot-bits", count=0, sizes=_sizes(fixing.pilot_hole for fixing in fixings)),
            Tool(
                key="countersink",
                sizes=_sizes(fixing.countersink for fixing in fixings if not fixing.bored)[-1:],
            ),
        ]
        if wide := _sizes(fixing.countersink for fixing in fixings if fixing.bored):
            found.append(Tool(key="wide-bits", count=0, sizes=wide))
    return found


def _for_frames(batch: Batch, works: Sequence[PlannedWork], days: BenchDays) -> list[Tool]:
    designs = [work.frame.design for work in works]
    deepest = max(float(design.bar_depth) for design in designs)
    setting = max(day.clamped for day in days.days)
    joins = max(sum(step.key.startswith("join-") for step in work.build.steps) for work in works)
    joined = max(len(design.joins) for design in designs) if joins else 0
    glued = [work.frame for work in works if work.frame.design.bar_boards > 1]
    glueing = max((clamps_along(bar) for frame in glued for bar in frame.of_kind(Kind.BAR)), default=0)
    clamps = max(CLAMPS_A_FRAME * setting + CLAMPS_AT_THE_CORNER, CLAMPS_A_JOIN * joined, glueing)
    found = []
    if setting:
        found += [
            Tool(key="clamps", count=clamps, sizes=(deepest + CLAMP_BEYOND,)),
            Tool(key="corner-jig"),
            Tool(key="glue-brush"),
        ]
    gaps = _sizes(design.gap for design in designs if design.has_rails)
    if gaps:
        found.append(Tool(key="packers", count=4 * max(setting, 1), sizes=gaps))
    lift = max(bench_lift(_inner(work), drill=batch.shop.drill) for work in works)
    if lift > 0:
        found.append(Tool(key="battens", count=4, sizes=(float(lift),)))
    found += [Tool(key="straight-battens", count=2), Tool(key="string")]
    if any(work.build.hardware for work in works):
        found.append(Tool(key="spanners", count=2))
    if max(max(design.width, design.height) for design in designs) >= TWO_PEOPLE_FROM:
        found.append(Tool(key="second-person"))
    return found


def _for_canvas(works: Sequence[PlannedWork]) -> list[Tool]:
    found = [
        Tool(key="scissors"),
        Tool(key="pliers"),
        Tool(key="staple-gun", sizes=_sizes(work.canvas.leg for work in works)),
        Tool(key="staple-lifter"),
    ]
    coats = {step.name for work in works if work.canvas.priming for step in work.canvas.priming.steps}
    if "glue size" in coats:
        found.append(Tool(key="water-bath"))
    if coats:
        found.append(Tool(key="primer-brush", count=len(coats)))
    pressed = [work.canvas.press for work in works if work.canvas.press is not None]
    if pressed:
        pads, masses = _sizes(press.pad for press in pressed), _sizes(press.mass for press in pressed)
        found.append(Tool(key="press-weight", count=len(masses), sizes=pads, masses=masses))
    return found


def _inner(work: PlannedWork) -> list[Fixing]:
    """Screws that are driven while the frame lies face down."""
    fixings = (fixing for joint in work.build.joints for fixing in joint.fixings)
    return [fixing for fixing in fixings if not fixing.under_canvas and not fixing.axis[2]]


def _sizes(sizes: Iterable[Fraction | float]) -> tuple[float, ...]:
    return tuple(sorted({round(float(size), 2) for size in sizes}))


def sandpaper_sheets(works: Sequence[PlannedWork]) -> int:
    """Sheets of sandpaper for all works; estimate."""
    return ceil(_amount(works, "sandpaper, 120 grit"))


def filler_grams(works: Sequence[PlannedWork]) -> float:
    """Filler for all sunk heads under canvas; estimate. [g]"""
    return _amount(works, "wood filler")


def _amount(works: Sequence[PlannedWork], name: str) -> float:
    return sum(
        sundry.amount * work.how_many
        for work in works
        for sundry in work.build.sundries
        if sundry.name == name
    )
