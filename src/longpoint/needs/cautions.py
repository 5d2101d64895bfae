"""What a person should know of a batch, gathered from its works, boards and cloth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from longpoint.choosing.cautions import cautions_of as cautions_of_choice
from longpoint.choosing.parted import parted_cautions
from longpoint.errors import Caution, gathered
from longpoint.model.batch import Batch
from longpoint.needs.besides import besides_cautions
from longpoint.needs.boards import SectionCut
from longpoint.needs.cloth import ClothCutting, cloth_cautions
from longpoint.needs.planned import PlannedWork
from longpoint.stretching.staple_referee import check_staples
from longpoint.works.assumed import assumed_cautions
from longpoint.works.brief import Brief
from longpoint.works.build import screw_cautions
from longpoint.works.cloth import coat_cautions
from longpoint.works.stock import stock_cautions


def _staple_cautions(work: PlannedWork) -> tuple[Caution, ...]:
    """What the referee of the staples found, said as something to mind at the bench."""
    wrong = check_staples(work.build.frame, work.build.joints, work.canvas.staples)
    if not wrong:
        return ()
    first = wrong[0]
    return (replace(first, about=work.name, facts=(*first.facts, ("count", str(len(wrong))))),)


_TOLD_AT_THE_JOINT = frozenset({"glue-carries"})
"""Cautions that ask nobody to do otherwise: they stand on the page of the joint they explain."""


def batch_cautions(
    batch: Batch,
    briefs: Sequence[Brief],
    works: Sequence[PlannedWork],
    boards: Sequence[SectionCut],
    cloths: Sequence[ClothCutting],
) -> tuple[Caution, ...]:
    """What a person should know of a batch, the same remark once.

    Args:
        batch: What is stated.
        briefs: What its works started from.
        works: Its works.
        boards: How its boards are cut.
        cloths: How its cloth is laid.
    """
    sections = tuple(
        section
        for work in works
        for section in (work.designed.bars, work.designed.rails)
        if section is not None
    )
    stock, stated = briefs[0].stock, bool(batch.yard or batch.rack)
    found = [
        *(
            caution
            for work in works
            if work.strength is not None
            for caution in cautions_of_choice(
                work.name, work.strength, currency=batch.currency, timber_stated=stated
            )
        ),
        *(
            caution
            for brief, work in zip(briefs, works, strict=True)
            for caution in parted_cautions(brief, work.designed, currency=batch.currency)
        ),
        *assumed_cautions(briefs, [work.designed for work in works]),
        *besides_cautions(boards),
        *stock_cautions(stock, sections),
        *screw_cautions(stock, [work.build for work in works]),
        *cloth_cautions(briefs, cloths),
        *coat_cautions(
            batch.size,
            batch.primer if "primer" in batch.model_fields_set else None,
            [work.cloth for work in works],
        ),
        *(caution for board in boards for caution in board.plan.cautions),
        *(caution for cloth in cloths for caution in cloth.plan.cautions),
        *(
            caution
            for work in works
            for caution in work.build.cautions
            if caution.code not in _TOLD_AT_THE_JOINT
        ),
        *(caution for work in works for caution in _staple_cautions(work)),
        *(
            replace(caution, about=work.name)
            for work in works
            if work.rehearsed is not None
            for caution in work.rehearsed.cautions
        ),
        *(
            replace(caution, about=caution.about or work.name)
            for work in works
            for caution in work.canvas.cautions
            if not caution.code.startswith("safety-")  # these stand at their step
        ),
    ]
    everyone = ", ".join(work.name for work in works)
    return tuple(
        replace(caution, about="all works") if len(works) > 1 and caution.about == everyone else caution
        for caution in gathered(found)
    )
