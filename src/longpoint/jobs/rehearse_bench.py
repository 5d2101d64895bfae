"""What a rehearsal needs of one work: its cloth, its frame giving way, its hand, its staples.

One source for the printed map and for the comparison.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from longpoint.frame.members import Frame
from longpoint.jobs.boards import Say
from longpoint.jobs.canvas import FRAME_TAKES, CanvasPlan, roll_of
from longpoint.jobs.designs import Designed
from longpoint.jobs.frame_pieces import pieces_of
from longpoint.jobs.strength import Makes, engine_timber, makes_of
from longpoint.model.batch import Batch
from longpoint.strength.membrane.grid import Floats, MembraneGrid
from longpoint.stretching.pull import pull_that_leaves
from longpoint.stretching.rehearsal.compare import ELEMENT_OF_SPACING, OneOrder, rehearsal_grid, rehearse_one
from longpoint.stretching.rehearsal.frame import give_of_frame
from longpoint.stretching.rehearsal.order_form import places_of_map
from longpoint.stretching.rehearsal.orders import Order, Place
from longpoint.stretching.rehearsal.rehearse import Hand, hand_for_tension
from longpoint.tables import breaking_tension, creep, habit

SETTLING = 0.4
"""Part of the tension lost in the first days. Estimate, as for the four tensions."""

MOST_COLUMNS = 48
"""Elements along the long side at most: finer costs minutes and moves window means by a few percent. Estimate."""

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
        tension: Mean tension wished when settled. [N/mm]
        wetted: Whether the cloth is pulled only snug because water will tighten it.
        breaking: Breaking tension of the cloth. [N/mm]
        frame_creep: How much more the frame gives in the long run, as a part.
        spacing: Widest spacing of its staples. [mm]
        places: Where its staples stay, as on its map.
    """

    grid: MembraneGrid
    makes: Makes
    give: Floats
    hand: Hand
    tension: float
    wetted: bool
    breaking: float
    frame_creep: float
    spacing: float
    places: tuple[Place, ...]

    def one(self, order: Order, *, say: Say | None = None) -> OneOrder:
        """Rehearses one order.

        Args:
            order: For this work's face.
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
            settling=SETTLING,
            frame_creep=self.frame_creep,
            say=say,
        )


def rehearsal_bench(
    batch: Batch,
    index: int,
    *,
    designed: Designed,
    frame: Frame,
    canvas: CanvasPlan,
    tension_left: float | None = None,
    full_pull: float | None = None,
) -> RehearsalBench:
    """Makes one work ready to be rehearsed.

    Args:
        batch: The batch.
        index: Which work, from 0.
        designed: Its design.
        frame: Its frame.
        canvas: How its canvas goes on.
        tension_left: Mean tension wished when settled; None: as the batch says, or only snug where water will
            tighten the cloth. [N/mm]
        full_pull: Tension at the lip that a full pull brings; None: what leaves the tension wished. [N/mm]
    """
    work = batch.work[index]
    wish = batch.cloth_of(work)
    makes = makes_of(batch, work, bars=designed.bars.wood, rails=(designed.rails or designed.bars).wood)
    width, height = float(work.width), float(work.height)
    spacing = max(canvas.staples.spacing_level, canvas.staples.spacing_upright)
    coarse = max(spacing, max(width, height) / MOST_COLUMNS / ELEMENT_OF_SPACING)
    grid = rehearsal_grid(width=width, height=height, spacing=coarse)
    wetting = canvas.wetting if tension_left is None else None
    if wetting is not None:
        pulled = wetting.snug.middle
        tension = pulled * (1 - SETTLING)
    else:
        tension = wish.tension_left / 1000 if tension_left is None else tension_left
        pulled = pull_that_leaves(
            left=tension, frame_takes=FRAME_TAKES, fastened=canvas.piece.fastened
        ).prestrain.middle
    crown = float(next((item.crown for item in batch.staple), Fraction(10)))
    hand = hand_for_tension(
        pulled if full_pull is None else full_pull, jaw=canvas.pull.jaw, wrap=canvas.pull.wrap, crown=crown
    )
    roll = roll_of(batch, index)
    return RehearsalBench(
        grid=grid,
        makes=makes,
        give=frame_give(frame, makes, grid),
        hand=hand,
        tension=tension,
        wetted=wetting is not None,
        breaking=breaking_tension(roll.fibre, mass=roll.mass),
        frame_creep=creep(service_class=1).k_def,
        spacing=spacing,
        places=places_of_map(canvas.staples),
    )


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
