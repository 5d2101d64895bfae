"""What a rehearsal needs of one work: its cloth, its frame giving way, its hand, its staples.

One source for the printed map and for the comparison.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from longpoint.frame.members import Frame
from longpoint.model.hardware import Staple
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.strength.membrane.solve import Cloth
from longpoint.stretching.fold import CleanSides
from longpoint.stretching.pull_limits import Wetting
from longpoint.stretching.ranges import Range
from longpoint.stretching.rehearsal.compare import ELEMENT_OF_SPACING, OneOrder, rehearsal_grid, rehearse_one
from longpoint.stretching.rehearsal.frame import give_of_frame
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders import Order, Place
from longpoint.stretching.rehearsal.rehearse import Hand, hand_for_tension
from longpoint.tables import breaking_tension, creep, habit
from longpoint.works.brief import Brief
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Designed, Say
from longpoint.works.frame_pieces import pieces_of
from longpoint.works.strength import Makes, engine_timber, makes_of

SETTLING = 0.4
"""Part of the tension lost in the first days. Estimate, as for the four tensions."""

MOST_COLUMNS = 96
"""Elements along the long side at most: up to 3 m with staples every 39 mm they stay narrower than that spacing.

Wider ones lay two staples on one node, and the greatest load on a staple comes out up to twice too large."""

TRYING_COLUMNS = 48
"""Elements along the long side while orders are tried: windows are good to some percent, which is enough to rank."""

MOST_FORCE = habit("hand pull, hard").value
"""What a hand can do at the pliers for a moment. [N] Estimate, from the table of habits."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RehearsalBench:
    """One work ready to be rehearsed.

    Attributes:
        grid: Grid of the canvas.
        makes: Timber and cloth.
        give: Compliance of the lips in the plane, shape (2 m, 2 m). [mm/N]
        hand: How pulls are made.
        most_force: Most at the pliers that hand and cloth allow; snug stays snug. [N]
        tension: Mean tension wished in the end. [N/mm]
        shrinks: By how much, as a part, snug raw cloth shrinks under water-borne size or primer, and
            the range of that; None for cloth that no water tightens.
        settling: Part of the tension lost in the first days.
        breaking: Breaking tension of the cloth. [N/mm]
        frame_creep: How much more the frame gives in the long run, as a part.
        spacing: Widest spacing of its staples. [mm]
        places: Where its staples stay, as on its map.
        clean: The pair of sides without folds.
        coarse: A coarser grid and the compliance on it, for the many tries of an improvement; None where the grid is
            no finer.
    """

    grid: MembraneGrid
    makes: Makes
    give: Floats
    hand: Hand
    most_force: float
    tension: float
    shrinks: Range | None
    settling: float
    breaking: float
    frame_creep: float
    spacing: float
    places: tuple[Place, ...]
    clean: CleanSides
    coarse: tuple[MembraneGrid, Floats] | None = None

    @property
    def wetted(self) -> bool:
        """Whether the cloth is pulled only snug because water will tighten it."""
        return self.shrinks is not None

    def one(self, order: Order, *, maps: bool = False, say: Say | None = None) -> OneOrder:
        """Rehearses one order.

        Args:
            order: For this work's face.
            maps: Whether a map after every run is kept.
            say: Told what is being done.

        Returns:
            The rehearsal and its figures.

        Raises:
            FaultsError: If the pull tears the cloth; with every fault of the order and the hand.
        """
        return rehearse_one(
            self.grid,
            self.makes.raw,
            self.give,
            self.hand,
            order,
            breaking=self.breaking,
            clean=self.clean,
            settling=self.settling,
            frame_creep=self.frame_creep,
            shrinks=self.shrinks.middle if self.shrinks else 0.0,
            may_shrink=(self.shrinks.low, self.shrinks.high) if self.shrinks else (),
            maps=maps,
            say=say,
        )


def coarse_of(bench: RehearsalBench, frame: Frame) -> RehearsalBench:
    """The same bench with a coarser grid beside it, where its own is finer than tries need.

    Args:
        bench: A bench.
        frame: Its frame.
    """
    width, height = (float(size) for size in np.ptp(bench.grid.nodes, axis=0))
    if max(bench.grid.columns, bench.grid.rows) <= TRYING_COLUMNS:
        return bench
    spacing = max(width, height) / TRYING_COLUMNS / ELEMENT_OF_SPACING
    grid = rehearsal_grid(width=width, height=height, spacing=spacing)
    return replace(bench, coarse=(grid, frame_give(frame, bench.makes, grid)))


