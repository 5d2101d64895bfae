"""Orders of stapling compared on one work, on its own frame: the table, the maps, and the improved order.

The frame's compliance must be stated on the edge points of the grid the canvas is rehearsed on, so the grid is
made first (``rehearsal_grid``), then the frame condensed to it, then the orders compared.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from math import ceil
from types import MappingProxyType
from typing import Any

import numpy as np

from longpoint.errors import Caution, Where, refuse
from longpoint.strength.membrane.grid import Floats, MembraneGrid, rectangle_grid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.rehearsal.corners import about_corners, corner_trials
from longpoint.stretching.rehearsal.improve import Improvement, improve
from longpoint.stretching.rehearsal.orders import Order, Place, usual_places
from longpoint.stretching.rehearsal.orders_usual import usual_orders
from longpoint.stretching.rehearsal.outward_ways import improved_name
from longpoint.stretching.rehearsal.plain_values import rehearsal_as_dict
from longpoint.stretching.rehearsal.rehearse import Hand, Rehearsal, rehearse
from longpoint.stretching.rehearsal.sheet import edge_system
from longpoint.stretching.rehearsal.tuck import waiting_for_corners
from longpoint.tables import canvas_constant, habit
from longpoint.threads import on_one_thread

#: Elements as a part of the staples' spacing: finer changes window means by a few percent only.
ELEMENT_OF_SPACING = 0.8

NO_HANDS: Mapping[str, Hand] = MappingProxyType({})
"""No order has a hand of its own."""


def rehearsal_grid(*, width: float, height: float, spacing: float | None = None) -> MembraneGrid:
    """The grid an order is rehearsed on: elements smaller than the staples' spacing.

    Args:
        width: Of the face. [mm]
        height: Of the face. [mm]
        spacing: Widest spacing of staples; the habit where None. [mm]

    Returns:
        The grid.
    """
    element = ELEMENT_OF_SPACING * (habit("spacing, widest").value if spacing is None else spacing)
    return rectangle_grid(
        width=width, height=height, columns=ceil(width / element), rows=ceil(height / element)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """One line of the comparison. Tensions after settling; for cloth that shrinks after stapling, after that.

    Attributes:
        name: Of the order.
        staples: Driven in all.
        mean_level: Mean Tx. [N/mm]
        mean_upright: Mean Ty. [N/mm]
        spread: Standard deviation of window means over their mean. [-]
        lowest: Lowest window mean. [N/mm]
        highest: Highest. [N/mm]
        corner_lowest: Lowest within 150 mm of the corners. [N/mm]
        corner_highest: Highest there. [N/mm]
        corner_mean: Mean there. [N/mm]
        slack: Part of the face's windows that are more slack than taut.
        bent: How far straight threads are bent, the most. [mm]
        pulled_in: Most that a bar is drawn in, settled. [mm]
        pulled_in_peak: Most at any step. [mm]
        peak_load: Greatest load on a staple at any step. [N]
        tear: That load over what a staple may take; above 1 cloth may tear there.
        stopped_by_reach: Pulls that ended at the hand's reach and not at its force.
        stapled: Mean of both ways when the last staple is in, before cloth shrinks or settles. [N/mm]
        stapled_slack: Slack part of the windows then.
    """

    name: str
    staples: int
    mean_level: float
    mean_upright: float
    spread: float
    lowest: float
    highest: float
    corner_lowest: float
    corner_highest: float
    corner_mean: float
    slack: float
    bent: float
    pulled_in: float
    pulled_in_peak: float
    peak_load: float
    tear: float
    stopped_by_reach: int
    stapled: float
    stapled_slack: float


@dataclass(frozen=True, slots=True, eq=False)
class OrderComparison:
    """Orders compared on one work.

    Attributes:
        rows: One for each order, most even first.
        rehearsals: In the same order.
        improvement: What improving on the orders gave; None if not asked for.
        improved_row: The improved order's line; None if not asked for.
        corners: What was found about lighter corners, in a sentence.
        tear_load: What a staple may take. [N]
        cautions: What to know about all of it.
    """

    rows: tuple[OrderRow, ...]
    rehearsals: tuple[Rehearsal, ...]
    improvement: Improvement | None
    improved_row: OrderRow | None
    corners: str
    tear_load: float
    cautions: tuple[Caution, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain numbers and lists, for JSON and for a page in the browser."""
        improved = None
        if self.improvement is not None and self.improved_row is not None:
            improved = {
                "row": asdict(self.improved_row),
                "gain": self.improvement.gain,
                "changes": list(self.improvement.changes),
                "pulls": [list(pair) for pair in self.improvement.pulls],
                "told": self.improvement.told,
                "tried": [list(row) for row in self.improvement.tried],
                "force": self.improvement.hand.force,
                "rehearsal": rehearsal_as_dict(self.improvement.best),
            }
        return {
            "unit": {"tension": "N/mm", "length": "mm", "force": "N"},
            "orders": [asdict(row) for row in self.rows],
            "rehearsals": [rehearsal_as_dict(found) for found in self.rehearsals],
            "improved": improved,
            "corners": self.corners,
            "mind": [caution.what for caution in self.cautions],
        }


