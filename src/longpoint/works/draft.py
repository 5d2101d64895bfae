"""The draft of one work: what follows from its design alone, settled once for whoever asks.

Design → frame → parts → cloth and its piece → mass; then, for those who need them, building and canvas.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.cutting.boards.faults import nearest_word
from longpoint.errors import Fault, FaultsError, Where
from longpoint.frame.members import Frame, derive_frame
from longpoint.frame.parts import Part, parts_of
from longpoint.joinery import BuildPlan
from longpoint.joinery.joints.joint import Joint
from longpoint.model.batch import Batch
from longpoint.works.brief import Brief, briefs_of
from longpoint.works.build import build_of
from longpoint.works.canvas import NOTHING_PROVEN, CanvasPlan, Proven, canvas_of
from longpoint.works.cloth import WorkCloth
from longpoint.works.designed import Chooser, Designed, Say
from longpoint.works.letters import letters
from longpoint.works.mass import Mass, mass_of
from longpoint.works.piece import Piece, piece_of
from longpoint.works.remembered import remembered
from longpoint.works.tension import Tensions
from longpoint.works.wood import wood_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """One work as its design makes it.

    Attributes:
        brief: What its design started from.
        code: Letters that begin its marks.
        designed: Its design.
        frame: Its frame.
        parts: Its parts.
        piece: Its piece of cloth.
        mass: What it weighs once it is finished.
    """

    brief: Brief
    code: str
    designed: Designed
    frame: Frame
    parts: tuple[Part, ...]
    piece: Piece
    mass: Mass

    @property
    def cloth(self) -> WorkCloth:
        """Its cloth."""
        return self.brief.work_cloth

    def build(self) -> BuildPlan:
        """How its frame goes together; the plan's faults say what stands against it."""
        if self.designed.built is not None:
            return self.designed.built
        return build_of(self.brief, frame=self.frame, parts=self.parts, bars=self.designed.bars)

    def canvas(
        self,
        *,
        joints: Sequence[Joint] | None = None,
        tensions: Tensions | None = None,
        pressing: bool = True,
        proven: Proven = NOTHING_PROVEN,
    ) -> CanvasPlan | tuple[Fault, ...]:
        """How its canvas goes on, or everything that stands against it.

        Args:
            joints: Its joints, whose screws no staple may meet; None: worked out.
            tensions: As rehearsed; None: estimated.
            pressing: Whether a press test is proposed, which takes far longer than all else.
            proven: What was computed of the frame's strength.
        """
        return canvas_of(
            self.brief,
            frame=self.frame,
            wood=wood_named(self.designed.bars.wood),
            joints=self.build().joints if joints is None else joints,
            share=self.designed.share,
            tensions=tensions,
            pressing=pressing,
            proven=proven,
        )


@remembered(16)
def draft_of(brief: Brief, designed: Designed) -> Draft:
    """The draft of one work.

    Args:
        brief: The work.
        designed: Its design.
    """
    work, code = brief.work, letters(brief.index)
    frame = derive_frame(designed.design)
    parts = parts_of(frame, work=work.name, code=code, how_many=work.how_many)
    piece = piece_of(work, brief.cloth, code=code, depth=designed.design.bar_depth, style=brief.style)
    return Draft(
        brief=brief,
        code=code,
        designed=designed,
        frame=frame,
        parts=parts,
        piece=piece,
        mass=mass_of(
            parts,
            designed.design,
            bars=designed.bars.wood,
            rails=(designed.rails or designed.bars).wood,
            cloth=brief.work_cloth,
            piece=piece,
        ),
    )


@dataclass(frozen=True, slots=True)
class CanvasWork:
    """A work with its canvas, for commands that look at one work alone.

    Attributes:
        draft: Its draft.
        canvas: How its canvas goes on.
    """

    draft: Draft
    canvas: CanvasPlan

    @property
    def index(self) -> int:
        """Which work of the batch, from 0."""
        return self.draft.brief.index

    @property
    def designed(self) -> Designed:
        """Its design."""
        return self.draft.designed

    @property
    def frame(self) -> Frame:
        """Its frame."""
        return self.draft.frame


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
    brief = briefs_of(batch)[index_of(batch, name)]
    say(f"Designing {name}")
    designed = choose(brief)
    if not isinstance(designed, Designed):
        raise FaultsError(designed)
    draft = draft_of(brief, designed)
    canvas = draft.canvas()
    if not isinstance(canvas, CanvasPlan):
        raise FaultsError(canvas)
    return CanvasWork(draft, canvas)


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
