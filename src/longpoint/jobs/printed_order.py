"""The order on the printed map, rehearsed: what it leaves on that very frame."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from longpoint.errors import Caution, Fault, FaultsError, Where
from longpoint.frame.members import Frame
from longpoint.jobs.canvas import CanvasPlan, roll_of
from longpoint.jobs.designs import Designed
from longpoint.jobs.rehearse_bench import rehearsal_bench
from longpoint.model.batch import Batch
from longpoint.stretching.rehearsal.compare import OneOrder, OrderRow, stands_out

ENOUGH = 0.7
"""Less than this part of the tension wished is clearly less. Estimate: cloth is known no better than that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedRehearsal:
    """What the printed order leaves. All of it is computed from estimates of cloth and settling.

    Attributes:
        figures: Its tensions after settling, slack places, bars drawn in.
        pulled_in: How far bottom, right, top and left bar are drawn in, settled, a string between their ends. [mm]
        peak_at: The staple with the greatest load at any step.
        wished: Mean tension wished when settled. [N/mm]
        wetted: Whether the cloth is pulled only snug because water will tighten it.
        force: Full pull at the pliers. [N]
        elements: Columns and rows of elements.
        cautions: What stands out.
    """

    figures: OrderRow
    pulled_in: tuple[float, float, float, float]
    peak_at: str
    wished: float
    wetted: bool
    force: float
    elements: tuple[int, int]
    cautions: tuple[Caution, ...]


@dataclass(slots=True)
class PrintedOrders:
    """Rehearses the printed order of every work; works that are alike share one rehearsal.

    Raw cloth that water will tighten is pulled only snug, and what stays of a snug pull says nothing of the canvas
    after its shrinkage, which is not simulated: such works are left out, and their sheets say so.
    """

    _done: dict[object, PrintedRehearsal | tuple[Fault, ...] | None] = field(default_factory=dict)

    def __call__(
        self, batch: Batch, index: int, *, designed: Designed, frame: Frame, canvas: CanvasPlan
    ) -> PrintedRehearsal | tuple[Fault, ...] | None:
        """Rehearses one work's printed order.

        Args:
            batch: The batch.
            index: Which work, from 0.
            designed: Its design.
            frame: Its frame.
            canvas: How its canvas goes on.

        Returns:
            What it leaves; None for cloth that is pulled only snug; or everything that stands against it.
        """
        if canvas.wetting is not None:
            return None
        work = batch.work[index]
        key = (
            designed.design,
            designed.bars,
            designed.rails,
            batch.cloth_of(work),
            roll_of(batch, index),
            canvas.stapling,
        )
        if key not in self._done:
            self._done[key] = _rehearsed(batch, index, designed=designed, frame=frame, canvas=canvas)
        return self._done[key]


def _rehearsed(
    batch: Batch, index: int, *, designed: Designed, frame: Frame, canvas: CanvasPlan
) -> PrintedRehearsal | tuple[Fault, ...]:
    try:
        bench = rehearsal_bench(
            batch,
            index,
            designed=designed,
            frame=frame,
            canvas=canvas,
            full_pull=canvas.stapling.full_pull,
        )
        found = bench.one(canvas.stapling.order)
    except FaultsError as error:
        name = batch.work[index].name
        where = Where(f"work[{index + 1}].cloth.tension_left")
        return tuple(
            replace(fault, what=f"{name}: {fault.what}", where=where)
            if fault.where.key.startswith("hand.")
            else fault
            for fault in error.faults
        )
    return PrintedRehearsal(
        figures=found.row,
        pulled_in=found.rehearsal.pulled_in,
        peak_at=found.rehearsal.peak_load[1],
        wished=bench.tension,
        wetted=bench.wetted,
        force=bench.hand.force,
        elements=(bench.grid.columns, bench.grid.rows),
        cautions=_cautions(found, wished=bench.tension),
    )


def _cautions(found: OneOrder, *, wished: float) -> tuple[Caution, ...]:
    """What stands out, in words that are alike for all works: the figures stand on the staple map."""
    cautions = []
    row = found.row
    if 0.5 * (row.mean_level + row.mean_upright) < ENOUGH * wished:
        text = (
            "Rehearsed, the printed stapling order leaves clearly less than the tension wished (estimate; figures on "
            "the staple map): longpoint rehearse finds pulls and an order that leave more."
        )
        cautions.append(Caution("order-leaves-less", text))
    if stands_out(found.rehearsal, found.tear_load):
        text = (
            "Rehearsed, a staple at some step carries more than cloth may bear there (estimate): pull lighter near the "
            "corners, or take another order."
        )
        cautions.append(Caution("staple-tear", text))
    return tuple(cautions)