def row_of(found: Rehearsal, *, tear_load: float) -> OrderRow:
    """The line of one rehearsal.

    Args:
        found: The rehearsal.
        tear_load: What a staple may take. [N]

    Returns:
        The line.
    """
    field = found.left
    return OrderRow(
        name=found.order.name,
        staples=found.order.steps,
        mean_level=field.mean_level,
        mean_upright=field.mean_upright,
        spread=field.spread,
        lowest=field.lowest,
        highest=field.highest,
        corner_lowest=field.corner_lowest,
        corner_highest=field.corner_highest,
        corner_mean=field.corner_mean,
        slack=float(np.mean(field.rippled > 0.5)),
        bent=field.bent,
        pulled_in=max(found.pulled_in),
        pulled_in_peak=max(max(step.pulled_in) for step in found.steps),
        peak_load=found.peak_load[0],
        tear=found.peak_load[0] / tear_load,
        stopped_by_reach=sum(step.stopped_by == "reach" for step in found.steps),
        stapled=0.5 * (found.at_once.mean_level + found.at_once.mean_upright),
        stapled_slack=float(np.mean(found.at_once.rippled > 0.5)),
    )


def staple_tear_load(*, breaking: float, held: float = 42.0) -> float:
    """What cloth takes at a staple before threads may break there.

    The strain concentration is the greatest strain at a fixing over the strain of the cloth it holds, so it is
    taken off once, over the stretch of lip that the staple holds; the crown's narrowness is already in it.

    Args:
        breaking: Breaking tension of the cloth. [N/mm]
        held: Width of the stretch of lip a staple holds, as ``Hand.held``. [mm]

    Returns:
        Breaking tension times the width, over the strain concentration. [N]  Estimate; friction round the edge,
        which takes much of it off the staple, is left out.

    References:
        Strain concentrations on stretched samples approach a factor of 10: Young & Hibberd 1999 (abstract).
    """
    return breaking * held / canvas_constant("strain concentration").value


@dataclass(frozen=True, slots=True, eq=False)
class OneOrder:
    """One order rehearsed on its own.

    Attributes:
        row: Its line.
        rehearsal: The rehearsal.
        tear_load: What a staple may take. [N]
        cautions: What to know about it.
    """

    row: OrderRow
    rehearsal: Rehearsal
    tear_load: float
    cautions: tuple[Caution, ...]


def rehearse_one(
    grid: MembraneGrid,
    cloth: Cloth,
    frame: Floats,
    hand: Hand,
    order: Order,
    *,
    breaking: float,
    clean: CleanSides = CleanSides.UPRIGHT,
    slackness: float = 0.001,
    settling: float = 0.4,
    frame_creep: float = 0.0,
    shrinks: float = 0.0,
    may_shrink: Sequence[float] = (),
    maps: bool = False,
    say: Callable[[str], None] | None = None,
) -> OneOrder:
    """Rehearses one order, such as the one on the printed map: the cheap way where nothing is compared.

    Args:
        grid: From ``rehearsal_grid``; its size is the face.
        cloth: The cloth while it is stretched.
        frame: Compliance of the lips at ``grid.edge``, in the plane, shape (2 m, 2 m). [mm/N]
        hand: How pulls are made.
        order: The order.
        breaking: Breaking tension of the cloth. [N/mm]
        clean: The pair of sides without folds.
        slackness: How much too long the cloth lies at the start, as a part. Estimate.
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run.
        shrinks: How much the held cloth shrinks both ways after the last staple, as a part: raw cloth under water.
        may_shrink: Other parts for which what is left is wanted as well.
        maps: True keeps a map after every run.
        say: Told what is being done.

    Returns:
        The rehearsal and its line.

    Raises:
        FaultsError: If the pull tears the cloth; with every fault of the order and the hand.
    """
    _refuse_tearing(hand, breaking)
    tear_load = staple_tear_load(breaking=breaking, held=hand.held)
    system = edge_system(grid, cloth, slackness=slackness)
    found = rehearse(
        system,
        frame,
        waiting_for_corners(order, clean),
        hand,
        settling=settling,
        frame_creep=frame_creep,
        shrinks=shrinks,
        may_shrink=may_shrink,
        maps=maps,
        say=say,
    )
    return OneOrder(row_of(found, tear_load=tear_load), found, tear_load, _cautions([found], tear_load))


def _refuse_tearing(hand: Hand, breaking: float) -> None:
    if hand.tension >= breaking:
        what = (
            f"a pull of {hand.force:.0f} N brings {hand.tension * 1000:.0f} N/m to the lip; this cloth breaks at "
            f"{breaking * 1000:.0f} N/m."
        )
        raise refuse("pull-tears", what, "Pull less, or take wider jaws.", Where("hand.force"))