def rehearsal_bench(
    brief: Brief,
    *,
    designed: Designed,
    frame: Frame,
    canvas: CanvasPlan,
    tension_left: float | None = None,
    full_pull: float | None = None,
) -> RehearsalBench:
    """Makes one work ready to be rehearsed.

    Args:
        brief: The work.
        designed: Its design.
        frame: Its frame.
        canvas: How its canvas goes on.
        tension_left: Mean tension wished when settled, the cloth pulled to it dry; None: as the batch says, the cloth
            pulled only snug where water will tighten it. [N/mm]
        full_pull: Tension at the lip that a full pull brings; None: what leaves the tension wished. [N/mm]
    """
    work, wish, cloth = brief.work, brief.cloth, brief.work_cloth
    makes = makes_of(cloth, bars=designed.bars.wood, rails=(designed.rails or designed.bars).wood)
    width, height = float(work.width), float(work.height)
    spacing = max(canvas.staples.spacing_level, canvas.staples.spacing_upright)
    coarse = max(spacing, max(width, height) / MOST_COLUMNS / ELEMENT_OF_SPACING)
    grid = rehearsal_grid(width=width, height=height, spacing=coarse)
    wetting = canvas.wetting if tension_left is None else None
    tension = wish.tension if tension_left is None else tension_left
    if wetting is not None:
        pulled = wetting.snug.middle
    else:
        # pulled so that it leaves the tension on this very frame
        wished = canvas.tensions
        pulled = wished.prestrain.middle * tension / wished.left.middle
    hand = hand_of(brief.stock.staple, canvas, tension=pulled if full_pull is None else full_pull)
    most = max(MOST_FORCE, hand.force)
    if wetting is not None:
        most = hand.force * max(wetting.snug.high / hand.tension, 1.0)
    roll = cloth.roll
    return RehearsalBench(
        grid=grid,
        makes=makes,
        give=frame_give(frame, makes, grid),
        hand=hand,
        most_force=most,
        tension=tension,
        shrinks=None if wetting is None else shrinkage(wetting, makes.raw),
        settling=SETTLING if wetting is None else 0.0,
        breaking=breaking_tension(roll.fibre, mass=roll.mass),
        frame_creep=creep(service_class=1).k_def,
        spacing=spacing,
        places=places_of_map(canvas.staples),
        clean=CleanSides.LEVEL if canvas.corners[0].folded_side in ("left", "right") else CleanSides.UPRIGHT,
    )


def hand_of(staples: Sequence[Staple], canvas: CanvasPlan, *, tension: float) -> Hand:
    """The hand whose full pull brings a tension to the lip, with the staples that are stated.

    Args:
        staples: Staples, as stated.
        canvas: How the canvas goes on.
        tension: At the lip. [N/mm]
    """
    crown = float(next((item.crown for item in staples), Fraction(10)))
    return hand_for_tension(tension, jaw=canvas.pull.jaw, wrap=canvas.pull.wrap, crown=crown)


def shrinkage(wetting: Wetting, cloth: Cloth) -> Range:
    """By how much raw cloth shrinks under water once it is held, so that it gains the tension that is predicted.

    One estimate, one number: the tension that water adds on a frame that does not give stands on the canvas page. Held
    cloth of this stiffness that shrinks both ways alike gains it at this strain. Wet cloth creeps, and the share of the
    free shrinkage that stays counts that in, so nothing more is taken off for settling.

    Args:
        wetting: What water does.
        cloth: The cloth while it is stretched.

    Returns:
        The shrinkage, as a part.
    """
    law = cloth.matrix
    mean = float(0.5 * (law[0, 0] + law[1, 1] + 2 * law[0, 1]))
    return Range(wetting.added.low / mean, wetting.added.middle / mean, wetting.added.high / mean)


def frame_give(frame: Frame, makes: Makes, grid: MembraneGrid) -> Floats:
    """How far the lips of a frame give way in the plane, per force on them.

    Members, joints and seams are those of the strength engine; turning and dishing follow freely, as they do while
    the work lies on the bench.

    Args:
        frame: The frame.
        makes: Its timber.
        grid: Grid of the canvas.

    Returns:
        Compliance at the edge points, shape (2 m, 2 m). [mm/N]
    """
    k_def = creep(service_class=1).k_def
    pieces = pieces_of(frame, bars=engine_timber(makes.bars, k_def), rails=engine_timber(makes.rails, k_def))
    return give_of_frame(pieces.model(), grid, bars=pieces.bars)
