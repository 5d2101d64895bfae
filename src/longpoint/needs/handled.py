"""How every work is lifted, gets out and hangs once it is built, and what a person should know of that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longpoint.cutting.boards.values import millimetres
from longpoint.errors import Caution
from longpoint.model.batch import Batch
from longpoint.model.hardware import Hanger
from longpoint.needs.boards import SectionCut
from longpoint.needs.planned import PlannedWork
from longpoint.works.brief import Brief
from longpoint.works.hanging import HungOnWall, HungWork, hanging_cautions, hung_work, rows_of
from longpoint.works.leaving import WayOut, leaving_cautions, ways_out
from longpoint.works.lifting import LiftedWork, lifted_work, lifting_cautions
from longpoint.works.split_batten import Offcut, batten_cautions, batten_work, from_offcuts
from longpoint.works.stock import Section, Stock
from longpoint.works.wood import wood_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Handled:
    """What is done with works once they are built.

    Attributes:
        ways: Every work on every way out that is stated for it.
        hung: How each work hangs; none where it has no two hangers.
        lifted: How each work is lifted.
        rows: Every work in its place on every wall that is stated.
        cautions: What a person should know of it.
    """

    ways: tuple[WayOut, ...]
    hung: tuple[HungWork, ...]
    lifted: tuple[LiftedWork, ...]
    rows: tuple[HungOnWall, ...]
    cautions: tuple[Caution, ...]


def handled_works(
    batch: Batch, briefs: Sequence[Brief], works: Sequence[PlannedWork], boards: Sequence[SectionCut]
) -> Handled:
    """How the works of a batch are lifted, get out and hang.

    Args:
        batch: What is stated.
        briefs: What its works started from.
        works: The works, planned.
        boards: How its boards are cut.
    """
    ways = _ways_of(briefs, works)
    hung = _hung_of(batch.hanger, briefs[0].stock, works, boards)
    pieces = sum(work.how_many for work in works)
    lifted = tuple(
        lifted_work(batch.way, work=work.name, design=work.designed.design, mass=work.mass, pieces=pieces)
        for work in works
    )
    return Handled(
        ways=ways,
        hung=hung,
        lifted=lifted,
        rows=rows_of(batch.wall, batch.work, batch.set, hung) if hung else (),
        cautions=(
            *leaving_cautions(batch.way, ways),
            *hanging_cautions(batch.hanger, hung),
            *batten_cautions(batch.style, hung),
            *lifting_cautions(batch.shop, lifted),
        ),
    )


def _ways_of(briefs: Sequence[Brief], works: Sequence[PlannedWork]) -> tuple[WayOut, ...]:
    """Every work, as designed, on every way out that is stated for it."""
    return tuple(
        way
        for work in works
        for design in (work.designed.design,)
        for way in ways_out(
            briefs[work.index],
            depth=design.bar_depth,
            thickness=design.bar_thickness,
            seam=design.seam,
        )
    )


def _hung_of(
    hanger: Hanger, stock: Stock, works: Sequence[PlannedWork], boards: Sequence[SectionCut] = ()
) -> tuple[HungWork, ...]:
    """How each work hangs on two hangers or a split batten; none where the batch gives works fewer hangers.

    Args:
        hanger: What works hang by, as stated.
        stock: What can be had, for the screws.
        works: The works, planned.
        boards: How its boards are cut: split battens are ripped from what they leave.
    """
    if hanger.by == "split batten":
        battens = (
            batten_work(
                stock,
                work=work.name,
                frame=work.build.frame,
                mass=work.mass,
                wood=wood_named(work.designed.bars.wood),
                joints=work.build.joints,
                staples=work.canvas.staples,
                sides=_sides(work.designed.bars),
            )
            for work in works
        )
        left = [
            Offcut(board.board, _sides(cut.section), millimetres(board.remains))
            for cut in boards
            for board in cut.plan.boards
        ]
        return from_offcuts(battens, left, {work.name: work.how_many for work in works})
    if hanger.per_work < 2:
        return ()
    return tuple(
        hung_work(
            hanger,
            stock,
            work=work.name,
            frame=work.build.frame,
            mass=work.mass,
            wood=wood_named(work.designed.bars.wood),
            joints=work.build.joints,
            staples=work.canvas.staples,
        )
        for work in works
    )


def _sides(section: Section) -> tuple[float, float]:
    thin, wide = sorted((float(section.real_thickness), float(section.real_depth)))
    return thin, wide
