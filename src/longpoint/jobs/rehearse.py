"""A work's canvas stapled on the screen in several orders, on its own frame, with its own cloth."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from longpoint.cutting.faults import nearest_word
from longpoint.errors import Caution, Fault, FaultsError, Where, gathered
from longpoint.frame.members import Frame, derive_frame
from longpoint.jobs.boards import Say
from longpoint.jobs.canvas import FRAME_TAKES, CanvasPlan, canvas_of, roll_of
from longpoint.jobs.cloth import piece_of
from longpoint.jobs.designs import Chooser, Designed
from longpoint.jobs.frame_pieces import pieces_of
from longpoint.jobs.strength import Makes, engine_timber, makes_of
from longpoint.jobs.wood import wood_named
from longpoint.model.batch import Batch
from longpoint.model.order import OrderWish
from longpoint.strength.coupled import three_corner_supports
from longpoint.strength.frame_model import frame_stiffness
from longpoint.strength.membrane_grid import Floats, MembraneGrid
from longpoint.strength.ties import tie_points
from longpoint.stretching.orders import Place, usual_places, written_order
from longpoint.stretching.piece import Fastening
from longpoint.stretching.pull import pull_that_leaves
from longpoint.stretching.rehearsal import Hand, hand_for_tension
from longpoint.stretching.rehearsal_compare import (
    ELEMENT_OF_SPACING,
    OrderComparison,
    compare_orders,
    rehearsal_grid,
)
from longpoint.stretching.staple_map import StapleUse
from longpoint.tables import breaking_tension, creep, habit

SETTLING = 0.4
"""Part of the tension lost in the first days. Estimate, as for the four tensions."""

FASTENINGS = {"back": Fastening.BACK, "side": Fastening.SIDE, "hem": Fastening.HEM}

MOST_COLUMNS = 48
"""Elements along the long side at most: finer costs minutes and moves window means by a few percent. Estimate."""

MOST_FORCE = habit("hand pull, hard").value
"""What a hand can do at the pliers for a moment. [N] Estimate, from the table of habits."""


@dataclass(frozen=True, slots=True, eq=False)
class RehearsedWork:
    """One work, rehearsed.

    Attributes:
        name: Its name.
        frame: Its frame.
        comparison: The orders compared, and the improved one.
        hand: How pulls are made.
        cloth_state: State of the cloth while it is stretched.
        tension: Mean tension wished when settled. [N/mm]
        wetted: Whether the cloth is pulled only snug because water will tighten it.
        elements: Columns and rows of elements.
        give: How far the middle of a long bar gives for 100 N spread over 100 mm, both long bars pulled alike. [mm]
        cautions: What a person should know.
    """

    name: str
    frame: Frame
    comparison: OrderComparison
    hand: Hand
    cloth_state: str
    tension: float
    wetted: bool
    elements: tuple[int, int]
    give: float
    cautions: tuple[Caution, ...]


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
    index = _index_of(batch, name)
    work = batch.work[index]
    say(f"Designing {work.name}")
    designed = choose(batch, index)
    if not isinstance(designed, Designed):
        raise FaultsError(designed)
    frame = derive_frame(designed.design)
    piece = piece_of(work, batch.cloth_of(work), code="A", depth=designed.design.bar_depth)
    wood = wood_named(designed.bars.wood)
    canvas = canvas_of(batch, index, frame=frame, piece=piece, wood=wood, frame_takes=FRAME_TAKES)
    if not isinstance(canvas, CanvasPlan):
        raise FaultsError(canvas)
    makes = makes_of(batch, work, bars=designed.bars.wood, rails=(designed.rails or designed.bars).wood)
    width, height = float(work.width), float(work.height)
    spacing = max(canvas.staples.spacing_level, canvas.staples.spacing_upright)
    coarse = max(spacing, max(width, height) / MOST_COLUMNS / ELEMENT_OF_SPACING)
    grid = rehearsal_grid(width=width, height=height, spacing=coarse)
    say("How far the frame gives way")
    give = frame_give(frame, makes, grid)
    wetting = canvas.wetting if tension_left is None else None
    if wetting is not None:
        pulled = wetting.snug.middle
        tension = pulled * (1 - SETTLING)
    else:
        wish = batch.cloth_of(work)
        tension = wish.tension_left / 1000 if tension_left is None else tension_left
        fastened = FASTENINGS[wish.fasten]
        pulled = pull_that_leaves(left=tension, frame_takes=FRAME_TAKES, fastened=fastened).prestrain.middle
    crown = float(next((item.crown for item in batch.staple), Fraction(10)))
    hand = hand_for_tension(pulled, jaw=canvas.pull.jaw, wrap=canvas.pull.wrap, crown=crown)
    places = usual_places(width=width, height=height, spacing=spacing)
    orders = []
    if written is not None:
        runs = [(run.side, run.staples, run.pull) for run in written.run]
        orders.append(written_order(name=written.name, width=width, height=height, places=places, runs=runs))
    roll = roll_of(batch, index)
    comparison = compare_orders(
        grid,
        makes.raw,
        give,
        hand,
        tension=tension,
        breaking=breaking_tension(roll.fibre, mass=roll.mass),
        spacing=spacing,
        settling=SETTLING,
        frame_creep=creep(service_class=1).k_def,
        written=orders,
        improving=improving,
        most_force=max(MOST_FORCE, hand.force),
        say=say,
    )
    return RehearsedWork(
        name=work.name,
        frame=frame,
        comparison=comparison,
        hand=hand,
        cloth_state=makes.raw_state.name,
        tension=tension,
        wetted=wetting is not None,
        elements=(grid.columns, grid.rows),
        give=_give_at_middle(give, grid),
        cautions=gathered([*comparison.cautions, *_cautions(canvas, places)]),
    )


def frame_give(frame: Frame, makes: Makes, grid: MembraneGrid) -> Floats:
    """How far the lips of a frame give way in the plane, per force on them.

    Members, joints and seams are those of the strength engine; turning and dishing follow freely, as they do while
    the work lies on the bench. Held at three corners, which takes nothing from loads that balance.

    Args:
        frame: The frame.
        makes: Its timber.
        grid: Grid of the canvas.

    Returns:
        Compliance at the edge points, shape (2 m, 2 m). [mm/N]
    """
    k_def = creep(service_class=1).k_def
    pieces = pieces_of(frame, bars=engine_timber(makes.bars, k_def), rails=engine_timber(makes.rails, k_def))
    model = pieces.model()
    ties = tie_points(model, grid, pieces.bars)
    held = three_corner_supports(ties)
    stiffness = frame_stiffness(model)
    # The size of determinate supports changes nothing but a drift that balanced loads do not cause.
    stiff = (stiffness + held.T @ held * 1e4).toarray()
    rows = ties.in_plane.toarray()
    give = rows @ np.linalg.solve(stiff, rows.T)
    return np.asarray(0.5 * (give + give.T))


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


def _index_of(batch: Batch, name: str) -> int:
    names = [work.name for work in batch.work]
    if name in names:
        return names.index(name)
    near = nearest_word(name, names)
    remedy = f"Did you mean {near!r}?" if near else f"It has {', '.join(names)}."
    raise FaultsError([Fault("no-such-work", f"the batch has no work {name!r}.", remedy, Where("--work"))])


def _cautions(canvas: CanvasPlan, places: tuple[Place, ...]) -> list[Caution]:
    found = []
    mapped = sum(staple.use is StapleUse.EDGE for staple in canvas.staples.staples)
    if mapped != len(places):
        text = f"The rehearsal drives {len(places)} staples round the edge, the staple map {mapped}."
        found.append(Caution("places-differ", text))
    return found
