"""Frames made in two halves though nobody asked: what in one piece no boards give, or what does not get out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from longpoint.choosing.answer import ChosenDesign
from longpoint.choosing.candidates import Buildable, price_of
from longpoint.choosing.designs import longest_boards, with_besides
from longpoint.errors import Caution, Fault
from longpoint.frame.design import FrameDesign
from longpoint.strength.choice import holds
from longpoint.works.brief import Brief
from longpoint.works.designed import Designed
from longpoint.works.leaving import Stays, comes_apart_unasked, shallowest_ways, stays_of, ways_out
from longpoint.works.remembered import KeptWith

IN_HALVES = "halves-unasked"
"""Code of the caution that a work is planned in halves, which nobody asked."""

Settled = Designed | tuple[Fault, ...]

_BOARDS = frozenset({"no-board-gives", "boards-too-short", "no-place-for-join", "plate-under-end-rail"})
"""Codes of faults that shorter bars may mend."""


@dataclass(frozen=True, slots=True, eq=False)
class Parted:
    """A work planned in halves that the file does not ask for.

    Attributes:
        stays: What keeps it in when it is in one piece; None where no board gives its bars whole.
        more: What it costs more than in one piece with the same rails, timber, screws and time; None where nothing is
            priced.
        currency: Of prices.
    """

    stays: Stays | None
    more: float | None
    currency: str


@KeptWith
def with_halves(brief: Brief) -> Brief:
    """A work, to be made in two halves."""
    return replace(brief, inside=brief.inside.model_copy(update={"in_halves": True}))


def as_planned(brief: Brief, design: FrameDesign) -> Brief:
    """A work as one of its designs was made from it: with halves where it has them."""
    return brief if design.seam is None or brief.inside.in_halves else with_halves(brief)


def may_part(brief: Brief, faults: Iterable[Fault]) -> bool:
    """Whether a work that faults stand against may be made in halves unasked, and shorter bars could mend them.

    Args:
        brief: The work.
        faults: What stands against it in one piece.
    """
    return comes_apart_unasked(brief) and any(fault.code in _BOARDS for fault in faults)


def whole_or_parted(brief: Brief, choose: Callable[[Brief], Settled]) -> Settled:
    """The design of one work: in halves where in one piece it cannot be built or does not get out, and in halves can.

    What is said of `in_halves`, either way, and `as_stated` are kept. Where the halves do not hold and one piece does,
    it stays in one piece, and what keeps it in is said.

    Args:
        brief: The work.
        choose: Settles its design as it is wished.
    """
    if not comes_apart_unasked(brief):
        return choose(brief)
    whole: Settled | None = None
    if stays_of(brief.ways, shallowest_ways(brief)) is None:
        whole = choose(brief)
        if not _asks(brief, whole):
            return whole
    parted = choose(with_halves(brief))
    if isinstance(parted, Designed) and not _asks(brief, parted):
        if _holds(parted):
            return parted
        whole = choose(brief) if whole is None else whole
        if not isinstance(whole, Designed) or not _holds(whole) or not _reached(brief, whole):
            return parted
    return choose(brief) if whole is None else whole


def parted_cautions(brief: Brief, designed: Designed, *, currency: str) -> tuple[Caution, ...]:
    """That a work is planned in halves though nobody asked, why, and for how much more.

    Args:
        brief: The work as stated.
        designed: Its design.
        currency: Of prices.
    """
    design = designed.design
    if design.seam is None or brief.inside.in_halves:
        return ()
    ways = ways_out(brief, depth=design.bar_depth, thickness=design.bar_thickness, seam=None)
    parted = price_of(brief, Buildable(design, designed.bars, designed.rails)).money
    one = price_of(brief, Buildable(_in_one(design), designed.bars, designed.rails)).money
    more = None if parted is None or one is None else max(parted - one, 0.0)
    return (Caution(IN_HALVES, about=brief.work.name, of=Parted(stays_of(brief.ways, ways), more, currency)),)


def _in_one(design: FrameDesign) -> FrameDesign:
    """The same frame in one piece: one rail where two lie face to face."""
    first, second = design.seam_rails or (0, 0)
    lines = [line for at, line in enumerate(design.cross_rails) if at not in (first, second)]
    middle = [] if design.seam is None else [design.seam]
    return replace(design, seam=None, joins=(), cross_rails=tuple(sorted([*lines, *middle])))


def _asks(brief: Brief, settled: Settled) -> bool:
    """Whether something stands against a design that halves may mend."""
    if not isinstance(settled, Designed):
        return any(fault.code in _BOARDS for fault in settled)
    design = settled.design
    ways = ways_out(brief, depth=design.bar_depth, thickness=design.bar_thickness, seam=design.seam)
    return stays_of(brief.ways, ways) is not None or not _reached(brief, settled)


def _reached(brief: Brief, designed: Designed) -> bool:
    """Whether boards give every bar, those of an ordinary shop among them, or it is joined."""
    design = designed.design
    longest = longest_boards(brief.shop.saw, with_besides(designed.bars))[0]
    cut = Fraction(0) if design.seam is None else design.seam
    return bool(design.joins) or max(cut, design.length - cut) <= longest


def _holds(designed: Designed) -> bool:
    return not isinstance(designed, ChosenDesign) or all(holds(one) for one in designed.strength.verdicts)
