"""A work's canvas stapled on the screen in several orders, on its own frame, with its own cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from longpoint.errors import Caution, gathered
from longpoint.frame.members import Frame
from longpoint.model.batch import Batch
from longpoint.model.order import USUAL_ORDERS, OrderWish
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.stretching.rehearsal.compare import OrderComparison, compare_orders
from longpoint.stretching.rehearsal.improve import Improvement
from longpoint.stretching.rehearsal.order_form import FormRun, form_of, order_of_form
from longpoint.stretching.rehearsal.orders import Order
from longpoint.stretching.rehearsal.outward_ways import improved_name
from longpoint.stretching.rehearsal.rehearse import Hand
from longpoint.threads import on_one_thread
from longpoint.works.brief import Brief
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Chooser, Designed, Say
from longpoint.works.draft import canvas_work
from longpoint.works.rehearse_bench import RehearsalBench, coarse_of, hand_of, rehearsal_bench
from longpoint.works.stapling import form_runs


@dataclass(frozen=True, slots=True)
class ImprovedOrder:
    """An improved order in the form that a batch can name.

    Attributes:
        name: What it is called.
        made_for: Width and height of the face it was improved on. [mm]
        full_pull: Tension at the lip that its full pull brings. [N/mm]
        runs: Its runs.
    """

    name: str
    made_for: tuple[float, float]
    full_pull: float
    runs: tuple[FormRun, ...]


@dataclass(frozen=True, slots=True, eq=False)
class RehearsedWork:
    """One work, rehearsed.

    Attributes:
        name: Its name.
        frame: Its frame.
        comparison: The orders compared, and the improved one.
        improved: The improved order as it is written down; None where none was asked for.
        hand: How pulls are made.
        cloth_state: State of the cloth while it is stretched.
        tension: Mean tension wished when settled. [N/mm]
        wetted: Whether the cloth is pulled only snug because water will tighten it; figures are those after that.
        elements: Columns and rows of elements.
        give: How far the middle of a long bar gives for 100 N spread over 100 mm, both long bars pulled alike. [mm]
        cautions: What a person should know.
    """

    name: str
    frame: Frame
    comparison: OrderComparison
    improved: ImprovedOrder | None
    hand: Hand
    cloth_state: str
    tension: float
    wetted: bool
    elements: tuple[int, int]
    give: float
    cautions: tuple[Caution, ...]


@on_one_thread
def rehearse_work(
    batch: Batch,
    name: str,
    *,
    choose: Chooser,
    written: OrderWish | None = None,
    tension_left: float | None = None,
    improving: bool = True,
    say: Say = lambda _text: None,
) -> RehearsedWork:
    """Rehearses the stapling of one work.

    Args:
        batch: The batch.
        name: Name of the work.
        choose: Settles its design.
        written: An order of the user's own, rehearsed as well.
        tension_left: Mean tension wished when settled; None: as the batch says, or only snug where water will
            tighten the cloth. [N/mm]
        improving: Whether one order is improved.
        say: Told what is being done.

    Returns:
        What came of it.

    Raises:
        FaultsError: With everything that stands against it.
    """
    work = canvas_work(batch, name, choose=choose, say=say)
    return compare_on(
        work.draft.brief,
        designed=work.designed,
        frame=work.frame,
        canvas=work.canvas,
        written=written,
        tension_left=tension_left,
        improving=improving,
        say=say,
    )


@on_one_thread
def compare_on(
    brief: Brief,
    *,
    designed: Designed,
    frame: Frame,
    canvas: CanvasPlan,
    written: OrderWish | None = None,
    tension_left: float | None = None,
    improving: bool = True,
    say: Say = lambda _text: None,
) -> RehearsedWork:
    """The same for a work that is settled already, as in a plan.

    Args:
        brief: The work.
        designed: Its design.
        frame: Its frame.
        canvas: Its canvas.
        written: As for `rehearse_work`.
        tension_left: As there. [N/mm]
        improving: As there.
        say: Told what is being done.

    Returns:
        What came of it.

    Raises:
        FaultsError: With everything that stands against it.
    """
    say("How far the frame gives way")
    bench = rehearsal_bench(brief, designed=designed, frame=frame, canvas=canvas, tension_left=tension_left)
    if improving:
        bench = coarse_of(bench, frame)
    cautions: list[Caution] = []
    name = brief.work.name
    stapling = canvas.stapling
    orders: list[Order] = []
    pulled: dict[str, Hand] = {}
    if stapling.order.name not in USUAL_ORDERS:  # the batch's own: it is printed, so it is compared
        orders.append(stapling.order)
        if stapling.full_pull is not None:
            pulled[stapling.order.name] = hand_of(brief.stock.staple, canvas, tension=stapling.full_pull)
    if written is not None:
        orders.append(_written(written, bench))
        cautions += _own_pull(written)
    comparison = compare_orders(
        bench.grid,
        bench.makes.raw,
        bench.give,
        bench.hand,
        tension=bench.tension,
        breaking=bench.breaking,
        places=bench.places,
        clean=bench.clean,
        settling=bench.settling,
        frame_creep=bench.frame_creep,
        shrinks=bench.shrinks.middle if bench.shrinks else 0.0,
        own=(stapling.usual,),
        written=orders,
        pulled=pulled,
        improving=improving,
        trying=bench.coarse,
        most_force=bench.most_force,
        say=say,
    )
    return RehearsedWork(
        name=name,
        frame=frame,
        comparison=comparison,
        improved=_improved(name, comparison.improvement),
        hand=bench.hand,
        cloth_state=bench.makes.raw_state.name,
        tension=bench.tension,
        wetted=bench.wetted,
        elements=(bench.grid.columns, bench.grid.rows),
        give=_give_at_middle(bench.give, bench.grid),
        cautions=gathered([*cautions, *comparison.cautions]),
    )


def _written(wish: OrderWish, bench: RehearsalBench) -> Order:
    width, height = (float(size) for size in np.ptp(bench.grid.nodes, axis=0))
    return order_of_form(wish.name, form_runs(wish), width=width, height=height, places=bench.places)


def _own_pull(wish: OrderWish) -> Sequence[Caution]:
    if wish.full_pull is None:
        return ()
    return (Caution("order-full-pull", facts=(("pull", f"{wish.full_pull:g} N/m"), ("order", wish.name))),)


def _improved(name: str, found: Improvement | None) -> ImprovedOrder | None:
    if found is None:
        return None
    order = found.best.order
    return ImprovedOrder(improved_name(name), (order.width, order.height), found.hand.tension, form_of(order))


def _give_at_middle(give: Floats, grid: MembraneGrid) -> float:
    """Give of the middles of the two long bars under 1 N/mm over 100 mm on each, pulled towards each other. [mm]"""
    size = np.ptp(grid.nodes, axis=0)
    sides = (grid.bottom, grid.top) if size[0] >= size[1] else (grid.left, grid.right)
    axis = 0 if size[0] >= size[1] else 1
    order = np.full(grid.node_count, -1, dtype=np.intp)
    order[grid.edge] = np.arange(len(grid.edge))
    force = np.zeros(2 * len(grid.edge))
    middles = []
    for sign, nodes in zip((1.0, -1.0), sides, strict=True):
        along = grid.nodes[nodes, axis]
        near = np.abs(along - along.mean()) <= max(50.0, float(np.diff(along).max()))
        at = 2 * order[nodes[near]] + 1 - axis
        force[at] += sign * 100.0 / len(at)
        middles.append((sign, at))
    moved = give @ force
    return float(np.mean([sign * moved[at].mean() for sign, at in middles]))