@on_one_thread
def compare_orders(
    grid: MembraneGrid,
    cloth: Cloth,
    frame: Floats,
    hand: Hand,
    *,
    tension: float,
    breaking: float,
    spacing: float | None = None,
    places: Iterable[Place] | None = None,
    clean: CleanSides = CleanSides.UPRIGHT,
    slackness: float = 0.001,
    settling: float = 0.4,
    frame_creep: float = 0.0,
    shrinks: float = 0.0,
    own: Sequence[Order] = (),
    written: Sequence[Order] = (),
    pulled: Mapping[str, Hand] = NO_HANDS,
    improving: bool = True,
    most_force: float | None = None,
    trying: tuple[MembraneGrid, Floats] | None = None,
    say: Callable[[str], None] | None = None,
) -> OrderComparison:
    """Rehearses the orders people use on one work, and improves the best of them.

    Args:
        grid: From ``rehearsal_grid``; its size is the face.
        cloth: The cloth while it is stretched.
        frame: Compliance of the lips at ``grid.edge``, in the plane, shape (2 m, 2 m). [mm/N]
        hand: How pulls are made.
        tension: Mean tension wished when settled. [N/mm]
        breaking: Breaking tension of the cloth. [N/mm]
        spacing: Widest spacing of staples; the habit where None. [mm]
        places: Where the staples stay, such as those of a printed map; None: by the spacing.
        clean: The pair of sides without folds.
        slackness: How much too long the cloth lies at the start, as a part. Estimate.
        settling: Part of the tension lost in the first days.
        frame_creep: How much more the frame gives in the long run.
        shrinks: How much the held cloth shrinks both ways after the last staple, as a part: raw cloth under water.
        own: Orders of the work's own map; they take the place of the usual ones of their names.
        written: Orders of the user, rehearsed as well.
        pulled: Hands by name of order, for orders that state a full pull of their own.
        improving: False leaves the improvement out.
        most_force: Most that hand, cloth and staples allow at the pliers. [N]
        trying: A coarser grid and its frame's compliance, for what the improvement only tries; None: the same.
        say: Told what is being done.

    Returns:
        The comparison.

    Raises:
        FaultsError: If the pull tears the cloth; with every fault of the orders and the hand.
    """
    _refuse_tearing(hand, breaking)
    width, height = (float(size) for size in np.ptp(grid.nodes, axis=0))
    kept = usual_places(width=width, height=height, spacing=spacing) if places is None else tuple(places)
    system = edge_system(grid, cloth, slackness=slackness)
    tear_load = staple_tear_load(breaking=breaking, held=hand.held)
    by_own_map = {order.name: order for order in own}
    usual = [
        by_own_map.get(order.name, order) for order in usual_orders(width=width, height=height, places=kept)
    ]
    orders = [waiting_for_corners(order, clean) for order in (*usual, *corner_trials(usual[0]), *written)]
    found = [
        rehearse(
            system,
            frame,
            order,
            pulled.get(order.name, hand),
            settling=settling,
            frame_creep=frame_creep,
            shrinks=shrinks,
            maps=True,
            say=say,
        )
        for order in orders
    ]
    by_name = {one.order.name: one for one in found}
    corners = about_corners(by_name)
    found.sort(key=lambda one: one.left.spread)
    improvement, improved_row = None, None
    if improving:
        improvement = improve(
            system,
            frame,
            found,
            hand,
            tension=tension,
            tear_load=tear_load,
            clean=clean,
            most_force=most_force,
            settling=settling,
            frame_creep=frame_creep,
            shrinks=shrinks,
            trying=None
            if trying is None
            else (edge_system(trying[0], cloth, slackness=slackness), trying[1]),
            say=say,
        )
        improved_row = row_of(improvement.best, tear_load=tear_load)
    return OrderComparison(
        rows=tuple(row_of(one, tear_load=tear_load) for one in found),
        rehearsals=tuple(found),
        improvement=improvement,
        improved_row=improved_row,
        corners=corners,
        tear_load=tear_load,
        cautions=_cautions(found, tear_load, improved=improvement.best if improvement else None),
    )


def stands_out(one: Rehearsal, tear_load: float) -> bool:
    """Whether at some step a staple carries more than cloth may bear there."""
    return one.peak_load[0] > tear_load


def _cautions(
    found: Sequence[Rehearsal], tear_load: float, *, improved: Rehearsal | None = None
) -> tuple[Caution, ...]:
    made = [Caution("rehearsal-estimate")]
    named = [(one.order.name, one) for one in found]
    if improved is not None:
        named.append((improved_name(improved.order.name), improved))
    torn = [f"{name} ({one.peak_load[0]:.0f} N)" for name, one in named if stands_out(one, tear_load)]
    if torn:
        made.append(
            Caution("staple-tear-order", facts=(("most", f"{tear_load:.0f} N"), ("orders", "; ".join(torn))))
        )
    return tuple(made)
