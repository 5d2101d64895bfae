"""The rest of a plan, as a replan answers it."""

from __future__ import annotations

from dataclasses import dataclass

from longpoint.cutting.remainder.replan import Replanned
from longpoint.errors import Caution
from longpoint.frame.parts import Part
from longpoint.model.batch import Batch
from longpoint.needs.boards import SectionCut
from longpoint.replanning.old import (
    OldPlan,
)


@dataclass(frozen=True, slots=True)
class SectionReplan:
    """One section, planned again.

    Attributes:
        cut: The section as it was planned at first.
        again: What is left of it.
        touched: Whether anything happened to it since the plan in hand.
    """

    cut: SectionCut
    again: Replanned
    touched: bool


@dataclass(frozen=True, slots=True)
class Replan:
    """The rest of a plan.

    Attributes:
        batch: The batch, with what its timber measures.
        revision: Of the plan that it continues.
        sections: In the order of the plan.
        parts: Every part as it is to be made now.
        longer: Parts whose length follows the timber: mark, length before and now. [mm]
        cautions: What a person should know.
        so_far: The first plan with every stage since, this one among them: what the next stage goes on from.
    """

    batch: Batch
    revision: str
    sections: tuple[SectionReplan, ...]
    parts: tuple[Part, ...]
    longer: tuple[tuple[str, float, float], ...]
    cautions: tuple[Caution, ...]
    so_far: OldPlan
