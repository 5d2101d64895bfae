"""What stands against a batch and can be known without computing: said all at once, before any work is done.

Works whose inside the program chooses are looked at with every design that could be built; of those only what
stands against all of them is said, since a fault of one is no fault of the batch.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from longpoint.choosing.by_rule import design_of
from longpoint.choosing.candidates import candidates_of
from longpoint.choosing.parted import may_part, with_halves
from longpoint.choosing.refusals import tension_faults
from longpoint.cutting.boards.faults import find_faults
from longpoint.cutting.boards.values import BoardPlan, BoardProblem
from longpoint.cutting.cloth.faults import faults_of as faults_of_cloth
from longpoint.cutting.cloth.in_ticks import in_ticks
from longpoint.cutting.cloth.problem import ClothPlan, ClothProblem
from longpoint.errors import Fault, FaultsError
from longpoint.frame.members import Kind
from longpoint.frame.parts import Part
from longpoint.joinery.joints.joint import Joint
from longpoint.model.batch import Batch
from longpoint.model.mending import Rest, touches
from longpoint.model.places import Path
from longpoint.model.works import ClothWish
from longpoint.needs.boards import board_plans
from longpoint.needs.cloth import cloth_faults, lay_cloth
from longpoint.works.brief import Brief
from longpoint.works.canvas import CanvasPlan
from longpoint.works.designed import Designed
from longpoint.works.draft import draft_of
from longpoint.works.letters import letters
from longpoint.works.piece import Piece, piece_of
from longpoint.works.stock import stock_faults

_PRICES = frozenset({"per_metre", "per_foot", "per_yard", "price", "worth"})
_WORDS_ONLY = frozenset(
    {"notes", "title", "currency", "why", "show", "fraction", "paper", "language", "mass"}
)

_ALL_OF: dict[str, tuple[Rest, ...]] = {
    "prices of timber": (("yard",),),
    "prices of cloth": (("roll",),),
    "design": (
        ("unit",), ("bars",), ("inside",), ("yard",), ("rack",), ("arrived",), ("shop", "saw"), ("shop", "drill"),
        ("limits", "gap"),
    ),
    "build": (("screw",), ("glue",)),
    "cloth": (("unit",), ("cloth",), ("roll",), ("bars", "depth")),
    "canvas": (("staple",), ("order",), ("primer",), ("size",), ("climate",)),
}  # fmt: skip
"""What each kind of check rests on, beside the work itself."""

_NOTHING = Fault("nothing", "nothing stands against it")


def faults_against(
    batch: Batch, briefs: Sequence[Brief], *, unread: Collection[Path] = ()
) -> tuple[Fault, ...]:
    """Everything that stands against a batch and can be known without computing.

    Args:
        batch: What is stated.
        briefs: What its works start from.
        unread: Places that could not be read; nothing is said that rests on them.
    """
    unread = [path for path in unread if path and path[-1] not in _WORDS_ONLY]
    faults: list[Fault] = []
    if _readable("prices of timber", unread):
        faults += stock_faults(batch.yard)
    if _readable("prices of cloth", unread):
        faults += cloth_faults(batch.roll)
    unread = [path for path in unread if path[-1] not in _PRICES]
    orders_too = not any(path[-1] == "order" for path in unread)
    unread = [path for path in unread if path[-1] not in ("order", "members")]
    if not orders_too:
        unread.append(("order",))
    cloth_too = _readable("cloth", unread)
    pieces: list[Piece] = []
    for brief in briefs:
        mine: tuple[Rest, ...] = (("work", brief.index),)
        if any(touches(rest, unread) for rest in mine):
            continue
        if cloth_too:
            faults += tension_faults(brief)
            pieces.append(
                piece_of(
                    brief.work,
                    brief.cloth,
                    code=letters(brief.index),
                    depth=brief.shallowest,
                    style=brief.style,
                )
            )
        if _readable("design", unread):
            faults += _of_work(batch, brief, unread)
    if cloth_too and pieces:
        faults += _of_cloth(briefs, pieces, batch.cloth)
    return tuple(dict.fromkeys(faults))


def _readable(check: str, unread: Collection[Path]) -> bool:
    return not any(touches(rest, unread) for rest in _ALL_OF[check])


def _of_work(batch: Batch, brief: Brief, unread: Collection[Path]) -> list[Fault]:
    """What stands against every design that one work may have, in one piece and in halves where that is left open."""
    against = _of_candidates(batch, brief, unread)
    if against and may_part(brief, against) and not _of_candidates(batch, with_halves(brief), unread):
        return []
    return against


def _of_candidates(batch: Batch, brief: Brief, unread: Collection[Path]) -> list[Fault]:
    candidates, faults = candidates_of(brief)
    if not candidates:
        plain = design_of(brief)
        return list(faults or plain) if isinstance(plain, tuple) else []
    options = {candidate.design.bars: candidate.design for candidate in reversed(candidates)}
    chosen = len(candidates) > 1
    against = [
        _of_design(batch, brief, Designed(option.design, option.bars, option.rails), unread, chosen=chosen)
        for option in options.values()
    ]
    return min(against, key=len)


def _of_design(
    batch: Batch, brief: Brief, designed: Designed, unread: Collection[Path], *, chosen: bool
) -> list[Fault]:
    """What stands against one design; of one that may yet be chosen otherwise, only what its bars say."""
    draft = draft_of(brief, designed)
    faults: list[Fault] = []
    joints: tuple[Joint, ...] = ()
    if not chosen and _readable("build", unread):
        build = draft.build()
        faults += build.faults
        joints = build.joints
    if _readable("cloth", unread) and _readable("canvas", unread):
        canvas = draft.canvas(joints=joints, pressing=False)
        faults += canvas.faults if isinstance(canvas, CanvasPlan) else canvas
    wanted = [part for part in draft.parts if part.kind is Kind.BAR] if chosen else draft.parts
    faults += _of_boards(batch, designed if not chosen else replace(designed, rails=None), wanted)
    return faults


def _of_boards(batch: Batch, designed: Designed, parts: Sequence[Part]) -> list[Fault]:
    def look(problem: BoardProblem) -> BoardPlan:
        raise FaultsError(find_faults(problem) or (_NOTHING,))

    try:
        board_plans(batch, [(designed, parts)], solve=look)
    except FaultsError as error:
        return _without_nothing(error.faults)
    return []


def _of_cloth(briefs: Sequence[Brief], pieces: Sequence[Piece], sewn: ClothWish) -> list[Fault]:
    def look(problem: ClothProblem) -> ClothPlan:
        raise FaultsError(faults_of_cloth(problem) or in_ticks(problem)[1] or (_NOTHING,))

    try:
        lay_cloth(briefs, tuple(pieces), sewn=sewn, solve=look)
    except FaultsError as error:
        return _without_nothing(error.faults)
    return []


def _without_nothing(faults: Iterable[Fault]) -> list[Fault]:
    return [fault for fault in faults if fault.code != _NOTHING.code]
