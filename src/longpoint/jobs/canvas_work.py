"""One work of a batch by its name, with its frame and its canvas, for commands that look at one work alone."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.cutting.boards.faults import nearest_word
from longpoint.errors import Fault, FaultsError, Where
from longpoint.frame.members import Frame, derive_frame
from longpoint.model.batch import Batch
from longpoint.works.canvas import CanvasPlan, canvas_of
from longpoint.works.designed import Chooser, Designed, Say
from longpoint.works.piece import piece_of
from longpoint.works.wood import wood_named


@dataclass(frozen=True, slots=True)
class CanvasWork:
    """A work with its frame and its canvas.

    Attributes:
        index: Which work of the batch, from 0.
        designed: Its design.
        frame: Its frame.
        canvas: How its canvas goes on.
    """

    index: int
    designed: Designed
    frame: Frame
    canvas: CanvasPlan


def canvas_work(batch: Batch, name: str, *, choose: Chooser, say: Say = lambda _text: None) -> CanvasWork:
    """Settles the design and the canvas of one work, as a plan does.

    Args:
        batch: The batch.
        name: Name of the work.
        choose: Settles its design.
        say: Told what is being done.

    Returns:
        The work.

    Raises:
        FaultsError: With everything that stands against it.
    """
    index = index_of(batch, name)
    work = batch.work[index]
    say(f"Designing {work.name}")
    designed = choose(batch, index)
    if not isinstance(designed, Designed):
        raise FaultsError(designed)
    frame = derive_frame(designed.design)
    piece = piece_of(work, batch.cloth_of(work), code="A", depth=designed.design.bar_depth)
    canvas = canvas_of(batch, index, frame=frame, piece=piece, wood=wood_named(designed.bars.wood))
    if not isinstance(canvas, CanvasPlan):
        raise FaultsError(canvas)
    return CanvasWork(index, designed, frame, canvas)


def index_of(batch: Batch, name: str) -> int:
    """Which work bears a name, from 0.

    Args:
        batch: The batch.
        name: The name.

    Raises:
        FaultsError: If no work bears it.
    """
    names = [work.name for work in batch.work]
    if name in names:
        return names.index(name)
    near = nearest_word(name, names)
    remedy = f"Did you mean {near!r}?" if near else f"It has {', '.join(names)}."
    raise FaultsError([Fault("no-such-work", f"the batch has no work {name!r}.", remedy, Where("--work"))])
