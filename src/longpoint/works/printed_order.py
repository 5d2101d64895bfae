"""The order on the printed map, rehearsed: what it leaves on that very frame."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.frame.members import Frame
from longpoint.stretching.rehearsal.compare import OneOrder, OrderRow, stands_out
from longpoint.stretching.rehearsal.field import Field
from longpoint.threads import on_one_thread
from longpoint.works.brief import Brief
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Designed, Say
from longpoint.works.rehearse_bench import rehearsal_bench
from longpoint.works.tension import ENOUGH

When = Literal["stapled", "settled", "likely", "least", "most"]
"""When the last staple is in; settled; after size or primer, likely, at least and at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CanvasState:
    """The canvas at one time.

    Attributes:
        when: At which.
        level: Mean tension from left to right. [N/mm]
        upright: Mean tension from bottom to top. [N/mm]
        spread: Standard deviation of window means over their mean.
        lowest: Lowest window mean of either direction. [N/mm]
        highest: Highest. [N/mm]
        corner_mean: Mean within 150 mm of the corners. [N/mm]
        slack: Part of the windows that are more slack than taut.
        pulled_in: How far bottom, right, top and left bar are drawn in. [mm]
        staple: Greatest load on a staple up to then. [N]
    """

    when: When
    level: float
    upright: float
    spread: float
    lowest: float
    highest: float
    corner_mean: float
    slack: float
    pulled_in: tuple[float, float, float, float]
    staple: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRehearsal:
    """What the printed order leaves. All of it is computed from estimates of cloth, shrinkage and settling.

    Attributes:
        figures: Its tensions in the end, slack places, bars drawn in; where water tightens the cloth, after that.
        pulled_in: How far bottom, right, top and left bar are drawn in in the end, a string between their ends. [mm]
        states: What there is when the last staple is in, and in the end; where water tightens the cloth, likely, at
            least and at most.
        tear_load: Load at which cloth may tear at a staple. [N]
        wished: Mean tension wished in the end. [N/mm]
        force: Full pull at the pliers. [N]
        elements: Columns and rows of elements.
        cautions: What stands out.
    """

    figures: OrderRow
    pulled_in: tuple[float, float, float, float]
    states: tuple[CanvasState, ...]
    tear_load: float
    wished: float
    force: float
    elements: tuple[int, int]
    cautions: tuple[Caution, ...]

    @property
    def means(self) -> tuple[tuple[str, float], ...]:
        """Mean tension of both directions at each time. [N/mm]"""
        return tuple((state.when, 0.5 * (state.level + state.upright)) for state in self.states)

    @property
    def wetted(self) -> bool:
        """Whether the cloth is pulled only snug because water will tighten it."""
        return any(state.when == "likely" for state in self.states)


Answer = PrintedRehearsal | tuple[Fault, ...]
"""What an order leaves, or everything that stands against it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MapToRehearse:
    """One work with its map.

    Attributes:
        brief: The work.
        designed: Its design.
        frame: Its frame.
        canvas: How its canvas goes on.
    """

    brief: Brief
    designed: Designed
    frame: Frame
    canvas: CanvasPlan

    @property
    def alike(self) -> tuple[object, ...]:
        """Works for which this is equal share a rehearsal."""
        return (
            self.designed.design,
            self.designed.bars,
            self.designed.rails,
            self.brief.cloth,
            self.brief.work_cloth,
            self.canvas.stapling,
        )


def map_to_rehearse(brief: Brief, *, designed: Designed, frame: Frame, canvas: CanvasPlan) -> MapToRehearse:
    """One work with its map; of a computed design only what it is, for that can go to another process.

    Args:
        brief: The work.
        designed: Its design.
        frame: Its frame.
        canvas: How its canvas goes on.
    """
    plain = Designed(designed.design, designed.bars, designed.rails)
    return MapToRehearse(brief=brief, designed=plain, frame=frame, canvas=canvas)


SideBySide = Callable[[Sequence[MapToRehearse]], Iterable[Answer]]
"""Rehearses maps, perhaps several at a time, and gives the answers in their order."""


def one_by_one(maps: Sequence[MapToRehearse]) -> Iterator[Answer]:
    """Rehearses maps one after another.

    Args:
        maps: The maps.

    Yields:
        An answer for each.
    """
    return (rehearse_map(one) for one in maps)


def rehearsed_maps(
    maps: Sequence[MapToRehearse], *, run: SideBySide = one_by_one, say: Say = lambda _text: None
) -> list[Answer]:
    """Rehearses the printed order of every work; works that are alike share one rehearsal.

    Args:
        maps: Works with their maps.
        run: Rehearses maps that differ; the answers do not depend on it.
        say: Told what is being done.

    Returns:
        An answer for each work.
    """
    different = list({one.alike: one for one in reversed(maps)}.values())[::-1]
    found: dict[tuple[object, ...], Answer] = {}
    answers = iter(run(different))
    for number, one in enumerate(different, start=1):
        name = one.brief.work.name
        say(f"Rehearsing the stapling of {name}, {number} of {len(different)}")
        found[one.alike] = next(answers)
    return [found[one.alike] for one in maps]


@on_one_thread
def rehearse_map(one: MapToRehearse) -> Answer:
    """Rehearses one work's printed order.

    Args:
        one: The work with its map.

    Returns:
        What it leaves, or everything that stands against it.
    """
    stapling = one.canvas.stapling
    try:
        bench = rehearsal_bench(
            one.brief,
            designed=one.designed,
            frame=one.frame,
            canvas=one.canvas,
            full_pull=stapling.full_pull,
        )
        found = bench.one(stapling.order)
    except FaultsError as error:
        name = one.brief.work.name
        where = Where(f"{one.brief.key}.cloth.tension_left")
        return tuple(
            replace(fault, what=f"{name}: {fault.what}", where=where)
            if fault.where.key.startswith("hand.")
            else fault
            for fault in error.faults
        )
    return PrintedRehearsal(
        figures=found.row,
        pulled_in=found.rehearsal.pulled_in,
        wished=bench.tension,
        states=_states(found),
        tear_load=found.tear_load,
        force=bench.hand.force,
        elements=(bench.grid.columns, bench.grid.rows),
        cautions=_cautions(found, wished=bench.tension),
    )


def _states(found: OneOrder) -> tuple[CanvasState, ...]:
    """What there is when the last staple is in, and in the end."""
    one = found.rehearsal
    last = one.steps[-1]
    stapled_load = max(step.worst_staple for step in one.steps)
    stapled = _state("stapled", one.at_once, last.pulled_in, stapled_load)
    if not one.left_if:
        return (stapled, _state("settled", one.left, one.pulled_in, one.peak_load[0]))
    least, most = one.left_if
    return (
        stapled,
        _state("likely", one.left, one.pulled_in, one.peak_load[0]),
        _state("least", least.field, least.pulled_in, least.load),
        _state("most", most.field, most.pulled_in, most.load),
    )


def _state(
    when: When, field: Field, pulled_in: tuple[float, float, float, float], staple: float
) -> CanvasState:
    return CanvasState(
        when=when,
        level=field.mean_level,
        upright=field.mean_upright,
        spread=field.spread,
        lowest=field.lowest,
        highest=field.highest,
        corner_mean=field.corner_mean,
        slack=len(field.slack_places) / field.level.size,
        pulled_in=pulled_in,
        staple=staple,
    )


def _cautions(found: OneOrder, *, wished: float) -> tuple[Caution, ...]:
    """What stands out, in words that are alike for all works: the figures stand on the staple map."""
    cautions = []
    row = found.row
    if not found.rehearsal.shrunk and 0.5 * (row.mean_level + row.mean_upright) < ENOUGH * wished:
        cautions.append(Caution("order-leaves-less"))
    if stands_out(found.rehearsal, found.tear_load):
        cautions.append(Caution("staple-tear"))
    elif any(one.load > found.tear_load for one in found.rehearsal.left_if):
        cautions.append(Caution("staple-tear-wet"))
    return tuple(cautions)
